"""What a target of the guide is in the sky: its own values over those of the catalogue of objects."""

from rigleaf.catalogue.models.guide import Target
from rigleaf.quantities import Reading
from rigleaf.sky.objects import CATALOGUE, SkyObject, find
from rigleaf.sky.targets import MOON_ARCMIN, SUN_ARCMIN, SkyTarget, mean_surface_brightness

_DISCS = {"Moon": MOON_ARCMIN, "Sun": SUN_ARCMIN}
_WANDERERS = frozenset({"Moon", "Sun", "planet"})
_OWN = {"place": "ra", "extent": "major_axis", "magnitude": "magnitude"}
_SORTS = (("galax", "galaxy"), ("cluster with nebula", "nebula"), ("cluster", "star cluster"), ("nebula", "nebula"),
          ("HII", "nebula"), ("remnant", "nebula"))  # fmt: skip


def resolve(target: Target) -> SkyTarget:
    """Return the target with place, outline and light; its own values go before those of the catalogue.

    An object that no catalogue knows, which is reported when a guide is read, counts as none.
    """
    found = find(target.object) if target.object else None
    sort = target.sort or (_sort_of(found) if found else "")
    wanders = sort in _WANDERERS
    major, minor, angle = _axes(target, found)
    if major is None and (disc := _DISCS.get(sort)):
        major = minor = disc
    magnitude = target.magnitude.value if target.magnitude else found.v_mag if found else None
    glow = None
    if major is not None and magnitude is not None and sort != "star cluster" and not wanders:
        glow = mean_surface_brightness(magnitude, major, minor or major)
    tilted = major is not None and minor is not None and angle is not None
    return SkyTarget(
        id=target.id,
        name=target.name,
        sort=sort,
        ra=None if wanders else target.ra.value % 360 if target.ra else found.ra if found else None,
        dec=None if wanders else target.dec.value if target.dec else found.dec if found else None,
        major_arcmin=major,
        # Without an angle an ellipse would show a tilt that nobody measured.
        minor_arcmin=minor if tilted else major,
        position_angle=angle % 180 if tilted and angle is not None and minor != major else None,
        v_mag=magnitude,
        surface_brightness=glow,
        note=_note(target, found),
        designation=found.designation if found else "",
        kind=found.kind if found else "",
    )


def _axes(target: Target, found: SkyObject | None) -> tuple[float | None, float | None, float | None]:
    """Return major and minor axis in arcmin and position angle in deg, each of which may be unknown.

    Who gives the extent anew gives the whole ellipse: the catalogue's minor axis belongs to its own major one.
    """
    angle = target.position_angle.value if target.position_angle else found.position_angle if found else None
    if target.major_axis is not None:
        return _arcmin(target.major_axis), _arcmin(target.minor_axis), angle
    major = found.major if found else None
    minor = _arcmin(target.minor_axis) if target.minor_axis else found.minor if found else None
    if major is not None and minor is not None and minor > major:
        major, minor = minor, major
    return major, minor, angle


def _arcmin(angle: Reading | None) -> float | None:
    return None if angle is None else 60 * angle.value


def _sort_of(found: SkyObject) -> str:
    return next((sort for word, sort in _SORTS if word in found.kind), "")


def _note(target: Target, found: SkyObject | None) -> str:
    """Say where place, extent and magnitude come from, as far as they are known."""
    fields = {"place": "ra", "extent": "major", "magnitude": "v_mag"}
    sources: dict[str, list[str]] = {}
    for name, field in fields.items():
        if getattr(target, _OWN[name]) is not None:
            source = target.source or "as given by the guide"
        elif found is not None and getattr(found, field) is not None:
            source = found.source(field)
        else:
            continue
        sources.setdefault(source, []).append(name)
    words = []
    for source, names in sources.items():
        listed = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
        words.append(f"{listed} {'from ' if source == CATALOGUE else ''}{source}")
    text = "; ".join(words)
    return f"{text[:1].upper()}{text[1:]}." if text else ""
