"""Pictures as telephones write them: lying on their side, with place, maker's words and a comment inside."""

from pathlib import Path

from PIL import Image, PngImagePlugin

TRACE = "SN-PHOTO-4711"
"""Stands in every text that a picture of ours carries."""

_FORMS = {".jpg": "JPEG", ".jpeg": "JPEG", ".png": "PNG", ".webp": "WEBP"}
_ORIENTATION, _MAKE, _GPS = 0x0112, 0x010F, 0x8825
_LYING = 6
"""The camera was held upright and wrote the picture lying: to be turned by a quarter."""


def picture(path: Path, width: int = 60, height: int = 40, *, lying: bool = False, mode: str = "RGB") -> Path:
    """Write a picture, red on its left half and blue on its right, with everything in it that must not go public."""
    image = Image.new("RGB", (width, height), (200, 30, 30))
    image.paste((30, 30, 200), (width // 2, 0, width, height))
    image = image.convert(mode)
    exif = Image.Exif()
    exif[_MAKE] = TRACE
    exif[_GPS] = {1: "N", 2: (50.0, 7.0, 26.0), 29: TRACE}
    if lying:
        exif[_ORIENTATION] = _LYING
    form = _FORMS[path.suffix.lower()]
    more: dict[str, object] = {}
    if form == "JPEG":
        more["comment"] = TRACE.encode()
    if form == "PNG":
        more["pnginfo"] = PngImagePlugin.PngInfo()
        more["pnginfo"].add_text("Comment", TRACE)  # type: ignore[attr-defined]
    if form == "WEBP":
        more |= {"xmp": TRACE.encode(), "lossless": True}
    path.parent.mkdir(parents=True, exist_ok=True)
    image.save(path, form, exif=exif, **more)
    assert TRACE.encode() in path.read_bytes()
    return path
