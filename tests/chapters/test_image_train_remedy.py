"""What mends back focus: the filling that the shelf offers, or the ring to buy, carried out in the YAML, fits."""

import re
from itertools import pairwise

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.train import walk
from tests.chapters.small_guide import Data, finding
from tests.chapters.small_train import SHELF, TRAIN, judged, made, shelf, spacer, verdicts

SHIM: Data = {"kind": "shim", "name": "Shim", "fits_thread": "54 mm"}


def carried_out(parts: dict[str, Data], train: list[str], remedy: str) -> tuple[dict[str, Data], list[str]]:
    """Do in the YAML what a remedy says: take rings and shims out from behind the reducer, and put in what it names."""
    parts = dict(parts)
    by_name = {data["name"]: id_ for id_, data in parts.items()}
    stay = [id_ for id_ in train if parts[id_]["kind"] not in ("spacer", "shim", "adapter")]
    new = train[: train.index("reducer") + 1] + stay[stay.index("reducer") + 1 :]
    said = re.search(r"from the shelf, (.*)\. That (?:leaves|fits)", remedy, re.IGNORECASE)
    bought = re.search(r"Buy a ring of ([\d.]+)\u00a0mm, (.+) to (.+), for between “(.+?)” and “(.+?)”\.", remedy)
    if bought:
        parts["bought"] = spacer(float(bought[1]), front=bought[2], rear=bought[3])
        by_name["the bought ring"] = "bought"
    if not said and bought:
        new.insert(new.index(by_name[bought[5]]), "bought")
    for step in said[1].split("; ") if said else ():
        between = re.fullmatch(r"between “.+?” and “(.+?)”: (.*)", step)
        assert between, step
        place = new.index(by_name[between[1]])
        for entry in re.split(r", | and ", between[2]):
            match = re.fullmatch(r"(?:(\d+) times )?(?:“(.+?)”|(the bought ring))(?: set to ([\d.]+)\u00a0mm)?", entry)
            assert match, entry
            id_ = by_name[match[2] or match[3]]
            if match[4]:
                parts[f"{id_}-at-{place}"] = {**parts[id_], "optical_length": f"{match[4]} mm"}
                id_ = f"{id_}-at-{place}"
            new[place:place] = [id_] * int(match[1] or 1)
            place += int(match[1] or 1)
    return parts, new


def assert_mended(parts: dict[str, Data], train: list[str], found: Finding) -> None:
    parts, train = carried_out(parts, train, found.remedy)
    mended = judged(parts, train)
    assert finding(mended, "back-focus").verdict != "fails", (found.remedy, finding(mended, "back-focus").sentence)
    catalogue = made(parts, train)
    walked = walk(Assembly(catalogue, catalogue.rigs["rig"]))
    assert all(mates(before.rear, after.front) for before, after in pairwise([walked.pieces[1], *walked.behind]))


@pytest.mark.parametrize("off", [-18.5, -6.0, 1.7, 12.3, 24.1])
def test_the_shelfs_filling_carried_out_in_the_yaml_fits(off: float) -> None:
    parts = shelf(
        ring={"optical_length": f"{18.5 + off!r} mm", "owned": 0},
        five=spacer(5.0, owned=3), ten=spacer(10.0), wide=spacer(8.0, shortest="7 mm", longest="9 mm"),
        shim={**SHIM, "thickness": "0.5 mm", "owned": 5},
    )  # fmt: skip
    found = finding(judged(parts), "back-focus")
    assert found.verdict == "fails"
    assert "In place of the rings and shims there, put from the shelf, between" in found.remedy
    assert_mended(parts, TRAIN, found)


def test_a_ring_before_the_reducer_stays_there() -> None:
    parts = shelf(ring={"owned": 1}, five=spacer(5.0))
    found = finding(judged(parts, ["tube", "ring", "reducer", "drawer", "glass", "five", "camera"]), "back-focus")
    assert found.verdict == "fails"
    assert "ring" not in found.parts
    free = judged(parts, ["tube", "reducer", "drawer", "glass", "five", "camera"])
    assert finding(free, "back-focus").parts == ("ring",)


def test_rings_at_a_side_that_nobody_states_stay_and_count() -> None:
    parts = shelf(drawer={"front": None}, ring={"optical_length": "2 mm"}, odd=spacer(3.0), fill=spacer(15.5))
    train = ["tube", "reducer", "odd", "drawer", "glass", "ring", "camera"]
    found = finding(judged(parts, train), "back-focus")
    assert found.parts == ("fill",)
    assert "between “Reducer” and “Spacer 3”: “Spacer 15.5”. That fits exactly." in found.remedy
    mended = judged(parts, ["tube", "reducer", "fill", "odd", "drawer", "glass", "camera"])
    assert verdicts(mended)["back-focus"] == "sound"


def test_an_adjustable_ring_that_is_used_twice_is_told_twice() -> None:
    step: Data = {"shortest": "8 mm", "longest": "10 mm", "owned": 2}
    parts = shelf(ring={"optical_length": "1 mm", "owned": 0}, screw=spacer(9.0, **step))
    remedy = finding(judged(parts), "back-focus").remedy
    assert sorted(map(float, re.findall(r"“Spacer 9” set to ([\d.]+)", remedy))) == [8.5, 10.0]


def test_a_spacer_whose_ends_contradict_stands_as_it_is() -> None:
    parts = shelf(ring={"optical_length": "1 mm", "owned": 0}, odd=spacer(18.5, shortest="20 mm", longest="10 mm"))
    remedy = finding(judged(parts), "back-focus").remedy
    assert remedy.endswith(": “Spacer 18.5”. That fits exactly.")


def test_where_nothing_is_needed_the_rings_come_out() -> None:
    parts = shelf(reducer={"back_focus": {"distance": "37 mm +- 1 mm"}})
    found = finding(judged(parts), "back-focus")
    assert found.remedy.startswith("Take out all rings")
    assert finding(judged(parts, [*TRAIN[:4], "camera"]), "back-focus").verdict == "sound"


@pytest.mark.parametrize(("wanted", "near"), [(35.6, True), (35.4, False)])
def test_pieces_that_are_too_long_by_themselves(wanted: float, near: bool) -> None:
    parts = shelf(reducer={"back_focus": {"distance": f"{wanted!r} mm +- 1 mm"}})
    remedy = finding(judged(parts), "back-focus").remedy
    assert remedy.startswith("Take out") == near
    assert ("1.1\u00a0mm too long by themselves" in remedy and "Drawer before all" in remedy) != near


def test_a_camera_too_deep_by_itself_is_named() -> None:
    parts = shelf(reducer={"back_focus": {"distance": "10 mm +- 1 mm"}})
    remedy = finding(judged(parts, ["tube", "reducer", "ring", "camera"]), "back-focus").remedy
    assert remedy.startswith("Camera alone is 7.5\u00a0mm too deep for Reducer")


def test_what_the_shelf_has_not_is_to_be_bought_and_then_fits() -> None:
    parts = shelf(ring={"optical_length": "4 mm", "owned": 0})
    found = finding(judged(parts), "back-focus")
    assert found.remedy.startswith("Nothing on the shelf fits. Buy a ring of 18.5\u00a0mm, M54 x 0.75 female to M54")
    assert_mended(parts, TRAIN, found)


# --- Any train ----------------------------------------------------------------------------------------------

sizes = st.sampled_from([48, 48, 54])
tenths = st.integers(5, 300).map(lambda n: n / 10)


@st.composite
def trains(draw: st.DrawFn) -> tuple[dict[str, Data], list[str]]:
    def sides() -> Data:
        return {"front": f"M{draw(sizes)} x 0.75 female", "rear": f"M{draw(sizes)} x 0.75 male"}

    wanted, tolerance = draw(st.integers(300, 900)) / 10, draw(st.sampled_from([0.05, 0.3, 1.0]))
    parts = shelf(
        reducer={**sides(), "back_focus": {"distance": f"{wanted!r} mm +- {tolerance!r} mm"}},
        drawer={**sides(), "optical_length": f"{draw(tenths)!r} mm"}, camera={"front": sides()["front"]},
        ring=None,
    )  # fmt: skip
    rings: list[str] = []
    for n in range(draw(st.integers(0, 6))):
        length = draw(tenths)
        more = {"shortest": f"{length - 0.5:.1f} mm", "longest": f"{length + 2:.1f} mm"} if draw(st.booleans()) else {}
        rings.append(f"r{n}")
        parts[f"r{n}"] = {**spacer(length, owned=draw(st.integers(0, 3)), **more), **sides(), "name": f"R{n}"}
    for n in range(draw(st.integers(0, 2))):
        rings.append(f"s{n}")
        parts[f"s{n}"] = {**SHIM, "name": f"S{n}", "thickness": f"{draw(st.integers(1, 10)) / 10} mm", "owned": 4,
                          "fits_thread": f"{draw(sizes)} mm"}  # fmt: skip
    some = st.lists(st.sampled_from(rings), max_size=2) if rings else st.just([])
    return parts, [
        "tube",
        "reducer",
        *draw(some),
        "drawer",
        *draw(st.sampled_from([[], ["glass"]])),
        *draw(some),
        "camera",
    ]


@settings(max_examples=200, deadline=None)
@given(trains())
def test_whatever_fills_a_train_from_the_shelf_fits_and_mates(case: tuple[dict[str, Data], list[str]]) -> None:
    parts, train = case
    found = finding(judged(parts, train), "back-focus")
    if found.verdict != "fails":
        return
    offers = [word for word in ("ake out all", "Buy a ring", "ut from the shelf") if word in found.remedy]
    event(offers[0] if offers else "nothing")
    if offers:
        assert_mended(parts, train, found)
        for id_ in found.parts:
            data = parts[id_]
            assert data.get("owned", 1) >= carried_out(parts, train, found.remedy)[1][2:].count(id_)
    assert SHELF["reducer"]["name"] in found.sentence
