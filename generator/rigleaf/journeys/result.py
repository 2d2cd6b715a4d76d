"""What the study of a journey returns: plain data that never changes, without names, serial numbers or values.

Lengths in mm, masses in kg, energies in Wh, times in hours. Every ``sentence`` stands alone when read aloud.
"""

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.trip import Means, Spot
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.journeys.result_nights import MainsStudy, NightStudy

BatteryState = Literal["installed", "loose", "power bank"]
WayKind = Literal["other spot", "other person", "swap", "other bag", "send ahead", "leave"]
LeftReason = Literal["rule", "number", "no room", "too heavy", "no bag"]


@dataclass(frozen=True, slots=True)
class RuleNote:
    """A rule behind an answer.

    Attributes:
        id: of the rule; a carrier's begins with the carrier's id. It leads to the page of rules.
        by: who makes it: a state, a body or a carrier, by name.
        says: the rule in a plain sentence.
        document: where it stands, with edition and section; empty where that is unsaid.
        read: in what form it was read.
        confidence: high, medium or low.
    """

    id: str
    by: str
    says: str
    document: str
    read: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Headline:
    """The answer to the whole journey.

    Attributes:
        word: one of the four flight words where any leg flies; else one of the four verdicts.
        flies: whether any leg flies.
        sentence: the answer in a sentence or two.
        advice: that it is advice and no permission, by which rules of which day, and whether they must be read again.
    """

    word: FlightWord | Verdict
    flies: bool
    sentence: str
    advice: str


@dataclass(frozen=True, slots=True)
class LegStudy:
    """One leg.

    Attributes:
        number: from 1.
        date: day of departure.
        leaves, arrives: towns, as the journey says.
        by: how it is travelled.
        carrier: id of the carrier, empty where it is unsaid.
        carrier_name: its name, empty likewise.
        states: codes of all states that it touches, the carrier's own among them.
        state_names: the same by name.
        word: the strictest answer on this leg alone for what is packed; None where it does not fly.
        sentence: what is strict about it; empty where nothing is.
    """

    number: int
    date: dt.date
    leaves: str
    arrives: str
    by: Means
    carrier: str
    carrier_name: str
    states: tuple[str, ...]
    state_names: tuple[str, ...]
    word: FlightWord | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where some pieces of a part are.

    Attributes:
        bag: key of the bag (``BagStudy.key``); empty where they are worn, travel outside all bags or are left.
        spot: where that goes; None where they are left.
        traveller: id of the traveller; empty where they are left.
        count: how many.
    """

    bag: str
    spot: Spot | None
    traveller: str
    count: int


@dataclass(frozen=True, slots=True)
class TravelItem:
    """One part that goes along.

    Attributes:
        part: id of the part.
        name: what people call it.
        count: how many of it, all rigs and extras together.
        rigs: ids of the rigs that it belongs to; none for an extra.
        places: where its pieces are.
    """

    part: str
    name: str
    count: int
    rigs: tuple[str, ...]
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class BatteryStudy:
    """One sort of battery in one bag.

    Attributes:
        part: id of the part; of the bag where it is built into one.
        name: what people call it.
        count: how many of it here.
        energy: Wh of one; None where it is unsaid or not one value.
        energy_words: the energy in words, as rules see it.
        chemistry: in words; "unsaid" where nobody says it.
        state: installed in equipment, loose, or a power bank (what gives power to others).
        bag: key of the bag; empty where it is on the person or left.
        bag_name: what people call that bag, or "on the person", or "left".
        spot: where it goes; None where it is left.
        traveller: id of who carries it; empty where it is left.
        word: the answer where it is packed; "stays home" where it is left.
        sentence: the answer in words.
        provided: conditions that come with it.
        rule: the rule behind the answer; None where nothing flies.
        carriers: what else carriers ask of it where it is packed.
    """

    part: str
    name: str
    count: int
    energy: float | None
    energy_words: str
    chemistry: str
    state: BatteryState
    bag: str
    bag_name: str
    spot: Spot | None
    traveller: str
    word: FlightWord | None
    sentence: str
    provided: tuple[str, ...]
    rule: RuleNote | None
    carriers: tuple[RuleNote, ...] = ()


@dataclass(frozen=True, slots=True)
class ArticleStudy:
    """Another thing that rules speak of, such as a tool, a liquid or a tripod; fields as in ``BatteryStudy``."""

    part: str
    name: str
    count: int
    sort: str
    bag: str
    bag_name: str
    spot: Spot | None
    traveller: str
    word: FlightWord | None
    sentence: str
    provided: tuple[str, ...]
    rule: RuleNote | None


@dataclass(frozen=True, slots=True)
class BagStudy:
    """One bag as packed.

    Attributes:
        key: unique in the journey.
        part: id of the bag on the shelf.
        name: what people call it, with a number where several are alike.
        traveller: id of whose it is.
        spot: where it goes.
        contents: part ids with counts, in the order in which they go in (bottom layer first, then what fills the gaps).
        mass: kg as packed; a lower bound unless ``mass_complete``.
        mass_complete: whether every mass in it is known.
        limit: largest mass in kg as packed that its own load limit and all carriers allow; None where none is known.
        unasked: mass in kg up to which it goes as it is, where that is below ``limit`` and more must be asked for.
        outer: outer size in mm; None where it is unsaid.
        fill: part of its room that is used, 0 to 1; None where its inner size is unsaid.
        searched: whether its inner size is known, so that a place for each piece was searched and shown.
        word: the answer of the rules of flight for the bag itself; None where it does not fly.
        sentence: the answer in words; where it does not fly, how its load stands against its limit.
        rule: the rule behind the answer; None where it does not fly.
        verdict: how its load stands against what it bears itself.
    """

    key: str
    part: str
    name: str
    traveller: str
    spot: Spot
    contents: tuple[tuple[str, int], ...]
    mass: float
    mass_complete: bool
    limit: float | None
    outer: tuple[float, float, float] | None
    fill: float | None
    searched: bool
    word: FlightWord | None
    sentence: str
    rule: RuleNote | None
    verdict: Verdict
    unasked: float | None = None


@dataclass(frozen=True, slots=True)
class TravellerStudy:
    """One traveller.

    Attributes:
        id: name in the file.
        called: what the page calls this person.
        bags: keys of the bags.
        worn: names of what is worn or in pockets, with counts.
        mass: kg of all that this person takes along; a lower bound unless ``mass_complete``.
        word: the strictest answer for what this person takes; None where nothing flies.
    """

    id: str
    called: str
    bags: tuple[str, ...]
    worn: tuple[tuple[str, int], ...]
    mass: float
    mass_complete: bool
    word: FlightWord | None


@dataclass(frozen=True, slots=True)
class Left:
    """What cannot go along as the journey is planned.

    Attributes:
        part: id of the part.
        name: what people call it.
        count: how many of it.
        why: a rule bars it, too many count together, there is no room, the bag is too heavy, or no bag is for it.
        sentence: why, in words.
        rule: the rule behind it, where one is.
    """

    part: str
    name: str
    count: int
    why: LeftReason
    sentence: str
    rule: RuleNote | None


@dataclass(frozen=True, slots=True)
class WayOut:
    """What would make it go, computed from what the club owns; the best one first.

    Attributes:
        kind: another spot for a bag, another person for things, other parts in place of some, another bag, sent ahead,
            or left at home.
        sentence: what to do, and what comes of it.
        word: the answer to the whole journey then.
        parts: ids of the parts that the sentence names.
        energy: Wh that are left at the end of the hardest night then, below zero what it falls short by; None where
            the night's energy is not touched or unsaid.
    """

    kind: WayKind
    sentence: str
    word: FlightWord | Verdict
    parts: tuple[str, ...]
    energy: float | None = None


@dataclass(frozen=True, slots=True)
class Ask:
    """Who must be asked first: a carrier, or the checkpoints of the airports.

    Attributes:
        carrier: id; empty where the leg does not name one, and for checkpoints.
        carrier_name: its name, or "the carrier", or "the checkpoint".
        legs: numbers of the legs.
        what: what must be asked about, each a sentence with its rule's.
        how: how the carrier wants to be asked, as the guide says; empty where it does not.
        letter: a plain text to send, with blanks to fill in; empty where only bags are asked about.
    """

    carrier: str
    carrier_name: str
    legs: tuple[int, ...]
    what: tuple[str, ...]
    how: str
    letter: str


@dataclass(frozen=True, slots=True)
class Change:
    """What another carrier or another date of one leg would change, all else as it is.

    Attributes:
        leg: number of the leg.
        kind: "carrier" or "date".
        title: what is other: "with Merulane Airways" or "from 27 March 2026 on".
        carrier: id of the other carrier; empty for another date.
        since: first day of the other dates, until: last one; None for another carrier or where the year looked at ends.
        word: the answer to the whole journey then.
        sentences: the answers that differ, each in a sentence.
    """

    leg: int
    kind: Literal["carrier", "date"]
    title: str
    carrier: str
    since: dt.date | None
    until: dt.date | None
    word: FlightWord
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TripStudy:
    """What is known of one journey.

    Attributes:
        id, name, summary, notes: as the journey says.
        place: id of the place; empty where it is unsaid.
        place_name: its name.
        headline: the answer.
        legs: the legs in order.
        travellers: who travels.
        items: everything that goes along, with where it is.
        bags: every bag as packed.
        batteries: every battery, the largest first.
        articles: everything else that rules speak of, the strictest first.
        left: what cannot go along as planned.
        ways_out: what would make it go.
        asks: carriers that must be asked first.
        changes: what another carrier or date would change.
        same_on_other_days: that no other date changes an answer, in a sentence; empty where one does or nothing flies.
        ground: judgement of the legs that do not fly, and of bags and loads.
        nights: the nights at the place.
        nights_findings: what the nights are worth, and whether power lasts.
        mains: mains at the place; None where there is none or it is unsaid.
        found_there: what can be rented or found there.
        suggestions: what to think of, each a sentence.
    """

    id: str
    name: str
    summary: str
    notes: str
    place: str
    place_name: str
    headline: Headline
    legs: tuple[LegStudy, ...]
    travellers: tuple[TravellerStudy, ...]
    items: tuple[TravelItem, ...]
    bags: tuple[BagStudy, ...]
    batteries: tuple[BatteryStudy, ...] = ()
    articles: tuple[ArticleStudy, ...] = ()
    left: tuple[Left, ...] = ()
    ways_out: tuple[WayOut, ...] = ()
    asks: tuple[Ask, ...] = ()
    changes: tuple[Change, ...] = ()
    same_on_other_days: str = ""
    ground: tuple[Finding, ...] = ()
    nights: tuple[NightStudy, ...] = ()
    nights_findings: tuple[Finding, ...] = ()
    mains: MainsStudy | None = None
    found_there: tuple[str, ...] = ()
    suggestions: tuple[str, ...] = field(default=())
