"""Counterweights: whether those of a rig can hang, where they balance, and which of the club's would."""

from collections import Counter
from dataclasses import dataclass
from itertools import combinations_with_replacement

from rigleaf.catalogue.models.mounting import Counterweight, CounterweightBar, Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.on_the_mount.bodies import bar_of, thickness
from rigleaf.chapters.on_the_mount.on_shelf import counted, on_shelf
from rigleaf.chapters.on_the_mount.physics import balancing_distance, moment, nearest_place

BAR_SLACK_MM = 0.5
"""By how much two stated diameters of bar, bore and mount may differ and still go together."""

ROOM_MM = 10.0
"""Length of bar that should be left on both sides of a balanced weight: a camera more or less moves it by as much."""

MOST_PIECES, MOST_KINDS = 4, 6
"""How many weights a remedy hangs at most, and among how many sorts it looks: more nobody carries to the field."""


@dataclass(frozen=True, slots=True)
class Ends:
    """Between which distances from the polar axis the middle of the weights can stand, in mm."""

    least: float
    most: float

    def off(self, distance: float) -> float:
        """By how many mm a distance lies beyond the ends; 0 between them."""
        return abs(distance - nearest_place(distance, self.least, self.most))

    def room(self, distance: float) -> float:
        """Length of bar in mm that is left to the nearer end; negative beyond it."""
        return min(distance - self.least, self.most - distance)


def ends_of(start: float, length: float, stack: float) -> Ends:
    """Return where the middle of weights can stand that take ``stack`` mm of a bar."""
    half = min(stack, length) / 2
    return Ends(start + half, start + length - half)


@dataclass(frozen=True, slots=True)
class Hung:
    """Whether the counterweights of a rig hang on its mount.

    Attributes:
        named: whether the rig names a weight.
        clash: why what it names cannot hang, in words; empty where it can or where nothing is known against it.
    """

    named: bool
    clash: str = ""

    @property
    def hangs(self) -> bool:
        """Whether the mount is judged as one with a counterweight."""
        return self.named and not self.clash


def hung(assembly: Assembly, mount: Mount) -> Hung:
    """Return whether the rig's counterweights hang on its mount."""
    weights = list(assembly.parts(Counterweight, "counterweight"))
    if not weights:
        return Hung(False)
    bar = bar_of(assembly)
    if mount.drive == "alt-azimuth" and mount.capacity_with_counterweight is None:
        return Hung(True, f"{mount.name}, an alt-azimuth mount, takes none")
    takes = mount.counterweight_bar
    if bar is None or bar.diameter is None:
        return Hung(True)
    say = assembly.say
    if takes is not None and abs(takes.value - bar.diameter.value) > BAR_SLACK_MM:
        return Hung(True, f"{bar.name} is {say(bar.diameter.value, 'length')} thick and {mount.name} takes a bar of "
                          f"{say(takes.value, 'length')}")  # fmt: skip
    for weight in weights:
        if weight.bore is not None and abs(weight.bore.value - bar.diameter.value) > BAR_SLACK_MM:
            return Hung(True, f"{weight.name} has a bore of {say(weight.bore.value, 'length')} and {bar.name} is "
                              f"{say(bar.diameter.value, 'length')} thick")  # fmt: skip
    return Hung(True)


@dataclass(frozen=True)
class Balance:
    """A bar and weights from the shelf that hold a load: where their middle stands and what they weigh in all."""

    bar: CounterweightBar
    weights: tuple[Counterweight, ...]
    distance: float
    along: float
    mass: float
    roomy: bool

    @property
    def parts(self) -> tuple[str, ...]:
        """Ids of what it is made of, each once."""
        return tuple(dict.fromkeys((*(one.id for one in self.weights), self.bar.id)))

    def names(self) -> str:
        """Name weights and bar."""
        return f"{counted(one.name for one in self.weights)} on {counted([self.bar.name])}"


def balance_from_shelf(assembly: Assembly, mount: Mount, load_moment: float) -> Balance | None:
    """Return the club's bar and weights that balance a load on a mount with the least change to what the rig names.

    What the rig hangs already stays if it can, then its bar; among the rest the lightest counts, and one with some bar
    left on both sides goes before one at its end.

    Args:
        assembly: the rig.
        mount: the mount that they hang on, the rig's own or another.
        load_moment: mass of the load times the distance of its centre from the polar axis, in kg mm.
    """
    if mount.bar_start is None:
        return None
    own_bar = bar_of(assembly)
    own = Counter({item.part.id: item.count for item in assembly.items if isinstance(item.part, Counterweight)})
    found = [
        (not one.roomy, bool(own - Counter(part.id for part in one.weights)), one.bar is not own_bar,
         round(one.mass, 6), len(one.weights), one.parts, one)
        for bar in on_shelf(assembly, CounterweightBar)
        if _goes_on(mount, bar)
        for one in _on_bar(assembly, bar, mount.bar_start.value, load_moment)
    ]  # fmt: skip
    return min(found, key=lambda one: one[:-1])[-1] if found else None


def weight_wanted(assembly: Assembly, mount: Mount, load_moment: float) -> tuple[str, tuple[str, ...]]:
    """Say which mass would balance a load where nothing on the shelf does, and on which of the club's bars.

    Args:
        assembly: the rig.
        mount: the mount that it would hang on.
        load_moment: mass of the load times the distance of its centre from the polar axis, in kg mm.
    """
    for bar in on_shelf(assembly, CounterweightBar):
        if not _goes_on(mount, bar) or bar.usable_length is None or mount.bar_start is None:
            continue
        middle = mount.bar_start.value + bar.usable_length.value / 2
        own = bar.mass.value if bar.mass is not None else 0.0
        mass = balancing_distance(load_moment - moment(own, middle), middle)
        if mass <= 0:
            return "Hang no weight: the bar alone outweighs the load.", ()
        return (
            f"No weights on the shelf balance it: {assembly.say(mass, 'mass')} in all would, in the middle of the "
            f"club's {counted([bar.name])}."
        ), (bar.id,)
    return "No bar on the shelf goes on this mount and balances it: carry less, or take another mount.", ()


def _goes_on(mount: Mount, bar: CounterweightBar) -> bool:
    takes = mount.counterweight_bar
    return takes is not None and bar.diameter is not None and abs(bar.diameter.value - takes.value) <= BAR_SLACK_MM


def _on_bar(assembly: Assembly, bar: CounterweightBar, start: float, load_moment: float) -> list[Balance]:
    if bar.usable_length is None or bar.mass is None or bar.diameter is None:
        return []
    length, diameter = bar.usable_length.value, bar.diameter.value
    left = load_moment - moment(bar.mass.value, start + length / 2)
    if left <= 0:
        return []
    middle = left / (start + length / 2)
    kinds = sorted(
        (
            (weight, weight.mass.value, 1 if weight.owned is None else weight.owned)
            for weight in on_shelf(assembly, Counterweight)
            if weight.mass is not None and weight.mass.value > 0 and weight.bore is not None
            and abs(weight.bore.value - diameter) <= BAR_SLACK_MM
        ),
        key=lambda kind: (abs(kind[1] - middle), kind[0].id),
    )[:MOST_KINDS]  # fmt: skip
    found = []
    for number in range(1, MOST_PIECES + 1):
        for chosen in combinations_with_replacement(range(len(kinds)), number):
            mass = sum(kinds[kind][1] for kind in chosen)
            at = balancing_distance(left, mass)
            if not start <= at <= start + length or any(chosen.count(kind) > kinds[kind][2] for kind in chosen):
                continue
            weights = tuple(kinds[kind][0] for kind in chosen)
            stack = sum(thickness(weight) for weight in weights)
            room = ends_of(start, length, stack).room(at)
            if stack <= length and room >= 0:
                found.append(Balance(bar, weights, at, at - start, mass + bar.mass.value, room >= ROOM_MM))
    return found
