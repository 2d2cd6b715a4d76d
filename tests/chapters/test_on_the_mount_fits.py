"""Fit: plate in saddle, brackets, bar and bores, base on tripod; and what on the shelf would join them."""

import pytest

from rigleaf.catalogue.models.mounting import Counterweight
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.on_the_mount.on_shelf import counted, left_over, on_shelf
from tests.chapters.small_guide import Data, finding, ids
from tests.chapters.small_mount import WEIGHTED, guide, on_mount, shelf


def test_everything_fits_and_one_finding_says_so() -> None:
    found = finding(on_mount(**WEIGHTED), "fit")
    assert found.verdict == "sound"
    assert "the 44\u00a0mm plate in the saddle, weights and bar on the mount, Head on Legs" in found.sentence
    assert "3/8-16 UNC female on 3/8-16 UNC male" in found.sentence


# --- Plate and saddle ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("plate", "fits"), [(44, True), (45, True), (42.5, True), (46, False), (75, True), (60, False)]
)
def test_a_saddle_takes_the_widths_that_it_is_stated_for(plate: float, fits: bool) -> None:
    found = on_mount(shelf(rings={"dovetail": f"{plate} mm"}))
    assert ("dovetail" not in ids(found.findings)) is fits


def test_the_optics_own_plate_counts_where_no_rings_do() -> None:
    found = on_mount(shelf(tube={"dovetail": "60 mm"}, rings=None), riders=[])
    assert "The plate of Tube is 60\u00a0mm wide, and the saddle of Head takes 44\u00a0mm or 75\u00a0mm" in (
        finding(found, "dovetail").sentence
    )


def test_the_plate_of_the_rings_counts_before_other_plates() -> None:
    ledge: Data = {"kind": "fixing", "name": "Ledge", "dovetail": "32 mm"}
    assert "dovetail" not in ids(on_mount(shelf(ledge=ledge), riders=["ledge", "rings"]).findings)


def test_no_plate_or_no_saddle_is_unsaid() -> None:
    assert finding(on_mount(shelf(rings={"dovetail": None})), "dovetail").verdict == "unsaid"
    found = finding(on_mount(shelf(head={"saddles": None})), "dovetail")
    assert found.verdict == "unsaid"
    assert found.parts == ("head",)


def test_other_rings_for_the_same_tube_go_before_a_bracket_and_another_mount() -> None:
    narrow: Data = {"head": {"saddles": ["44 mm"]}, "rings": {"dovetail": "75 mm"}}
    other: Data = {"kind": "fixing", "name": "Other rings", "dovetail": "44 mm", "holds_diameter": "90 mm"}
    jaw: Data = {"kind": "fixing", "name": "Jaw", "dovetail": "44 mm", "saddle": "75 mm"}
    big: Data = {"kind": "mount", "name": "Big", "mass": "6 kg", "saddles": ["75 mm"], "capacity": "20 kg"}
    everything = shelf(**narrow, other=other, jaw=jaw, big=big)
    assert finding(on_mount(everything), "dovetail").parts == ("other",)
    assert finding(on_mount(shelf(**narrow, jaw=jaw, big=big)), "dovetail").parts == ("jaw",)
    assert finding(on_mount(shelf(**narrow, big=big)), "dovetail").parts == ("big",)
    weak = finding(on_mount(shelf(**narrow, big=big | {"capacity": "5 kg"})), "dovetail")
    assert weak.parts == ()
    assert "to be bought" in finding(on_mount(shelf(**narrow)), "dovetail").remedy
    assert finding(on_mount(shelf(**narrow, other=other | {"owned": 0})), "dovetail").parts == ()


def test_a_bracket_has_a_foot_and_a_saddle_of_its_own() -> None:
    jaw: Data = {"kind": "fixing", "name": "Jaw", "dovetail": "44 mm", "saddle": "75 mm", "mass": "0.3 kg"}
    wide: Data = {"dovetail": "75 mm"}
    head: Data = {"saddles": ["44 mm"]}
    joined = on_mount(shelf(jaw=jaw, rings=wide, head=head), riders=["jaw", "rings"])
    assert "fit" in ids(joined.findings)
    above = on_mount(shelf(jaw=jaw, head=head), riders=["jaw", "rings"])
    assert "saddle of Jaw takes 75\u00a0mm" in finding(above, "dovetail").sentence
    below = on_mount(shelf(jaw=jaw | {"dovetail": "60 mm"}, rings=wide, head=head), riders=["jaw", "rings"])
    assert "The plate of Jaw is 60\u00a0mm" in finding(below, "dovetail-bracket-1").sentence


# --- Bar and weights -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"bar": {"diameter": "18 mm"}}, "Bar is 18\u00a0mm thick and Head takes a bar of 20\u00a0mm"),
        ({"weight": {"bore": "18 mm"}}, "Weight has a bore of 18\u00a0mm and Bar is 20\u00a0mm thick"),
    ],
)
def test_a_bar_or_a_bore_that_does_not_go_on_fails(changes: dict[str, Data], words: str) -> None:
    good: Data = {"kind": "counterweight", "name": "Good weight", "mass": "4 kg", "bore": "20 mm"}
    thick: Data = {"kind": "counterweight-bar", "name": "Good bar", "mass": "0.5 kg", "diameter": "20 mm",
                   "usable_length": "200 mm"}  # fmt: skip
    found = finding(on_mount(shelf(**changes, good=good, thick=thick), **WEIGHTED), "counterweight")
    assert found.verdict == "fails"
    assert words in found.sentence
    assert "go on this mount and balance the load" in found.remedy
    assert found.parts


def test_a_diameter_that_is_not_stated_and_a_bar_that_is_not_named_are_unsaid() -> None:
    for changes in ({"bar": {"diameter": None}}, {"weight": {"bore": None}}, {"head": {"counterweight_bar": None}}):
        assert finding(on_mount(shelf(**changes), **WEIGHTED), "counterweight").verdict == "unsaid"
    assert "no bar" in finding(on_mount(counterweights=["weight"]), "counterweight").sentence


# --- Base and tripod -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("top", "words"),
    [
        ("1/4-20 UNC male", "6.35 mm against 9.525 mm"),
        ("3/8-16 UNC female", "two female threads"),
        ("M10 x 1.5 male", "9.525 mm"),
    ],
)
def test_the_wrong_thread_fails_and_says_why(top: str, words: str) -> None:
    found = finding(on_mount(shelf(legs={"top": top})), "base")
    assert found.verdict == "fails"
    assert words in found.sentence
    assert f"an adapter from {top} to 3/8-16 UNC female is to be bought" in found.remedy


def test_a_bush_from_the_shelf_goes_before_another_tripod() -> None:
    bush: Data = {"kind": "adapter", "name": "Bush", "front": "1/4-20 UNC female", "rear": "3/8-16 UNC male"}
    stout: Data = {"kind": "tripod", "name": "Stout", "mass": "5 kg", "capacity": "30 kg", "top": "3/8-16 UNC male"}
    small: Data = {"top": "1/4-20 UNC male"}
    assert finding(on_mount(shelf(legs=small, bush=bush, stout=stout)), "base").parts == ("bush",)
    assert finding(on_mount(shelf(legs=small, bush=bush | {"owned": 0}, stout=stout)), "base").parts == ("stout",)
    turned = bush | {"front": bush["rear"], "rear": bush["front"]}
    assert finding(on_mount(shelf(legs=small, bush=turned)), "base").parts == ("bush",)


def test_threads_that_nobody_stated_are_unsaid() -> None:
    found = finding(on_mount(shelf(legs={"top": None}, head={"base": None})), "base")
    assert found.verdict == "unsaid"
    assert found.parts == ("head", "legs")
    assert "3/8 in" in found.remedy


# --- The shelf -------------------------------------------------------------------------------------------------------


def test_remedies_name_what_the_club_owns_and_lends() -> None:
    found = guide(shelf(weight={"owned": 2}, spare={"kind": "counterweight", "owned": 0}), **WEIGHTED)
    assembly = Assembly(found, found.rigs["rig"])
    (weight,) = on_shelf(assembly, Counterweight)
    assert weight.id == "weight"
    assert left_over(assembly, weight) == 1
    assert counted(["A", "A", "B"]) == "2 times “A” and “B”"
