"""Words for places and sizes on the sky."""

from math import floor

from rigleaf.chapters.in_the_frame.framing import Framed
from rigleaf.sky.targets import SkyTarget


def called(target: SkyTarget) -> str:
    """Return a target's name as it stands inside a sentence: "the Moon", but "Andromeda Galaxy (M31)"."""
    return f"the {target.name}" if target.sort in ("Moon", "Sun") and target.name in ("Moon", "Sun") else target.name


def right_ascension(degrees: float) -> str:
    """Return a right ascension to the second, such as "20h 58m 48s"."""
    seconds = round(degrees % 360 * 240) % 86_400
    return f"{seconds // 3600:02d}h\u00a0{seconds // 60 % 60:02d}m\u00a0{seconds % 60:02d}s"


def declination(degrees: float) -> str:
    """Return a declination to the arcsecond, such as "+44° 20′ 06″"."""
    seconds = floor(abs(degrees) * 3600 + 0.5)
    sign = "−" if degrees < 0 and seconds else "+"
    return f"{sign}{seconds // 3600:02d}°\u00a0{seconds // 60 % 60:02d}′\u00a0{seconds % 60:02d}″"


def size(target: SkyTarget) -> str:
    """Return the extent of a target, such as "178′ × 70′" or "110′"; "" where it is not known."""
    if target.outline is None:
        return ""
    major, minor, _ = target.outline
    if round(major, 2) == round(minor, 2):
        return _extent(major)
    return f"{_extent(major)}\u00a0×\u00a0{_extent(minor)}"


def _extent(arcmin: float) -> str:
    if arcmin >= 300:
        return f"{arcmin / 60:.1f}".removesuffix(".0") + "°"
    if arcmin >= 1:
        return f"{arcmin:.0f}′" if arcmin >= 20 else f"{arcmin:.1f}".removesuffix(".0") + "′"
    return f"{arcmin * 60:.0f}″"


def grid(framed: Framed) -> str:
    """Return a mosaic's panels along its rows and columns, such as "2 × 3", or "one"."""
    return "one" if framed.grid.cells == 1 else f"{framed.grid.columns}\u00a0×\u00a0{framed.grid.rows}"


def guide_stars(framed: Framed) -> str:
    """Return what the second sensor sees at the best angle, for the middle of a sentence."""
    if framed.stars is None:
        return ""
    if framed.stars == 0 or framed.brightest is None:
        return "no star to G\u00a0=\u00a010 falls on the guide sensor there"
    number = "one star falls" if framed.stars == 1 else f"{framed.stars} stars fall"
    which = "" if framed.stars == 1 else "the brightest "
    return f"{number} on the guide sensor there, {which}of G\u00a0=\u00a0{framed.brightest:.1f}"
