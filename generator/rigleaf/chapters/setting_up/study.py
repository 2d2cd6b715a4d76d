"""Judgement of setting up: how long it takes, when to arrive, whether the optic has cooled, whether it may be left."""

from collections.abc import Sequence

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Study, Table
from rigleaf.chapters.night_out.chosen import ChosenNight, chosen_night
from rigleaf.chapters.setting_up import alone, leave_home, months, totality
from rigleaf.chapters.setting_up.conditions import conditions
from rigleaf.chapters.setting_up.leave_home import Item
from rigleaf.chapters.setting_up.minutes import pace
from rigleaf.chapters.setting_up.night_plate import night_plate
from rigleaf.chapters.setting_up.no_night import why_no_night
from rigleaf.chapters.setting_up.schedule import Schedule, Timed, lay_out
from rigleaf.chapters.setting_up.steps import Step, sort_of, steps
from rigleaf.chapters.setting_up.taking_down import teardown
from rigleaf.chapters.under_the_sky.place_sky import clock_in_words

ID = "setting-up"
MINUTES, ARRIVAL, COOLING, TOTALITY = "step-minutes", "arrival", "cooling-down", "contact-times"
LATE = 60.0
"""Seconds after darkness from which on a first exposure counts as late."""


def study(assembly: Assembly) -> Study:
    """Study how a rig is set up and taken down."""
    up = steps(assembly)
    if not any(step.hands for step in up):
        sentence = "There is nothing to set up: no part of the rig is named that is set up in the field."
        cure = "Name the parts of the rig: train, mount, tripod and power."
        return Study(ID, findings=(Finding("time", "unsaid", "Setting up", sentence, (), MINUTES, cure),))
    night = chosen_night(assembly)
    down = teardown(assembly, up)
    times = lay_out(up, down, night) if night is not None else None
    figures = [
        *_lasting(assembly, up, down),
        *(_clocks(night, times) if night is not None and times is not None else ()),
    ]
    figures += _totality(assembly)
    found = conditions(assembly, night, times)
    findings = [_time(assembly, up, night, times)]
    cooling = _cooling(assembly, night, times)
    findings += [cooling] if cooling is not None else []
    findings.append(alone.judge(assembly, found))
    drawings = (night_plate(assembly.rig.id, night, times),) if night is not None and times is not None else ()
    filtered = totality.items(assembly)
    lists = (
        _plain("before", "Before you leave home", leave_home.before(assembly, night, times)),
        _ordered("up", "Setting up", up, night, times.steps if times is not None else ()),
        *([_plain("totality", "In totality: the filter", filtered)] if filtered else []),
        _ordered("down", "Taking down", down, night, times.teardown if times is not None else ()),
        _plain("after", "At home", leave_home.after(assembly)),
    )
    year = months.table(assembly, up, down)
    tables = (*lists, alone.table(found), *([year] if year is not None else []))
    return Study(ID, tuple(figures), tuple(findings), drawings, tables)


def hands(found: Sequence[Step]) -> float:
    """Return how long the hands are busy, s."""
    return sum((step.lasts.seconds for step in found if step.hands), 0.0)


def ids(found: Sequence[Step]) -> frozenset[str]:
    """Return the ids of steps."""
    return frozenset(step.id for step in found)


def _lasting(assembly: Assembly, up: Sequence[Step], down: Sequence[Step]) -> list[Figure]:
    times = assembly.say(assembly.choice("first_night").value, "factor")
    who = f"one person who has done it before; a first night takes {times} as long"
    label = "Setting up, practised"
    if pace(assembly) != 1:
        label = "Setting up, first night"
        who = f"one person on a first night, as this rig is for beginners: {times} the time of practised hands"
    if sort_of(assembly).two.words(ids(up)):
        who += "; a second one for the heavy lifts"
    figures = [
        Figure("setting-up", label, hands(up), "time", MINUTES, note=who),
        Figure("taking-down", "Taking down", hands(down), "time", MINUTES),
    ]
    cool = next((step for step in up if step.id == "cool"), None)
    if cool is not None:
        figures.append(Figure("cool-down", "Cool-down of the optic", cool.lasts.seconds, "time", COOLING,
                              cool.lasts.basis, note="by itself, beside the other steps"))  # fmt: skip
    return figures


def _clocks(night: ChosenNight, times: Schedule) -> list[Figure]:
    """Return the times of day, with the night that they are for."""
    where = f"{night.date_words}, {night.why}; {clock_in_words(night.place)}"
    rows = (
        ("arrive", "Arrive at", times.arrive, where),
        ("latest", "Latest arrival that loses no time", times.latest, ""),
        ("first", "First exposure at", times.first, ""),
        ("last", "Last exposure ends at", times.last, ""),
        ("packed", "Packed at", times.packed, ""),
    )
    return [Figure(id_, label, night.clock(at), "text", ARRIVAL, note=note) for id_, label, at, note in rows]


def _totality(assembly: Assembly) -> list[Figure]:
    times = totality.stated(assembly) if totality.looks_at_eclipses(assembly) else None
    if times is None:
        return []
    span = f"{totality.clock(times.begins)} to {totality.clock(times.ends)}"
    return [Figure("totality", "Totality", span, "text", TOTALITY, "stated", note=times.source or "")]


def _time(assembly: Assembly, up: Sequence[Step], night: ChosenNight | None, times: Schedule | None) -> Finding:
    """Judge whether everything that needs no stars is done by daylight, and whether darkness is lost."""
    title, say = "Time to set up", assembly.say
    first = " on a first night" if pace(assembly) != 1 else ""
    lifted = sort_of(assembly).two.words(ids(up))
    helped = f" and a second person, to lift {lifted}" if lifted else ""
    takes = f"Setting up takes {say(hands(up), 'time')}{first}{helped}"
    if night is None or times is None:
        why, cure = why_no_night(assembly)
        sentence = f"{takes}; when to arrive cannot be told: {why}."
        return Finding("time", "unsaid", title, sentence, ("setting-up",), ARRIVAL, cure)
    behind = ("setting-up", "arrive", "first")
    arrive, first = night.clock(times.arrive), night.clock(times.first)
    on = f"On {night.date_words} arrive at {arrive}"
    if sort_of(assembly).day:
        sentence = f"{takes}. {on}, and the first exposure can start at {first}. It is all done by day."
        return Finding("time", "sound", title, sentence, behind, ARRIVAL)
    if times.first > night.start + LATE:
        lost = say(times.first - night.start, "time")
        sentence = (
            f"{takes}. {on}, and the first exposure can start at {first}, {lost} after the night does, for what needs "
            "stars takes longer than dusk."
        )
        return Finding("time", "tight", title, sentence, behind, ARRIVAL, _sooner(times))
    if times.by_light is None:
        sentence = f"{takes}. {on} at the latest for a first exposure at {first}. All of it is done in the dark."
        cure = "Set it up at dusk and cover it, or build it once by day and mark the feet; clear the path and light it."
        return Finding("time", "tight", title, sentence, behind, ARRIVAL, cure)
    if sort_of(assembly).bright:
        sentence = f"{takes}. {on} for a first exposure at {first}, when civil twilight ends."
        return Finding("time", "sound", title, sentence, behind, ARRIVAL)
    sentence = (
        f"{takes}. {on}: what needs no stars is done by {night.clock(times.by_light)}, before the light is gone, and "
        f"the first exposure starts at {first}. Who comes after {night.clock(times.latest)} loses darkness."
    )
    return Finding("time", "sound", title, sentence, behind, ARRIVAL)


def _sooner(times: Schedule) -> str:
    """Return what would save most of the time that passes under the stars."""
    under = [one.step for one in times.steps if one.step.below is not None]
    longest = max(under, key=lambda step: step.lasts.seconds, default=None)
    if longest is None:
        return "Begin sooner."
    if longest.id == "polar_alignment":
        return "Mark where the feet stood, so that polar alignment starts almost right, and time yourself at it."
    return f"Practise what takes longest under the stars: {longest.name[:1].lower()}{longest.name[1:]}."


def _cooling(assembly: Assembly, night: ChosenNight | None, times: Schedule | None) -> Finding | None:
    optic = assembly.optic
    if optic is None or optic.form == "lens":
        return None
    title = "Cool-down"
    if optic.cool_down is None:
        sentence = f"Whether {optic.name} has cooled before the first exposure cannot be told: its time is not given."
        cure = (
            "Take it from a warm room into the cold and look at a star out of focus every five minutes: it has cooled "
            "when the plumes in the disc are gone."
        )
        return Finding("cool-down", "unsaid", title, sentence, (), COOLING, cure)
    cool = next((one for one in times.steps if one.step.id == "cool"), None) if times is not None else None
    if cool is None or night is None or times is None:
        return None
    first_look = next((one for one in times.steps if one.step.id in ("collimation", "focus")), None)
    use = (
        f"{first_look.step.name.casefold()} at {night.clock(first_look.start)}" if first_look else "the first exposure"
    )
    sentence = (
        f"{optic.name} comes out of its bag at {night.clock(cool.start)} and has cooled by {night.clock(cool.end)}, "
        f"before {use}."
    )
    return Finding("cool-down", "sound", title, sentence, ("cool-down",), COOLING)


def _plain(id_: str, caption: str, items: Sequence[Item]) -> Table:
    rows = tuple((Cell(item.name), Cell(item.doing)) for item in items)
    return Table(id_, caption, ("What", "How"), rows)


def _ordered(id_: str, caption: str, found: Sequence[Step], night: ChosenNight | None, timed: Sequence[Timed]) -> Table:
    """Return steps as a list with their minutes and, where the night is known, the time of day."""
    at = {one.step.id: one.start for one in timed}
    rows = []
    for step in found:
        clock = night.clock(at[step.id]) if night is not None and step.id in at else ""
        lasts = Figure(f"{id_}-{step.id}", step.name, step.lasts.seconds, "time", MINUTES, step.lasts.basis,
                       note=step.lasts.who)  # fmt: skip
        rows.append((Cell(step.name), Cell(step.doing), Cell(clock), Cell(figure=lasts, numeric=True)))
    return Table(id_, caption, ("What", "How", "At", "Takes"), tuple(rows))
