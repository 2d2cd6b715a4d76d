"""How the field of an alt-azimuth mount turns while the rig's targets can be photographed."""

from math import hypot

import numpy as np

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure
from rigleaf.chapters.guiding_and_exposure import tracking
from rigleaf.chapters.under_the_sky.targets import Seen

TURN = "altaz-rotation"
TRAIL_PX = 1.0
"""Pixels that the corner may trail; a choice of this guide."""


def figures_of(assembly: Assembly, found: list[Seen]) -> list[Figure]:
    """Return, for an alt-azimuth mount, how fast each target's field turns in its best month."""
    mount = next(assembly.parts(Mount), None)
    if mount is None or mount.drive != "alt-azimuth":
        return []
    return [figure for one in found for figure in _one(assembly, one)]


def _one(assembly: Assembly, one: Seen) -> list[Figure]:
    month = one.season.best_month
    if month is None:
        return []
    azimuth, altitude = one.season.usable_places(month)
    latitude = np.full(len(azimuth), one.season.nights.site.latitude)
    rates = np.abs(tracking.altaz_rotation(latitude, azimuth, np.minimum(altitude, 89.9)))
    usual, fastest = float(np.median(rates)), float(rates.max())
    id_, name = one.target.id, one.target.name
    figures = [
        Figure(f"{id_}-turn", f"{name}: turn of the field", usual, "turn", TURN,
               note=f"or faster, in half of the usable time; at worst {assembly.say(fastest, 'turn')}"),
    ]  # fmt: skip
    sensor = assembly.camera.sensor if assembly.camera else None
    if sensor is not None and sensor.pixels is not None:
        corner = hypot(*sensor.pixels) / 2
        seconds = tracking.altaz_exposure(TRAIL_PX, corner, usual)
        figures.append(
            Figure(f"{id_}-turn-exposure", f"{name}: exposure in which the corner trails by a pixel", seconds, "time",
                   TURN, note="at that rate")
        )  # fmt: skip
    return figures
