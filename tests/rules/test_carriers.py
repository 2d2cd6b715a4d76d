"""What carriers lay down for bags and batteries, as rules; and the three of the demo."""

import datetime as dt

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.rules.answers import Answer, answer_party
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.journey import Leg
from rigleaf.rules.sentences import PLACES
from tests.rules.kit import bank, carrier, leg


def test_limits_become_rules_that_name_the_carrier() -> None:
    cabin = {"size": "55 x 40 x 23 cm", "mass": "8 kg", "pieces": 1}
    found = {rule.id: rule for rule in rules_of(carrier(cabin=cabin))}
    assert set(found) == {
        "carrier--cabin-size", "carrier--cabin-too-large", "carrier--cabin-mass", "carrier--cabin-too-heavy",
        "carrier--cabin-pieces",
    }  # fmt: skip
    assert found["carrier--cabin-too-large"].body.says == "The carrier takes cabin bags of up to 55 x 40 x 23 cm."
    assert found["carrier--cabin-pieces"].body.says == "The carrier takes one cabin bag for each person."
    assert all(rule.by == "The carrier" for rule in found.values())


def test_a_carrier_that_says_nothing_has_no_rules() -> None:
    assert rules_of(carrier()) == ()


def test_a_carriers_rule_has_its_days() -> None:
    rule = {"id": "a", "says": "None.", "of": ["power bank"], "where": ["cabin", "person"], "word": "stays home"}
    strict = carrier(rules=[{**rule, "since": "2026-06-01"}])
    words = [
        answer_party([bank("74")], [leg(on=day, carriers=(strict,))])[0].word
        for day in (dt.date(2026, 5, 31), dt.date(2026, 6, 1))
    ]
    assert words == ["may fly", "stays home"]


def fly(demo: Catalogue, rig: str, name: str) -> dict[str, Answer]:
    """Return the answers for a rig of the demo with one carrier, by part."""
    flown: Carrier = demo.carriers[name]
    party: list[Article] = []
    for item in demo.items(demo.rigs[rig]):
        party += articles_of(item.part, item.count)
    answers = answer_party(party, [Leg(dt.date(2026, 12, 10), ("DE",), (flown,))])
    return {answer.article.part: answer for answer in answers}


@pytest.mark.parametrize(
    ("rig", "name", "part", "word", "may_go"),
    [
        ("heron-cabin", "tannfalk", "lfp-cabin", "may fly", 2),
        ("heron-cabin", "merulane", "lfp-cabin", "stays home", 1),
        ("heron-cabin", "inselspatz", "lfp-cabin", "may fly", 2),
        # Four batteries are two too many for one person, whatever each of them is asked for.
        ("heron-south", "tannfalk", "lfp-154", "stays home", 2),
        ("heron-south", "merulane", "lfp-154", "stays home", 0),
        ("heron-south", "inselspatz", "lfp-154", "stays home", 0),
        ("heron-south", "tannfalk", "lens-fluid", "stays home", 0),
        ("heron-south", "tannfalk", "tripod-carbon", "may fly", 1),
        ("heron-eclipse", "tannfalk", "bank-usb", "may fly", 1),
        ("heron-eclipse", "merulane", "bank-usb", "stays home", 1),
        ("heron-cabin", "inselspatz", "cabin-trolley", "stays home", 0),
        ("heron-cabin", "tannfalk", "cabin-trolley", "say more", 0),
    ],
)
def test_the_rigs_of_the_demo(demo: Catalogue, rig: str, name: str, part: str, word: str, may_go: int) -> None:
    answer = fly(demo, rig, name)[part]
    assert (answer.word, answer.may_go) == (word, may_go), answer.sentence


def test_sentences_stand_alone_for_everything_that_the_demo_owns(demo: Catalogue) -> None:
    party = [article for part in demo.parts.values() for article in articles_of(part, 3)]
    for carrier_ in demo.carriers.values():
        for answer in answer_party(party, [leg("DE", "NA", carriers=(carrier_,))]):
            assert answer.article.name in answer.sentence
            assert answer.sentence.endswith(".")
            assert "  " not in answer.sentence
            assert ".." not in answer.sentence
            assert set(answer.where) <= set(PLACES)
