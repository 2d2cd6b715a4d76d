"""The answer at the head of a journey, and leg by leg."""

from collections import Counter
from collections.abc import Iterator, Sequence

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.journeys.flights import NOWHERE, Flights
from rigleaf.journeys.judging import Judged, Ruled, judge
from rigleaf.journeys.result import Headline, LegStudy
from rigleaf.journeys.stowing import Stowed
from rigleaf.journeys.words import OUTCOMES, names, worst

ADVICE = (
    "This is advice and no permission: the operator, the airport and the states decide on the day, and they may ask "
    "for more than is written here."
)
_VERDICT_WORDS: dict[Verdict, str] = {
    "sound": "Nothing of this journey flies, and everything goes along with room to spare.",
    "tight": "Nothing of this journey flies; everything goes along, but some of it barely.",
    "fails": "Nothing of this journey flies, but not everything goes along as it is planned.",
    "unsaid": "Nothing of this journey flies; whether everything goes along cannot be told yet.",
}


def headline(
    stowed: Stowed, judged: Judged | None, flights: Flights | None, ground: Sequence[Finding], power: str = ""
) -> Headline:
    """Return the answer to the whole journey; ``power`` says where batteries do not last, which the word does not."""
    also = f" {power}" if power else ""
    if judged is None or flights is None:
        verdict: Verdict = "fails" if stowed.left else worst([one.verdict for one in ground])
        return Headline(verdict, False, f"{_VERDICT_WORDS[verdict]}{also}", "")
    return Headline(judged.word, True, f"{_sentence(stowed, judged)}{also}", _advice(flights))


def _sentence(stowed: Stowed, judged: Judged) -> str:
    if stowed.left:
        left = [(one.part.name, one.count) for one in stowed.left]
        many = sum(count for _, count in left) > 1
        words = f"Not as it is planned: {names(left)} cannot go along."
        return f"{words} Without {'them' if many else 'it'} {OUTCOMES[judged.rest]}."
    asked = _called(judged, judged.word)
    match judged.word:
        case "may fly":
            return "Everything may fly as it is packed here."
        case "ask first":
            return f"Everything may fly once you have asked about {asked}."
        case "say more":
            return f"Something is unsaid of {asked}, and without it nothing can be told."
    return f"Not as it is planned: {asked} may not fly like this."


def _called(judged: Judged, word: FlightWord) -> str:
    counts: Counter[str] = Counter()
    for one in judged.ruled:
        if one.word == word:
            counts[one.article.name] += one.article.count
    return names(list(counts.items()))


def _advice(flights: Flights) -> str:
    last = max(leg.on for leg in flights.legs)
    read = f"Rules were looked for up to {day(flights.register.known)}."
    stale = flights.register.stale(last)
    again = f" {stale} Read them again before you pack." if stale else ""
    return f"{ADVICE} {read}{again}"


def legs(catalogue: Catalogue, trip: Trip, judged: Judged | None, flights: Flights | None) -> Iterator[LegStudy]:
    """Yield every leg with the answer on it alone."""
    for number, leg in enumerate(trip.legs, 1):
        carrier = catalogue.carriers.get(leg.carrier or "")
        states, state_names = leg.states, leg.states
        word: FlightWord | None = None
        sentence = ""
        if flights is not None and judged is not None and number in flights.numbers:
            index = flights.numbers.index(number)
            own = (carrier.state,) if carrier is not None and carrier.state else ()
            states = tuple(dict.fromkeys((*leg.states, *own)))
            state_names = tuple(flights.register.name(state) for state in states)
            alone = judge(judged.stowed, flights.only(index))
            word, sentence = alone.rest, _on_leg(alone)
        yield LegStudy(
            number=number,
            date=leg.date,
            leaves=leg.leaves,
            arrives=leg.arrives,
            by=leg.by,
            carrier=leg.carrier or "",
            carrier_name=carrier.name if carrier is not None else "",
            states=states,
            state_names=state_names,
            word=word,
            sentence=sentence,
        )


def _on_leg(alone: Judged) -> str:
    if alone.rest == "may fly":
        return ""
    strict: list[Ruled] = [one for one in alone.ruled if one.word == alone.rest]
    return " ".join(dict.fromkeys(one.answer.sentence for one in strict))


def unsaid_of_legs(flights: Flights | None) -> Iterator[str]:
    """Yield what the legs do not say although it decides."""
    if flights is None:
        return
    nameless = [number for number, leg in zip(flights.numbers, flights.legs, strict=True) if not leg.carriers]
    nowhere = [number for number, leg in zip(flights.numbers, flights.legs, strict=True) if leg.states == (NOWHERE,)]
    if nameless:
        yield (
            f"Leg {listed([str(number) for number in nameless])} names no carrier: its limits for bags, and rules of "
            "its own, are not counted in. Describe it in carriers.yml."
        )
    if nowhere:
        yield (
            f"Leg {listed([str(number) for number in nowhere])} names no state: only what nearly all states keep is "
            "counted in. Write the states that it touches."
        )
