"""Verdicts of tracking and guiding: each at its boundary, with the shelf's remedy, and unsaid for want of an input."""

from typing import Any

import numpy as np
import pytest

from rigleaf.chapters.figures import Study
from rigleaf.chapters.guiding_and_exposure.guide_field import Seen
from rigleaf.chapters.guiding_and_exposure.inputs import HOW_TO_MEASURE
from rigleaf.sky.projection import point_at
from rigleaf.sky.stars import stars_in_cone
from tests.chapters.small_guide import finding, ids, number
from tests.chapters.small_night import GALAXY, NEBULA, SPARE, STRAIN_WAVE, night, shelf

JUST_LESS, JUST_MORE = 1 - 1e-6, 1 + 1e-6
NARROW = ["tube", "narrow", "camera"]


def with_scope(parts: dict[str, Any] | None = None, **more: Any) -> Study:
    """A rig that guides with scope and camera of its own; its main camera has no second sensor."""
    plain = shelf("scope", "eye", camera={"guide_sensor": None}) | (parts or {})
    return night(plain, guiding={"scope": "scope", "camera": "eye"}, **more)


def test_the_small_guide_is_sound() -> None:
    assert {one.id: one.verdict for one in night().findings if one.verdict != "sound"} == {}


# --- Drive ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("room", "verdict"), [(1.0 * JUST_MORE, "sound"), (1.0 * JUST_LESS, "tight"), (0.5 * JUST_LESS, "fails")]
)
def test_a_drive_must_leave_time_for_the_guide_exposure(room: float, verdict: str) -> None:
    strain = shelf(mount=STRAIN_WAVE)
    interval = number(night(strain), "guide-interval")
    found = night(strain, choices={"guide_delay": f"{interval - room!r} s"})
    assert finding(found, "drive").verdict == verdict
    assert bool(finding(found, "drive").remedy) == (verdict != "sound")


def test_the_calmer_mount_is_the_lightest_that_goes_long_enough() -> None:
    spare: dict[str, Any] = {
        "light": {"kind": "mount", "name": "Light", "drive": "worm", "periodic_error": "10 arcsec", "period": "480 s",
                  "mass": "5 kg"},
        "heavy": {"kind": "mount", "name": "Heavy", "drive": "worm", "periodic_error": "5 arcsec", "period": "480 s",
                  "mass": "20 kg"},
        "wild": {"kind": "mount", "name": "Wild", "drive": "worm", "periodic_error": "90 arcsec", "period": "300 s",
                 "mass": "1 kg"},
        "mute": {"kind": "mount", "name": "Mute", "mass": "1 kg"},
    }  # fmt: skip
    found = finding(night(shelf(mount=STRAIN_WAVE, **spare), choices={"guide_delay": "1.5 s"}), "drive")
    assert found.parts == ("light",)
    assert "Light goes 7.8" in found.remedy
    alone = finding(night(shelf(mount=STRAIN_WAVE), choices={"guide_delay": "1.5 s"}), "drive")
    assert alone.parts == ()
    assert "no other mount" in alone.remedy


def test_a_drive_that_stays_within_what_is_allowed_needs_no_correction() -> None:
    found = night(shelf(mount={"periodic_error": "0.1 arcsec"}))
    assert finding(found, "drive").verdict == "sound"
    assert "by itself" in finding(found, "drive").sentence
    assert found.index["guide-interval"].value is None
    assert "guide-conflict" not in ids(found.findings)


def test_strain_wave_drives_ask_for_short_guide_exposures() -> None:
    """Common practice, no source: about two seconds, where a good worm waits for several."""
    assert 1.0 < number(night(shelf(mount=STRAIN_WAVE)), "guide-exposure") < 2.5
    assert number(night(), "guide-interval") > 5


# --- Stars ----------------------------------------------------------------------------------------------------


def behind_two_bands(**more: Any) -> Study:
    """A second sensor behind a dual-band filter, as people have it: 384 mm, under a middling sky."""
    tube = {"focal_length": "384 mm"}
    return night(shelf(tube=tube, mount=more.pop("mount", {})), train=NARROW, **more)


def test_guiding_behind_a_dual_band_filter_takes_some_seconds() -> None:
    """Common practice, no source: 4 to 5 s suffice for a sensitive sensor, and one second does not."""
    found = behind_two_bands(targets=[{**NEBULA, "ra": "83.8 deg", "dec": "-5.4 deg"}])  # galactic latitude -19
    assert 1.0 < number(found, "guide-needed") <= 5.0
    pole = behind_two_bands(targets=[{**GALAXY, "ra": "192.9 deg", "dec": "27.1 deg"}])
    assert 4.0 < number(pole, "guide-needed") < 8.0
    assert number(night(), "guide-needed") < number(pole, "guide-needed") / 3


def test_the_conflict_between_drive_and_star_is_spelled_out() -> None:
    sound = behind_two_bands()
    assert finding(sound, "guide-conflict").verdict == "sound"
    found = behind_two_bands(mount=STRAIN_WAVE)
    conflict = finding(found, "guide-conflict")
    assert conflict.verdict == "tight"
    assert "at odds" in conflict.sentence
    assert "behind Narrow" in conflict.sentence
    assert number(found, "guide-needed") + 0.5 > number(found, "guide-interval")


def test_the_conflict_begins_where_the_star_needs_more_than_the_drive_leaves() -> None:
    spare = number(behind_two_bands(), "guide-interval") - number(behind_two_bands(), "guide-needed")
    assert spare > 0
    for times, verdict in ((JUST_LESS, "sound"), (JUST_MORE, "tight")):
        found = behind_two_bands(choices={"guide_delay": f"{spare * times!r} s"})
        assert finding(found, "guide-conflict").verdict == verdict


def test_a_guide_scope_of_the_club_looks_past_the_filter() -> None:
    tube = {"focal_length": "384 mm"}
    parts = shelf("scope", "eye", tube=tube, mount=STRAIN_WAVE)
    conflict = finding(night(parts, train=NARROW), "guide-conflict")
    assert set(conflict.parts) >= {"scope", "eye"}
    assert "past the filters" in conflict.remedy


def test_a_sensor_that_sees_no_star_of_the_catalogue_fails() -> None:
    """A pinhole of a guide sensor behind a filter that takes nearly everything."""
    dark = [{"centre": "550 nm", "width": "1 nm", "transmission": "1 %"}]
    tiny = {"pixels": "40 x 40", "pixel": "2.9 um", "offset": ["0 mm", "-17.5 mm"], "read_noise": "9 e-",
            "quantum_efficiency": "10 %"}  # fmt: skip
    found = night(shelf(glass={"bands": dark}, camera={"guide_sensor": tiny}))
    stars = finding(found, "guide-stars")
    assert stars.verdict == "fails"
    assert "none on the guide sensor" in stars.sentence
    assert finding(found, "guide-conflict").verdict == "fails"


def test_best_angles_put_the_star_on_the_guide_sensor() -> None:
    """Each angle in the table is one at which the brightest star of the catalogue stands where the sensor is."""
    found = behind_two_bands(targets=[GALAXY, NEBULA])
    table = next(one for one in found.tables if one.id == "guide-stars")
    assert [row[0].text for row in table.rows] == ["Galaxy", "Nebula"]
    below = float(np.degrees(np.arctan(17.5 / 384)))  # the sensor stands below the middle of the frame
    for row, target in zip(table.rows, (GALAXY, NEBULA), strict=True):
        angle, magnitude = float(row[3].text.rstrip("°")), float(row[4].text.replace("−", "-"))
        ra, dec = (float(target[key].split()[0]) for key in ("ra", "dec"))
        place = point_at(ra, dec, angle + 180, below)
        near = stars_in_cone(float(place[0]), float(place[1]), 0.6, 10.0)
        assert np.abs(near.mag - magnitude).min() <= 0.051


def test_fields_near_the_galactic_pole_are_poorer() -> None:
    found = night(targets=[GALAXY, NEBULA])
    assert "Galaxy" in finding(found, "guide-stars").sentence  # at 180 deg, +40 deg; the other lies in the Milky Way
    assert Seen(None, 90.0, 0.0, None, None, 0.0).chance == 0


def test_a_rig_without_targets_is_judged_by_the_poorest_sky() -> None:
    found = night(targets=[])
    assert "galactic pole" in finding(found, "guide-stars").sentence
    assert found.tables == ()


# --- Guide scale ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ratio", "verdict"),
    [(5 * JUST_LESS, "sound"), (5 * JUST_MORE, "tight"), (10 * JUST_LESS, "tight"), (10 * JUST_MORE, "fails")],
)
def test_guide_pixels_may_be_five_times_as_large(ratio: float, verdict: str) -> None:
    focal = 480 * 2.9 / 3.76 / ratio
    found = with_scope({"scope": {**SPARE["scope"], "focal_length": f"{focal!r} mm"}})
    assert number(found, "guide-ratio") == pytest.approx(ratio)
    assert finding(found, "guide-scale").verdict == verdict


def test_the_finer_pair_of_the_shelf_is_named_with_its_scale() -> None:
    coarse = {"scope": {**SPARE["scope"], "focal_length": "60 mm"}}
    assert finding(with_scope(coarse), "guide-scale").parts == ()
    long = {"long": {**SPARE["scope"], "name": "Long scope", "focal_length": "200 mm"}}
    found = finding(with_scope(coarse | long), "guide-scale")
    assert found.parts == ("long", "eye")
    assert "2.99″/px" in found.remedy


# --- Polar error ----------------------------------------------------------------------------------------------


def test_polar_error_is_sound_up_to_its_tolerance_and_fails_at_twice_that() -> None:
    tolerance = number(night(), "polar-tolerance")
    steps = ((JUST_LESS, "sound"), (JUST_MORE, "tight"), (2 * JUST_LESS, "tight"), (2 * JUST_MORE, "fails"))
    for times, verdict in steps:
        found = night(choices={"polar_error": f"{tolerance * times!r} arcmin"})
        assert finding(found, "polar").verdict == verdict
        assert number(found, "polar-tolerance") == pytest.approx(tolerance)


# --- Without guiding ------------------------------------------------------------------------------------------


def alone(**mount: Any) -> Study:
    return night(shelf(mount=mount, camera={"guide_sensor": None}))


def test_an_unguided_drive_is_judged_by_the_exposure_that_it_holds() -> None:
    assert finding(alone(periodic_error="2 arcsec"), "unguided").verdict == "sound"
    assert finding(alone(periodic_error="20 arcsec"), "unguided").verdict == "tight"
    assert finding(alone(periodic_error="300 arcsec"), "unguided").verdict == "fails"
    assert number(alone(periodic_error="20 arcsec"), "sub") <= number(
        alone(periodic_error="20 arcsec"), "longest-unguided"
    )


def test_an_alt_azimuth_field_turns() -> None:
    found = alone(drive="alt-azimuth", periodic_error=None, period=None)
    assert finding(found, "unguided").title == "Turn of the field"
    assert finding(found, "unguided").verdict in ("tight", "fails")
    assert "polar-error" not in found.index
    guided = night(shelf(mount={"drive": "alt-azimuth"}))
    assert "polar" not in ids(guided.findings)
    assert finding(guided, "unguided").title == "Turn of the field"


def test_a_turning_field_needs_the_latitude() -> None:
    place = {"id": "field", "name": "Field"}
    found = night(shelf(mount={"drive": "alt-azimuth"}, camera={"guide_sensor": None}), places=[place])
    assert finding(found, "drive").verdict == "unsaid"
    assert HOW_TO_MEASURE["the place's latitude"][1:] in finding(found, "drive").remedy


def test_bright_things_need_no_guiding() -> None:
    found = night(purpose=["Moon", "planets"])
    assert ids(found.findings) == ["bright"]
    assert "hours" in ids(night(purpose=["Moon", "galaxies"]).findings)


# --- Unsaid ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gone", "id_", "name"),
    [
        ({"mount": {"period": None}}, "drive", "its period"),
        ({"mount": {"periodic_error": None}}, "drive", "the periodic error"),
        ({"tube": {"form": "newtonian"}}, "guide", "the central obstruction"),
        ({"glass": {"bands": None}}, "guide", "the filter's pass bands"),
    ],
)
def test_what_is_missing_is_named_with_how_to_measure_it(gone: dict[str, Any], id_: str, name: str) -> None:
    found = finding(night(shelf(**gone)), id_)
    assert found.verdict == "unsaid"
    assert name in found.sentence
    assert HOW_TO_MEASURE[name][1:] in found.remedy


def test_a_guide_camera_needs_something_to_look_through() -> None:
    found = night(shelf("eye"), guiding={"camera": "eye"})
    assert "a guide scope or a pick-off" in finding(found, "guide").sentence
    found = night(shelf("scope"), guiding={"scope": "scope"})
    assert "a guide camera" in finding(found, "guide").sentence


def test_a_pick_off_guides_through_the_main_optic_and_before_the_wheel() -> None:
    pick = {"kind": "off-axis-pick-off", "name": "Pick-off", "prism_offset": "17 mm"}
    parts = shelf("eye", pick=pick, camera={"guide_sensor": None})
    found = night(parts, train=["tube", "pick", "narrow", "camera"], guiding={"camera": "eye"})
    assert "Guide eye on Pick-off" in finding(found, "guide-scale").sentence
    assert number(found, "guide-ratio") == pytest.approx(2.9 / 3.76)
    after = night(parts, train=["tube", "narrow", "pick", "camera"], guiding={"camera": "eye"})
    assert number(after, "guide-limit-2") < number(found, "guide-limit-2") - 1
