"""Judgement at the airport: what of the rig may fly, and where; what must be asked, stays home, or is unsaid."""

from collections.abc import Sequence

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport.findings import answer_findings, passing_findings
from rigleaf.chapters.at_the_airport.flight import Flight, flies, flight_of
from rigleaf.chapters.at_the_airport.words import behind, called, day, energy_of, first_of, in_full, why
from rigleaf.chapters.figures import Cell, Figure, Finding, Study, Table
from rigleaf.rules.answers import Answer
from rigleaf.rules.articles import BATTERIES, LOOSE
from rigleaf.rules.rulings import STRICTNESS
from rigleaf.rules.sentences import plain

CHAPTER, METHOD = "at-the-airport", "flight-answer"


def study(assembly: Assembly) -> Study:
    """Study what of one rig may fly, for one traveller; a rig that does not fly is not asked about."""
    if not assembly.items or not flies(assembly):
        return _stays(assembly)
    flight = flight_of(assembly)
    if flight is None:
        return Study(CHAPTER, findings=(_nowhere(),))
    answers = flight.answers()
    figures = _figures(flight, answers)
    findings = (*answer_findings(assembly, flight, answers), *passing_findings(flight, answers), *_again(flight))
    return Study(CHAPTER, figures, findings, tables=(*_batteries(answers), _table(answers)))


def _stays(assembly: Assembly) -> Study:
    """Return the chapter of a rig that does not fly: nothing is judged, which must not be read as a permission."""
    title = "Whether it flies"
    if not assembly.rig.travels:
        sentence = "How this rig travels is unsaid, so it was not asked whether it may fly."
        remedy = "State 'travels' of the rig: hand luggage or hold luggage, if it ever flies."
        return Study(CHAPTER, findings=(Finding("flies", "unsaid", title, sentence, (), METHOD, remedy),))
    how = f"travels by {first_of(assembly.rig.travels, 'or')}".replace("by on foot", "on foot")
    if "stays put" in assembly.rig.travels:
        how = "stays put"
    sentence = (
        f"Not asked: this rig {how}. That is no permission: what of it may fly is not known here. "
        "To ask, add 'hand luggage' or 'hold luggage' to 'travels' of the rig."
    )
    return Study(CHAPTER, not_asked=sentence)


def _nowhere() -> Finding:
    return Finding(
        "flies",
        "unsaid",
        "Whether it flies",
        "It is unsaid from which state this rig would leave, so no rule could be asked.",
        (),
        METHOD,
        "State 'state' or 'timezone' of the guide's place in places.yml.",
    )


def _figures(flight: Flight, answers: tuple[Answer, ...]) -> tuple[Figure, ...]:
    states = first_of([flight.register.name(state) for state in flight.leg.all_states])
    carrier = f", with {flight.carrier.name}" if flight.carrier else ", with no carrier named"
    loose = [answer.article for answer in answers if answer.article.sort in LOOSE]
    largest = max((article.energy.most for article in loose if article.energy.most is not None), default=None)
    figures = [
        *_strictest(answers, if_rules_hold=bool(flight.register.stale(flight.leg.on))),
        *_battery_answer(answers),
        Figure("judged-for", "Asked for one traveller", f"{states}{carrier}", "text", METHOD, "assumed"),
        Figure("judged-on", "Day of the flight", day(flight.leg.on), "text", METHOD, "assumed"),
        Figure("rules-known", "Rules looked for up to", day(flight.register.known), "text", METHOD, "stated"),
    ]
    if loose:
        # In words: a number would be rounded for the page, and 100.4 Wh is not 100 Wh to an airline.
        known = None if largest is None else f"{plain(largest)} Wh"
        label = "Energy of the largest loose battery"
        figures.append(Figure("largest-loose", label, known, "text", "flight-energy"))
    return tuple(figures)


def _strictest(answers: tuple[Answer, ...], *, if_rules_hold: bool) -> tuple[Figure, ...]:
    """Return the strictest answer, with how many things it is given to; none where nothing was asked about."""
    if not answers:
        return ()
    word = max(answers, key=lambda answer: STRICTNESS[answer.word]).word
    so_many = sum(answer.word == word for answer in answers)
    share = f"all {len(answers)} things" if so_many == len(answers) else f"{so_many} of {len(answers)} things"
    share += ", if the rules still hold" if if_rules_hold else ""
    return (Figure("answer", "May it fly: the strictest answer", word, "text", METHOD, note=share, shown=False),)


def _battery_answer(answers: Sequence[Answer]) -> tuple[Figure, ...]:
    """Return the strictest answer to a battery; none where there are no batteries."""
    asked = [answer for answer in answers if answer.article.sort in BATTERIES]
    if not asked:
        return ()
    word = max(asked, key=lambda answer: STRICTNESS[answer.word]).word
    same = [answer for answer in asked if answer.word == word]
    energies = {answer.article.energy.most if answer.article.energy.exact else None for answer in same}
    energy = ""
    if None not in energies:
        energy = f", {'of' if len(energies) == 1 else 'of up to'} {plain(max(filter(None, energies)))} Wh each"
    share = "all of them" if len(same) == len(asked) else f"{len(same)} of {len(asked)} sorts"
    if word == "stays home" and any(answer.may_go for answer in same):
        share = "not all of them together"
    return (Figure("battery-answer", "May its batteries fly: the strictest answer", word, "text", METHOD,
                   note=f"{share}{energy}", shown=False),)  # fmt: skip


def _batteries(answers: Sequence[Answer]) -> tuple[Table, ...]:
    """Return why each battery may fly or not, the strictest answer first; no table where there are none."""
    ranked = sorted(answers, key=lambda answer: -STRICTNESS[answer.word])
    rows = tuple(
        (
            Cell(called(answer), part=answer.article.part),
            Cell(energy_of(answer.article)),
            Cell(answer.word),
            Cell(why(answer)),
            Cell(in_full(answer.rule), rule=answer.rule.id),
        )
        for answer in ranked
        if answer.article.sort in BATTERIES
    )
    columns = ("Battery", "Energy of each", "Answer", "Why", "Rule")
    return (Table("batteries", "May its batteries fly, and why", columns, rows),) if rows else ()


def _again(flight: Flight) -> tuple[Finding, ...]:
    """Say where the rules may have changed before the day of the flight."""
    stale = flight.register.stale(flight.leg.on)
    if not stale:
        return ()
    sentence = f"The flight is on {day(flight.leg.on)}. {stale}"
    remedy = "Read the rules again before you pack, and ask the carrier; then state 'rules_read_on' in guide.yml."
    return (Finding("again", "unsaid", "Whether the rules still hold", sentence, ("rules-known",), METHOD, remedy),)


def _table(answers: tuple[Answer, ...]) -> Table:
    """Return every article, the strictest answer first, with the rule behind it."""
    ranked = sorted(answers, key=lambda answer: -STRICTNESS[answer.word])
    rows = tuple(
        (
            Cell(answer.article.name, part=answer.article.part),
            Cell(str(answer.article.count), numeric=True),
            Cell(answer.word),
            Cell(", ".join(answer.where) or "nowhere"),
            Cell(behind(answer.rule), rule=answer.rule.id),
        )
        for answer in ranked
    )
    return Table("answers", "Every article and its answer", ("Article", "Pieces", "Answer", "Where", "By"), rows)
