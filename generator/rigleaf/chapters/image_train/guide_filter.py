"""What do the filters in the light cost a guide sensor that sits behind them?"""

from math import isfinite

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.models.train import Filter, FilterWheel
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.joints import same_size
from rigleaf.chapters.image_train.train import Train

GUIDE = "narrow-band-guiding"
TITLE = "Guiding through filters"

COSTLY = 5.0
"""Above this factor a filter before the guide sensor is worth planning for (a choice of this guide)."""


def judge_guide_filter(assembly: Assembly, train: Train) -> tuple[list[Figure], list[Finding]]:
    """Say how much longer a guide sensor in the same body exposes behind the filters in the light."""
    camera = assembly.camera
    if camera is None or camera.guide_sensor is None:
        return [], []
    before = [one for piece in train.pieces for one in piece.filters]
    carried = [item.part for item in assembly.items if isinstance(item.part, Filter)]
    factors = [(one, factor) for one in dict.fromkeys([*before, *carried]) if (factor := _factor(one)) is not None]
    figures = [
        Figure(f"guide-factor-{one.id}", f"Guide exposure behind {one.name}", factor if isfinite(factor) else None,
               "factor", GUIDE, note=_fainter(factor) if isfinite(factor) else "passes nothing of the visible band")
        for one, factor in factors
    ]  # fmt: skip
    costly = [(one, factor) for one, factor in factors if factor > COSTLY]
    unknown = [one for one in dict.fromkeys(before) if one.id not in {known.id for known, _ in factors}]
    findings = [_bands_unsaid(one) for one in unknown]
    if not costly:
        return figures, findings
    in_wheel = _in_wheel(assembly, train)
    listed = "; ".join(
        _told(assembly, one, factor, "" if one in before else "in the wheel" if one in in_wheel else "carried along")
        for one, factor in sorted(costly, key=lambda pair: -pair[1])
    )
    sentence = f"The guide sensor sits behind the filters. Against no filter it must expose {listed}."
    behind = tuple(f"guide-factor-{one.id}" for one, _ in costly)
    parts = tuple(one.id for one, _ in costly)
    return figures, [
        Finding("guide-filter", "tight", TITLE, sentence, behind, GUIDE, _remedy(assembly), parts), *findings
    ]  # fmt: skip


def _in_wheel(assembly: Assembly, train: Train) -> list[Filter]:
    """Return the filters that ride along and fit a wheel of the train: they wait in its other places."""
    wheels = [piece.part for piece in train.pieces if isinstance(piece.part, FilterWheel)]
    return [
        item.part for item in assembly.items
        if item.role == "rider" and isinstance(item.part, Filter)
        and any(same_size(item.part.mount_size, wheel.filter_size) for wheel in wheels)
    ]  # fmt: skip


def _told(assembly: Assembly, one: Filter, factor: float, where: str) -> str:
    if not isfinite(factor):
        place = f" ({where})" if where else ""
        return f"without end behind {one.name}{place}, as no visible light passes"
    place = f"{where}; " if where else ""
    return f"{assembly.say(factor, 'factor')} as long behind {one.name} ({place}{_fainter(factor)})"


def _fainter(factor: float) -> str:
    return f"stars are {physics.magnitudes_lost(factor):.1f} magnitudes fainter"


def _remedy(assembly: Assembly) -> str:
    mount = next(assembly.parts(Mount, "mount"), None)
    if mount is not None and mount.drive == "strain-wave":
        return (
            "Longer guide exposures let this mount's periodic error through: choose a brighter star, raise the gain, "
            "or guide before the filter."
        )
    return "Guide with longer exposures on brighter stars, or with a camera of its own before the filters."


def _bands_unsaid(one: Filter) -> Finding:
    sentence = f"How much longer the guide sensor must expose behind {one.name} cannot be told: its bands are unsaid."
    cure = "Take the bands from the curve that its maker shows: centre, width and transmission of each."
    return Finding(f"guide-filter-{one.id}", "unsaid", TITLE, sentence, (), GUIDE, cure, (one.id,))


def _factor(one: Filter) -> float | None:
    """Return the factor on the guide exposure, or None where the pass bands are unsaid."""
    bands = [
        physics.Band(band.centre.value, band.width.value, band.transmission.value if band.transmission else 1.0)
        for band in one.bands or () if band.centre is not None and band.width is not None
    ]  # fmt: skip
    return physics.guide_exposure_factor(bands) if bands else None
