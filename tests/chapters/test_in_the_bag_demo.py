"""The demo's bags: every packing that a page shows is checked, and packing takes no more steps than it may."""

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_bag.kit import rules_of
from rigleaf.chapters.in_the_bag.packed import STEPS, packed
from rigleaf.chapters.in_the_bag.study import study
from rigleaf.packing.boxes import Piece
from rigleaf.packing.checker import faults_of

MOST_BYTES = 6_500


def test_every_packing_of_the_demo_passes_the_checker(demo: Catalogue) -> None:
    for rig in demo.rigs.values():
        assembly = Assembly(demo, rig)
        found = packed(assembly)
        pieces = [piece or Piece("unsaid", (1.0, 1.0, 1.0)) for piece in found.kit.pieces]
        for bag in found.bags:
            assert faults_of(bag.bag.to_pack(), pieces, bag.packing, rules_of(assembly)) == [], (rig.id, bag.bag.key)
        assert found.steps <= 2 * (STEPS + len(pieces) * len(found.bags))


def test_plates_stay_small_and_hold_every_number(demo: Catalogue) -> None:
    for rig in demo.rigs.values():
        assert [one.id for one in study(Assembly(demo, rig)).drawings if len(one.svg) > MOST_BYTES] == []


def test_the_training_rig_is_told_what_does_not_fit(demo: Catalogue) -> None:
    found = study(Assembly(demo, demo.rigs["workshop-misfits"]))
    assert found.worst == "fails"
    assert "cannot go into Small rucksack for under the seat" in found.findings[0].sentence
