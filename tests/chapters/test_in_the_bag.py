"""What the chapter on bags finds: what goes where, what is left over, what would mend it, and what is unsaid."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.chapters.in_the_bag import physics
from rigleaf.chapters.in_the_bag.kit import kit_of, rules_of
from rigleaf.chapters.in_the_bag.packed import pack_kit
from rigleaf.packing.checker import faults_of
from rigleaf.packing.handling import BARE, CABIN, FRAGILE, SOFT
from tests.chapters.elementwise import Call, check, each, public_functions
from tests.chapters.small_bags import PARTS, bags, bags_of, inside, packing
from tests.chapters.small_guide import Data, finding, ids, number
from tests.packing.boxes import cut_up

BLOCK: Data = {"kind": "tool", "name": "Block", "packed": "245 x 140 x 88 mm", "mass": "1 kg"}


def only(part: str, count: int = 1) -> Data:
    """Return what makes the small rig one of a single part, in the sack."""
    return {"train": [], "mount": None, "counterweights": [], "tripod": None, "power": [], "bags": ["sack"],
            "carried": [{"part": part, "count": count}]}  # fmt: skip


CALLS: list[Call] = [
    (physics.linear_size, (550.0, 380.0, 220.0)),
    (physics.litres, (550.0, 380.0, 220.0)),
    (physics.padded_litres, (400.0, 130.0, 120.0, 5.0)),
    (physics.fill, (12.0, 30.0)),
]


@each(CALLS)
def test_physics_works_on_arrays_as_on_numbers(function: Callable[..., float], arguments: tuple[float, ...]) -> None:
    check(function, arguments)


def test_all_physics_is_called() -> None:
    assert {function.__name__ for function, _ in CALLS} == public_functions(physics)


def test_everything_goes_in_and_a_packing_is_shown() -> None:
    study = bags()
    fits = finding(study, "fits")
    assert (fits.verdict, ids(study.findings)) == ("sound", ["fits", "loads"])
    assert fits.sentence.startswith("All 8 pieces go into 2 bags; a packing is shown, and ")
    assert number(study, "left-over") == 0
    assert number(study, "mass-case") + number(study, "mass-sack") == pytest.approx(6 + 3 + 0.6 + 4 + 2 + 2 + 3 + 0.2)
    assert number(study, "heaviest") == max(number(study, "mass-case"), number(study, "mass-sack"))
    assert number(study, "linear-case") == 1500
    assert number(study, "room") == pytest.approx(70 + 27)


def test_glass_computers_and_batteries_go_into_the_cabin_and_the_rest_into_the_hold() -> None:
    assert inside(packing()) == {
        "case": ["head", "lead", "lead", "legs", "weight"],
        "sack": ["battery", "camera", "tube"],
    }


def test_without_a_hold_glass_goes_with_the_telescope_and_iron_with_the_mount() -> None:
    car: Data = {"goes_in": "car"}
    found = inside(packing({"bags": ["case", "sack", "long"]}, case=car, sack=car, long={
        "kind": "bag", "name": "Long bag", "inner": "620 x 150 x 150 mm", **car,
    }))  # fmt: skip
    assert found["long"] == ["legs"]
    assert found["sack"] == ["camera", "tube"]
    assert found["case"] == ["battery", "head", "lead", "lead", "weight"]


def test_what_the_rig_says_of_its_bags_goes_before() -> None:
    told = packing({"bags": ["case", {"part": "sack", "holds": ["head", "weight", "lead"]}]})
    assert inside(told)["sack"] == ["camera", "head", "lead", "lead", "weight"]
    assert ids(bags({"bags": [{"part": "case", "holds": ["tube"]}, "sack"]}).findings) == ["fits", "loads"]
    both = {"bags": [{"part": "case", "holds": ["legs"]}, {"part": "sack", "holds": ["head"]}]}
    # Bags that all say what they hold are judged where carrying is; what none names goes by hand or in pockets.
    study = bags(both, camera={"mass": "0.4 kg"})
    assert ids(study.findings) == ["fits"]
    assert study.index["worn"].note == "Camera and 2 × Lead"
    assert study.index["loose"].note == "Tube, Weight and Battery"


def test_what_is_worn_loose_or_installed_takes_no_room() -> None:
    study = bags({"worn": ["camera"], "loose": ["legs"]}, battery={"installed": True})
    assert number(study, "to-pack") == 5
    assert study.index["worn"].note == "Camera"
    assert number(study, "loose") == 2
    alone = {"train": ["tube"], "mount": None, "counterweights": [], "tripod": None, "power": []}
    assert "Nothing is left to go into a bag" in finding(bags({**alone, "loose": ["tube"]}), "fits").sentence


@pytest.mark.parametrize(
    ("packed", "why"),
    [
        ("900 x 130 x 130 mm", "from corner to corner it measures 919\u00a0mm with its padding"),
        ("300 x 300 x 300 mm", "its smallest side is 300\u00a0mm with its padding, and the bag's is 250\u00a0mm"),
        ("720 x 60 x 60 mm", "aslant it would go into Case if that were empty"),
        ("650 x 450 x 100 mm", "it lies along the sides in no turn, and nothing shows that it does aslant"),
    ],
)
def test_a_part_that_cannot_go_in_fails_with_the_reason(packed: str, why: str) -> None:
    study = bags(legs={"packed": packed})
    fits = finding(study, "fits")
    assert fits.verdict == "fails"
    assert "Legs cannot go into any of the bags" in fits.sentence
    assert why in fits.sentence
    assert "Pack without Legs, which is then carried outside or left at home (1 piece at least" in fits.remedy
    assert number(study, "left-over") == 1


def test_two_that_cannot_both_go_in_are_named_and_put_elsewhere() -> None:
    told = {"bags": ["case", {"part": "sack", "holds": ["tube", "head"]}]}
    fits = finding(bags(told), "fits")
    assert fits.verdict == "fails"
    assert "Tube and Head cannot both go into Sack" in fits.sentence
    assert fits.remedy.startswith("Put ")
    assert " into Case instead: then everything is shown to go in; or pack without " in fits.remedy


def test_too_much_mass_or_volume_is_told_with_both_amounts() -> None:
    heavy = finding(bags(case={"load_limit": "5 kg"}, sack={"load_limit": "5 kg"}), "fits")
    assert (heavy.verdict, "weighs 14.8\u00a0kg, and 10.0\u00a0kg is allowed" in heavy.sentence) == ("fails", True)
    one = finding(bags(head={"mass": "26 kg"}), "fits")
    assert "Head cannot go into any of the bags: it weighs 26.0\u00a0kg, and no more than 25.0\u00a0kg" in one.sentence
    full = finding(bags(only("block", 10), block=BLOCK), "fits")
    assert full.verdict == "fails"
    assert "takes 30.2\u00a0l with its padding, and there is room for 27.0\u00a0l" in full.sentence


def test_thinner_padding_is_a_remedy_where_it_is_enough() -> None:
    fits = finding(bags({"bags": ["sack", "case"]}, tube={"packed": "694 x 130 x 120 mm"}), "fits")
    assert fits.verdict == "fails"
    assert "Pad with 2.5\u00a0mm instead of 5\u00a0mm: then everything is shown to go in" in fits.remedy


def test_a_bag_of_the_club_is_named_where_it_takes_everything() -> None:
    large: Data = {
        "kind": "bag",
        "name": "Large case",
        "inner": "950 x 400 x 250 mm",
        "goes_in": "hold",
        "mass": "7 kg",
    }
    change = {"packed": "900 x 130 x 130 mm"}
    fits = finding(bags(legs=change, large=large), "fits")
    assert fits.remedy.startswith(
        "Take Large case in place of Case: then everything is shown to go in; or pack without"
    )
    assert fits.parts[-2:] == ("large", "legs")
    for useless in ({"owned": 0}, {"goes_in": "car"}, {"mass": "30 kg"}):
        other = finding(bags(legs=change, large={**large, **useless}), "fits")
        assert "Large case in place" not in other.remedy
    tall = {**large, "inner": "930 x 140 x 140 mm", "mass": "0.5 kg"}
    assert finding(bags(legs=change, large=tall), "fits").remedy.startswith("Take Large case too: then everything")


def test_what_no_packing_was_found_for_is_no_failure() -> None:
    # A bag cut to pieces: a packing without any gap exists, and no search of so few steps finds it.
    boxes = cut_up(5, 16)
    pieces: dict[str, Data] = {
        f"box-{n}": {"kind": "tool", "name": f"Box {n}", "packed": f"{a} x {b} x {c} mm", "mass": "0 kg"}
        for n, (a, b, c) in enumerate(boxes)
    }
    rig = {**only("box-0"), "carried": list(pieces)}
    study = bags(rig, sack={"inner": "560 x 365 x 300 mm"}, **pieces)
    fits = finding(study, "fits")
    assert fits.verdict == "tight"
    assert re.search(r"No packing was found for .* within \d+ steps; everything else is shown packed", fits.sentence)
    assert "pack without" in fits.remedy.lower()
    assert "at least must stay out" not in fits.remedy


def test_a_crowded_bag_is_tight_but_one_large_thing_is_not() -> None:
    one = finding(bags(only("block"), block={**BLOCK, "packed": "495 x 295 x 175 mm"}), "fits")
    assert (one.verdict, one.sentence) == (
        "sound", "The one piece goes into its bag; a packing is shown, and Sack is full to 95\u202f% of its room."
    )  # fmt: skip
    many = finding(bags(only("block", 8), block=BLOCK), "fits")
    assert (many.verdict, "but Sack is full to 89\u202f% of its room" in many.sentence) == ("tight", True)


def test_a_load_near_the_limit_is_tight_and_unsaid_limits_are_unsaid() -> None:
    assert finding(bags(), "loads").verdict == "sound"
    near = bags(case={"load_limit": "9 kg"}, sack={"load_limit": "7 kg"})
    assert finding(near, "fits").verdict == "sound"
    assert finding(near, "loads").verdict == "tight"
    unsaid = finding(bags(sack={"load_limit": None}, tube={"mass": None}), "loads")
    assert unsaid.verdict == "unsaid"
    assert unsaid.sentence == "What Sack may carry is unsaid and 1 piece in Sack has no mass."


def test_sizes_that_are_unsaid_are_named_with_how_to_measure_and_the_rest_is_packed() -> None:
    study = bags(tube={"packed": None}, sack={"inner": None})
    fits = finding(study, "fits")
    assert fits.verdict == "unsaid"
    assert "1 piece of 8 has no packed size (Tube) and the inner size of Sack is unsaid" in fits.sentence
    assert "What has a size is shown packed." in fits.sentence
    assert "three sides" in fits.remedy
    assert "Measure inside" in fits.remedy
    assert study.index["packed-volume"].note == "at least; 1 without a size"
    assert study.value("fill-sack") is None


def test_what_a_bag_without_inner_size_is_said_to_hold_counts_in_its_mass() -> None:
    found = packing({"bags": ["case", {"part": "sack", "holds": ["tube"]}]}, sack={"inner": None})
    assert inside(found)["sack"] == ["tube"]
    assert found.bags[1].mass.total == pytest.approx(4)
    assert "tube" not in inside(found)["case"]


def test_a_rig_without_bags_says_so_unless_it_stays_put() -> None:
    assert finding(bags({"bags": []}), "fits").verdict == "unsaid"
    assert finding(bags({"bags": [], "travels": ["stays put"]}), "fits").verdict == "sound"
    assert bags({"bags": []}).drawings == ()


def test_one_of_several_bags_is_told_by_what_it_holds_or_by_a_number() -> None:
    told = packing({"bags": [{"part": "case", "holds": ["legs", "lead"]}, {"part": "case", "holds": ["head"]}, "case"]})
    assert [(bag.bag.key, bag.bag.name) for bag in told.bags] == [
        ("case", "Case (Legs)"), ("case-2", "Case (Head)"), ("case-3", "Case")
    ]  # fmt: skip
    plain = packing({"bags": [{"part": "case", "count": 2}, "sack"]})
    assert [bag.bag.name for bag in plain.bags] == ["Case, no. 1", "Case, no. 2", "Sack"]


def test_handling_is_as_the_part_states_or_by_its_kind() -> None:
    pieces = {piece.id: piece for piece in kit_of(bags_of()).pieces if piece}
    assert (pieces["tube"].fragile, pieces["head"].fragile) == (True, False)
    assert (pieces["battery"].upright, pieces["tube"].upright) == (True, False)
    assert (pieces["lead"].soft, pieces["legs"].soft) == (True, False)
    assert (pieces["tube"].sides[2], pieces["legs"].sides[2], pieces["lead"].sides[2]) == (130, 130, 30)
    stated: Data = {"fragile": True, "upright": True, "soft": False, "padding": "10 mm"}
    lead = next(piece for piece in kit_of(bags_of(lead=stated)).pieces if piece and piece.id == "lead")
    assert (lead.fragile, lead.upright, lead.soft, lead.sides[2]) == (True, True, False, 50)
    none = next(piece for piece in kit_of(bags_of(choices={"padding": "0 mm"})).pieces if piece and piece.id == "tube")
    assert none.sides == (400, 130, 120)
    assert {*SOFT, *FRAGILE, *BARE, *CABIN} <= set(KINDS)


def test_the_plate_shows_every_hard_piece_once_and_the_list_names_everything() -> None:
    study, found = bags(), packing()
    for drawing in study.drawings:
        bag = next(one for one in found.bags if drawing.id == f"bag-{one.bag.key}")
        written = [text.text or "" for text in etree.fromstring(drawing.svg.encode()).iter("text")]
        ends = [[int(end) for end in text.split("–")] for text in written if text.replace("–", "").isdigit()]
        assert sorted(n for pair in ends for n in range(pair[0], pair[-1] + 1)) == list(
            range(1, len(bag.packing.placed) + 1)
        )
        listed = next(table for table in study.tables if table.id == f"list-{bag.bag.key}")
        assert {row[1].part for row in listed.rows} == set(inside(found)[bag.bag.key])
        assert ["2 × Lead"] == [row[1].text for row in listed.rows if row[1].part == "lead"] or bag.bag.key != "case"


SIZES = st.sampled_from([None, "100 x 100 x 100 mm", "260 x 240 x 200 mm", "600 x 90 x 90 mm", "40 x 30 x 1 mm"])


@settings(deadline=None)
@given(st.fixed_dictionaries({id_: SIZES for id_, part in PARTS.items() if part["kind"] != "bag"}), st.booleans())
def test_whatever_the_sizes_every_packing_is_sound_and_always_the_same(
    sizes: dict[str, str | None], told: bool
) -> None:
    rig: Data = {"bags": [{"part": "case", "holds": ["tube", "head"]}, "sack"]} if told else {}
    assembly = bags_of(rig, **{id_: {"packed": size} for id_, size in sizes.items()})
    kit, rules = kit_of(assembly), rules_of(assembly)
    found = pack_kit(kit, rules, 0.2)
    assert found == pack_kit(kit, rules, 0.2)
    pieces = [piece for piece in kit.pieces if piece is not None]
    blank = replace(pieces[0]) if pieces else None
    for bag in found.bags:
        known = [piece if piece is not None else blank for piece in kit.pieces]
        assert faults_of(bag.bag.to_pack(), known, bag.packing, rules) == []  # type: ignore[arg-type]
    where = [n for bag in found.bags for n in bag.packing.pieces] + list(found.left)
    assert sorted(where) == [n for n, piece in enumerate(kit.pieces) if piece is not None]
