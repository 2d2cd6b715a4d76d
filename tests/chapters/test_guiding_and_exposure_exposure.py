"""Verdicts of exposure: sub-exposure, bright stars and hours, each at its boundary, and what is unsaid."""

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.models.train import Filter
from rigleaf.chapters.figures import Study
from rigleaf.chapters.guiding_and_exposure.bands import light_on, passed
from rigleaf.chapters.guiding_and_exposure.exposure_study import STEPS, sub_to_set
from rigleaf.chapters.guiding_and_exposure.inputs import HOW_TO_MEASURE
from tests.chapters.small_guide import Data, finding, ids, number
from tests.chapters.small_night import FIELD, GALAXY, NEBULA, SHELF, SPARE, night, sensor, shelf

JUST_LESS, JUST_MORE = 1 - 1e-6, 1 + 1e-6
NARROW = ["tube", "narrow", "camera"]


# --- Bands ----------------------------------------------------------------------------------------------------


def glass(*bands: tuple[float, float, float]) -> Filter:
    stated = [{"centre": f"{c} nm", "width": f"{w} nm", "transmission": f"{100 * t} %"} for c, w, t in bands]
    return Filter.model_validate({"id": "glass", "kind": "filter", "name": "Glass", "bands": stated})


def test_filters_one_behind_the_other_pass_what_both_pass() -> None:
    (one,) = passed([glass((550, 100, 0.9)), glass((600, 100, 0.5))], (400.0, 700.0))
    assert (one.centre, one.width, one.transmission) == pytest.approx((575.0, 50.0, 0.45))
    assert passed([glass((450, 20, 0.9)), glass((600, 20, 0.9))], (400.0, 700.0)) == ()


def test_green_photosites_count_unless_the_filter_leaves_them_dark() -> None:
    both, hydrogen = [glass((500.7, 7, 0.9), (656.3, 7, 0.9))], [glass((656.3, 7, 0.9))]
    assert light_on(both, "colour").photosite == "green"
    assert light_on(both, "colour").width == pytest.approx(7)
    assert light_on(hydrogen, "colour").photosite == "red"
    assert light_on(both, "mono").width == pytest.approx(14)
    assert light_on([], "mono").width == pytest.approx(300)


def test_filters_that_pass_nothing_together_fail() -> None:
    blue = {"kind": "filter", "name": "Blue", "bands": [{"centre": "440 nm", "width": "20 nm"}]}
    found = night(shelf(blue=blue), train=["tube", "blue", "narrow", "camera"])
    assert finding(found, "exposure").verdict == finding(found, "guide").verdict == "fails"


# --- One exposure ---------------------------------------------------------------------------------------------


def test_the_exposure_to_set_is_a_usual_one() -> None:
    assert sub_to_set(48.0, 600.0) == 60
    assert sub_to_set(47.0, 600.0) == 45  # near enough
    assert sub_to_set(47.0, 50.0) == 45
    assert sub_to_set(1e4, 1e9) == 3 * 3600
    assert sub_to_set(5.0, 0.2) == 0.2
    assert list(STEPS) == sorted(STEPS)


@given(st.floats(0.1, 1e5), st.floats(0.5, 3600))
def test_the_exposure_to_set_is_never_longer_than_may_be(needed: float, longest: float) -> None:
    assert 0 < sub_to_set(needed, longest) <= longest


def test_reading_adds_no_more_than_was_asked_for() -> None:
    found = night()
    assert number(found, "read-share") <= 0.05 * 1.06
    assert number(night(choices={"read_share": "10 %"}), "sub-needed") < number(found, "sub-needed") / 2


def narrow(read_noise: float, **more: Any) -> Study:
    extra = more.pop("parts", {})
    return night(shelf(camera=sensor(read_noise=f"{read_noise} e-"), **extra), train=NARROW, **more)


@pytest.mark.parametrize(("read_noise", "verdict"), [(1.0, "sound"), (2.0, "tight"), (12.0, "fails")])
def test_read_noise_behind_a_narrow_filter(read_noise: float, verdict: str) -> None:
    found = finding(narrow(read_noise), "sub")
    assert found.verdict == verdict
    assert bool(found.remedy) == (verdict != "sound")


def test_the_verdict_changes_where_reading_adds_a_quarter() -> None:
    quarter = (1.25**2 - 1) ** 0.5
    background = number(narrow(1.0), "sky-rate") + 0.002
    noise = quarter * (background * 600) ** 0.5
    assert finding(narrow(noise * JUST_LESS), "sub").verdict == "tight"
    assert finding(narrow(noise * JUST_MORE), "sub").verdict == "fails"


def test_a_quieter_camera_of_the_same_sort_is_named() -> None:
    quiet = {"kind": "camera", "name": "Quiet", **sensor(read_noise="0.9 e-")}
    mono = {"kind": "camera", "name": "Mono", **sensor(read_noise="0.5 e-", mosaic="mono")}
    found = finding(narrow(2.0, parts={"quiet": quiet, "grey": mono}), "sub")
    assert found.parts == ("quiet",)
    assert "0.900 e−" in found.remedy or "0.9" in found.remedy
    assert finding(narrow(2.0), "sub").parts == ()


def test_stars_of_the_magnitude_asked_for_are_kept_or_a_shorter_set_is_named() -> None:
    kept = round(number(night(), "burnt-out"), 1)
    sound, tight = (night(choices={"star_kept": f"{kept - step:.1f}"}) for step in (0.0, 0.1))
    assert finding(sound, "full-well").verdict == "sound"
    assert finding(tight, "full-well").verdict == "tight"
    assert "Add a set of exposures" in finding(tight, "full-well").remedy
    shorter = night(choices={"star_kept": f"{kept - 3!r}"})
    assert re.search(r"exposures of 5\.0\u00a0s", finding(shorter, "full-well").remedy)


def test_a_sky_that_fills_the_well_fails() -> None:
    found = night(shelf(camera=sensor(full_well="30 e-")))
    assert finding(found, "full-well").verdict == "fails"
    assert found.index["burnt-out"].value is None


def test_frames_and_gigabytes_of_a_night() -> None:
    found = night()
    frames = int(6 * 3600 // (number(found, "sub") + 8))
    assert number(found, "frames") == frames
    assert number(found, "night-data") == pytest.approx(frames * 52_191_360 / 1e9)


@pytest.mark.parametrize(("nights", "verdict"), [(2.01, "sound"), (1.99, "tight"), (1.01, "tight"), (0.99, "fails")])
def test_a_nights_files_are_judged_by_the_storage_carried(nights: float, verdict: str) -> None:
    data = number(night(), "night-data")
    found = night(shelf(camera={**sensor(), "storage": f"{nights * data!r} GB"}))
    assert finding(found, "storage").verdict == verdict
    assert number(found, "storage") == pytest.approx(nights * data)
    assert bool(finding(found, "storage").remedy) == (verdict != "sound")


def test_storage_that_nobody_states_is_unsaid() -> None:
    found = night(shelf(camera={"storage": None}))
    assert finding(found, "storage").verdict == "unsaid"
    assert "storage" not in found.index


# --- Hours ----------------------------------------------------------------------------------------------------


def test_hours_are_judged_by_a_night_and_by_what_a_target_is_worth() -> None:
    hours = number(night(), "hours-galaxy")
    assert finding(night(choices={"night_hours": f"{hours * JUST_MORE!r} s"}), "hours").verdict == "sound"
    tight = night(choices={"night_hours": f"{hours * JUST_LESS!r} s", "most_hours": f"{hours * JUST_MORE!r} s"})
    assert finding(tight, "hours").verdict == "tight"
    fails = night(choices={"night_hours": f"{hours / 2!r} s", "most_hours": f"{hours * JUST_LESS!r} s"})
    assert finding(fails, "hours").verdict == "fails"


def test_binning_and_the_darkest_place_that_sees_the_target_shorten_the_hours() -> None:
    south: Data = {**FIELD, "id": "south", "name": "South", "latitude": "-40 deg",
                   "sky_brightness": "22 mag/arcsec2"}  # fmt: skip
    hill: Data = {**FIELD, "id": "hill", "name": "Hill", "sky_brightness": "21.7 mag/arcsec2"}
    found = finding(night(places=[FIELD, south, hill], choices={"night_hours": "600 s"}), "hours")
    assert "Hill" in found.remedy
    assert "South" not in found.remedy
    there = number(night(places=[{**hill, "id": "field"}]), "hours-galaxy")
    said = re.search(r"sky of Hill (\d+)\u00a0min", found.remedy)
    assert said is not None
    assert int(said[1]) == pytest.approx(there / 60, abs=3)  # the exposure that is set may differ
    quarter = re.search(r"2 × 2 it takes (\d+)\u00a0min", found.remedy)
    assert quarter is not None
    assert int(quarter[1]) == pytest.approx(number(night(), "hours-galaxy") / 240, abs=0.51)


def test_a_darker_sky_and_a_larger_aperture_take_fewer_hours() -> None:
    here = number(night(), "hours-galaxy")
    assert number(night(places=[{**FIELD, "sky_brightness": "22 mag/arcsec2"}]), "hours-galaxy") < here
    assert number(night(shelf(tube={"aperture": "120 mm"})), "hours-galaxy") < here
    assert number(night(shelf(tube={"central_obstruction": "40 mm"})), "hours-galaxy") > here


def test_a_narrow_filter_keeps_more_of_a_nebula_than_of_a_galaxy() -> None:
    wide, tight = night(targets=[GALAXY, NEBULA]), night(targets=[GALAXY, NEBULA], train=NARROW)
    assert number(wide, "glow-nebula") == pytest.approx(number(wide, "glow-galaxy"))
    assert number(tight, "glow-nebula") > 3 * number(tight, "glow-galaxy")
    error = tight.index["hours-nebula"].uncertainty
    assert error is not None
    assert error > 0.9 * number(tight, "hours-nebula")  # what lies in the lines is an estimate


def test_stars_and_things_of_unknown_brightness_take_no_hours() -> None:
    cluster = {**GALAXY, "id": "cluster", "name": "Cluster", "sort": "star cluster"}
    veil = {key: value for key, value in NEBULA.items() if key != "magnitude"}
    found = night(targets=[GALAXY, cluster, veil])
    assert {id_ for id_ in found.index if id_.startswith("hours-")} == {"hours-galaxy"}
    unknown = finding(found, "hours-unsaid")
    assert "Nebula" in unknown.sentence
    assert "Cluster" not in unknown.sentence


def test_a_place_without_a_sky_is_assumed_and_less_certain() -> None:
    found = night(places=[{**FIELD, "sky_brightness": None}])
    assert found.index["sky-brightness"].basis == "assumed"
    known, guessed = (one.index["hours-galaxy"].uncertainty for one in (night(), found))
    assert known is not None
    assert guessed is not None
    assert guessed / number(found, "hours-galaxy") > known / number(night(), "hours-galaxy")


def test_the_plate_is_small_and_says_what_it_shows() -> None:
    (plate,) = night(targets=[GALAXY, NEBULA]).drawings
    assert len(plate.svg) < 6000
    assert "Galaxy" in plate.description
    assert "<title" in plate.svg
    assert night(targets=[]).drawings == ()


# --- Unsaid ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("field", "id_", "name"),
    [
        ("read_noise", "sub", "the read noise"),
        ("full_well", "full-well", "the full well"),
        ("dark_current", "dark", "the dark current"),
        ("quantum_efficiency", "exposure", "the quantum efficiency"),
        ("mosaic", "exposure", "whether it sees colour"),
        ("pixel", "inputs", "the pixel size"),
    ],
)
def test_what_the_sensor_does_not_say_is_named_with_how_to_measure_it(field: str, id_: str, name: str) -> None:
    found = finding(night(shelf(camera=sensor(**{field: None}))), id_)
    assert found.verdict == "unsaid"
    assert name in found.sentence
    assert HOW_TO_MEASURE[name][1:] in found.remedy


WHOLE = SHELF | SPARE
PATHS = sorted(
    (part, *rest)
    for part, data in WHOLE.items()
    for key, value in data.items()
    if key not in ("kind", "name")
    for rest in [(key,), *([(key, inner) for inner in value] if isinstance(value, dict) else [])]
)
rigs = st.sampled_from(
    [{}, {"guiding": {"scope": "scope", "camera": "eye"}}, {"train": NARROW}, {"mount": None}, {"targets": []}]
)


def without(gone: set[tuple[str, ...]]) -> dict[str, Data]:
    def kept(data: Data, path: tuple[str, ...]) -> Data:
        return {
            key: kept(value, (*path, key)) if isinstance(value, dict) else value
            for key, value in data.items() if (*path, key) not in gone
        }  # fmt: skip

    return {part: kept(data, (part,)) for part, data in WHOLE.items()}


@settings(max_examples=60, deadline=None)
@given(st.sets(st.sampled_from(PATHS), max_size=8), rigs)
def test_leaving_anything_out_breaks_nothing_and_hides_nothing(gone: set[tuple[str, ...]], rig: Data) -> None:
    whole, found = night(WHOLE, **rig), night(without(gone), **rig)
    names = [figure.id for figure in found.figures]
    assert len(names) == len(set(names))
    assert len(found.findings) == len(set(ids(found.findings)))
    verdicts = {one.id: one.verdict for one in found.findings}
    says_so = "unsaid" in verdicts.values()
    for one in found.findings:
        assert set(one.figures) <= set(names)
        assert one.verdict == "sound" or one.remedy
    # Without its second sensor the rig is one that does not guide, which no longer asks for a guide star.
    if ("camera", "guide_sensor") not in gone:
        for before in whole.findings:
            assert before.id in verdicts or says_so, before.id
    for figure in found.figures:
        assert figure.value != 0, figure.id
