"""What is still only claimed: quantities that rest on a maker's word or on a default, and how far each may be off.

How far is common practice, no source: what clubs find when they weigh and measure what leaflets say. Where a maker
states a tolerance, that counts instead.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import choice
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Input, Trace
from rigleaf.quantities import Reading


@dataclass(frozen=True, slots=True)
class Off:
    """How far a claimed value may be off: by a share of itself, or by an amount in its canonical unit."""

    share: float = 0.0
    amount: float = 0.0

    def of(self, value: float) -> float:
        """Return how far ``value`` may be off, in its own unit."""
        return max(self.share * abs(value), self.amount)


BY_DIMENSION: dict[str, Off] = {
    "mass": Off(0.05),
    "length": Off(0.02),
    "optical_length": Off(0.005, 0.1),
    "small_length": Off(0.02),
    "offset": Off(0.0, 0.5),
    "wavelength": Off(0.0, 1.0),
    "time": Off(0.3),
    "power": Off(0.25),
    "energy": Off(0.1),
    "charge": Off(0.1),
    "voltage": Off(0.05),
    "current": Off(0.1),
    "angle": Off(0.02),
    "small_angle": Off(0.3),
    "temperature": Off(0.0, 3.0),
    "temperature_step": Off(0.15),
    "torque": Off(0.2),
    "speed": Off(0.2),
    "volume": Off(0.05),
    "data": Off(0.07),
    "electrons": Off(0.15),
    "electron_rate": Off(0.5),
    "sky_brightness": Off(0.0, 0.3),
    "fraction": Off(0.1),
    "number": Off(0.05),
}
"""By dimension; common practice, no source."""

BY_FIELD: dict[str, Off] = {
    "aperture": Off(0.01),
    "focal_length": Off(0.02),
    "factor": Off(0.02),
    "image_circle": Off(0.1),
    "capacity": Off(0.2),
    "capacity_with_counterweight": Off(0.2),
    "load_limit": Off(0.1),
    "transmission": Off(0.05),
    "seeing": Off(0.2),
    "pixel": Off(0.005),
    "period": Off(0.01),
    "cool_down": Off(0.5),
    "clear_aperture": Off(0.01),
    "rear_clear_aperture": Off(0.01),
    "glass_index": Off(0.01),
    "distance": Off(0.005),
}
"""By field, where one is known better or worse than its dimension; common practice, no source."""

MEASURABLE: dict[str, Off] = {
    "seeing": Off(0.3),
    "tracking_error": Off(0.3),
    "night_cooling": Off(0.3),
    "polar_error": Off(0.5),
    "guide_delay": Off(0.5),
    "sky_brightness": Off(0.0, 0.7),
    "extinction_times": Off(0.25),
    "transmission": Off(0.08),
    "frame_overhead": Off(0.5),
    "line_share": Off(0.4),
    "converter": Off(0.06),
    "lead_acid_usable": Off(0.2),
    "lithium_usable": Off(0.06),
    "starter_charge": Off(0.25),
    "slewing": Off(0.5),
    "gust_factor": Off(0.15),
    "leg_width": Off(0.25),
    "usual_cooling": Off(0.25),
    "cooling_down": Off(0.4),
    "battery_warmth": Off(0.0, 3.0),
    "dew_wind": Off(0.6),
    "first_night": Off(0.25),
    "boot_sill": Off(0.15),
    "table_height": Off(0.05),
    "padding": Off(0.5),
}
"""Defaults that somebody could measure; the others are decisions of the guide, which are neither right nor wrong."""

_ALLOWED = frozenset({"distance"})
"""Fields whose "+-" says how much is allowed (as of a back focus), not how well the value is known."""

_SET = frozenset({"at", "current_limit", "fuse", "hours", "lowest_temperature", "rated_hours", "sensor"})
"""What somebody decides, or a maker lays down: it holds as it is said, and trying how far it goes can do harm."""

_POSITION = frozenset({"latitude", "longitude", "elevation", "azimuth", "altitude"})
"""What a map and a look around tell well enough."""


@dataclass(frozen=True, slots=True)
class Claim:
    """One quantity that nobody has measured.

    Attributes:
        input: whose it is and where it stands.
        reading: what is claimed.
        off: how far it may be off, in the canonical unit of its dimension.
        said: whether that is the tolerance that came with the value.
        readers: the rigs and chapters that look at it, as (id of the rig, id of the chapter).
        judgements: how many findings these chapters make about these rigs.
    """

    input: Input
    reading: Reading
    off: float
    said: bool
    readers: tuple[tuple[str, str], ...] = field(repr=False)
    judgements: int = 0

    @property
    def rigs(self) -> tuple[str, ...]:
        """Ids of the rigs, in their order."""
        return tuple(dict.fromkeys(rig for rig, _ in self.readers))

    @property
    def key(self) -> str:
        """The field as people write it, such as "sensor.pixel"; of a choice its name."""
        return ".".join(map(str, self.input.path)) or self.input.id


def claims(catalogue: Catalogue, studies: Sequence[RigStudy], trace: Trace) -> list[Claim]:
    """Return every claim that a judgement looks at: those with the most judgements and rigs first.

    Rigs that are kept for training, with their deliberate mistakes, do not count.
    """
    made = {
        (study.rig.id, chapter.id): sum(finding.verdict != "unsaid" for finding in found.findings)
        for study in studies
        for chapter, found in study.studies
    }
    readers: dict[Input, list[tuple[str, str]]] = {}
    for place, inputs in trace.read.items():
        if made.get(place) and not catalogue.rigs[place[0]].for_training:
            for one in inputs:
                readers.setdefault(one, []).append(place)
    found = [claim for one, places in readers.items() if (claim := _claim(catalogue, one, places, made))]
    return sorted(found, key=lambda claim: (-claim.judgements, -len(claim.rigs), claim.input.id, claim.key))


def _claim(
    catalogue: Catalogue, one: Input, places: list[tuple[str, str]], made: Mapping[tuple[str, str], int]
) -> Claim | None:
    reading = value_of(catalogue, one)
    if reading is None or reading.basis != ("assumed" if one.owner == "choice" else "stated"):
        return None
    known = MEASURABLE.get(one.id) if one.owner == "choice" else _known(one, reading)
    if known is None:
        return None
    said = reading.uncertainty is not None and (not one.path or one.path[-1] not in _ALLOWED)
    off = reading.uncertainty if said and reading.uncertainty is not None else known.of(reading.value)
    if off <= 0:
        return None  # an exact value, such as an obstruction of nothing
    return Claim(one, reading, off, said, tuple(places), sum(made[place] for place in places))


def _known(one: Input, reading: Reading) -> Off | None:
    key = one.path[-1]
    if key in _POSITION or key in _SET:
        return None
    return BY_FIELD.get(str(key)) or BY_DIMENSION.get(reading.dimension)


def value_of(catalogue: Catalogue, one: Input) -> Reading | None:
    """Return the quantity itself."""
    if one.owner == "choice":
        return choice(catalogue.guide, one.id)
    value: Any = _entries(catalogue, one)[one.id]
    for step in one.path:
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value if isinstance(value, Reading) else None


def _entries(catalogue: Catalogue, one: Input) -> Mapping[str, Any]:
    return {"part": catalogue.parts, "rig": catalogue.rigs, "place": catalogue.places}[one.owner]


HOW: dict[str, str] = {
    "mass": "a kitchen scale up to a kilogram, a luggage scale above",
    "length": "a tape or a ruler",
    "optical_length": "a calliper",
    "small_length": "steps or pixels counted over a length that a calliper gives",
    "power": "a meter in the lead, over some minutes of the state in question",
    "current": "a meter in the lead",
    "voltage": "a voltmeter, under load",
    "energy": "a meter in the lead, from full to empty, in the cold that is expected",
    "charge": "a meter in the lead, from full to empty, in the cold that is expected",
    "time": "a clock",
    "small_angle": "the width or the wander of stars in exposures of one night",
    "sky_brightness": "a sky meter at the zenith, on moonless nights",
    "temperature": "a thermometer",
    "temperature_step": "two thermometers",
    "volume": "a measuring jug",
    "electrons": "pairs of bias frames and flat fields",
    "electron_rate": "a series of dark frames",
    "speed": "an anemometer",
}
"""How a value of each dimension is measured with what a club has; common practice."""

HOW_FIELD: dict[str, str] = {
    "focal_length": "the image scale that a plate solution gives, times the size of a pixel",
    "factor": "the image scales that plate solutions give with and without it",
    "aperture": "a ruler across the front lens",
    "distance": "stars in the corners of the frame, with one shim more and one less",
    "period": "a log of guiding over two turns of the worm",
    "periodic_error": "a log of the unguided drive over two turns of the worm",
    "image_circle": "stars in the corners of a frame that is larger",
    "guide_delay": "a log of guiding, with its times",
    "frame_overhead": "the times of the first and the last of many frames",
    "transmission": "the same star with two instruments, or what the glass's maker measured",
    "capacity": "test exposures, with a little more on the mount each time",
    "capacity_with_counterweight": "test exposures, with a little more on the mount each time",
    "load_limit": "",
    "warms": "a sensor in the bag, against that of a heater whose draw is known",
    "leg_width": "a calliper at the thick and the thin end of a leg",
    "usual_cooling": "the air's temperature, where the power that the camera reports is its usual one",
    "first_night": "a clock, while some beginners set up alone",
}
"""The same by field, where the dimension does not say it."""


def how_to_measure(claim: Claim) -> str:
    """Return how a claim would be settled, or nothing where no plain way is known."""
    key = str(claim.input.path[-1]) if claim.input.path else claim.input.id
    return HOW_FIELD[key] if key in HOW_FIELD else HOW.get(claim.reading.dimension, "")


def of_parts(found: Sequence[Claim]) -> Iterator[tuple[str, list[Claim]]]:
    """Yield the claims about parts by id of the part, in the order of their first one."""
    by_part: dict[str, list[Claim]] = {}
    for claim in found:
        if claim.input.owner == "part":
            by_part.setdefault(claim.input.id, []).append(claim)
    yield from by_part.items()
