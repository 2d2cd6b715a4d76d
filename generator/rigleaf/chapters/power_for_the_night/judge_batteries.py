"""Judgement of batteries and of the car: whether what they hold lasts the night."""

from dataclasses import replace

from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.chapters.power_for_the_night import remedy
from rigleaf.chapters.power_for_the_night.budget import Budget, Circuit, most_heat
from rigleaf.chapters.power_for_the_night.cells import Store, rated_energy
from rigleaf.chapters.power_for_the_night.lightest import MOST_PIECES, BatterySet
from rigleaf.chapters.power_for_the_night.months import Month, lasting
from rigleaf.chapters.power_for_the_night.suited import FLIES_WH, flies
from rigleaf.chapters.power_for_the_night.turns import in_turn, on_own_leads, smallest_first, swap
from rigleaf.chapters.power_for_the_night.words import (
    at_end,
    capital,
    dated,
    energy,
    holder,
    pieces,
    plural,
    shortened,
    some,
    suffix,
    title,
)
from rigleaf.chapters.under_the_sky.place_sky import months_in_words

METHOD, CAR, CAR_TITLE = "lasting", "starter-battery", "The car's battery"
MOST_GIVEN_UP = 15
"""Degrees of cooling beyond which a page does not propose to give them up: dark current would be fivefold."""


def judge(assembly: Assembly, budget: Budget, year: tuple[Month, ...]) -> list[Finding]:
    """Judge every circuit of batteries or a car: those that last together, each other one by itself."""
    found: list[Finding] = []
    good: list[Circuit] = []
    for circuit in budget.circuits:
        verdict = verdict_of(assembly, budget, circuit)
        if circuit.endless:
            continue
        if circuit.store is None:
            found.append(_nameless(circuit))
        elif circuit.group.kind == "car":
            found.append(_car(assembly, budget, circuit, circuit.store, verdict))
        elif verdict == "sound":
            good.append(circuit)
        else:
            found.append(_battery(assembly, budget, circuit, circuit.store, verdict))
    if good:
        found.append(_sound(assembly, budget, good))
    span = "as long as pictures are wanted" if shortened(assembly) else "the whole night"
    return [_with_months(found[0], year, span), *found[1:]] if found and year else found


def figures_behind(budget: Budget, circuit: Circuit) -> tuple[str, ...]:
    """Return the ids of the figures of a circuit."""
    end = suffix(budget, circuit)
    return f"drawn{end}", f"usable{end}", f"left{end}"


def verdict_of(assembly: Assembly, budget: Budget, circuit: Circuit) -> Verdict:
    """Return how a circuit stands."""
    held = circuit.store
    if held is None:
        return "unsaid"
    kept = 0.0 if circuit.group.kind == "car" else assembly.choice("battery_left").value
    if held.high < circuit.drawn:
        return "fails"
    if held.low * (1 - kept) < circuit.drawn:
        return "tight"
    # What nobody has measured may still be drawn from here.
    return "unsaid" if budget.unsaid_in(circuit) else "sound"


def _nameless(circuit: Circuit) -> Finding:
    names, ids = some(circuit.nameless)
    sentence = f"Nobody can say whether {names} lasts the night: neither energy nor charge and voltage are stated."
    cure = f"Read the label of {names} for Wh, or for Ah and V; without one, empty it through a power meter."
    return Finding(f"lasts-{circuit.nameless[0].id}", "unsaid", "Energy of the battery", sentence, ("night-energy",),
                   "battery-usable", cure, ids)  # fmt: skip


def _held(assembly: Assembly, held: Store) -> str:
    low, high = energy(assembly, held.low), energy(assembly, held.high)
    return low if low == high else f"{low} to {high}"


def _sound(assembly: Assembly, budget: Budget, circuits: list[Circuit]) -> Finding:
    words = []
    for circuit in circuits:
        if circuit.store is None:
            continue
        left = assembly.say(circuit.left(circuit.store.low) / circuit.store.low, "fraction")
        gives, lasts = ("give", "last") if plural(circuit) else ("gives", "lasts")
        held, drawn = energy(assembly, circuit.store.low), energy(assembly, circuit.drawn)
        turns = in_turn(assembly, budget, circuit, circuit.group.sources, circuit.drawn)
        words.append(
            f"{holder(circuit)} {gives} at least {held} and {lasts} with {left} left, for {drawn} drawn.{turns}"
        )
    when = capital(dated(assembly, budget))
    sentence = f"{when} power lasts {at_end(budget)}. {' '.join(words)}"
    ids = tuple(part.id for circuit in circuits if circuit.group.kind != "car" for part, _ in circuit.group.sources)
    behind = tuple(one for circuit in circuits for one in figures_behind(budget, circuit))
    return Finding("lasts", "sound", title(assembly), sentence, behind, METHOD, "", ids)


def _with_months(finding: Finding, year: tuple[Month, ...], span: str) -> Finding:
    """Add in which months it lasts."""
    dark, good = lasting(year)
    if not dark or any(month.budget is not None and month.budget.lasts is None for month in year):
        return finding
    nights = f"Month by month, all of it lasts {span}"
    if len(good) == len(dark):
        words = f"{nights} in every one that grows dark." if len(dark) < len(year) else f"{nights} in every one."
    elif good:
        # A month without a dark night would read as one in which it does not last.
        never = [month.number for month in year if month.budget is None]
        besides = f"; it does not grow dark in {months_in_words(never)}" if never else ""
        words = f"{nights} in {months_in_words(good)}{besides}."
    else:
        words = f"In no month of the year does all of it last {span}."
    return replace(finding, sentence=f"{finding.sentence} {words}")


def _battery(assembly: Assembly, budget: Budget, circuit: Circuit, held: Store, verdict: Verdict) -> Finding:
    parts = tuple(part.id for part, _ in circuit.group.sources)
    id_ = f"lasts-{parts[0]}" + (f"-{circuit.group.piece}" if circuit.group.piece else "")
    own = any(isinstance(part, Battery) and part.installed for part, _ in circuit.group.sources)
    heading = "Built-in battery" if own else title(assembly)
    gives = "give" if plural(circuit) else "gives"
    cold = assembly.say(budget.battery_temperature, "temperature")
    words = f"{holder(circuit)} {gives} {_held(assembly, held)} in use at {cold}"
    turns = in_turn(assembly, budget, circuit, circuit.group.sources, circuit.drawn)
    turns += on_own_leads(assembly, budget, circuit)
    drawn, when = energy(assembly, circuit.drawn), dated(assembly, budget)
    if verdict == "unsaid":
        names, more = some(budget.unsaid_in(circuit))
        left = energy(assembly, circuit.left(held.low))
        rest = f"so that {left} are left for what nobody has said"
        sentence = (
            f"{words}. Without {names}, {drawn} are drawn {when}, {rest}.{_at_full(assembly, budget, circuit)}{turns}"
        )
        cure = f"Measure what {names} draws with a power meter in its lead."
        return Finding(id_, verdict, heading, sentence, figures_behind(budget, circuit), METHOD, cure, parts + more)
    sentence = f"{words}, and {drawn} are drawn {when}: {_how_it_ends(assembly, budget, circuit, held)}{turns}"
    cure, more = mend(assembly, budget, circuit)
    return Finding(
        id_,
        verdict,
        heading,
        sentence,
        figures_behind(budget, circuit),
        METHOD,
        cure,
        tuple(dict.fromkeys(parts + more)),
    )


def _at_full(assembly: Assembly, budget: Budget, circuit: Circuit) -> str:
    """Say whether the rest is enough for heaters of unsaid draw, if they took all night what dew asks for at most."""
    asked = most_heat(budget, circuit)
    if asked is None or circuit.store is None:
        return ""
    watts, taken = asked
    left = (circuit.store.low - circuit.drawn - taken) / circuit.store.low
    kept = assembly.choice("battery_left").value
    then = f"and {assembly.say(left, 'fraction')} would be left" if left >= 0 else "more than there is"
    should = f" where {assembly.say(kept, 'fraction')} should be" if 0 <= left < kept else ""
    at = f"At the {assembly.say(watts, 'power')} that dew asks for at most, taken all night"
    return f" {at}, it would draw {energy(assembly, taken)} more, {then}{should}."


def _how_it_ends(assembly: Assembly, budget: Budget, circuit: Circuit, held: Store) -> str:
    say, night, last = assembly.say, budget.night, budget.times.last
    low, high = circuit.instant_at(held.low), circuit.instant_at(held.high)
    kept = assembly.choice("battery_left").value
    warning = circuit.instant_at(held.low * (1 - kept))
    if low is None or high is None or warning is None:
        return "nothing is drawn from it."
    it, lasts = ("the last", "they last") if plural(circuit) else ("it", "it lasts")
    warned = f"The warning at {say(kept, 'fraction')} comes at {night.clock(warning)}."
    at, until = night.clock(low), night.clock(high)
    if held.high < circuit.drawn:
        when = f"at {at}" if at == until else f"between {at} and {until}"
        best = "" if at == until else "at best "
        early = f"{best}{say(last - high, 'time')} before the last exposure ends"
        so = early if high < last else "while things are packed"
        return f"{it} is empty {when}, {so}. {warned}"
    if held.low < circuit.drawn:
        best = say(circuit.left(held.high) / held.high, "fraction")
        return (
            f"{it} is empty at {at} with as little in the cold as some vendors say, and {lasts} with {best} left with "
            f"as much as others do. {warned}"
        )
    left = say(circuit.left(held.low) / held.low, "fraction")
    return f"{lasts} {at_end(budget)}, but with {left} left where {say(kept, 'fraction')} should be. {warned}"


def mend(assembly: Assembly, budget: Budget, circuit: Circuit) -> tuple[str, tuple[str, ...]]:
    """Return what would let a circuit last, and the parts that it names: with the margin if it can be, else without."""
    kept = assembly.choice("battery_left").value
    margins = ((kept, f"{assembly.say(kept, 'fraction')} are left at the end"), (0.0, "it just lasts"))
    ways: list[str] = _swapped(budget, circuit)
    parts: tuple[str, ...] = ()
    for wanted, so in margins:
        found = remedy.lightest(assembly, budget, circuit, wanted)
        if found is not None:
            ways.append(_take(assembly, budget, circuit, found, so))
            parts = tuple(one.id for one, _ in found.picked)
            break
    for wanted, so in margins:
        warm = remedy.warmer(assembly, budget, circuit, wanted)
        if warm is not None and warm.given_up <= MOST_GIVEN_UP:
            step = assembly.say(float(warm.given_up), "temperature_step")
            at = assembly.say(warm.sensor, "temperature")
            ways.append(f"{'Or hold' if ways else 'Hold'} the sensor {step} warmer, at {at}: {so} then.")
            break
    if ways:
        return " ".join(ways), parts
    held = circuit.store.low if circuit.store is not None else 0.0
    until = circuit.instant_at(held * (1 - kept))
    which = "that may fly " if flies(assembly) else ""
    stop = f" Stop at {budget.night.clock(until)}, or charge in between." if until is not None else ""
    return f"No set of up to {MOST_PIECES} batteries {which}on the shelf lasts this night.{stop}", ()


def _swapped(budget: Budget, circuit: Circuit) -> list[str]:
    """Say that two equal batteries on leads of their own would last if they changed places."""
    at = swap(budget, circuit)
    return [] if at is None else [f"Let the two batteries change places at {budget.night.clock(at)}: then they last."]


def _take(assembly: Assembly, budget: Budget, circuit: Circuit, found: BatterySet, so: str) -> str:
    take = "Leave the car alone and take" if circuit.group.kind == "car" else "Take"
    mass = assembly.say(found.mass, "mass")
    flown = any((rated_energy(one) or 0.0) > FLIES_WH for one, _ in found.picked) and flies(assembly)
    asked = " Above 100 Wh the carrier must agree beforehand." if flown else ""
    order = smallest_first(found.picked)
    turns = in_turn(assembly, budget, circuit, order, found.drawn)
    return f"{take} {pieces(order)} ({mass} in all), the lightest on the shelf with which {so}.{turns}{asked}"


def _car(assembly: Assembly, budget: Budget, circuit: Circuit, held: Store, verdict: Verdict) -> Finding:
    say, charge = assembly.say, assembly.choice("starter_charge").text
    taken = energy(assembly, circuit.drawn)
    if circuit.drawn <= held.rated:
        share = say(circuit.drawn / held.rated, "fraction")
        words = f"This night takes {taken} from the car, {share} of a starter battery of {charge}."
    else:
        words = f"This night would take {taken} from the car, more than a starter battery of {charge} holds."
    part = say(assembly.choice("starter_share").value, "fraction")
    limit = f"No more than {part} of it ({energy(assembly, held.low)}) should go if the engine is to start"
    reached = circuit.instant_at(held.low)
    if verdict == "sound" or reached is None:
        return Finding("lasts-car", verdict, CAR_TITLE, f"{words} {limit}.", figures_behind(budget, circuit), CAR)
    if verdict == "unsaid":
        names, more = some(budget.unsaid_in(circuit))
        sentence = f"{words} {limit}, and nobody has said what {names} draws."
        cure = f"Measure what {names} draws with a power meter in its lead."
        return Finding("lasts-car", verdict, CAR_TITLE, sentence, figures_behind(budget, circuit), CAR, cure, more)
    sentence = (
        f"{words} {limit}, and that is reached at {budget.night.clock(reached)}: a night like this is too much for the "
        "car that must drive you home."
    )
    cure, parts = mend(assembly, budget, circuit)
    return Finding("lasts-car", "fails", CAR_TITLE, sentence, figures_behind(budget, circuit), CAR, cure, parts)
