"""The demo's journeys: what they show, that they are quick, always the same, and silent about what is private."""

import time
from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.methods import methods
from rigleaf.journeys.private import private_list
from rigleaf.journeys.result import TripStudy
from rigleaf.journeys.study import study_trip

SECONDS = 2.0
Entry = TypeVar("Entry")


@pytest.fixture(scope="module")
def studies(demo: Catalogue) -> dict[str, TripStudy]:
    return {id_: study_trip(demo, trip) for id_, trip in demo.trips.items()}


def test_each_shows_another_answer(studies: dict[str, TripStudy]) -> None:
    assert {id_: found.headline.word for id_, found in studies.items()} == {
        "eclipse-for-two": "may fly",
        "february-by-cabin": "may fly",
        "godwit-to-the-fell": "stays home",
        "winter-in-the-south": "ask first",
    }


def test_the_way_out_of_the_one_that_cannot_go(studies: dict[str, TripStudy]) -> None:
    found = studies["godwit-to-the-fell"]
    assert [left.part for left in found.left] == ["lfp-512"]
    assert [(way.kind, way.word) for way in found.ways_out] == [
        ("swap", "may fly"), ("swap", "ask first"), ("swap", "ask first"), ("leave", "may fly"),
    ]  # fmt: skip
    assert all(way.energy is not None and way.energy < 0 for way in found.ways_out[:3])


def test_nights_that_fail_are_named_at_the_head_with_the_mains_that_helps(studies: dict[str, TripStudy]) -> None:
    found = studies["february-by-cabin"]
    assert "But the batteries do not last through the nights: Heron 65 for hand luggage is short of " in (
        found.headline.sentence
    )
    (power,) = [one for one in found.nights_findings if one.id.startswith("power-")]
    assert power.remedy.startswith("Run from the mains of the place, which is on all night, or charge ")
    assert {one.bag: one.count for one in found.batteries if one.part == "lfp-cabin"} == {"seat-rucksack": 2}
    assert "do not last" not in studies["eclipse-for-two"].headline.sentence


def test_a_hold_bag_tells_what_goes_as_it_is_from_what_must_be_asked(studies: dict[str, TripStudy]) -> None:
    (case,) = [bag for bag in studies["winter-in-the-south"].bags if bag.part == "hold-case"]
    assert (case.unasked, case.limit) == (23.0, 32.0)
    (trolley,) = [bag for bag in studies["winter-in-the-south"].bags if bag.part == "cabin-trolley"]
    assert trolley.unasked is None


def test_power_banks_of_the_eclipse_are_shared(studies: dict[str, TripStudy]) -> None:
    found = studies["eclipse-for-two"]
    banks = [one for one in found.batteries if one.state == "power bank"]
    assert sum(one.count for one in banks) == 3
    assert {one.traveller for one in banks} == {"caller", "operator"}


def test_the_letter_of_the_one_that_must_ask(studies: dict[str, TripStudy]) -> None:
    (ask,) = studies["winter-in-the-south"].asks
    assert ask.letter.count("1 battery of 153.6 Wh, lithium-ion (lithium iron phosphate, LiFePO4)") == 2
    assert ask.how.startswith("By the form for special baggage")


def test_glass_stays_in_the_cabin(studies: dict[str, TripStudy], demo: Catalogue) -> None:
    for found in studies.values():
        for item in found.items:
            if demo.parts[item.part].kind in ("optic", "camera"):
                assert {place.spot for place in item.places} == {"cabin"}, (found.id, item.part)


def test_nothing_private_is_in_a_study(studies: dict[str, TripStudy], demo: Catalogue) -> None:
    secrets = {
        text
        for part in demo.parts.values()
        if part.private is not None
        for text in (part.private.serial, part.private.value, part.private.remarks)
        if text
    }
    assert len(secrets) > 3
    for found in studies.values():
        assert [secret for secret in secrets if secret in repr(found)] == []


def test_the_private_list_has_it_all(demo: Catalogue) -> None:
    trip = demo.trips["winter-in-the-south"]
    rows = {row.part: row for row in private_list(demo, trip)}
    assert rows["lfp-154"].count == 2
    assert {"cabin-rucksack", "hold-case", "heron-65"} <= set(rows)
    for id_, row in rows.items():
        known = demo.parts[id_].private
        assert row.serial == ((known.serial or "") if known else "")
        assert row.value == ((known.value or "") if known else "")
    assert list(rows.values()) == sorted(rows.values(), key=lambda row: row.name.casefold())


def test_every_finding_names_a_method_that_is_described(studies: dict[str, TripStudy]) -> None:
    for found in studies.values():
        findings = (*found.ground, *found.nights_findings, *(found.mains.findings if found.mains else ()))
        assert {one.method for one in findings} <= set(methods())
        assert len({one.id for one in findings}) == len(findings)


def test_sentences_are_whole(studies: dict[str, TripStudy]) -> None:
    for found in studies.values():
        sentences = [
            found.headline.sentence,
            *found.suggestions,
            *(left.sentence for left in found.left),
            *(way.sentence for way in found.ways_out),
            *(one.sentence for one in (*found.ground, *found.nights_findings)),
            *(text for change in found.changes for text in change.sentences),
        ]
        for sentence in sentences:
            assert sentence[0].isupper() or sentence[0].isdigit(), sentence
            assert sentence.endswith("."), sentence
            assert "  " not in sentence, sentence


def test_they_are_studied_in_time(demo: Catalogue, studies: dict[str, TripStudy]) -> None:
    assert studies  # what is kept between runs is there
    begin = time.process_time()
    for trip in demo.trips.values():
        study_trip(demo, trip)
    assert time.process_time() - begin < SECONDS


def test_studies_are_always_the_same(demo: Catalogue, studies: dict[str, TripStudy]) -> None:
    for id_, found in studies.items():
        assert study_trip(demo, demo.trips[id_]) == found


def turned_over(mapping: Mapping[str, Entry]) -> dict[str, Entry]:
    return dict(reversed(list(mapping.items())))


def test_the_order_of_the_yaml_changes_nothing(demo: Catalogue, studies: dict[str, TripStudy]) -> None:
    turned = replace(
        demo,
        parts=turned_over(demo.parts),
        rigs={
            id_: rig.model_copy(update={"carried": rig.carried[::-1], "power": rig.power[::-1]})
            for id_, rig in turned_over(demo.rigs).items()
        },
        carriers=turned_over(demo.carriers),
    )  # fmt: skip
    for id_, found in studies.items():
        trip = demo.trips[id_]
        other = trip.model_copy(
            update={
                "rigs": trip.rigs[::-1],
                "extras": trip.extras[::-1],
                "without": trip.without[::-1],
                "worn": trip.worn[::-1],
                "legs": tuple(leg.model_copy(update={"states": leg.states[::-1]}) for leg in trip.legs),
                "bags": tuple(bag.model_copy(update={"holds": bag.holds[::-1]}) for bag in reversed(trip.bags)),
            }
        )
        again = study_trip(turned, other)
        legs = tuple(
            replace(leg, states=was.states, state_names=was.state_names)
            for leg, was in zip(again.legs, found.legs, strict=True)
        )
        assert replace(again, legs=legs) == found, id_
