"""Verdicts of sampling: long exposures at their boundaries, short ones by diffraction, and the shelf's remedies."""

import re
from typing import Any

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import Study
from tests.chapters.small_guide import Data, catalogue, finding, number, parts, scale

JUST_LESS, JUST_MORE = 1 - 1e-6, 1 + 1e-6


def sensor(pixel_um: float, mosaic: str | None = "mono", **more: Any) -> Data:
    """A change that gives the camera other pixels on a sensor of the same size."""
    across = round(6248 * 3.76 / pixel_um)
    made: Data = {"pixels": f"{across} x {round(across / 1.5)}", "pixel": f"{pixel_um!r} um"}
    return {"sensor": made | ({"mosaic": mosaic} if mosaic else {}), **more}


def with_pixels(
    pixel_um: float,
    *,
    purpose: str = "nebulae",
    mosaic: str | None = "mono",
    shelf: dict[str, Data] | None = None,
) -> Catalogue:
    return catalogue(parts(camera=sensor(pixel_um, mosaic)) | (shelf or {}), rig={"purpose": [purpose]})


def with_interval(times: float, mosaic: str, purpose: str = "nebulae") -> Study:
    """The small guide with pixels so many times as wide as the scale that is wanted."""
    wanted = number(scale(with_pixels(5.0, mosaic=mosaic)), "scale-wanted")
    ours = number(scale(with_pixels(5.0, mosaic=mosaic)), "image-scale")
    return scale(with_pixels(5.0 * wanted / ours * times, mosaic=mosaic, purpose=purpose))


@pytest.mark.parametrize("mosaic", ["mono", "colour"])
@pytest.mark.parametrize(
    ("times", "verdict", "said"),
    [
        (0.999, "sound", "so little is lost"),
        (1.001, "sound", "they just hold what the sky gives"),
        (1.099, "sound", "they just hold what the sky gives"),  # seeing is not known better than to a tenth
        (1.101, "tight", "the pixels set the limit, not the sky"),
    ],
)
def test_sampling_is_tight_a_tenth_beyond_the_scale_that_leaves_the_contrast_allowed(
    times: float, verdict: str, said: str, mosaic: str
) -> None:
    study = with_interval(times, mosaic)
    found = finding(study, "sampling")
    assert (found.verdict, bool(found.remedy)) == (verdict, verdict == "tight")
    assert said in found.sentence
    assert (number(study, "contrast-left") > 0.1) == (times > 1)


def test_a_colour_mosaic_samples_less_finely_than_mono_pixels_of_the_same_size() -> None:
    mono, colour = (scale(with_pixels(5.0, mosaic=mosaic)) for mosaic in ("mono", "colour"))
    assert number(colour, "contrast-left") > number(mono, "contrast-left")
    assert number(colour, "contrast-left-red-blue") > number(colour, "contrast-left")
    assert "contrast-left-red-blue" not in mono.index
    assert "green photosites" in finding(colour, "sampling").sentence


def one_pixel_wide() -> float:
    """The pixel, in um, on which the star of the small guide is just one pixel wide."""
    found = scale(catalogue())
    return 3.76 * number(found, "star-pixels")


@pytest.mark.parametrize(
    ("purpose", "times", "verdict"),
    [
        ("galaxies", JUST_LESS, "tight"),
        ("galaxies", JUST_MORE, "fails"),
        ("nebulae", JUST_MORE, "tight"),
    ],
)
def test_pixels_wider_than_the_star_fail_where_fine_detail_is_the_purpose(
    purpose: str, times: float, verdict: str
) -> None:
    found = scale(with_pixels(one_pixel_wide() * times, purpose=purpose))
    assert finding(found, "sampling").verdict == verdict


@pytest.mark.parametrize("purpose", ["wide field", "Milky Way", "comets"])
def test_wide_pixels_are_the_price_of_a_wide_field_and_no_fault(purpose: str) -> None:
    rig: Data = {"purpose": ["galaxies", purpose]}
    found = finding(scale(catalogue(parts(camera=sensor(one_pixel_wide() * 2)), rig=rig)), "sampling")
    assert (found.verdict, found.remedy) == ("sound", "")
    assert "that is the price of the wide field chosen here. Dithering wins part of it back." in found.sentence


def test_pixels_far_finer_than_the_star_may_be_binned_and_then_are_still_fine_enough() -> None:
    study = scale(with_pixels(0.8))
    found = finding(study, "sampling")
    assert found.verdict == "sound"
    match = re.search(r"bin (\d+) × \1 when", found.remedy)
    assert match
    times = int(match[1])
    assert times >= 2
    binned = scale(with_pixels(0.8 * times, purpose="galaxies"))
    assert finding(binned, "sampling").verdict == "sound"
    assert "bin" not in finding(binned, "sampling").remedy
    assert f"{100 / times**2:.2g}\u202f%" in found.sentence


@pytest.mark.parametrize(
    ("purpose", "left_out"), [(["nebulae"], True), (["nebulae", "planets"], False), (["planets"], False)]
)
def test_an_extender_that_costs_light_may_be_left_out_unless_planets_ask_for_it(
    purpose: list[str], left_out: bool
) -> None:
    extended = catalogue(parts(reducer={"factor": "3"}, camera=sensor(1.5)), rig={"purpose": purpose})
    assert ("or leave the extender out" in finding(scale(extended), "sampling").remedy) == left_out
    assert "extender" not in finding(scale(with_pixels(0.8)), "sampling").remedy


# Pixels of 9 um are too wide for the small guide's star: another camera may have finer ones.
JOINTS: dict[str, Data] = {"reducer": {"rear": "M54 x 0.75 male"}}
FRONT = "M54 x 0.75 female"


def coarse(shelf: dict[str, Data] | None = None, **camera: Any) -> Study:
    """The small guide with pixels of 9 um, its camera on a thread, and more cameras on the shelf."""
    found = parts(**JOINTS, camera=sensor(9.0, front=FRONT, **camera))
    return scale(catalogue(found | (shelf or {}), rig={"purpose": ["nebulae"]}))


def goal() -> float:
    """The widest pixel, in um, that holds what the sky gives the small guide."""
    alone = scale(with_pixels(9.0))
    return 9.0 * number(alone, "scale-wanted") / number(alone, "image-scale")


def other_camera(pixel_um: float, id_: str, **more: Any) -> dict[str, Data]:
    more = {"front": FRONT, "guide_sensor": {}, **more}
    return {id_: {"kind": "camera", "name": f"Camera {id_}", **sensor(pixel_um), **more}}


def test_the_finer_camera_is_the_shelfs_coarsest_that_is_fine_enough_and_gives_what_is_said_of_it() -> None:
    assert coarse().worst == "tight"
    assert finding(coarse(), "sampling").parts == ()
    assert "club's" not in finding(coarse(), "sampling").remedy
    shelf = other_camera(goal() * 0.5, "fine") | other_camera(goal() * JUST_LESS, "enough")
    found = finding(coarse(shelf | other_camera(goal() * 1.01, "hardly")), "sampling")
    assert found.parts == ("enough",)
    assert "or take the club's Camera enough" in found.remedy
    fitted = scale(with_pixels(goal() * JUST_LESS))
    assert f"{number(fitted, 'image-scale'):.3g}″/px" in found.remedy
    assert finding(fitted, "sampling").verdict == "sound"


UNFIT: dict[str, Data] = {
    "not fine enough": {"pixel": 1.01},
    "another thread": {"front": "M42 x 0.75 female"},
    "a side that is not stated": {"front": None},
    "no cooling": {"cooling_depth": None},
    "no guide sensor": {"guide_sensor": None},
    "colours": {"mosaic": "colour"},
    "less than 70 % of the width": {"width": 0.69},
    "a silent sensor": {"sensor": {}},
}


@pytest.mark.parametrize("why", UNFIT)
def test_a_camera_that_could_not_take_this_ones_place_is_not_named(why: str) -> None:
    def named(**change: Any) -> tuple[str, ...]:
        pixel = goal() * change.pop("pixel", 0.9)
        made = {**sensor(pixel, change.pop("mosaic", "mono")), "front": FRONT, "cooling_depth": "30 K"}
        across = round(6248 * 3.76 * change.pop("width", 0.71) / pixel)
        made["sensor"]["pixels"] = f"{across} x {across // 2}"
        made = {"kind": "camera", "name": "Other", "guide_sensor": {}, **made, **change}
        other = {"other": {key: value for key, value in made.items() if value is not None}}
        return finding(coarse(other, cooling_depth="35 K"), "sampling").parts

    assert named() == ("other",)
    assert named(**UNFIT[why]) == ()


@pytest.mark.parametrize(
    ("flange", "said"),
    [
        ("12.5 mm", "px and wants 5\u00a0mm more in front of it."),
        ("17.5 mm", "px."),
        ("19 mm", "px and wants 1.5\u00a0mm less in front of it."),
    ],
)
def test_a_camera_of_another_depth_says_what_changes_in_front_of_it(flange: str, said: str) -> None:
    shelf = other_camera(goal() * 0.9, "other", flange_to_sensor=flange)
    assert said in finding(coarse(shelf, flange_to_sensor="17.5 mm"), "sampling").remedy


# --- Short exposures ------------------------------------------------------------------------------------------


def critical() -> float:
    """The pixel, in um, that holds all that diffraction passes in the small guide."""
    return number(scale(catalogue()), "critical-pixel")


BRIGHT: Data = {"purpose": ["Moon", "planets"]}


@pytest.mark.parametrize(
    ("times", "verdict", "said"),
    [
        (0.5, "sound", "is finer than the 1.20\u00a0µm that diffraction asks for: nothing is lost."),
        (JUST_LESS, "sound", "is as fine as the 1.20\u00a0µm"),
        (1.25, "tight", "is 25\u202f% wider than the 1.20\u00a0µm"),
        (2 * JUST_LESS, "tight", "the finest detail is lost"),
        (2 * JUST_MORE, "fails", "2.0\u00a0times as wide as the 1.20\u00a0µm"),
    ],
)
def test_short_exposures_are_judged_by_diffraction_whatever_seeing_and_tracking_are(
    times: float, verdict: str, said: str
) -> None:
    shelf = parts(camera=sensor(critical() * times))
    choices: Data = {"seeing": "9 arcsec", "tracking_error": "9 arcsec"}
    calm, bad = (finding(scale(catalogue(shelf, rig=BRIGHT, choices=one)), "sampling") for one in ({}, choices))
    assert calm == bad
    assert calm.verdict == verdict
    assert said in calm.sentence
    assert bool(calm.remedy) == (verdict != "sound")


@pytest.mark.parametrize("purpose", [["Sun"], ["eclipses", "Moon"], ["planets"], ["planets", "nebulae"], []])
def test_only_rigs_for_short_exposures_alone_are_judged_so_and_say_which_figures_are_of_long_ones(
    purpose: list[str],
) -> None:
    short = bool(purpose) and "nebulae" not in purpose
    found = scale(catalogue(rig={"purpose": purpose}))
    assert finding(found, "sampling").sentence.startswith("Short exposures") == short
    for id_ in ("seeing", "smear", "star", "contrast-left", "scale-wanted"):
        assert found.index[id_].label.endswith(", long exposures") == short
    assert not found.index["critical-pixel"].label.endswith("long exposures")
    star = next(one for one in found.drawings if one.id == "star")
    assert ("diffraction alone" in star.caption) == short
    assert ("seeing alone" in star.caption) != short


def extenders(*factors: float, **more: Any) -> dict[str, Data]:
    """Extenders on a shelf, with the sides that the small guide's tube and camera have here."""
    shelf = parts(tube={"rear": "M54 x 0.75 male"}, camera={**sensor(critical() / 0.8 * 1.3), "front": FRONT})
    made = {"kind": "corrector", "name": "Extender", "front": FRONT, "rear": "M54 x 0.75 male", **more}
    return shelf | {f"x{factor * 10:g}": {**made, "factor": f"{factor:g}"} for factor in factors}


def test_the_shelfs_weakest_extender_that_is_strong_enough_mends_it_and_says_what_field_is_left() -> None:
    rig: Data = {**BRIGHT, "train": ["tube", "camera"]}
    shelf = extenders(1.2, 1.5, 3)
    found = finding(scale(catalogue(shelf, rig=rig)), "sampling")
    assert (found.verdict, found.parts) == ("tight", ("x15",))
    extended = scale(catalogue(shelf, rig={**rig, "train": ["tube", "x15", "camera"]}))
    assert finding(extended, "sampling").verdict == "sound"
    assert f"the field is then {number(extended, 'field-width'):.3g}° wide" in found.remedy


@pytest.mark.parametrize(
    ("factors", "more"),
    [
        ((), {}),
        ((1.2,), {}),
        ((2.0,), {"front": "M42 x 0.75 female"}),
        ((2.0,), {"rear": "M42 x 0.75 male"}),
        ((2.0,), {"made_for": ["another-tube"]}),
    ],
)
def test_without_an_extender_that_fits_the_page_says_how_strong_it_must_be(
    factors: tuple[float, ...], more: Data
) -> None:
    rig: Data = {**BRIGHT, "train": ["tube", "camera"]}
    found = finding(scale(catalogue(extenders(*factors, **more), rig=rig)), "sampling")
    assert found.parts == ()
    assert found.remedy.startswith("An extender of 1.3 times or more would hold it")


def test_an_extender_takes_the_place_of_the_corrector_that_is_there() -> None:
    found = finding(scale(catalogue(extenders(1.5), rig=BRIGHT)), "sampling")
    assert found.parts == ("x15",)
    assert "in place of what is there" in found.remedy
