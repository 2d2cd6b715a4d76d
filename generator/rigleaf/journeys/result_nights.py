"""What the study of a journey returns of its nights: darkness, targets, power, and mains at the place."""

import datetime as dt
from dataclasses import dataclass

from rigleaf.chapters.figures import Finding, Verdict


@dataclass(frozen=True, slots=True)
class TargetNight:
    """One target in one night.

    Attributes:
        id: of the target.
        name: what people call it.
        hours: dark hours in which it stands high enough, whatever the Moon does; None for Sun, Moon and planets.
        moonless: those of them without the Moon.
    """

    id: str
    name: str
    hours: float | None
    moonless: float | None


@dataclass(frozen=True, slots=True)
class PowerNight:
    """One rig's power in one night.

    Attributes:
        rig: id of the rig.
        name: what people call it.
        source: that of its sources of which least is left; all figures are of it. Empty where that is unsaid, or where
            it runs from mains.
        needed: Wh drawn from it through the night.
        held: Wh that it holds when the night begins, in the cold and by the least that is to be expected; less what the
            nights before took where nothing recharges it.
        left: Wh left at the end, below zero what is missing; over all nights so far where nothing recharges it.
        verdict: sound with the guide's margin left, tight with less, fails where it runs out, unsaid.
        sentence: the same in words.
    """

    rig: str
    name: str
    source: str
    needed: float | None
    held: float | None
    left: float | None
    verdict: Verdict
    sentence: str


@dataclass(frozen=True, slots=True)
class NightStudy:
    """One night at the place.

    Attributes:
        date: of the evening.
        dark: hours of astronomical darkness.
        moonless: those of them without the Moon.
        moon_lit: part of the Moon's disc that is lit in the middle of the night, 0 to 1.
        dusk, dawn: when it grows dark and light again by the clocks of the place; empty where it does not.
        targets: the rigs' targets.
        power: the rigs' power.
    """

    date: dt.date
    dark: float
    moonless: float
    moon_lit: float
    dusk: str
    dawn: str
    targets: tuple[TargetNight, ...]
    power: tuple[PowerNight, ...]


@dataclass(frozen=True, slots=True)
class MainsStudy:
    """Mains at the place and what in the kit plugs into it.

    Attributes:
        voltage: V; None where it is unsaid.
        plugs: plug types by their letters.
        hours: when it is on; empty where always.
        findings: whether chargers suit, and whether there is one for each battery.
    """

    voltage: float | None
    plugs: tuple[str, ...]
    hours: str
    findings: tuple[Finding, ...]
