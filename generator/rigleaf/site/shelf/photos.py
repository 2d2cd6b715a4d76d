"""Photos of parts as the site shows them: upright, no larger than needed, without what a camera wrote into them.

A telephone notes in every picture where it was taken. None of that may reach a public site, so no photo is
ever copied: each is decoded and only its pixels are saved anew.
"""

import posixpath
import tempfile
import warnings
import weakref
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath
from shutil import rmtree
from typing import TYPE_CHECKING, Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import CatalogueError, Fault

if TYPE_CHECKING:
    from PIL.Image import Image

LONGEST_SIDE = 1600
"""Pixels; twice the widest plate, for screens with fine pixels."""

FOLDER = "assets/photos"
"""Where photos stand in the site."""

_SAVED_AS: dict[str, tuple[str, dict[str, Any]]] = {
    ".jpg": ("JPEG", {"quality": 85, "optimize": True, "progressive": True}),
    ".jpeg": ("JPEG", {"quality": 85, "optimize": True, "progressive": True}),
    ".png": ("PNG", {"optimize": True}),
    ".webp": ("WEBP", {"quality": 82, "method": 4}),
}
_OPENED = ("JPEG", "PNG", "WEBP")
"""What is read, whatever the ending says."""


class PhotoError(ValueError):
    """A picture that cannot be shown; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Photo:
    """One photo of the guide.

    Attributes:
        path: where it stands in the site.
        source: the file as somebody took it; never published.
        name: the path as the YAML gives it, for messages.
        part: id of the first part that names it.
    """

    path: str
    source: Path
    name: str
    part: str


def photo_path(root: Path, photo: str) -> str:
    """Return where a part's photo stands in the site: below one folder, however the YAML spells its path."""
    inside = PurePosixPath(photo).as_posix().lstrip("/")
    found = (root / photo).resolve()
    if found.is_relative_to(root.resolve()):
        inside = found.relative_to(root.resolve()).as_posix()
    return FOLDER + posixpath.normpath(f"/{inside}")


def photos(catalogue: Catalogue) -> tuple[Photo, ...]:
    """Return every photo that a part names, once, in the order of the shelf."""
    found: dict[str, Photo] = {}
    for part in catalogue.parts.values():
        if part.photo:
            path = photo_path(catalogue.root, part.photo)
            found.setdefault(path, Photo(path, (catalogue.root / part.photo).resolve(), part.photo, part.id))
    return tuple(found.values())


def check_photos(catalogue: Catalogue) -> None:
    """Decode every photo and forget it again.

    Raises:
        CatalogueError: with a fault for each photo that cannot be shown.
    """
    faults = list(_faults(catalogue))
    if faults:
        raise CatalogueError(faults)


def _faults(catalogue: Catalogue) -> Iterator[Fault]:
    for photo in photos(catalogue):
        try:
            _decoded(photo.source)
        except PhotoError as error:
            yield _fault(catalogue, photo, error)


def _fault(catalogue: Catalogue, photo: Photo, error: PhotoError) -> Fault:
    source = catalogue.source("part", photo.part)
    return Fault(source.file, source.line, 1, "photo", f"the photo '{photo.name}' of '{photo.part}' {error}")


class Darkroom:
    """Makes clean copies of photos in a folder of its own, each once for as long as it does not change.

    The folder is made ``within`` another and goes with that, or where the system keeps such things and goes with this.
    """

    def __init__(self, within: Path | None = None) -> None:
        self._within = within
        self._folder: Path | None = None

    def develop(self, catalogue: Catalogue) -> dict[str, Path]:
        """Return the clean copy of every photo by its path in the site.

        Raises:
            CatalogueError: with a fault for each photo that cannot be shown.
        """
        made: dict[str, Path] = {}
        faults: list[Fault] = []
        for photo in photos(catalogue):
            try:
                made[photo.path] = self.copy(photo.source)
            except PhotoError as error:
                faults.append(_fault(catalogue, photo, error))
        if faults:
            raise CatalogueError(faults)
        return made

    def copy(self, source: Path) -> Path:
        """Return the clean copy of one picture.

        Raises:
            PhotoError: when it cannot be shown.
        """
        if self._folder is None:
            self._folder = Path(tempfile.mkdtemp(prefix="rigleaf-photos-", dir=self._within))
            if self._within is None:
                weakref.finalize(self, rmtree, self._folder, ignore_errors=True)
        state = source.stat()
        key = sha256(f"{source.resolve()}\0{state.st_mtime_ns}\0{state.st_size}".encode(errors="surrogateescape"))
        target = self._folder / f"{key.hexdigest()}{source.suffix.lower()}"
        if not target.exists():
            clean(source, target)
        return target


def clean(source: Path, target: Path) -> None:
    """Save the pixels of a picture, upright and shrunk, and nothing else of it; the same picture gives the same bytes.

    The ending of ``target`` (.jpg, .jpeg, .png or .webp) decides how it is saved.

    Raises:
        PhotoError: when it cannot be decoded.
    """
    form, options = _SAVED_AS[target.suffix.lower()]
    image = _decoded(source)
    if form == "JPEG" and image.mode not in {"L", "RGB"}:
        image = image.convert("RGB")
    draft = target.with_name(target.name + ".draft")
    image.save(draft, form, **options)
    draft.replace(target)


def _decoded(source: Path) -> "Image":
    """Return a picture upright, shrunk, in sRGB, and bare of all that stood beside its pixels."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # of what a camera wrote beside the pixels, and wrote badly
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(source, formats=_OPENED) as found:
                found.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))  # a JPEG is decoded no finer than it is needed
                image = _plain(ImageOps.exif_transpose(found))
    except UnidentifiedImageError:
        raise PhotoError("is no JPEG, PNG or WebP picture; save it as one") from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PhotoError("has too many pixels; shrink it") from None
    except (OSError, SyntaxError, ValueError, EOFError):  # what the decoders raise at broken files
        raise PhotoError("is broken or cut off; copy it anew") from None
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    image.info.clear()  # whatever is left here would be written out again: comments, profiles, dates
    return image


def _plain(image: "Image") -> "Image":
    """Return a picture in grey, RGB or RGBA of eight bits, its colours turned to sRGB while its profile is at hand."""
    if image.mode.startswith("I;16"):
        image = image.convert("I").point(lambda level: level / 256).convert("L")
    through = image.has_transparency_data
    profile = image.info.get("icc_profile")
    plain = image.convert("RGBA" if through else "L" if image.mode in {"1", "L"} else "RGB")
    return _in_srgb(plain, profile) if profile and plain.mode != "L" and image.mode != "CMYK" else plain


def _in_srgb(image: "Image", profile: bytes) -> "Image":
    import io

    from PIL import ImageCms

    try:
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        turned = ImageCms.profileToProfile(image, own, ImageCms.createProfile("sRGB"))
    except (OSError, ImageCms.PyCMSError):  # a profile that nobody can read colours nothing
        return image
    return turned or image
