"""The lifts that people make with a rig: into the car and out, the head onto the tripod, the tube into its saddle."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from math import cos, radians, sin

from rigleaf.catalogue.catalogue import Item
from rigleaf.catalogue.models.fields import Box
from rigleaf.catalogue.models.mounting import Counterweight, Fixing, Mount, Tripod
from rigleaf.catalogue.models.optics import Optic
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.hands_and_back import physics
from rigleaf.chapters.hands_and_back.loads import Carried, Load, by_car, stays_put
from rigleaf.chapters.hands_and_back.physics import Grip, Hold
from rigleaf.chapters.what_it_weighs.sums import sum_items

LEAST_KG = 3.0
"""Lighter things are no lifts: ISO 11228-1 begins here."""

HANDS_AT = 2 / 3
"""Part of its height at which hands hold a thing that stands on the ground; common practice, no source."""

OVER_LEGS_MM = 400.0
"""Least distance of the hands when a load is set on a tripod, whose legs keep feet away; common practice, no source."""

CARRIED_AT_MM = physics.METRIC.knuckles
"""Height of the hands at which a thing is carried a few steps: that of the knuckles."""

HINGE_MM, POLAR_MM, SADDLE_MM = 100.0, 120.0, 150.0
"""A middling mount, where its own measures are unsaid; common practice, no source."""

LATITUDE = 45.0
"""Where the place says none: the height of a saddle hardly depends on it."""


@dataclass(frozen=True)
class Lift:
    """One lift by one person with both hands.

    Attributes:
        id: stable name inside the rig.
        name: what is lifted where, in words that follow "lifting".
        mass: in kg, as far as is known.
        complete: whether all of it has a mass.
        grip: how well hands hold it.
        origin, end: where the hands are at its begin and its end.
        items: what is lifted.
        load: the bag or loose part that is lifted, where it is one.
    """

    id: str
    name: str
    mass: float
    complete: bool
    grip: Grip
    origin: Hold
    end: Hold
    items: tuple[Item, ...]
    load: Load | None = None

    @cached_property
    def limits(self) -> tuple[float, float]:
        """Recommended limits in kg at its begin and its end: what is set down must be held there too."""
        way = abs(self.end.height - self.origin.height)
        first, last = (
            physics.recommended_limit(physics.multipliers(hold, way, self.grip, self.origin.height))
            for hold in (self.origin, self.end)
        )
        return first, last

    @property
    def limit(self) -> float:
        """The lower of the two, in kg."""
        return min(self.limits)

    @property
    def index(self) -> float:
        """Mass over limit."""
        return physics.lifting_index(self.mass, self.limit)


@dataclass(frozen=True)
class Gap:
    """A lift that cannot be judged: what it is, and what is missing."""

    name: str
    missing: str


def lifts_of(assembly: Assembly, loads: Carried) -> tuple[tuple[Lift, ...], tuple[Gap, ...]]:
    """Return the lifts of a rig and those that cannot be judged."""
    found = [*_of_loads(assembly, loads), *_of_tripod(assembly, loads), *_of_setting_up(assembly)]
    lifts = tuple(one for one in found if isinstance(one, Lift) and (one.mass >= LEAST_KG or not one.complete))
    return lifts, tuple(one for one in found if isinstance(one, Gap))


def _of_loads(assembly: Assembly, loads: Carried) -> Iterator[Lift | Gap]:
    """Yield the lifts of bags and loose parts: into the car and out, or onto a table, a belt or a rack."""
    if stays_put(assembly):
        return
    car = by_car(assembly)
    sill = assembly.choice("boot_sill" if car else "table_height").value
    where = "into the car and out" if car else "onto a table or a rack"
    for load in loads.all:
        name = f"the {load.name} {where}"
        if not load.told:
            yield Gap(name, "what the bag holds")
        elif not load.mass.total:
            yield Gap(name, "its mass")
        elif load.size is None:
            if load.mass.total >= LEAST_KG:
                yield Gap(name, "its size")
        else:
            low, depth = _held(load.size)
            ends = [Hold(physics.reach_around(depth, height), height) for height in (low, sill + low)]
            yield Lift(
                f"load-{load.id}",
                name,
                load.mass.total,
                load.mass.complete,
                load.grip,
                ends[0],
                ends[1],
                load.items,
                load,
            )


def _of_tripod(assembly: Assembly, loads: Carried) -> Iterator[Lift | Gap]:
    """Yield the lift of a tripod or pillar to where it stands, where it is none of the loads that are lifted anyway."""
    tripod = next(assembly.parts(Tripod), None)
    if tripod is None:
        return
    held = {item.part.id for bag in loads.bags if bag.told for item in bag.items}
    if not stays_put(assembly) and (loads.loose is not None or tripod.id in held):
        return
    name = f"the {tripod.name} to where it stands"
    load = Load(tripod.id, tripod.name, tripod, tuple(item for item in assembly.items if item.part is tripod)[:1])
    if not load.mass.total:
        yield Gap(name, "its mass")
    elif load.size is None:
        if load.mass.total >= LEAST_KG:
            yield Gap(name, "its size")
    else:
        low, depth = _held(load.size)
        origin = Hold(physics.reach_around(depth, low), low)
        end = Hold(physics.reach_around(depth, CARRIED_AT_MM), CARRIED_AT_MM)
        id_ = f"load-{load.id}"
        yield Lift(id_, name, load.mass.total, load.mass.complete, load.grip, origin, end, load.items, load)


def _held(size: Box) -> tuple[float, float]:
    """Return height of the hands and depth in mm of a thing that lies on its largest side, the long side across."""
    small, middle, _ = sorted(size)
    return small * HANDS_AT, middle


def _of_setting_up(assembly: Assembly) -> Iterator[Lift | Gap]:
    """Yield the lifts onto the tripod."""
    tripod = next(assembly.parts(Tripod), None)
    mount = next(assembly.parts(Mount), None)
    if tripod is None:
        return
    height = tripod.height.value if tripod.height is not None else None
    pieces: list[tuple[str, str, tuple[Item, ...], float]] = []
    if mount is not None:
        head = tuple(item for item in assembly.items if item.part is mount)
        pieces.append(("head", f"the {mount.name} onto the tripod", head, 0.0))
    tube = _tube(assembly)
    if tube:
        rings = " with its rings" if len(tube) > 1 else ""
        pieces.append(("tube", f"the {tube[0].part.name}{rings} into the saddle", tube, _saddle(assembly, mount)))
    for item in assembly.items:
        if isinstance(item.part, Counterweight) and item.role == "counterweight":
            each = f"each {item.part.name}" if item.count > 1 else f"the {item.part.name}"
            one = (item._replace(count=1),)
            pieces.append((f"weight-{item.part.id}", f"{each} onto the bar", one, 0.0))
    for id_, name, items, above in pieces:
        yield from _onto(id_, name, items, height, above)


def _tube(assembly: Assembly) -> tuple[Item, ...]:
    """Return the optic with the rings, plates and brackets that stay on it; the train goes on when it stands."""
    optic = tuple(item for item in assembly.items if isinstance(item.part, Optic) and item.role == "train")[:1]
    if not optic:
        return ()
    rings = (item for item in assembly.items if isinstance(item.part, Fixing) and item.role == "rider")
    return (*optic, *rings)


def _saddle(assembly: Assembly, mount: Mount | None) -> float:
    """Return the height in mm of a saddle above the tripod, tube up and weights down."""
    if mount is None:
        return 0.0
    place = assembly.place
    stated = place.latitude if place is not None else None
    tilt = radians(abs(stated.value) if stated is not None else LATITUDE)
    hinge, polar, saddle = (
        reading.value if reading is not None else usual
        for reading, usual in (
            (mount.hinge_height, HINGE_MM), (mount.polar_length, POLAR_MM), (mount.saddle_distance, SADDLE_MM),
        )
    )  # fmt: skip
    if mount.drive == "alt-azimuth":
        return hinge
    return hinge + polar * sin(tilt) + saddle * cos(tilt)


def _onto(id_: str, name: str, items: tuple[Item, ...], height: float | None, above: float) -> Iterator[Lift | Gap]:
    whole = sum_items(items)
    size = items[0].part.packed
    grip: Grip = items[0].part.grip or "fair"
    if not whole.total:
        yield Gap(name, "its mass")
    elif whole.total < LEAST_KG and whole.complete:
        return
    elif size is None:
        yield Gap(name, "its size")
    elif height is None:
        yield Gap(name, "the tripod's height")
    else:
        low, depth = _held(size)
        origin = Hold(physics.reach_around(depth, low), low)
        top = height + above + (low if not above else 0.0)
        end = Hold(max(physics.reach_around(depth, top), OVER_LEGS_MM), top)
        yield Lift(id_, name, whole.total, whole.complete, grip, origin, end, items)
