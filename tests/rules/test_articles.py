"""What a checkpoint sees in parts of the catalogue."""

from decimal import Decimal
from typing import Any

import pytest

from rigleaf.quantities import parse_text
from rigleaf.rules.articles import articles_of
from tests.rules.kit import article, part

LFP = {"chemistry": "lifepo4", "nominal_voltage": "12.8 V", "charge": "12.5 Ah"}
USB = [{"kind": "USB-C", "count": 1}]
BARREL = [{"kind": "12 V barrel", "count": 1}, *USB]


@pytest.mark.parametrize(
    ("stated", "sort"),
    [
        ({"installed": True, "outlets": USB}, "installed battery"),
        ({"installed": False, "outlets": USB}, "power bank"),
        ({"installed": False}, "spare battery"),
        ({"outlets": BARREL}, "power bank"),
        ({}, "spare battery"),
    ],
)
def test_batteries_are_installed_spare_or_banks(stated: dict[str, Any], sort: str) -> None:
    found = article("battery", **LFP, **stated)
    assert found.sort == sort
    assert found.energy.least == Decimal(160)
    assert bool(found.taken) is ("installed" not in stated)


@pytest.mark.parametrize(
    ("chemistry", "cells"),
    [("lithium-polymer", "lithium-ion"), ("lifepo4", "lithium-ion"), ("nimh", "dry"), ("alkaline", "dry"),
     ("lithium-metal", "lithium-metal"), ("sealed lead-acid", "sealed lead-acid")],
)  # fmt: skip
def test_chemistry_as_rules_tell_it_apart(chemistry: str, cells: str) -> None:
    assert article("battery", chemistry=chemistry).cells == cells


def test_values_are_taken_from_their_text_in_any_unit() -> None:
    assert article("battery", chemistry="lithium-ion", marked_energy="0.1001 kWh").energy.least == Decimal("100.1000")
    assert article("tool", length="7 in").length.least == Decimal("177.8")
    assert article("liquid", volume="100 ml", flammable=False).volume.most == Decimal("0.100")
    grams = article("battery", chemistry="lithium-metal", lithium="2 g").lithium
    assert (grams.least, grams.most) == (Decimal(2), Decimal(2))


def test_only_a_bank_with_usb_outlets_alone_states_the_charge_of_its_cells() -> None:
    assert article("battery", chemistry="lithium-ion", charge="20 Ah", outlets=USB).energy.how == "cell voltage"
    assert article("battery", chemistry="lithium-ion", charge="20 Ah", outlets=BARREL).energy.how == "unknown"
    assert article("battery", chemistry="lithium-ion", charge="20 Ah").energy.how == "unknown"


def test_a_blade_is_no_longer_than_its_tool_and_a_ruler_has_an_error() -> None:
    tool = article("tool", length="178 mm +- 1 mm")
    assert (tool.length.least, tool.length.most) == (Decimal("177.0"), Decimal("179.0"))
    assert (tool.blade.least, tool.blade.most) == (Decimal(0), Decimal("179.0"))
    assert article("tool").blade.most is None
    assert article("tool", length="16 cm", blade="75 mm").blade.least == Decimal(75)


@pytest.mark.parametrize(
    ("form", "sort"),
    [(None, "hand tool"), ("power tool", "power tool"), ("knife", "knife"), ("laser pointer", "laser pointer"),
     ("torch", "other"), ("instrument", "other")],
)  # fmt: skip
def test_tools(form: str | None, sort: str) -> None:
    assert article("tool", form=form).sort == sort


@pytest.mark.parametrize(
    ("stated", "sort", "unsure"),
    [({"flammable": True}, "flammable liquid", ""), ({"flammable": False}, "liquid", ""), ({}, "liquid", "flammable"),
     ({"form": "compressed gas"}, "compressed gas", ""), ({"form": "fuel"}, "fuel", "")],
)  # fmt: skip
def test_liquids(stated: dict[str, Any], sort: str, unsure: str) -> None:
    found = article("liquid", **stated)
    assert (found.sort, found.unsure) == (sort, unsure)


@pytest.mark.parametrize(
    ("kind", "sort"),
    [("tripod", "tripod"), ("counterweight", "blunt piece"), ("counterweight-bar", "blunt piece"), ("camera", "other"),
     ("sundry", "other"), ("spare", "other"), ("cable", "other")],
)  # fmt: skip
def test_other_kinds(kind: str, sort: str) -> None:
    assert article(kind).sort == sort


def test_sundries_that_airports_ask_about() -> None:
    assert article("sundry", form="cable ties").sort == "cable ties"
    assert article("sundry", form="gas cartridge", volume="21 ml").volume.least == Decimal("0.021")


def test_a_bag_weighs_between_its_own_mass_and_its_load_limit_until_somebody_weighs_it() -> None:
    bag = part("bag", outer="38 x 55 x 22 cm", mass="2.4 kg", load_limit="12 kg", goes_in="cabin")
    (found,) = articles_of(bag)
    assert (found.mass.least, found.mass.most) == (Decimal("2.4"), Decimal("14.4"))
    assert found.sides == (Decimal(550), Decimal(380), Decimal(220))
    assert found.girth.least == Decimal(1150)
    assert found.places == ("cabin",)
    (weighed,) = articles_of(bag, packed_mass=parse_text("7.9 kg", "mass"))
    assert (weighed.mass.least, weighed.mass.most) == (Decimal("7.9"), Decimal("7.9"))


def test_an_article_goes_where_there_is_a_bag_for_it_and_a_loose_battery_into_a_pocket_too() -> None:
    battery = part("battery", chemistry="lithium-ion", installed=False)
    places = [articles_of(battery, into=into)[0].places for into in ((), ("cabin",), ("hold",), ("cabin", "hold"))]
    assert places == [("cabin", "person", "hold"), ("cabin", "person"), ("hold",), ("cabin", "person", "hold")]
    assert articles_of(part("camera"), into=("cabin",))[0].places == ("cabin",)


def test_sizes_in_centimetres_meet_limits_in_millimetres_exactly() -> None:
    assert article("bag", outer="55 x 35 x 22.5 cm").sides == (Decimal(550), Decimal(350), Decimal(225))


def test_a_bag_with_a_battery_makes_two_articles() -> None:
    bag, battery = articles_of(part("bag", battery="37 Wh", battery_removable=True), 2)
    assert (bag.sort, battery.sort, battery.count) == ("bag", "removable bag battery", 2)
    fixed = articles_of(part("bag", battery="37 Wh", battery_removable=False))[1]
    unsaid = articles_of(part("bag", battery="37 Wh"))[1]
    assert (fixed.sort, fixed.unsure) == ("fixed bag battery", "")
    assert unsaid.unsure == "battery_removable"


def test_what_nobody_says_of_a_battery_is_neither_true_nor_false() -> None:
    found = article("battery", chemistry="lithium-ion")
    assert found.true == frozenset()
    assert found.unsaid == {"no CCC mark", "unmarked"}
    assert article("battery", chemistry="lithium-ion", damaged=True, ccc_mark=False).true == {"damaged", "no CCC mark"}


@pytest.mark.parametrize(
    ("kinds", "or_else"), [((), None), (("12 V barrel",), "spare battery"), (("12 V barrel", "USB-C"), None)]
)
def test_a_pack_with_barrel_outlets_alone_may_be_called_either(kinds: tuple[str, ...], or_else: str | None) -> None:
    # As authorities define a power bank by its purpose, and none says it of a pack for one's own instruments: from
    # memory of their definitions, no source read.
    stated: dict[str, Any] = {"chemistry": "lifepo4", "outlets": [{"kind": kind} for kind in kinds]}
    (found,) = articles_of(part("battery", **stated))
    assert found.or_else == or_else
    assert found.called_otherwise.sort == (or_else or found.sort)
    assert found.called_otherwise.called_otherwise == found
    (inside,) = articles_of(part("battery", **stated, installed=True))
    assert inside.or_else is None
