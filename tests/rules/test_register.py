"""The rules of the package: complete, dated, and in the order of who makes them."""

import datetime as dt
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.models.flight_fields import BODIES
from rigleaf.catalogue.states import state_of_zone, states
from rigleaf.rules.register import published, register_of
from tests.rules.kit import published_rule

DAYS = st.dates(dt.date(2000, 1, 1), dt.date(2040, 1, 1))


def test_every_rule_says_where_it_stands() -> None:
    rules = published().rules
    assert len(rules) > 100
    for rule in rules.values():
        body = rule.body
        assert rule.document
        assert rule.confidence in ("high", "medium", "low")
        assert body.says.endswith(".")
        assert body.since is not None or rule.read == "no" or rule.confidence == "low", rule.id
        assert rule.authority in BODIES or rule.authority in states()
        assert all(condition.endswith(".") for condition in body.provided), rule.id


def test_no_two_rules_say_the_same_words_of_one_authority() -> None:
    said = Counter((rule.authority, rule.body.says) for rule in published().rules.values())
    assert [words for words, count in said.items() if count > 1] == []


@settings(deadline=None)
@given(DAYS, st.sampled_from(["DE", "GB", "US", "NA", "JP", "ICAO"]))
def test_only_rules_in_force_are_used(day: dt.date, state: str) -> None:
    for rule in published().in_force(state, day):
        assert rule.body.since is None or rule.body.since <= day
        assert rule.body.until is None or day <= rule.body.until


def test_the_addendum_of_march_2026_takes_over_on_its_day() -> None:
    before, after = ({rule.id for rule in published().in_force("ICAO", dt.date(2026, 3, day))} for day in (26, 27))
    assert "icao-power-bank-large-until-2026" in before - after
    assert "icao-power-bank-two" in after - before


def test_who_keeps_whose_rules() -> None:
    register = published()
    assert register.authorities("US") == ("US", "everywhere")
    assert register.authorities("DE") == ("DE", "EU", "IATA", "ICAO", "everywhere")
    assert register.authorities("NO")[1] == "EU"
    assert register.authorities("NA") == ("NA", "IATA", "ICAO", "everywhere")
    assert register.authorities("ICAO") == ("ICAO", "everywhere")
    assert register.authorities("IATA") == ("IATA", "ICAO", "everywhere")


def test_states_named_in_the_data_exist() -> None:
    register = published()
    assert set(register._bloc) | set(register._keeps) <= set(states())
    assert len(register._bloc) == 31  # 27 members, Norway, Iceland, Liechtenstein, Switzerland


def test_new_editions_that_are_due_are_told() -> None:
    assert published().known == dt.date(2026, 11, 25)
    assert published().stale(dt.date(2026, 12, 31)) == ""
    assert "Technical Instructions" in published().stale(dt.date(2027, 8, 2))


def test_a_guide_adds_rules_and_takes_the_place_of_known_ones() -> None:
    own = (published_rule("own-rule"), published_rule("icao-over-160", authority="ICAO", says="Anew."))
    register = register_of(own)
    assert register.rules["icao-over-160"].body.says == "Anew."
    assert len(register.rules) == len(published().rules) + 1
    assert register_of(()) is published()
    assert register_of(own).due == published().due
    assert published().rules["icao-over-160"].body.says != "Anew."


def test_a_guide_that_has_read_the_new_editions_is_no_longer_reminded() -> None:
    later = register_of((), dt.date(2027, 1, 15))
    assert (later.known, later.stale(dt.date(2027, 8, 2))) == (dt.date(2027, 1, 15), "")
    early = register_of((), dt.date(2026, 12, 1))
    assert (early.known, bool(early.stale(dt.date(2027, 8, 2)))) == (dt.date(2026, 12, 1), True)
    assert register_of((), dt.date(2020, 1, 1)).known == published().known


@pytest.mark.parametrize(("zone", "state"), [("Europe/Berlin", "DE"), ("Africa/Windhoek", "NA"), ("Nowhere", None)])
def test_the_state_of_a_time_zone(zone: str, state: str | None) -> None:
    assert state_of_zone(zone) == state
    assert state_of_zone(None) is None
