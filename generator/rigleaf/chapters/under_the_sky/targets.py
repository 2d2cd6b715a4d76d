"""When the rig's targets can be photographed from its place: hours, months, and the judgement of each."""

from dataclasses import dataclass

from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Finding, Table
from rigleaf.chapters.formatting import significant
from rigleaf.chapters.scale_and_field.physics import airmass
from rigleaf.chapters.under_the_sky.place_sky import (
    clock_in_words,
    date_in_words,
    months_in_words,
    season_of,
    time_in_words,
)
from rigleaf.sky.altitude import apparent_altitude
from rigleaf.sky.seasons import Season, night_of
from rigleaf.sky.targets import SkyTarget

USABLE, MERIDIAN, CULMINATION = "usable-hours", "meridian-time", "culmination"


@dataclass(frozen=True)
class Seen:
    """One target with its year at the rig's place."""

    target: SkyTarget
    season: Season

    @property
    def hours(self) -> float:
        """Usable hours of the best month."""
        return float(self.season.by_month.max())


def seen_from(assembly: Assembly, place: Place) -> list[Seen]:
    """Return the rig's targets that have a place among the stars, each with its year."""
    found = ((target, season_of(assembly.catalogue, place, target)) for target in assembly.targets)
    return [Seen(target, season) for target, season in found if season is not None]


def figures_of(one: Seen) -> list[Figure]:
    """Return the figures of one target, which stand in the table of targets."""
    season, id_ = one.season, one.target.id
    best = season.best_month
    highest = float(apparent_altitude(season.highest))
    air = f"air mass {significant(airmass(highest), 2)}" if highest > 0 else "never rises"
    figures = [
        Figure(f"{id_}-best-months", f"{one.target.name}: best months", months_in_words(season.best_months) or "none",
               "text", USABLE, shown=False),
        Figure(f"{id_}-best-hours", f"{one.target.name}: usable hours of the best month", one.hours, "hours",
               USABLE, note=MONTHS[best] if best is not None else "", shown=False),
        Figure(f"{id_}-highest", f"{one.target.name}: highest altitude", highest, "angle", CULMINATION, note=air,
               shown=False),
    ]  # fmt: skip
    if best is not None:
        night = night_of(season.nights, best)
        words = time_in_words(season.nights, season.meridian(night))
        figures.append(
            Figure(f"{id_}-meridian", f"{one.target.name}: on the meridian", words, "text", MERIDIAN,
                   note=f"night of {date_in_words(season.nights, night)}", shown=False)
        )  # fmt: skip
    return figures


def seasons_table(found: list[Seen], figures: dict[str, Figure], place: Place) -> Table:
    """Return best months, hours, meridian time and highest altitude of each target."""
    rows = tuple(
        (
            Cell(one.target.name),
            Cell(figure=figures[f"{one.target.id}-best-months"]),
            Cell(figure=figures[f"{one.target.id}-best-hours"], numeric=True),
            Cell("–", figures.get(f"{one.target.id}-meridian"), numeric=True),
            Cell(figure=figures[f"{one.target.id}-highest"], numeric=True),
        )
        for one in found
    )
    columns = ("Target", "Best months", "Usable in the best", "On the meridian", "Highest")
    return Table("seasons", f"When the targets stand high in the dark ({clock_in_words(place)})", columns, rows)


def months_table(found: list[Seen]) -> Table:
    """Return the usable hours of each target in each month."""
    rows = tuple(
        (Cell(one.target.name), *(Cell(f"{hours:.0f}" if hours >= 0.5 else "–", numeric=True) for hours in by_month))
        for one in found
        for by_month in [one.season.by_month.tolist()]
    )
    return Table(
        "months", "Usable hours by month: dark, moonless, target high enough",
        ("Target", *(month[:3] for month in MONTHS)), rows,
    )  # fmt: skip


def judge(assembly: Assembly, found: list[Seen], place: Place) -> list[Finding]:
    """Judge each target; those that are sound share one finding."""
    wanted = assembly.choice("season_hours").value / 3600
    sound = [one for one in found if one.hours >= wanted]
    findings = [_short(assembly, one, place) for one in found if one.hours < wanted]
    if sound:
        hours = assembly.say(wanted, "hours")
        names = "; ".join(f"{one.target.name}: {months_in_words(one.season.best_months)}" for one in sound)
        start = "Its target has" if len(sound) == 1 else f"{_number(len(sound), len(found))} have"
        sentence = f"{start} at least {hours} dark, moonless and high enough in the best month. {names}."
        behind = tuple(f"{one.target.id}-best-hours" for one in sound)
        findings.append(Finding("seasons", "sound", "Seasons of the targets", sentence, behind, USABLE))
    return findings


def _number(count: int, of: int) -> str:
    return f"All {count} targets" if count == of else f"{count} of {of} targets"


def _short(assembly: Assembly, one: Seen, place: Place) -> Finding:
    """Judge a target with less than the hours wanted."""
    say, season = assembly.say, one.season
    id_, title = f"season-{one.target.id}", f"Season of {one.target.name}"
    behind = (f"{one.target.id}-highest", f"{one.target.id}-best-hours")
    highest = float(apparent_altitude(season.highest))
    lowest = say(season.lowest, "angle")
    remedy = _remedy(assembly, one, place)
    if season.highest <= 0:
        sentence = f"{one.target.name} never rises at {place.name}."
        return Finding(id_, "fails", title, sentence, behind, CULMINATION, remedy)
    if season.highest <= season.lowest:
        sentence = (
            f"{one.target.name} never stands higher than {say(highest, 'angle')} at {place.name}; {lowest} is wanted."
        )
        return Finding(id_, "fails", title, sentence, behind, CULMINATION, remedy)
    if season.best_month is None:
        why = (
            "hides behind the skyline or is up by daylight" if season.nights.site.horizon else "is up by daylight only"
        )
        sentence = f"{one.target.name} {why} at {place.name}: no dark, moonless hour finds it above {lowest}."
        return Finding(id_, "fails", title, sentence, behind, USABLE, remedy)
    wanted = assembly.choice("season_hours").value / 3600
    sentence = (
        f"{one.target.name} has {say(one.hours, 'hours')} dark, moonless and above {lowest} at {place.name} in "
        f"its best month, {MONTHS[season.best_month]}; {say(wanted, 'hours')} are wanted."
    )
    return Finding(id_, "tight", title, sentence, behind, USABLE, remedy)


def _remedy(assembly: Assembly, one: Seen, place: Place) -> str:
    """Return the club's place from which the target has most hours, where that is another one."""
    others = [
        (float(season.by_month.max()), other.name, season)
        for other in assembly.catalogue.places.values()
        if other.id != place.id and (season := season_of(assembly.catalogue, other, one.target)) is not None
    ]
    hours, name, season = max(others, key=lambda found: found[0], default=(0.0, "", one.season))
    if hours <= one.hours or season.best_month is None:
        return "No place of this guide shows it better: choose a target that stands higher."
    return f"From {name} it has {assembly.say(hours, 'hours')} in {MONTHS[season.best_month]}."
