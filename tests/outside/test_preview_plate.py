"""Places on the plates of preview pictures against another library's spherical geometry.

COMPUTED with astropy: an offset frame turned to the picture's position angle, and the definition of the gnomonic
projection (x = tan of the longitude, y = tan of the latitude over the cosine of the longitude).
"""

from math import hypot
from pathlib import Path

import numpy as np
import pytest
from astropy import units as u
from astropy.coordinates import SkyCoord

from rigleaf.chapters.in_the_frame.framing import frame_target, wishes_of
from rigleaf.chapters.in_the_frame.view import view_of
from rigleaf.chapters.study import RigStudy
from rigleaf.site.previews.layout import PLATE_BOX
from rigleaf.site.previews.plate import SkyPlate, frame_plate
from rigleaf.sky.stars import stars_in_cone
from rigleaf.sky.targets import SkyTarget
from tests.site.preview_rigs import guide, studied


def framings(project: Path) -> list[tuple[RigStudy, SkyTarget, float, SkyPlate]]:
    """Every rig with the first of its targets that has a place and a size, its angle and its plate."""
    demo = guide(project)
    found = []
    for study in studied(demo):
        view = view_of(study.assembly)
        for target in study.assembly.targets[:1]:
            framed = frame_target(view, target, wishes_of(demo.guide)) if view else None
            if view and framed:
                found.append((study, target, framed.angle, frame_plate(view, framed, PLATE_BOX)))
    return found


def on_plate(plate: SkyPlate, centre: SkyCoord, angle: float, there: SkyCoord) -> tuple[np.ndarray, np.ndarray]:
    """Where directions stand on a plate, by astropy."""
    seen = there.transform_to(centre.skyoffset_frame(rotation=angle * u.deg))
    lon, lat = seen.lon.wrap_at(180 * u.deg).radian, seen.lat.radian
    x, y = np.degrees(-np.tan(lon)), np.degrees(np.tan(lat) / np.cos(lon))
    return plate.middle[0] + x * plate.scale, plate.middle[1] - y * plate.scale


def test_bright_stars_stand_where_they_belong(project: Path) -> None:
    checked = 0
    for _, target, angle, plate in framings(project):
        centre = SkyCoord(target.ra, target.dec, unit="deg")
        reach = float(np.degrees(np.arctan(np.radians(400 / plate.scale))))
        assert target.place is not None
        sky = stars_in_cone(*target.place, reach)
        stars = SkyCoord(sky.ra[:40], sky.dec[:40], unit="deg")
        for x, y in zip(*on_plate(plate, centre, angle, stars), strict=True):
            inside = 695 < x < 1150 and 50 < y < 478
            if inside and (plate.north is None or hypot(x - plate.north[0], y - plate.north[1]) > 25):
                assert min(hypot(x - a, y - b) for a, b, _ in plate.stars) < 0.5
                checked += 1
    assert checked > 200


def test_the_letter_stands_to_the_north(project: Path) -> None:
    for study, target, angle, plate in framings(project):
        centre = SkyCoord(target.ra, target.dec, unit="deg")
        x, y = on_plate(plate, centre, angle, centre.directional_offset_by(0 * u.deg, 0.01 * u.deg))
        assert plate.north is not None
        one = np.array([float(x) - plate.middle[0], float(y) - plate.middle[1]])
        two = np.array(plate.north) - np.array(plate.middle)
        assert np.dot(one, two) / np.linalg.norm(one) / np.linalg.norm(two) == pytest.approx(1, abs=1e-6), study.rig.id


def test_outlines_reach_as_far_as_the_target_does_along_its_axis(project: Path) -> None:
    """The end of the major axis, half its length from the middle at its position angle, lies on the outline."""
    checked = 0
    for study, target, angle, plate in framings(project):
        if target.position_angle is None or target.major_arcmin is None:
            continue
        centre = SkyCoord(target.ra, target.dec, unit="deg")
        end = centre.directional_offset_by(target.position_angle * u.deg, target.major_arcmin / 2 * u.arcmin)
        x, y = on_plate(plate, centre, angle, end)
        outline = plate.outlines[0].points
        farthest = max(hypot(a - plate.middle[0], b - plate.middle[1]) for a, b in outline)
        assert min(hypot(float(x) - a, float(y) - b) for a, b in outline) < 0.01 * farthest, study.rig.id
        checked += 1
    assert checked >= 5
