"""Plates of preview pictures: to scale, from the same data as the rig's page."""

from dataclasses import replace
from math import degrees, hypot
from pathlib import Path

import pytest

from rigleaf.chapters.in_the_frame.view import View, view_of
from rigleaf.chapters.study import RigStudy
from rigleaf.site.previews.layout import PLATE_BOX
from rigleaf.site.previews.pictures import guide_content, rig_content
from rigleaf.site.previews.plate import Outline, SkyPlate, many_frames, moon_plate
from tests.site.preview_rigs import guide, studied


def plates(project: Path) -> list[tuple[RigStudy, SkyPlate]]:
    demo = guide(project)
    found = [(study, rig_content(demo, study).plate) for study in studied(demo)]
    return [(study, plate) for study, plate in found if plate is not None]


def extent(outline: Outline) -> tuple[float, float]:
    """Width and height of a line, in pixels."""
    return tuple(max(p[n] for p in outline.points) - min(p[n] for p in outline.points) for n in (0, 1))  # type: ignore[return-value]


def sensor_of(study: RigStudy) -> tuple[int, int, float] | None:
    """Pixels along both sides of the main sensor and the side of a pixel in mm, as the YAML has them."""
    sensor = study.assembly.camera.sensor if study.assembly.camera else None
    if sensor is None or sensor.pixels is None or sensor.pixel is None:
        return None
    return sensor.pixels.across, sensor.pixels.down, sensor.pixel.value / 1000


def test_frames_have_the_ratio_of_their_sensor(project: Path) -> None:
    """The sides in pixels are as those of the sensor, within a pixel."""
    checked = 0
    for study, plate in plates(project):
        if (sensor := sensor_of(study)) is None:
            continue
        left, top, right, bottom = plate.frames[0]
        assert bottom - top == pytest.approx((right - left) * sensor[1] / sensor[0], abs=1), study.rig.id
        checked += 1
    assert checked >= 18


def test_frames_are_as_large_as_focal_length_and_pixels_make_them(project: Path) -> None:
    for study, plate in plates(project):
        focal = study.value("scale-and-field", "focal-length")
        if (sensor := sensor_of(study)) and focal is not None:
            wide = degrees(sensor[0] * sensor[2] / focal)
            assert plate.frames[0][2] - plate.frames[0][0] == pytest.approx(wide * plate.scale, abs=1), study.rig.id


def test_second_sensors_stand_where_the_yaml_puts_them(project: Path) -> None:
    checked = 0
    for study, plate in plates(project):
        camera, sensor = study.assembly.camera, sensor_of(study)
        second = camera.guide_sensor if camera else None
        if len(plate.frames) < 2 or sensor is None or second is None or second.offset is None:
            continue
        main, other = plate.frames
        per_mm = (main[2] - main[0]) / (sensor[0] * sensor[2])
        middle = (other[0] + other[2]) / 2 - plate.middle[0], plate.middle[1] - (other[1] + other[3]) / 2
        assert middle == pytest.approx((second.offset.x * per_mm, second.offset.y * per_mm), abs=1), study.rig.id
        checked += 1
    assert checked >= 5


def test_everything_that_counts_is_on_the_plate(project: Path) -> None:
    left, top, right, bottom = PLATE_BOX
    for _, plate in plates(project):
        assert plate.box == PLATE_BOX
        for frame in plate.frames:
            assert left < frame[0] < frame[2] < right
            assert top < frame[1] < frame[3] < bottom
        assert (plate.frames[0][2] - plate.frames[0][0]) > 0.25 * (right - left), "the frame is not lost on the plate"
        for x, y, radius in plate.stars:
            assert left <= x <= right
            assert top <= y <= bottom
            assert 1 <= radius <= 7
        if plate.north:
            assert left < plate.north[0] < right
            assert top < plate.north[1] < bottom


def test_stars_keep_off_the_letter_and_the_brightest_are_largest(project: Path) -> None:
    for _, plate in plates(project):
        if plate.north:
            assert plate.stars
            assert min(hypot(x - plate.north[0], y - plate.north[1]) for x, y, _ in plate.stars) > 19
        sizes = [radius for _, _, radius in plate.stars]
        assert sizes == sorted(sizes, reverse=True)


def test_targets_have_their_size(project: Path) -> None:
    """The Moon of 31.1' on a rig of 0.36 arcsec/px: from the table of targets and the camera's pixels."""
    found = {study.rig.id: plate for study, plate in plates(project)}
    for rig, arcmin in (("balcony-grebe", 31.1), ("wagtail-moon", 31.1), ("heron-eclipse", 32.0)):
        disc = found[rig].outlines[0]
        assert disc.accent
        assert not disc.dashed
        assert extent(disc) == pytest.approx((arcmin / 60 * found[rig].scale,) * 2, abs=1)


def test_the_sun_is_never_shown_without_a_filter(project: Path) -> None:
    """With the filter taken out of the train, the rig for the eclipse shows its next target."""
    demo = guide(project)
    rig = demo.rigs["heron-eclipse"]
    bare = rig.model_copy(update={"train": rig.train[1:]})
    captions = [rig_content(demo, one).caption for one in studied(replace(demo, rigs={"with": rig, "without": bare}))]
    assert captions == ["The Sun", "The Moon"]


def test_a_rig_without_targets_has_the_moon_for_scale() -> None:
    view = View(width=1.5, height=1.0, scale=1.0, detail=3.0, quick_detail=1.0)
    plate = moon_plate(view, 31.1 / 60, PLATE_BOX)
    assert extent(plate.outlines[0])[0] / (plate.frames[0][2] - plate.frames[0][0]) == pytest.approx(
        31.1 / 60 / 1.5, rel=1e-3
    )


def test_all_frames_of_the_guide_are_to_one_scale(project: Path) -> None:
    demo = guide(project)
    studies = studied(demo)
    plate = guide_content(demo, studies).plate
    assert plate is not None
    drawn = {round((right - left) / plate.scale, 6) for left, _, right, _ in plate.frames}
    assert drawn <= {round(view.width, 6) for study in studies if (view := view_of(study.assembly))}
    assert extent(plate.outlines[0])[0] == pytest.approx(31.1 / 60 * plate.scale, rel=1e-3)


def test_frames_of_one_size_are_drawn_once() -> None:
    assert len(many_frames([(2.0, 1.0), (2.0, 1.0), (1.0, 3.0)], 0.5, PLATE_BOX).frames) == 2
