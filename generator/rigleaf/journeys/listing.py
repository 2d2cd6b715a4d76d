"""Everything that goes along as a page lists it: items, bags, batteries, other articles, and what is left."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.figures import Verdict
from rigleaf.chapters.in_the_bag.packed import PackedBag
from rigleaf.journeys.choosing import with_inside
from rigleaf.journeys.flights import Flights, stowage
from rigleaf.journeys.judging import Judged, Ruled, mass_of, mass_with, spot_of
from rigleaf.journeys.result import (
    ArticleStudy,
    BagStudy,
    BatteryState,
    BatteryStudy,
    Left,
    Place,
    RuleNote,
    TravelItem,
    TravellerStudy,
)
from rigleaf.journeys.stowing import LeftOver, Stowed, limit_of
from rigleaf.journeys.words import IN_SPOT, named, names, number_word, rule_note, say
from rigleaf.rules.articles import BATTERIES, Article
from rigleaf.rules.rulings import STRICTNESS
from rigleaf.rules.sentences import energy_words, plain

_STATES: dict[str, BatteryState] = {
    "installed battery": "installed",
    "spare battery": "loose",
    "power bank": "power bank",
    "removable bag battery": "installed",
    "fixed bag battery": "installed",
}


def items(stowed: Stowed) -> Iterator[TravelItem]:
    """Yield every part that was meant to go along, with where it is."""
    for load in stowed.plan.cargo.loads:
        places = [
            Place(
                "" if piece.bag is None else stowed.plan.bags[piece.bag].key,
                spot_of(stowed, piece),
                piece.traveller,
                piece.count,
            )
            for piece in stowed.pieces
            if piece.part.id == load.part.id
        ]
        places += [Place("", None, "", one.count) for one in stowed.left if one.part.id == load.part.id]
        yield TravelItem(load.part.id, load.part.name, load.count, load.rigs, tuple(places))


def travellers(stowed: Stowed, judged: Judged | None, called: dict[str, str]) -> Iterator[TravellerStudy]:
    """Yield who travels with what."""
    for who in stowed.plan.people:
        mass = mass_with(stowed, who)
        yield TravellerStudy(
            id=who,
            called=called[who],
            bags=tuple(bag.key for bag in stowed.plan.bags if bag.traveller == who),
            worn=tuple((p.part.name, p.count) for p in stowed.pieces if p.bag is None and p.traveller == who),
            mass=mass.total,
            mass_complete=mass.complete,
            word=judged.of(who) if judged is not None else None,
        )


def bags(stowed: Stowed, judged: Judged | None) -> Iterator[BagStudy]:
    """Yield every bag as packed."""
    plan = stowed.plan
    spare = plan.spare_load
    for number, (bag, packed) in enumerate(zip(plan.bags, stowed.packed.bags, strict=True)):
        mass = mass_of(stowed, number)
        own = bag.bag.part.mass.value if bag.bag.part.mass is not None else 0.0
        limits = [bag.bag.part.load_limit.value + own] if bag.bag.part.load_limit is not None else []
        allowed = limit_of(plan.flights, bag, 1) if plan.flights is not None else None
        unasked = limit_of(plan.flights, bag, 0) if plan.flights is not None else None
        ruled = next((one for one in judged.ruled if one.bag == number and one.article.sort == "bag"), None) if (
            judged is not None
        ) else None  # fmt: skip
        outer = bag.bag.part.outer or bag.bag.part.packed
        verdict = _load_verdict(mass.total - own, limits[0] - own if limits else None, spare, complete=mass.complete)
        load = _load_words(stowed, number, mass.total, limits[0] if limits else None, complete=mass.complete)
        limit = min([*limits, *([allowed] if allowed is not None else [])], default=None)
        yield BagStudy(
            key=bag.key,
            part=bag.bag.part.id,
            name=bag.bag.name,
            traveller=bag.traveller,
            spot=bag.spot,
            contents=tuple(_contents(stowed, number, packed)),
            mass=mass.total,
            mass_complete=mass.complete,
            limit=limit,
            unasked=unasked if unasked is not None and limit is not None and unasked < limit else None,
            outer=(outer.length, outer.width, outer.height) if outer is not None else None,
            fill=packed.fill,
            searched=bag.bag.inner is not None,
            word=ruled.word if ruled is not None else None,
            sentence=ruled.answer.sentence if ruled is not None else load,
            rule=rule_note(ruled.answer.rule) if ruled is not None else None,
            verdict=verdict,
        )


def _contents(stowed: Stowed, number: int, packed: PackedBag) -> Iterator[tuple[str, int]]:
    """Yield parts with counts in the order in which they go in; what travels inside another part comes last."""
    order = list(dict.fromkeys(stowed.packed.kit.parts[index].id for index in packed.contents))
    counts = {piece.part.id: piece.count for piece in stowed.pieces if piece.bag == number}
    yield from ((id_, counts[id_]) for id_ in (*order, *(id_ for id_ in counts if id_ not in order)))


def _load_verdict(load: float, limit: float | None, spare: float, *, complete: bool) -> Verdict:
    if limit is None:
        return "unsaid"
    if load > limit * (1 + 1e-9):
        return "fails"
    if not complete:
        return "unsaid"
    return "tight" if load > limit * (1 - spare) * (1 + 1e-9) else "sound"


def _load_words(stowed: Stowed, number: int, mass: float, limit: float | None, *, complete: bool) -> str:
    guide, bag = stowed.plan.guide, stowed.plan.bags[number]
    least = "" if complete else "at least "
    words = f"{bag.bag.name} weighs {least}{say(guide, mass, 'mass')} packed"
    if limit is None:
        return f"{words}; what it may carry is unsaid."
    return f"{words} and may weigh {say(guide, limit, 'mass')}."


def _bag_name(stowed: Stowed, ruled: Ruled) -> str:
    return IN_SPOT[ruled.spot] if ruled.bag is None else stowed.plan.bags[ruled.bag].bag.name


def batteries(stowed: Stowed, judged: Judged | None) -> Iterator[BatteryStudy]:
    """Yield every battery, the largest first."""
    found = [*_batteries_along(stowed, judged), *_batteries_left(stowed)]
    yield from sorted(found, key=lambda one: (-(one.energy or 0.0), one.part, one.bag, one.traveller))


def _batteries_along(stowed: Stowed, judged: Judged | None) -> Iterator[BatteryStudy]:
    ruled = judged.ruled if judged is not None else ()
    for one in ruled:
        if one.part is not None and one.article.sort in _STATES:
            key = "" if one.bag is None else stowed.plan.bags[one.bag].key
            yield _battery(
                one.part, one.article, one.article.count, key, _bag_name(stowed, one), one, one.answer.sentence
            )
    for piece in stowed.pieces:
        spot = spot_of(stowed, piece)
        for article in stowed.plan.articles[piece.part.id]:
            if article.sort in BATTERIES and (judged is None or stowage(spot, article) is None):
                bag = None if piece.bag is None else stowed.plan.bags[piece.bag]
                key, name = ("", IN_SPOT[spot]) if bag is None else (bag.key, bag.bag.name)
                words = f"{named(piece.part.name, piece.count)}: {energy_words(article.energy)}."
                found = _battery(piece.part, article, piece.count, key, name, None, words)
                yield replace(found, spot=spot, traveller=piece.traveller)


def _batteries_left(stowed: Stowed) -> Iterator[BatteryStudy]:
    for one in stowed.left:
        for article in stowed.plan.articles[one.part.id]:
            if article.sort in BATTERIES:
                left = left_over(stowed, one)
                yield BatteryStudy(
                    *_facts(one.part, article, one.count), "", "left", None, "",
                    "stays home" if stowed.plan.flights is not None else None, left.sentence, (), left.rule,
                )  # fmt: skip


def _facts(part: Part, article: Article, count: int) -> tuple[str, str, int, float | None, str, str, BatteryState]:
    energy = article.energy
    exact = float(energy.least) if energy.exact and energy.most is not None else None
    chemistry = part.chemistry if isinstance(part, Battery) else "lithium-ion"
    return part.id, article.name, count, exact, energy_words(energy), chemistry or "unsaid", _STATES[article.sort]


def _battery(
    part: Part, article: Article, count: int, key: str, bag_name: str, ruled: Ruled | None, sentence: str
) -> BatteryStudy:
    return BatteryStudy(
        *_facts(part, article, count),
        key,
        bag_name,
        ruled.spot if ruled is not None else None,
        ruled.traveller if ruled is not None else "",
        ruled.word if ruled is not None else None,
        sentence,
        ruled.answer.provided if ruled is not None else (),
        rule_note(ruled.answer.rule) if ruled is not None else None,
        _of_carriers(ruled) if ruled is not None else (),
    )


def _of_carriers(ruled: Ruled) -> tuple[RuleNote, ...]:
    """Return what carriers ask of an article where it is packed, besides the rule behind its answer."""
    found = ruled.answer.places.get(ruled.article.into[0])
    rules = [one.rule for one in found.all if one.rule.authority == "carrier" and not one.missing] if found else []
    return tuple(dict.fromkeys(rule_note(rule) for rule in rules if rule.id != ruled.answer.rule.id))


def articles(stowed: Stowed, judged: Judged | None) -> Iterator[ArticleStudy]:
    """Yield everything else that rules speak of, the strictest first."""
    found = [
        one
        for one in (judged.ruled if judged is not None else ())
        if one.part is not None and one.article.sort not in _STATES and one.article.sort != "bag"
    ]
    for one in sorted(found, key=lambda one: (-STRICTNESS[one.word], one.article.part, one.bag or 0)):
        assert one.part is not None  # noqa: S101 - chosen so
        yield ArticleStudy(
            part=one.part.id,
            name=one.part.name,
            count=one.article.count,
            sort=one.article.sort,
            bag="" if one.bag is None else stowed.plan.bags[one.bag].key,
            bag_name=_bag_name(stowed, one),
            spot=one.spot,
            traveller=one.traveller,
            word=one.word,
            sentence=one.answer.sentence,
            provided=one.answer.provided,
            rule=rule_note(one.answer.rule),
        )


def left_over(stowed: Stowed, one: LeftOver) -> Left:
    """Return what is left with the reason in words."""
    sentence, rule = _why(stowed, one)
    return Left(one.part.id, one.part.name, one.count, one.why, sentence, rule)


def _why(stowed: Stowed, one: LeftOver) -> tuple[str, RuleNote | None]:
    name, flights = named(one.part.name, one.count), stowed.plan.flights
    if one.why == "too heavy":
        return f"{name} would make a bag heavier than the carriers allow.", None
    if one.why == "no room":
        return f"No place was found for {name} in the bags that may hold {'it' if one.count == 1 else 'them'}.", None
    if flights is None:
        return f"There is no bag that {name} could go in.", None
    article = _strictest(stowed, one.part)
    if one.why == "no bag" and all(flights.word(article, place) != "stays home" for place in ("cabin", "hold")):
        return f"There is no bag that {name} could go in.", None
    if one.why == "number":
        return _too_many(stowed, flights, one)
    if one.why == "rule":
        answer = flights.alone(article, "cabin")
        words = f"{name} {'stays' if one.count == 1 else 'stay'} home."
    else:
        in_hold = flights.word(article, "hold") != "stays home"
        answer = flights.alone(article, "cabin" if in_hold else "hold")
        words = f"{name} may fly in the {'hold' if in_hold else 'cabin'} only, and no bag of this journey goes there."
    return f"{words} {answer.rule.body.says}", rule_note(answer.rule)


def _too_many(stowed: Stowed, flights: Flights, one: LeftOver) -> tuple[str, RuleNote]:
    """Return why some are too many: the number that is exceeded, and what uses it up."""
    articles = [article for article in stowed.plan.articles[one.part.id] if flights.counted(article)]
    rule = flights.limit_exceeded(articles[0], _party(stowed), len(stowed.plan.people))
    along: Counter[str] = Counter()
    for piece in stowed.pieces:
        if any(rule in flights.limits(article) for article in stowed.plan.articles[piece.part.id]):
            along[piece.part.name] += piece.count
    words = f"{named(one.part.name, one.count)} {'is' if one.count == 1 else 'are'} too many"
    if along:
        total, people = sum(along.values()), len(stowed.plan.people)
        who = "one person" if people == 1 else f"{number_word(people, 'person', 'people')}"
        words = f"{words}: {names(list(along.items()))} {'uses' if total == 1 else 'use'} up what {who} may take"
    return f"{words}. {rule.body.says}", rule_note(rule)


def _party(stowed: Stowed) -> list[Article]:
    """Return everything that the journey was meant to take, as rules see it."""
    return [
        replace(article, count=load.count)
        for load in stowed.plan.cargo.loads
        for article in stowed.plan.articles[load.part.id]
    ]


def _strictest(stowed: Stowed, part: Part) -> Article:
    """Return the article of a part that fares worst: the part itself, or a battery that is installed in it."""
    plan = stowed.plan
    assert plan.flights is not None  # noqa: S101 - asked before
    flights = plan.flights
    return max(with_inside(plan, part), key=lambda one: STRICTNESS[flights.word(one, "cabin")])


def energy_text(article: Article) -> str:
    """Write an energy for a letter: "153.6 Wh", or that it is unsaid."""
    energy = article.energy
    if energy.most is None or not energy.exact:
        return "____ Wh (not marked)"
    return f"{plain(Decimal(energy.least))} Wh"
