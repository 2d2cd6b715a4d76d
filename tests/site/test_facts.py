"""What a part's page says is known and what is unsaid."""

from typing import Any

import pytest

from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.site.shelf.facts import NOT_FACTS, Fact, facts, label
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer


def part(kind: str, **stated: Any) -> Part:
    return KINDS[kind].model.model_validate({"id": "some", "kind": kind, "name": "Some", **stated})


def told(kind: str, **stated: Any) -> tuple[dict[str, dict[str, Fact]], list[str]]:
    """Facts by group and key, and what is unsaid."""
    groups, unsaid = facts(part(kind, **stated), Writer("parts/some", Addresses()))
    return {heading: {fact.key: fact for fact in rows} for heading, rows in groups}, unsaid


def words(fact: Fact) -> str:
    return fact.value.striptags().replace("\xa0", " ").replace("\u202f", " ")


@pytest.mark.parametrize("kind", KINDS)
def test_a_part_that_states_nothing_has_everything_unsaid(kind: str) -> None:
    groups, unsaid = told(kind)
    assert groups == {}
    model = KINDS[kind].model
    known = {label(key).lower() for key in set(model.model_fields) - NOT_FACTS - part(kind).beside_the_point()}
    assert sorted(unsaid) == sorted(known)


def test_a_number_says_its_basis_and_what_else_was_said() -> None:
    mass = {"stated": "4.2 kg", "measured": "4.31 kg +- 0.02 kg", "on": "2026-03-21"}
    groups, unsaid = told("mount", mass=mass, capacity="13 kg")
    fact = groups[""]["mass"]
    assert words(fact) == "4.31 kg ± 0.02 kg 9.50 lb"
    assert fact.basis == "measured"
    assert fact.note == "measured on 2026-03-21; stated 4.2 kg"
    assert groups[""]["capacity"].basis == "stated"
    assert groups[""]["capacity"].note == ""
    assert "mass" not in unsaid
    assert "capacity with counterweight" in unsaid


def test_an_entry_inside_a_part_makes_a_group_and_its_gaps_are_named_with_it() -> None:
    groups, unsaid = told("camera", sensor={"pixels": "6248 x 4176", "pixel": "3.76 um"}, power={"working": "24 W"})
    assert words(groups["Sensor"]["pixels"]) == "6248 × 4176"
    assert words(groups["Power"]["working"]) == "24 W"
    assert {"sensor: bits", "sensor: mosaic", "power: idle", "guide sensor"} <= set(unsaid)
    assert "sensor" not in unsaid
    assert "sensor: pixel" not in unsaid


def test_entries_in_a_list_are_numbered_groups() -> None:
    bands = [{"centre": "656 nm", "width": "7 nm"}, {"centre": "501 nm", "width": "7 nm"}]
    groups, unsaid = told("filter", bands=bands)
    assert words(groups["Bands 1"]["centre"]) == "656 nm"
    assert words(groups["Bands 2"]["centre"]) == "501 nm"
    assert "bands" not in unsaid


def test_what_a_list_leaves_out_is_unsaid_too() -> None:
    _, unsaid = told(
        "filter", bands=[{"centre": "656 nm", "width": "7 nm"}, {"centre": "501 nm", "transmission": "90 %"}]
    )
    assert [one for one in unsaid if one.startswith("bands")] == ["bands 1: transmission", "bands 2: width"]


@pytest.mark.parametrize(
    ("kind", "stated", "key", "shown"),
    [
        ("optic", {"needs_collimation": False}, "needs_collimation", "no"),
        ("optic", {"needs_collimation": True}, "needs_collimation", "yes"),
        ("mount", {"saddles": ["44 mm", "75 mm"]}, "saddles", "44 mm 1.73 in, 75 mm 2.95 in"),
        ("optic", {"packed": "500 x 200 x 200 mm"}, "packed", "500 × 200 × 200 mm 19.7 × 7.9 × 7.9 in"),
        ("optic", {"rear": "M54 x 0.75 male"}, "rear", "M54 × 0.75 male"),
        ("cable", {"gauge": 18}, "gauge", "18"),
        ("optic", {"form": "newtonian"}, "form", "newtonian"),
        ("optic", {"central_obstruction": "0 mm"}, "central_obstruction", "0 mm"),
    ],
)
def test_values_are_shown_in_words(kind: str, stated: dict[str, Any], key: str, shown: str) -> None:
    assert words(told(kind, **stated)[0][""][key]) == shown


@pytest.mark.parametrize("field", sorted(NOT_FACTS))
def test_what_is_shown_elsewhere_or_never_is_no_fact(field: str) -> None:
    given: dict[str, Any] = {"summary": "x", "photo": "x.jpg", "notes": "x", "asset": "x", "private": {"serial": "x"}}
    groups, unsaid = told("optic", **given)
    assert groups == {}
    assert label(field).lower() not in unsaid


@pytest.mark.parametrize(
    ("kind", "stated", "key", "basis"),
    [
        ("mount", {"mass": "4 kg"}, "mass", "stated"),
        ("mount", {"mass": {"measured": "4 kg"}}, "mass", "measured"),
        ("optic", {"form": "newtonian"}, "form", "stated"),
        ("optic", {"needs_collimation": True}, "needs_collimation", "stated"),
        ("optic", {"rear": "M54 x 0.75 male"}, "rear", "stated"),
        ("optic", {"packed": "500 x 200 x 200 mm"}, "packed", "stated"),
        ("optic", {"sun_filter": "other"}, "sun_filter", "stated"),
        ("cable", {"gauge": 18}, "gauge", "stated"),
        ("mount", {"saddles": ["44 mm", "75 mm"]}, "saddles", "stated"),
        ("mount", {"saddles": [{"measured": "44 mm"}, "75 mm"]}, "saddles", "stated"),
        ("mount", {"saddles": [{"measured": "44 mm"}, {"measured": "75 mm"}]}, "saddles", "measured"),
    ],
)
def test_whatever_the_yaml_says_is_stated_unless_somebody_measured_it(
    kind: str, stated: dict[str, Any], key: str, basis: str
) -> None:
    assert told(kind, **stated)[0][""][key].basis == basis


def test_zero_is_a_value_and_not_a_gap() -> None:
    groups, unsaid = told("cable", owned=0)
    assert words(groups[""]["owned"]) == "0"
    assert "owned" not in unsaid


@pytest.mark.parametrize(
    ("key", "text"), [("focal_length", "Focal length"), ("mass", "Mass"), ("back_focus", "Back focus")]
)
def test_labels(key: str, text: str) -> None:
    assert label(key) == text


@pytest.mark.parametrize(("units", "shown"), [("metric", "10 kg 22.0 lb"), ("imperial", "22.0 lb 10 kg")])
def test_units_of_the_guide_come_first(units: str, shown: str) -> None:
    ((_, (fact,)),), _ = facts(part("mount", mass="10 kg"), Writer("parts/some", Addresses(), units))
    assert words(fact) == shown
