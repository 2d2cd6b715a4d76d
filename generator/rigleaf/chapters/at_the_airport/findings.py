"""Findings about articles: those with one answer for one reason are told together."""

from collections.abc import Sequence

from rigleaf.catalogue.models.flight_fields import Stowage
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport.flight import Flight
from rigleaf.chapters.at_the_airport.remedies import remedy
from rigleaf.chapters.at_the_airport.words import VERDICTS, called, first_of, source
from rigleaf.chapters.figures import Finding
from rigleaf.rules.answers import Answer
from rigleaf.rules.articles import BATTERIES, LOOSE
from rigleaf.rules.sentences import PLACES, asks, consent, kilograms

METHOD = "flight-answer"
MOST_CONDITIONS = 5


def answer_findings(assembly: Assembly, flight: Flight, answers: Sequence[Answer]) -> tuple[Finding, ...]:
    """Return a finding for each group of articles that may not simply fly."""
    groups: dict[tuple[object, ...], list[Answer]] = {}
    for answer in answers:
        if answer.word != "may fly":
            groups.setdefault(_reason(flight, answer), []).append(answer)
    return tuple(_finding(assembly, flight, group) for group in groups.values())


def _reason(flight: Flight, answer: Answer) -> tuple[object, ...]:
    """Return what articles must have in common to be told together."""
    if answer.word == "say more":
        return answer.word, answer.missing, answer.article.energy if "energy" in answer.missing else None
    return answer.word, answer.rule.id, answer.may_go > 0, answer.where, flight.better_bag(answer)


def _finding(assembly: Assembly, flight: Flight, group: list[Answer]) -> Finding:
    first = group[0]
    better = flight.better_bag(first)
    stays = first.word == "stays home" and not first.may_go
    names = first_of([called(answer) if stays else answer.article.name for answer in group])
    cure, parts = remedy(assembly, flight, group)
    loose = first.article.sort in LOOSE
    return Finding(
        f"{first.word.replace(' ', '-')}-{first.article.part}-{first.article.sort.replace(' ', '-')}",
        VERDICTS[first.word],
        f"{'Wrong bag' if better else first.word.capitalize()}: {names}",
        _misplaced(group) if better else _sentence(group),
        ("largest-loose",) if loose else (),
        "flight-energy" if "energy" in first.missing else METHOD,
        cure,
        parts,
    )


def _misplaced(group: list[Answer]) -> str:
    first = group[0]
    names = first_of([called(answer) for answer in group])
    place = PLACES[first.article.into[0]]
    return f"{names} may not fly {place}, where the rig packs it. {first.rule.body.says} Source: {source(first.rule)}."


def _sentence(group: list[Answer]) -> str:
    first = group[0]
    behind = f"Source: {source(first.rule)}." if first.word != "say more" else ""
    if first.word == "stays home" and not first.may_go:  # the title has named word and things
        return " ".join(filter(None, (_heavy(group), first.rule.body.says, behind)))
    if len(group) == 1:
        return f"{_one(first)} {behind}".strip()
    names = first_of([called(answer) for answer in group])
    where = first_of([PLACES[place] for place in first.where], "or") if first.where else ""
    match first.word:
        case "ask first":
            words = f"{names} may fly {where} {consent(first.article)}. {first.rule.body.says}"
        case "say more":
            words = f"{names} cannot be judged: {asks(first.article, first.missing)[0]}."
        case _:
            words = f"{names} may fly {where}, but not all together. {first.rule.body.says}"
    return f"{words} {behind}".strip()


def _heavy(group: list[Answer]) -> str:
    """Say what a bag weighs that stays home."""
    article = group[0].article
    if len(group) > 1 or article.sort != "bag" or not article.mass.exact:
        return ""
    return f"It weighs {kilograms(article.mass, group[0].rule.body.mass)} as packed."


def _one(answer: Answer) -> str:
    """Return the sentence of one article, without its name, which the title has, and without the cure of the remedy."""
    if answer.word != "say more":
        named = f"{answer.article.name} may fly "
        return (
            f"It may fly {answer.sentence.removeprefix(named)}"
            if answer.sentence.startswith(named)
            else answer.sentence
        )
    return f"{called(answer)} cannot be judged: {asks(answer.article, answer.missing)[0]}."


def passing_findings(flight: Flight, answers: Sequence[Answer]) -> tuple[Finding, ...]:
    """Return what may simply fly: the batteries with where they go, and all the rest."""
    passing = [answer for answer in answers if answer.word == "may fly"]
    batteries = [answer for answer in passing if answer.article.sort in BATTERIES]
    rest = [answer for answer in passing if answer not in batteries]
    found = []
    if batteries:
        words = " ".join((_by_place(batteries), *_conditions(flight, batteries)))
        found.append(Finding("batteries", "sound", "May fly: batteries", words, (), METHOD))
    if rest:
        found.append(Finding("rest", "sound", "May fly: the rest", _rest(flight, rest), (), METHOD))
    return tuple(found)


def _by_place(answers: Sequence[Answer]) -> str:
    groups: dict[tuple[Stowage, ...], list[str]] = {}
    for answer in answers:
        groups.setdefault(answer.where, []).append(called(answer))
    return " ".join(
        f"{first_of(names)} may fly {first_of([PLACES[place] for place in where], 'or')}."
        for where, names in groups.items()
    )


def _conditions(flight: Flight, answers: Sequence[Answer]) -> tuple[str, ...]:
    """Return the first conditions that come with the answers, and what holds at the gate."""
    said = dict.fromkeys(text for answer in answers for text in answer.provided)
    found = [text for text in said if "hold" in flight.places or not text.startswith("In the hold")][:MOST_CONDITIONS]
    leave = any(answer.at("gate") == "stays home" and answer.at("cabin") == "may fly" for answer in answers)
    gate = ("If a cabin bag is taken from you at the gate, take them out first.",) if leave else ()
    return (*found, *gate)


def _rest(flight: Flight, answers: Sequence[Answer]) -> str:
    """Say how many sorts of things may fly in any bag, and name those that may not go in each."""
    anywhere = [answer for answer in answers if set(answer.where) >= set(answer.article.places)]
    bound = [answer for answer in answers if answer not in anywhere]
    things = "1 other sort of thing" if len(anywhere) == 1 else f"{len(anywhere)} other sorts of things"
    where = PLACES["cabin"] if flight.places == ("cabin",) else "in any of the bags"
    words = f"{things} may fly {where}." if anywhere else ""
    return f"{words} {_by_place(bound) if bound else ''}".strip()
