"""What the nights of a place offer: figures and a judgement, whatever the target."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding
from rigleaf.chapters.under_the_sky.gaps import gap_in_words
from rigleaf.chapters.under_the_sky.place_sky import date_in_words, nights_of
from rigleaf.sky.night import Nights
from rigleaf.sky.seasons import night_of

DARK, MOONLESS = "dark-hours", "moonless-hours"
JUNE, DECEMBER = 5, 11
SOLSTICE = 21
"""Day of the month near which both solstices fall."""


def figures_of(found: Nights) -> list[Figure]:
    """Return the darkness of a place in figures."""
    longest = max(found.spans(found.when_moonless), key=lambda span: span[2] - span[1], default=None)
    gap = gap_in_words(found)
    lightless = float((found.dark <= 0).sum())
    return [
        _night(found, "december", DECEMBER),
        _night(found, "june", JUNE),
        Figure("dark-hours-year", "Dark hours in the year", float(found.dark.sum()), "hours", DARK,
               note=f"nights of {found.year}"),
        Figure("moonless-hours-year", "Of these without the Moon", float(found.moonless.sum()), "hours", MOONLESS),
        Figure("longest-moonless", "Longest stretch dark and moonless",
               (longest[2] - longest[1]) / 3600 if longest else 0.0, "hours", MOONLESS,
               note=f"the night of {date_in_words(found, longest[0])}" if longest else ""),
        Figure("nights-without-darkness", "Nights without darkness", lightless, "number", DARK, note=gap),
    ]  # fmt: skip


def _night(found: Nights, word: str, month: int) -> Figure:
    night = night_of(found, month, SOLSTICE)
    label = f"Dark hours, night of {date_in_words(found, night)}"
    return Figure(f"dark-hours-{word}", label, float(found.dark[night]), "hours", DARK)


def judge(assembly: Assembly, found: Nights, name: str) -> Finding:
    """Judge whether a month of this place has the dark, moonless hours that the guide wants.

    Somewhere in the year it grows dark at every place on Earth, so that nothing fails here.
    """
    say = assembly.say
    wanted = assembly.choice("season_hours").value / 3600
    by_month = found.by_month(found.moonless)
    best = float(by_month.max())
    behind = ("dark-hours-year", "moonless-hours-year", "nights-without-darkness")
    gap = gap_in_words(found)
    words = f" It does not grow dark {gap}." if gap else " It grows dark every night."
    good = int((by_month >= wanted).sum())
    if not good:
        sentence = f"At {name} no month of {found.year} has {say(wanted, 'hours')} dark and moonless.{words}"
        return Finding("darkness", "tight", "Darkness", sentence, behind, MOONLESS, _darker(assembly, found))
    months = "every month" if good == 12 else f"{good} months of the year"
    sentence = (
        f"At {name} {months} {'has' if good == 12 else 'have'} at least {say(wanted, 'hours')} dark and moonless, "
        f"the best one {say(best, 'hours')}.{words}"
    )
    return Finding("darkness", "sound", "Darkness", sentence, behind, MOONLESS)


def _darker(assembly: Assembly, found: Nights) -> str:
    """Return the club's place with most dark, moonless hours, where it has more than this one."""
    others = [
        (float(other.moonless.sum()), place.name)
        for place in assembly.catalogue.places.values()
        if (other := nights_of(assembly.catalogue, place)) is not None
    ]
    hours, name = max(others, default=(0.0, ""))
    if hours <= float(found.moonless.sum()):
        return "No place of this guide has more; one nearer to the equator would."
    return f"{name} has {assembly.say(hours, 'hours')} dark and moonless in the year."
