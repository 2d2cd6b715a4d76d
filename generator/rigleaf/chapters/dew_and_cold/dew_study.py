"""Judgement of dew: when it comes to each glass, and whether the heat at hand keeps it away."""

from dataclasses import dataclass
from math import ceil

import numpy as np

from rigleaf.catalogue.models.carrying import Sundry
from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.dew_and_cold.bands import HAND_WARMER_W, remedy, watts_in_words
from rigleaf.chapters.dew_and_cold.evening import Demand, Evening, demand, gives
from rigleaf.chapters.dew_and_cold.glass import Glass
from rigleaf.chapters.dew_and_cold.need import HeatNeed
from rigleaf.chapters.figures import Figure, Finding, Verdict

WET_SHARE = 1 / 3
"""Part of the night's pictures in saturated air that is no longer an ordinary morning; a choice of this guide."""

MEASURE_A_BAND = (
    "Put a power meter between battery and band with its control at full; or measure the band's resistance: "
    "144 over the ohms are its watts at 12 V."
)


@dataclass(frozen=True)
class Case:
    """One glass with what is known of it."""

    evening: Evening
    glass: Glass
    need: HeatNeed
    asked: Demand

    @property
    def id(self) -> str:
        """Id of its optic."""
        return self.need.optic.id

    @property
    def name(self) -> str:
        """The glass in a sentence."""
        return f"the {self.glass.name} of the {self.need.optic.name}"

    @property
    def deposit(self) -> str:
        """What settles on it: dew, or frost where that happens below freezing."""
        evening = self.evening
        assert evening.point is not None  # noqa: S101 - cases exist only where the humidity is known
        when = self.need.reached if self.need.reached is not None else evening.night.end
        at = int((evening.air.instants < when).sum())
        return "frost" if float(evening.point[min(at, len(evening.point) - 1)]) < 0 else "dew"

    @property
    def begin(self) -> float:
        """Instant from which it wants heat: when bare glass is wet, or when the evening begins."""
        asked = np.flatnonzero(self.need.watts > 0)
        return float(self.evening.air.instants[asked[0] if len(asked) else 0])

    @property
    def figures(self) -> tuple[str, ...]:
        """Ids of the figures behind its finding."""
        return f"dew-hour-{self.id}", f"heat-{self.id}", f"bare-glass-{self.id}"


def cases_of(evening: Evening) -> tuple[Case, ...]:
    """Return every glass of the rig with its demand."""
    return tuple(Case(evening, glass, need, demand(evening, glass, need)) for glass, need in evening.cased)


def figures_of(case: Case) -> list[Figure]:
    """Return the figures of one glass."""
    evening, need = case.evening, case.need
    reached = need.reached
    name, id_ = need.optic.name, case.id
    hour = evening.clock(reached) if reached is not None else "not this night"
    assumed = f"with {listed(case.glass.assumed)}" if case.glass.assumed else ""
    found = [
        Figure(f"dew-hour-{id_}", f"{name}: unheated, dew or frost settles from", hour, "text", "dew-on-glass"),
        Figure(f"bare-glass-{id_}", f"{name}: {case.glass.name} without heat at the end", float(need.unheated[-1]),
               "temperature", "glass-temperature", note=assumed),
        Figure(f"view-{id_}", f"{name}: part of its view that is sky", case.glass.view, "fraction", "sky-view"),
        Figure(f"heat-{id_}", f"{name}: heat wanted at most", case.asked.most, "power", "heater-power",
               uncertainty=case.asked.error or None,
               note=f"most of the doubt is {case.asked.doubt}" if case.asked.error else ""),
    ]  # fmt: skip
    given = gives(need.heater) if need.heater is not None else None
    if need.heater is not None:
        found.append(
            Figure(f"band-{id_}", f"{name}: what its band gives at full", given, "power", "heater-power", "stated",
                   note=need.heater.name)
        )  # fmt: skip
    return found


def judge(case: Case) -> Finding:
    """Judge whether a glass stays clear."""
    asked, evening = case.asked, case.evening
    margin = evening.assembly.choice("optic_margin").value
    frosty = case.need.reached is not None and case.deposit == "frost"
    title = f"{'Frost' if frosty else 'Dew'} on the {case.need.optic.name}"
    id_ = f"dew-{case.id}"
    if asked.most == 0:
        room = evening.assembly.say(asked.nearest, "temperature_step")
        sentence = (
            f"{_capital(case.name)} stays at least {room} above the {case.deposit} point all night without heat; "
            f"{evening.assembly.say(margin, 'temperature_step')} are asked for."
        )
        return Finding(id_, "sound", title, sentence, case.figures, "dew-on-glass")
    band = case.need.heater
    if band is None and case.need.warmer is not None:
        return _by_warmer(case, case.need.warmer, id_, title)
    if band is None:
        return _without_band(case, id_, title)
    given = gives(band)
    wants = f"{_when(case)} Up to {watts_in_words(asked.most)} keep it {_margin(case)} above the {case.deposit} point"
    if given is None:
        sentence = f"{wants}; what the {band.name} gives is unsaid."
        return Finding(id_, "unsaid", title, sentence, case.figures, "heater-power", MEASURE_A_BAND, (band.id,))
    sentence = f"{wants}; the {band.name} gives {watts_in_words(given)}."
    verdict: Verdict = "sound" if given >= asked.most else "tight" if given >= asked.bare else "fails"
    cure, parts = ("", ()) if verdict == "sound" else remedy(evening.assembly, case.glass, asked.most)
    return Finding(id_, verdict, title, sentence, case.figures, "heater-power", cure, parts)


def _by_warmer(case: Case, warmer: Sundry, id_: str, title: str) -> Finding:
    """Judge a glass around which something is tied that warms without electricity: by its heat and its hours."""
    evening, asked = case.evening, case.asked
    assembly, begin, end = evening.assembly, case.begin, evening.night.end
    given = warmer.warms.value if warmer.warms is not None else HAND_WARMER_W
    perhaps = "" if warmer.warms is not None else "perhaps "
    words = (
        f"{_when(case)} Up to {watts_in_words(asked.most)} keep it {_margin(case)} above the {case.deposit} point; "
        f"the {warmer.name} gives {perhaps}{watts_in_words(given)} without electricity"
    )
    cure, parts = remedy(assembly, case.glass, asked.most)
    if warmer.warms_for is None:
        sentence = f"{words}; for how long is unsaid."
        cure = f"Try for how long it stays warm, and state 'warms_for'. {cure}"
        return Finding(id_, "tight", title, sentence, case.figures, "heater-power", cure, (warmer.id, *parts))
    lasting = warmer.warms_for.value
    carried = sum(item.count for item in assembly.items if item.part is warmer)
    count = ceil((end - begin) / lasting)
    until = evening.clock(min(begin + carried * lasting, end))
    many = "" if carried == 1 else f", {carried} of them one after the other,"
    sentence = f"{words}{many} for {assembly.say(lasting, 'time')}{' each' if many else ''}, until about {until}."
    enough = given >= asked.most and count <= carried
    verdict: Verdict = "fails" if given < asked.bare else "sound" if enough else "tight"
    if verdict == "sound":
        return Finding(id_, verdict, title, sentence, case.figures, "heater-power", "", (warmer.id,))
    if given >= asked.bare and carried < count <= (warmer.owned or 0):
        cure = f"Take {count} × {warmer.name}, which last to the end one after the other; the club has {warmer.owned}."
        parts = ()
    return Finding(id_, verdict, title, sentence, case.figures, "heater-power", cure, (warmer.id, *parts))


def _without_band(case: Case, id_: str, title: str) -> Finding:
    evening, asked = case.evening, case.asked
    reached = case.need.reached is not None
    why = _too_short(case)
    sentence = f"{_when(case)} {_capital(why)}, and up to {watts_in_words(asked.most)} would keep it clear."
    cure, parts = remedy(evening.assembly, case.glass, asked.most)
    return Finding(id_, "fails" if reached else "tight", title, sentence, case.figures, "dew-on-glass", cure, parts)


def _when(case: Case) -> str:
    """Say when a glass without heat is wet, in a whole sentence."""
    evening, reached = case.evening, case.need.reached
    if reached is None:
        room = evening.assembly.say(case.asked.nearest, "temperature_step")
        return f"Without heat {case.name} comes within {room} of the {case.deposit} point."
    if reached <= float(evening.air.instants[0]):
        return f"Without heat {case.name} gathers {case.deposit} as soon as it is out, at {evening.clock(reached)}."
    before = ", before the first picture" if reached < evening.night.start - 60 else ""
    return f"Without heat {case.name} gathers {case.deposit} from about {evening.clock(reached)} on{before}."


def _margin(case: Case) -> str:
    assembly = case.evening.assembly
    return assembly.say(assembly.choice("optic_margin").value, "temperature_step")


def _too_short(case: Case) -> str:
    """Say why no band of the rig serves a glass."""
    assembly = case.evening.assembly
    taken = {need.heater.id for _, need in case.evening.cased if need.heater is not None}
    for band in assembly.parts(DewHeater):
        girth = band.fits_outer_diameter
        if band.id not in taken and girth is not None and case.glass.tube_diameter > girth.value:
            tube = assembly.say(case.glass.tube_diameter, "length")
            return f"the {band.name} closes around {assembly.say(girth.value, 'length')}, the tube measures {tube}"
    return "no band of this rig warms it"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def judge_air(evening: Evening) -> Finding | None:
    """Return a finding where the air itself is saturated before the last picture, so that everything gets wet."""
    soaked = evening.soaked
    if soaked is None:
        return None
    point = evening.point
    assert point is not None  # noqa: S101 - the air is saturated only where its humidity is known
    frosty = float(point[-1]) < 0
    what = "rime or freezing fog" if frosty else "fog, or dew on everything"
    sentence = (
        f"From about {evening.clock(soaked)} on the air itself is saturated: expect {what}, on computer, plugs and "
        "bags as much as on glass."
    )
    night = evening.night
    behind = ("dew-point", "saturated")
    if night.end - soaked < WET_SHARE * (night.end - night.start):
        return Finding("air", "sound", "Damp air", f"{sentence} Cover what stands open.", behind, "dew-point")
    cure = "Cover computer, hub and plugs, keep cases shut, and dry everything with its lids open at home."
    return Finding("air", "tight", "Damp air", sentence, behind, "dew-point", cure)
