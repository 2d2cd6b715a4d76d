"""Words and numbers of a journey as its pages set them."""

from collections.abc import Sequence
from decimal import Decimal

from rigleaf.catalogue.days import days_in_words
from rigleaf.catalogue.models.trip import Spot
from rigleaf.chapters.at_the_airport.words import behind
from rigleaf.chapters.formatting import decimal
from rigleaf.journeys.result import BatteryStudy, RuleNote, TripStudy
from rigleaf.rules.register import Register
from rigleaf.rules.sentences import plain
from rigleaf.site.typeset.cautions import Caution, cautions
from rigleaf.words import in_digits, tr

ADVICE = "This is advice with a date, never a permission: carrier, airport and state decide."

FLIES: frozenset[Spot | None] = frozenset({"cabin", "hold", "on the person"})
"""Where something passes the desk."""

_CHEMISTRY = {"lifepo4": "LiFePO4", "nimh": "NiMH"}

NBSP = "\u00a0"


def energy(battery: BatteryStudy) -> str:
    """Return the energy of one battery in Wh to the last digit that is stated: 100.4 Wh is not 100 Wh to an airline.

    Where it is no one value, say what is known; "unsaid" where nothing is.
    """
    if battery.energy is not None:
        return f"{in_digits(plain(Decimal(repr(battery.energy))))}{NBSP}Wh"
    words = battery.energy_words.removeprefix("the energy is ").removeprefix("the energy ")
    return words or tr("unsaid")


def days(study: TripStudy) -> str:
    """Return from when to when a journey goes, "" where no leg says it."""
    dates = sorted(leg.date for leg in study.legs) or sorted(night.date for night in study.nights)
    if not dates:
        return ""
    return days_in_words(dates[0], dates[-1])


def part_of(share: float) -> str:
    """Return a part of a whole in per cent."""
    return f"{decimal(100 * share, 0)}{NBSP}%"


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun."""
    return tr("{n} " + (one if number == 1 else many or one + "s"), n=number)


def cautions_of(batteries: Sequence[BatteryStudy]) -> tuple[Caution, ...]:
    """Return the cautions that a journey with these batteries shows; unsaid chemistry may well be lithium."""
    wanted = set()
    for battery in batteries:
        chemistry = battery.chemistry.casefold()
        if "lead" in chemistry:
            wanted.add("lead-acid")
        elif not any(dry in chemistry for dry in ("nimh", "alkaline", "nickel")):
            wanted.add("lithium")
    return tuple(caution for caution in cautions() if caution.id in wanted)


def chemistry(battery: BatteryStudy) -> str:
    """Return the chemistry as people write it."""
    return _CHEMISTRY.get(battery.chemistry, battery.chemistry)


def made_by(register: Register, note: RuleNote) -> str:
    """Return in a word or two whose rule it is; carriers' rules are not in the register."""
    rule = register.rules.get(note.id)
    if rule is None:
        return note.by
    return behind(rule)
