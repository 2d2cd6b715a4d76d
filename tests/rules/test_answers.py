"""Answers: the strictest counts, more is never milder, numbers are counted for each person."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.rules.answers import Answer, answer_article, answer_party
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.energy import UNKNOWN, Amount
from rigleaf.rules.journey import Leg
from rigleaf.rules.register import published, register_of
from rigleaf.rules.rulings import STRICTNESS
from tests.rules.kit import TODAY, article, bank, carrier, installed, leg, part, published_rule, spare

STATES = ("DE", "GB", "US", "CA", "AU", "NZ", "CN", "KR", "JP", "NA", "ICAO", "IATA")
WATT_HOURS = st.decimals("0.1", "400", places=1)
MAKERS = st.sampled_from([bank, spare, installed])
DAYS = st.dates(dt.date(2024, 1, 1), dt.date(2028, 1, 1))
STRICT = carrier(
    "strict",
    cabin={"size": "50 x 40 x 20 cm", "mass": "5 kg", "pieces": 1},
    rules=[
        {"id": "one", "says": "One bank.", "of": ["power bank"], "where": ["cabin", "person"], "word": "may fly",
         "most": 1},
        {"id": "large", "says": "None above 100 Wh.", "of": ["power bank", "spare battery"], "cells": ["lithium-ion"],
         "where": ["cabin", "person"], "energy": "over 100 Wh", "word": "stays home"},
    ],
)  # fmt: skip
MILD = carrier(
    "mild",
    rules=[{"id": "all", "says": "All welcome.", "of": ["power bank"], "where": ["cabin", "hold"], "word": "may fly"}],
)


def rank(answer: Answer) -> int:
    return STRICTNESS[answer.word]


@settings(deadline=None)
@given(MAKERS, WATT_HOURS, st.sampled_from(STATES), st.sampled_from(STATES), DAYS)
def test_another_state_never_makes_an_answer_milder(
    make: object, energy: Decimal, state: str, other: str, day: dt.date
) -> None:
    one = make(str(energy))  # type: ignore[operator]
    before = answer_article(one, leg(state, on=day))
    after = answer_article(one, leg(state, other, on=day))
    assert rank(after) >= rank(before)
    assert all(STRICTNESS[after.at(place)] >= STRICTNESS[before.at(place)] for place in one.places)


@settings(deadline=None)
@given(MAKERS, WATT_HOURS, st.sampled_from(STATES), st.sampled_from([STRICT, MILD]))
def test_another_carrier_never_makes_an_answer_milder(make: object, energy: Decimal, state: str, added: object) -> None:
    one = make(str(energy))  # type: ignore[operator]
    before = answer_article(one, leg(state))
    after = answer_article(one, leg(state, carriers=(added,)))  # type: ignore[arg-type]
    assert rank(after) >= rank(before)


@pytest.mark.parametrize("known", [UNKNOWN, Amount(Decimal(90), Decimal(110), "doubtful voltage")])
@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("other", STATES)
def test_nor_does_it_where_something_is_unknown(state: str, other: str, known: Amount) -> None:
    one = replace(bank("1"), energy=known)
    assert rank(answer_article(one, leg(state, other))) >= rank(answer_article(one, leg(state)))


@settings(deadline=None)
@given(MAKERS, WATT_HOURS, WATT_HOURS, st.sampled_from(STATES), DAYS, st.integers(1, 4))
def test_more_energy_is_never_milder(
    make: object, one: Decimal, other: Decimal, state: str, day: dt.date, count: int
) -> None:
    less, more = (
        answer_article(make(str(energy), count), leg(state, on=day))  # type: ignore[operator]
        for energy in sorted((one, other))
    )
    assert rank(more) >= rank(less)


@settings(deadline=None)
@given(st.integers(1, 30), st.integers(1, 30), st.integers(1, 3), st.sampled_from(STATES))
def test_more_pieces_are_never_milder_and_more_travellers_never_stricter(
    few: int, more: int, travellers: int, state: str
) -> None:
    few, more = sorted((few, more))
    for make in (bank, spare):
        lesser, greater = (answer_article(make("50", count), leg(state), None, travellers) for count in (few, more))
        shared = answer_article(make("50", more), leg(state), None, travellers + 1)
        assert rank(lesser) <= rank(greater)
        assert rank(shared) <= rank(greater)
        assert shared.may_go >= greater.may_go


@settings(deadline=None)
@given(DAYS, st.sampled_from(STATES), MAKERS, WATT_HOURS)
def test_answers_rest_on_rules_in_force_alone(day: dt.date, state: str, make: object, energy: Decimal) -> None:
    answer = answer_article(make(str(energy)), leg(state, on=day))  # type: ignore[operator]
    for ruling in (*answer.others, *(ruling for one in answer.places.values() for ruling in one.all)):
        assert ruling.rule.in_force(day)


def test_numbers_are_pooled_over_articles_and_shared_among_travellers() -> None:
    party = [bank("120", 2), spare("150", 1)]
    alone = answer_party(party, [leg("US")])
    assert [answer.word for answer in alone] == ["stays home", "stays home"]
    assert "3 are carried that count together" in alone[0].sentence
    two = answer_party(party, [leg("US")], travellers=2)
    assert [answer.word for answer in two] == ["ask first", "ask first"]
    apart = answer_party(party, [leg("ICAO")])
    assert [answer.word for answer in apart] == ["ask first", "ask first"]


def test_of_too_many_some_may_go() -> None:
    answer = answer_article(bank("74", 3), leg())
    assert (answer.word, answer.may_go, answer.where) == ("stays home", 2, ("cabin", "person"))
    assert answer.sentence.startswith("Of 3 × Bank, 2 may fly in the cabin or on the person, not more.")


def test_beyond_a_number_that_may_be_asked_for_all_may_go_once_asked() -> None:
    answer = answer_article(spare("16", 21), leg())
    assert (answer.word, answer.may_go) == ("ask first", 21)
    assert "20 need no asking" in answer.sentence


def test_the_strictest_leg_counts() -> None:
    legs = [leg("DE"), leg("NA", carriers=(STRICT,))]
    answer = answer_party([bank("120")], legs)[0]
    assert answer.word == "stays home"
    assert answer.rule.id == "strict--large"
    assert answer.rule.by == "The strict"


def test_the_state_that_licenses_a_carrier_counts_as_touched() -> None:
    american = carrier("american", state="US")
    assert answer_article(article("sundry", form="gas cartridge", volume="21 ml"), leg("NA")).word == "ask first"
    found = answer_article(article("sundry", form="gas cartridge", volume="21 ml"), leg("NA", carriers=(american,)))
    assert (found.word, found.rule.id) == ("stays home", "us-gas-cartridge")


@pytest.mark.parametrize("legs", [[], [Leg(TODAY, ())]])
def test_a_journey_touches_states(legs: list[Leg]) -> None:
    with pytest.raises(ValueError, match="each of them a state"):
        answer_party([bank("74")], legs)


def test_a_doubtful_energy_is_asked_about_only_where_it_matters() -> None:
    usb = [{"kind": "USB-A"}]
    doubtful = article("battery", chemistry="lithium-ion", charge="26.8 Ah", outlets=usb, installed=False)
    answer = answer_article(doubtful, leg())
    assert answer.word == "say more"
    assert "between 96.48 and 103.18 Wh" in answer.sentence
    assert answer.missing == ("energy",)
    clear = article("battery", chemistry="lithium-ion", charge="20 Ah", outlets=usb, installed=False)
    assert answer_article(clear, leg()).word == "may fly"
    large = article("battery", chemistry="lithium-ion", nominal_voltage="12 V", charge="50 Ah", installed=False)
    assert answer_article(large, leg()).word == "stays home"  # 180 Wh at the least


def test_a_12_v_lifepo4_battery_of_8_ah_is_not_taken_for_96_wh() -> None:
    answer = answer_article(article("battery", chemistry="lifepo4", nominal_voltage="12 V", charge="8 Ah"), leg())
    assert answer.word == "say more"
    assert "between 96 and 105.6 Wh" in answer.sentence
    assert "taken as loose" in answer.sentence


def test_an_unsaid_chemistry_is_asked_for() -> None:
    answer = answer_article(article("battery", marked_energy="50 Wh", installed=False), leg())
    assert (answer.word, "chemistry" in answer.missing) == ("say more", True)
    assert "lithium-ion, lead-acid or another" in answer.sentence


def test_button_cells_fly_without_a_word_on_their_lithium_but_large_cells_do_not() -> None:
    button = article("battery", chemistry="lithium-metal", charge="0.22 Ah", installed=False)
    assert answer_article(button, leg()).word == "may fly"
    large = article("battery", chemistry="lithium-metal", charge="5 Ah", installed=False)
    assert answer_article(large, leg()).word == "say more"
    huge = article("battery", chemistry="lithium-metal", charge="9 Ah", installed=False)
    assert answer_article(huge, leg()).word == "stays home"


def test_a_tool_that_cannot_be_judged_for_the_cabin_goes_into_the_hold() -> None:
    answer = answer_article(article("tool", length="16 cm"), leg())
    assert (answer.word, answer.where, answer.at("cabin")) == ("may fly", ("hold",), "say more")
    assert "In the cabin it cannot be judged: the length of blade or shaft is unsaid." in answer.sentence
    short = answer_article(article("tool", length="55 mm"), leg())
    assert short.where == ("cabin", "hold")


def test_a_tool_within_the_error_of_the_ruler_is_not_judged() -> None:
    assert answer_article(article("tool", length="177.8 mm"), leg("US")).at("cabin") == "may fly"
    assert answer_article(article("tool", length="177.8 mm +- 0.5 mm"), leg("US")).at("cabin") == "say more"


def test_where_no_list_was_read_the_airport_is_asked() -> None:
    assert answer_article(article("tool", length="55 mm"), leg("NA")).at("cabin") == "ask first"
    assert answer_article(article("tripod"), leg("NA")).at("cabin") == "ask first"
    assert answer_article(article("tripod"), leg("US")).at("cabin") == "may fly"


def test_a_liquid_that_may_burn_is_asked_about() -> None:
    assert answer_article(article("liquid", volume="60 ml"), leg()).word == "say more"
    assert answer_article(article("liquid", volume="60 ml", flammable=False), leg()).word == "may fly"
    large = answer_article(article("liquid", volume="250 ml", flammable=False), leg())
    assert (large.word, large.where) == ("may fly", ("hold",))


def test_what_may_ride_in_a_cabin_bag_may_have_to_leave_it_at_the_gate() -> None:
    assert answer_article(spare("50"), leg("US")).at("gate") == "stays home"
    assert answer_article(installed("50"), leg("US")).at("gate") == "may fly"
    assert answer_article(installed("50"), leg("DE")).at("gate") == "stays home"


def test_within_china_a_power_bank_needs_its_mark() -> None:
    stated = {"chemistry": "lithium-ion", "marked_energy": "74 Wh", "outlets": [{"kind": "USB-C"}], "installed": False}
    banks = [article("battery", **{**stated, "ccc_mark": mark}) for mark in (True, False, None)]
    words = [answer_article(one, leg("CN")).word for one in banks]
    assert words == ["may fly", "stays home", "say more"]


def test_a_carrier_weighs_and_measures_bags() -> None:
    def asked(**stated: object) -> Answer:
        bag = part("bag", goes_in="cabin", mass="1 kg", **stated)
        return answer_article(articles_of(bag)[0], leg(carriers=(STRICT,)))

    assert asked(outer="50 x 40 x 20 cm", load_limit="4 kg").word == "may fly"
    assert asked(outer="50 x 40 x 20.1 cm", load_limit="4 kg").rule.id == "strict--cabin-too-large"
    assert asked(outer="50 x 40 x 20 cm", load_limit="5 kg").word == "say more"
    assert "outer size is unsaid" in asked(load_limit="4 kg").sentence


def test_only_bags_for_the_cabin_are_counted_there() -> None:
    bags: list[Article] = []
    for count, goes_in in ((1, "cabin"), (3, "hold")):
        bags += articles_of(
            part("bag", outer="50 x 40 x 20 cm", mass="1 kg", load_limit="4 kg", goes_in=goes_in), count
        )
    cabin, hold = answer_party(bags, [leg(carriers=(STRICT,))])
    assert (cabin.word, hold.word) == ("may fly", "may fly")
    assert answer_party([replace(bags[0], count=2)], [leg(carriers=(STRICT,))])[0].may_go == 1


def test_a_guide_has_the_last_word_on_published_rules() -> None:
    own = published_rule("own", of=["power bank"], where=["cabin", "person"], word="stays home")
    answer = answer_article(bank("74"), leg(), register_of((own,)))
    assert (answer.word, answer.rule.id) == ("stays home", "own")


def test_conditions_come_with_the_answer_and_others_are_at_hand() -> None:
    answer = answer_article(bank("120"), leg())
    assert "Neither use nor charge it in flight." in answer.provided
    assert answer.rule.id == "icao-power-bank-large"
    assert {"icao-power-bank-two", "icao-power-bank-hold"} <= {ruling.rule.id for ruling in answer.others}
    ranks = [STRICTNESS[ruling.word] for ruling in answer.others]
    assert ranks == sorted(ranks, reverse=True)


@pytest.mark.parametrize("state", STATES)
def test_every_sort_of_thing_gets_an_answer_everywhere(state: str) -> None:
    sorts = {sort for rule in published().rules.values() for sort in rule.body.of}
    for sort in sorts:
        answer = answer_article(Article("Thing", sort), leg(state))
        assert answer.sentence.startswith("Thing ")
        assert answer.sentence.endswith(".")
