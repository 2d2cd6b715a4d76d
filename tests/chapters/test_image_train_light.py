"""Light: what the openings leave for centre, corner and guide sensor, what is to blame, and what clears it."""

import re
from typing import Any

import pytest

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.image_train import light_physics
from rigleaf.chapters.image_train.physics import female_hole, male_bore
from rigleaf.chapters.image_train.train import walk
from rigleaf.chapters.image_train.view import WALL_MM, beams, openings
from tests.chapters.small_guide import Data, finding, ids, number
from tests.chapters.small_train import DUO, SHELF, TRAIN, judged, made, shelf, verdicts

CORNER = 0.5 * (6248**2 + 4176**2) ** 0.5 * 3.76e-3
RATIO = 4.8


def narrow(free: float, **more: Any) -> Study:
    """The small train with a ring of this free diameter right before the camera."""
    return judged(shelf(ring={"clear_aperture": f"{free!r} mm"}, **more))


# --- The main sensor ----------------------------------------------------------------------------------------


def test_a_wide_train_keeps_all_light_and_says_which_opening_is_narrowest() -> None:
    found = judged()
    assert [number(found, f"light-{where}") for where in ("centre", "corner", "corner-stops")] == [1, 1, 0]
    assert "the narrowest opening, 48\u00a0mm in Glass" in finding(found, "light").sentence


def at_least(share: float) -> float:
    """The free diameter of the ring at which the frame's corner keeps just this share of its light."""
    low, high = 10.0, 48.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (middle, high) if number(narrow(middle), "light-corner") < share else (low, middle)
    return high


@pytest.mark.parametrize(
    ("share", "off", "verdict"),
    [(0.9, 0.01, "sound"), (0.9, -0.01, "tight"), (0.7, 0.01, "tight"), (0.6, 0.0, "fails")],
)
def test_the_corner_is_judged_by_the_light_it_keeps(share: float, off: float, verdict: str) -> None:
    found = narrow(at_least(share) + off)
    assert finding(found, "light").verdict == verdict
    assert "it is cut by Ring: the opening is" in finding(found, "light").sentence
    assert bool(finding(found, "light").remedy) == (verdict != "sound")


def test_the_centre_keeps_all_light_where_only_the_corner_is_cut_and_loses_it_behind_a_pinhole() -> None:
    assert number(narrow(30.0), "light-centre") == 1
    assert number(narrow(30.0), "light-corner") < 0.95
    # At its far end the ring is 36 mm before the sensor; the cone of f/4.8 is 7.5 mm wide there.
    assert number(narrow(3.75), "light-centre") == pytest.approx(0.25, rel=1e-6)
    assert finding(narrow(3.75), "light").verdict == "fails"
    assert "light-corner-stops" in narrow(3.75).index
    assert narrow(3.75).index["light-corner-stops"].value is None  # no light at all


@pytest.mark.parametrize("share", [0.5, 0.8])
def test_what_the_guide_asks_of_the_corner_is_its_own_choice(share: float) -> None:
    parts = shelf(ring={"clear_aperture": f"{at_least(share) + 0.01!r} mm"})
    assert finding(judged(parts, choices={"corner_light": f"{share:.0%}"}), "light").verdict == "sound"
    assert finding(judged(parts), "light").verdict != "sound"


def test_light_lies_between_both_bounds_of_the_exit_pupil() -> None:
    parts = shelf(ring={"clear_aperture": "32 mm"}, reducer={"factor": "1"})
    catalogue = made(parts)
    assembly = Assembly(catalogue, catalogue.rigs["rig"])
    train = walk(assembly)
    bounds = beams(assembly, train, 6.0)
    holes = [one.hole for one in openings(train).found]
    x, y = 6248 * 3.76e-3 / 2, 4176 * 3.76e-3 / 2
    kept = sorted(light_physics.light_through(x, y, holes, beam) for beam in bounds)
    assert [beam.pupil for beam in bounds] == [float("inf"), 480.0]
    assert kept[0] < kept[1]
    found = judged(parts)
    assert number(found, "light-corner") == pytest.approx(kept[0])
    assert found.index["light-corner"].note == (
        f"{100 * kept[0]:.0f}\u202f% if the light is telecentric; {100 * kept[1]:.1f}\u202f% with the exit pupil where "
        "thin lenses put it"
    )


def test_the_note_names_the_darker_bound_first_whichever_it_is() -> None:
    # A strong reducer puts the pupil behind the sensor, whose cone leans outwards: telecentric is brighter.
    notes = [
        judged(shelf(ring={"clear_aperture": "32 mm"}, reducer={"factor": factor})).index["light-corner"].note
        for factor in ("0.6", "1")
    ]
    assert [note.index("telecentric") > note.index("thin lenses") for note in notes] == [True, False]


@pytest.mark.parametrize("focal_length", ["18 mm", "55 mm", "60 mm"])
@pytest.mark.parametrize("factor", ["0.5", "1", "2"])
def test_lengths_that_thin_lenses_cannot_be_at_break_nothing(focal_length: str, factor: str) -> None:
    found = judged(shelf(tube={"focal_length": focal_length, "aperture": "10 mm"}, reducer={"factor": factor}))
    assert 0 <= number(found, "light-corner") <= 1


def test_a_central_obstruction_makes_a_cut_cost_more() -> None:
    clear, dark = narrow(32.0), narrow(32.0, tube={"central_obstruction": "32 mm"})
    assert number(dark, "light-corner") < number(clear, "light-corner") < 1
    assert number(judged(shelf(tube={"central_obstruction": "32 mm"})), "light-corner") == 1


# --- The guide sensor ---------------------------------------------------------------------------------------

DEEP: Data = {"camera": DUO}


@pytest.mark.parametrize("thread", ["M42 x 0.75", "M48 x 0.75"])
def test_a_narrow_ring_shades_the_guide_sensor_while_the_main_one_may_look_fine(thread: str) -> None:
    # Common practice, no source: behind M54 both sensors are lit; a 42 mm ring shades the second, M48 dims it.
    size = float(thread[1:3])
    bore = male_bore(size, 0.75, WALL_MM)
    parts = shelf(**DEEP, ring={"clear_aperture": f"{bore!r} mm"}, drawer={"clear_aperture": f"{bore!r} mm"})
    found = judged(parts)
    wide = judged(shelf(**DEEP))
    assert number(wide, "light-guide") > 0.95
    assert finding(wide, "light-guide").verdict == "sound"
    assert number(found, "light-guide") < number(wide, "light-guide")
    if size == 42:
        assert finding(found, "light").verdict == "sound"
        assert finding(found, "light-guide").verdict in ("tight", "fails")
        assert "M54 x 0.75 or wider" in finding(found, "light-guide").remedy
        assert "M54" in found.index["guide-opening"].note


@pytest.mark.parametrize(("free", "verdict"), [(48.0, "sound"), (38.0, "tight"), (30.0, "fails")])
def test_the_guide_sensor_is_judged_more_mildly(free: float, verdict: str) -> None:
    found = narrow(free, **DEEP)
    kept = number(found, "light-guide")
    assert verdict == ("sound" if kept >= 0.9 else "tight" if kept >= 0.5 else "fails")
    assert finding(found, "light-guide").verdict == verdict


@pytest.mark.parametrize("gone", ["pixels", "pixel", "offset"])
def test_a_guide_sensor_of_unsaid_size_or_place_is_not_passed_over(gone: str) -> None:
    second = {key: value for key, value in DUO["guide_sensor"].items() if key != gone}
    found = finding(judged(shelf(camera={"guide_sensor": second})), "light-guide")
    assert (found.verdict, found.parts) == ("unsaid", ("camera",))


# --- What clears it -----------------------------------------------------------------------------------------


def carried_out(parts: dict[str, Data], found: Finding) -> dict[str, Data]:
    """Do what a remedy says: larger filters, a wider path from the first piece that is named, another corrector."""
    free = [float(number) for number in re.findall(r"([\d.]+)\u00a0mm free", found.remedy)]
    wide: Data = {"clear_aperture": "60 mm"}
    changed: dict[str, Data] = {}
    if "larger filter" in found.remedy:
        changed["glass"] = {"clear_aperture": f"{free[0]!r} mm"}
    if path := re.search(r"path from (\w+) to the camera", found.remedy):
        start = [SHELF[id_]["name"] for id_ in TRAIN].index(path[1])
        changed |= {id_: {"clear_aperture": f"{free[-1]!r} mm"} for id_ in TRAIN[start:-1] if id_ != "glass"}
    if own := re.search(r"opening of (.*) itself", found.remedy):
        changed |= {name.casefold(): wide for name in own[1].split(" and ")}
    return {id_: {**data, **changed.get(id_, {})} for id_, data in parts.items()}


@pytest.mark.parametrize(
    "cut",
    [{"ring": 30}, {"drawer": 32}, {"glass": 28}, {"ring": 30, "drawer": 30}, {"ring": 28, "glass": 30},
     {"reducer": 32, "drawer": 33, "ring": 24}, {"camera": 24, "ring": 30}, {"reducer": 30}],
)  # fmt: skip
@pytest.mark.parametrize("which", ["light", "light-guide"])
def test_the_path_that_is_asked_for_clears_the_light(cut: dict[str, int], which: str) -> None:
    parts = shelf(**DEEP)
    parts = {
        id_: {**data, **({"clear_aperture": f"{cut[id_]} mm"} if id_ in cut else {})} for id_, data in parts.items()
    }
    found = finding(judged(parts), which)
    assert found.verdict != "sound"
    assert set(found.parts) <= set(cut)
    assert all(SHELF[id_]["name"] in found.remedy for id_ in found.parts)
    assert finding(judged(carried_out(parts, found)), which).verdict == "sound"


def test_a_wider_piece_of_the_shelf_that_goes_onto_the_same_joints_is_named() -> None:
    wide: Data = {**SHELF["ring"], "name": "Wide ring, 50", "optical_length": "19 mm"}
    parts = shelf(
        ring={"clear_aperture": "30 mm"}, wide=wide, gone={**wide, "name": "Gone", "owned": 0},
        slim={**wide, "name": "Slim", "clear_aperture": "31 mm"},
        odd={**wide, "name": "Odd", "rear": "M48 x 0.75 male", "optical_length": "18.5 mm"},
    )  # fmt: skip
    found = finding(judged(parts), "light")
    assert found.remedy == "Replace “Ring” by the club's “Wide ring, 50”, which is 0.5\u00a0mm longer."
    assert found.parts == ("ring", "wide")
    assert finding(judged(parts, [*TRAIN[:4], "wide", "camera"]), "light").verdict == "sound"


def test_a_drawer_is_replaced_by_one_for_the_same_filters() -> None:
    small: Data = {**SHELF["drawer"], "name": "Small drawer", "filter_size": "36 mm disc"}
    parts = shelf(drawer={"clear_aperture": "32 mm"}, small=small, good={**SHELF["drawer"], "name": "Good drawer"})
    found = finding(judged(parts), "light")
    assert found.remedy == "Replace “Drawer” by the club's “Good drawer”."
    assert finding(judged(parts, ["tube", "reducer", "good", *TRAIN[3:]]), "light").verdict == "sound"


def test_one_piece_of_the_shelf_mends_one_place() -> None:
    parts = shelf(drawer={"clear_aperture": "32 mm"}, ring={"clear_aperture": "30 mm"}, wide={**SHELF["ring"],
                  "name": "Wide"})  # fmt: skip
    remedy = finding(judged(parts), "light").remedy
    assert remedy.startswith("Replace “Ring” by the club's “Wide”. Make the path from Drawer to the camera")
    twice = finding(judged(parts, [*TRAIN[:4], "ring", "camera"]), "light").remedy
    assert twice.count("“Wide”") == 1


def test_a_filter_of_the_shelf_that_does_the_same_work_takes_the_place_of_a_narrow_one() -> None:
    band: Data = {"centre": "656 nm", "width": "7 nm"}
    parts = shelf(glass={"clear_aperture": "28 mm"}, large={**SHELF["glass"], "name": "Large"},
                  line={**SHELF["glass"], "name": "Line", "bands": [band]})  # fmt: skip
    found = finding(judged(parts), "light")
    assert found.remedy == "Take the club's “Large” in place of “Glass”."
    assert finding(judged(parts, [*TRAIN[:3], "large", *TRAIN[4:]]), "light").verdict == "sound"
    assert "Line" not in finding(judged({**parts, "large": {**parts["large"], "owned": 0}}), "light").remedy


def full_frame(**changes: Data) -> dict[str, Data]:
    """A large sensor behind M54, whose light wants a wider thread than the camera has."""
    sensor: Data = {"pixels": "9576 x 6388", "pixel": "3.76 um", "mosaic": "mono"}
    wide: Data = {"clear_aperture": "60 mm"}
    camera: Data = {"sensor": sensor, "clear_aperture": "56 mm"}
    return shelf(**{"reducer": wide, "camera": camera, "glass": {"clear_aperture": "60 mm"}, "ring": wide, **changes})


def test_a_path_that_the_camera_is_too_narrow_for_is_not_proposed() -> None:
    found = judged(full_frame(drawer={"clear_aperture": "50 mm"}))
    light = finding(found, "light")
    assert light.verdict != "sound"
    stops = f"{number(found, 'light-corner-stops'):.1f} stops."
    assert light.remedy.startswith("Nothing on the shelf mends it; flat-field exposures correct ")
    assert light.remedy.endswith(stops)
    assert light.parts == ()
    large = full_frame(drawer={"clear_aperture": "50 mm"})
    large["camera"]["front"] = "M72 x 1 female"
    large["reducer"]["rear"] = "M72 x 1 male"
    assert "to the camera M63 x 1 or wider" in finding(judged(large), "light").remedy


def test_a_corner_without_any_light_is_no_matter_of_flat_fields() -> None:
    found = judged(full_frame(drawer={"clear_aperture": "1 mm"}))
    assert number(found, "light-corner") == 0
    assert finding(found, "light").remedy == "Nothing on the shelf mends it; crop the frame to what is lit."


def test_the_cameras_own_opening_cannot_be_mended_by_a_thread() -> None:
    remedy = finding(judged(shelf(camera={"clear_aperture": "20 mm"})), "light").remedy
    assert remedy.startswith("The opening of Camera itself cuts the light")
    assert "Make the path" not in remedy


# --- What is unsaid -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "named", "parts"),
    [
        ({"tube": {"aperture": None}}, "the aperture of Tube is", ("tube",)),
        ({"tube": {"focal_length": None}}, "the focal length of Tube is", ("tube",)),
        ({"reducer": {"factor": None}}, "the factor of Reducer is", ("reducer",)),
        ({"camera": {"sensor": None}}, "the pixels of Camera and the pixel size of Camera are", ("camera",)),
        ({"camera": {"sensor": {"pixels": "6248 x 4176"}}}, "the pixel size of Camera is", ("camera",)),
    ],
)
def test_inputs_that_are_missing_are_named(changes: Any, named: str, parts: tuple[str, ...]) -> None:
    found = finding(judged(shelf(**changes)), "light")
    assert found.verdict == "unsaid"
    assert named in found.sentence
    assert found.parts == parts


@pytest.mark.parametrize(("train", "named"), [(TRAIN[1:], "an optic in"), (TRAIN[:-1], "a camera in")])
def test_optic_or_camera_that_is_missing_is_named(train: list[str], named: str) -> None:
    assert named in finding(judged(train=train), "light").sentence


@pytest.mark.parametrize("id_", ["ring", "drawer"])
def test_behind_an_unknown_length_nothing_is_called_sound(id_: str) -> None:
    found = finding(judged(shelf(**{id_: {"optical_length": None}})), "light")
    assert (found.verdict, found.parts) == ("unsaid", (id_,))
    cut = judged(shelf(drawer={"optical_length": None}, ring={"clear_aperture": "20 mm"}))
    assert finding(cut, "light").verdict == "fails"


def test_free_diameters_that_nobody_states_follow_from_threads_or_are_reported() -> None:
    threads = shelf(ring={"clear_aperture": None})
    catalogue = made(threads)
    found = openings(walk(Assembly(catalogue, catalogue.rigs["rig"]))).found
    (rear, front) = (one for one in found if one.part == "ring")
    assert rear.diameter == male_bore(54, 0.75, WALL_MM)
    assert front.diameter == female_hole(54, 0.75)
    assert not rear.stated
    assert "openings" not in verdicts(judged(threads))
    unknown = shelf(ring={"clear_aperture": None, "front": None, "rear": None}, glass={"clear_aperture": None})
    reported = finding(judged(unknown), "openings")
    assert (reported.verdict, reported.parts) == ("unsaid", ("ring", "glass"))


def test_without_any_opening_nothing_is_called_sound() -> None:
    bare: Data = {"clear_aperture": None, "front": None, "rear": None}
    parts = shelf(tube={"rear": None, "rear_clear_aperture": None, "back_focus": {"distance": "17.5 mm"}},
                  camera={"clear_aperture": None, "front": None}, ring=bare)  # fmt: skip
    found = judged(parts, ["tube", "ring", "camera"])
    assert finding(found, "light").verdict == "unsaid"
    assert finding(found, "openings").parts == ("tube", "ring", "camera")
    assert "opening" not in ids(found.findings)
