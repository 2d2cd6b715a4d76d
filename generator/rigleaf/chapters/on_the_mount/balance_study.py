"""Judgement of balance: torque about the polar axis, and where on its bar a counterweight holds the load."""

from dataclasses import dataclass

from rigleaf.catalogue.models.mounting import Counterweight, Mount
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.on_the_mount import physics
from rigleaf.chapters.on_the_mount.bodies import Turned, has_two_axes
from rigleaf.chapters.on_the_mount.carriers import latitude_of, room_in
from rigleaf.chapters.on_the_mount.counterweights import ROOM_MM, Ends, Hung, balance_from_shelf, ends_of, weight_wanted
from rigleaf.quantities import Reading

TORQUE, BALANCE = "polar-torque", "balance-point"
TITLE = "Balance"


@dataclass(frozen=True)
class Held:
    """A load held by weights on a bar, all distances in mm from the polar axis.

    ``distance`` is where they would balance, ``place`` the nearest that the bar allows, ``left`` the moment in kg mm
    that is out of balance there: positive where the load is the heavier side.
    """

    distance: float
    place: float
    ends: Ends
    left: float


@dataclass(frozen=True)
class Balanced:
    """What was found out about balance: figures, findings, and what the plate draws."""

    figures: list[Figure]
    findings: list[Finding]
    held: Held | None = None


def rated_torque(mount: Mount) -> Reading | None:
    """Return the torque that a drive may hold for good: a worm drive wants balance, whatever its maker rates."""
    return None if mount.drive == "worm" else mount.rated_torque


def hold(side: Turned) -> Held | None:
    """Return where the weights hold the load; None where a length or a mass is unsaid."""
    reach, start, length = side.reach.value, side.bar_from, side.bar_length
    if reach is None or start is None or length is None or not (side.weights.total and side.weights.complete):
        return None
    if not side.bar.complete:
        return None
    load = physics.moment(side.load.total, reach)
    left = load - physics.moment(side.bar.total, start + length / 2)
    ends = ends_of(start, length, side.stack)
    distance = physics.balancing_distance(left, side.weights.total)
    place = physics.nearest_place(distance, ends.least, ends.most)
    return Held(distance, place, ends, left - physics.moment(side.weights.total, place))


def judge_balance(assembly: Assembly, mount: Mount, side: Turned, counter: Hung) -> Balanced:
    """Judge whether drive and weights hold the load about the polar axis."""
    reach = side.reach.value
    if not side.load.total or not has_two_axes(assembly, mount, counter.hangs):
        return Balanced([], [])
    if reach is None:
        return Balanced([], [_unknown(mount, side)])
    note = f"rests on {listed(side.reach.assumed)}" if side.reach.assumed else ""
    figures = [
        Figure("reach", "Distance of the load's centre from the polar axis", reach, "length", BALANCE,
               uncertainty=side.reach.uncertainty, note=note),
        _torque_figure(assembly, side, reach),
    ]  # fmt: skip
    if not counter.hangs:
        return Balanced(figures, [_alone(assembly, mount, side, reach)])
    held = hold(side)
    if held is None:
        return Balanced(figures, [_unplaced(assembly, mount, side)])
    error = None
    if side.reach.uncertainty is not None:
        error = physics.balancing_uncertainty(
            side.load.total, side.load.uncertainty or 0.0, reach, side.reach.uncertainty, side.weights.total
        )
    gap = "" if side.load.complete else "at least; masses are missing"
    figures += [
        Figure("balance-at", "Middle of the weights in balance, from the polar axis", held.distance, "length", BALANCE,
               uncertainty=error, note=gap),
        Figure("balance-along", "The same along the usable part of the bar", held.distance - (side.bar_from or 0.0),
               "offset", BALANCE, note=f"the weights can stand from {_along(assembly, side, held.ends.least)} to "
               f"{_along(assembly, side, held.ends.most)}"),
        Figure("torque-left", "Torque left with the weights at their best place",
               physics.polar_torque(held.left, latitude_of(assembly)), "torque", TORQUE),
    ]  # fmt: skip
    return Balanced(figures, [_held(assembly, mount, side, held)], held)


def _along(assembly: Assembly, side: Turned, distance: float) -> str:
    return assembly.say(distance - (side.bar_from or 0.0), "length")


def _torque_figure(assembly: Assembly, side: Turned, reach: float) -> Figure:
    torque = physics.polar_torque(physics.moment(side.load.total, reach), latitude_of(assembly))
    place = assembly.place
    known = place is not None and place.latitude is not None
    where = f"at the worst hour angle, at {assembly.say(abs(latitude_of(assembly)), 'angle')} of latitude"
    note = where if known else "at the worst hour angle, on the equator for want of a latitude"
    if not side.load.complete:
        note = f"at least; {note}"
    return Figure("torque-alone", "Torque about the polar axis without a counterweight", torque, "torque", TORQUE,
                  note=note)  # fmt: skip


def _unknown(mount: Mount, side: Turned) -> Finding:
    sentence = f"Whether {mount.name} is in balance cannot be told: {listed(side.reach.missing)} is not stated."
    cure = (
        "Lay a ruler from the middle of the polar axis to the face of the saddle, and from the foot of the plate to "
        "the middle of the tube."
    )
    return Finding("balance", "unsaid", TITLE, sentence, (), BALANCE, cure, (mount.id,))


def _unplaced(assembly: Assembly, mount: Mount, side: Turned) -> Finding:
    """Return the finding where weights hang and a length or mass of theirs is unsaid."""
    bare = [item.part for item in assembly.items if item.role == "counterweight" and item.part.mass is None]
    missing = [f"the mass of {part.name}" for part in bare]
    missing += [f"where the bar of {mount.name} begins"] if side.bar_from is None else []
    missing += ["the usable length of the bar"] if side.bar_length is None else []
    sentence = f"Where the counterweight balances cannot be told: {', '.join(missing)} is not stated."
    cure = (
        "Weigh the weights and the bar, and lay a ruler from the middle of the polar axis to where a weight can first "
        "stand, and on to where it can last stand."
    )
    return Finding("balance", "unsaid", TITLE, sentence, ("torque-alone",), BALANCE, cure,
                   tuple(dict.fromkeys(part.id for part in bare)))  # fmt: skip


def _alone(assembly: Assembly, mount: Mount, side: Turned, reach: float) -> Finding:
    """Judge a load that nothing hangs opposite of: the drive must hold it by itself."""
    say, load = assembly.say, physics.moment(side.load.total, reach)
    torque, behind = physics.polar_torque(load, latitude_of(assembly)), ("torque-alone", "reach")
    least = "" if side.load.complete else "at least "
    swing = f"the load turns {mount.name} with {least}{say(torque, 'torque')} about the polar axis at worst"
    rated = rated_torque(mount)
    if rated is None:
        cure, parts = _hang(assembly, mount, load)
        if mount.drive == "worm":
            sentence = f"Nothing hangs opposite the load: {swing}, and a worm drive must be in balance."
            return Finding("balance", "fails", TITLE, sentence, behind, TORQUE, cure, parts)
        sentence = (
            f"Without a counterweight {swing}; whether its drive holds that cannot be told, for no torque is rated."
        )
        return Finding("balance", "unsaid", TITLE, sentence, behind, TORQUE,
                       f"Ask the maker for the rated torque. {cure}".strip(), parts)  # fmt: skip
    verdict = _verdict(assembly, mount, torque)
    sentence = (
        f"Without a counterweight {swing}: {say(physics.part_used(torque, rated.value), 'fraction')} of the "
        f"{say(rated.value, 'torque')} that its drive is rated for."
    )
    if not side.load.complete and verdict != "fails":
        return Finding("balance", "unsaid", TITLE, sentence, behind, TORQUE, "Weigh what has no mass.")
    if verdict == "sound":
        return Finding("balance", verdict, TITLE, sentence, behind, TORQUE)
    cure, parts = _hang(assembly, mount, load)
    return Finding("balance", verdict, TITLE, sentence, behind, TORQUE, cure, parts)


def _verdict(assembly: Assembly, mount: Mount, torque: float) -> Verdict:
    rated = rated_torque(mount)
    if rated is None or torque > rated.value:
        return "fails"
    return "sound" if torque <= room_in(assembly, rated) else "tight"


def _hang(assembly: Assembly, mount: Mount, load: float) -> tuple[str, tuple[str, ...]]:
    """Return the club's weights and bar that would balance the load, or the mass that would, and their ids."""
    found = balance_from_shelf(assembly, mount, load)
    if found is None:
        return weight_wanted(assembly, mount, load)
    say = assembly.say
    verb = "Take" if any(assembly.parts(Counterweight, "counterweight")) else "Hang"
    sentence = (
        f"{verb} {found.names()}: in balance {say(found.distance, 'length')} from the polar axis, "
        f"{say(found.along, 'length')} along the bar."
    )
    return sentence, found.parts


def _held(assembly: Assembly, mount: Mount, side: Turned, held: Held) -> Finding:
    """Judge weights on a bar."""
    say, behind = assembly.say, ("balance-at", "balance-along", "torque-left")
    weights = f"{say(side.weights.total, 'mass')} of counterweight"
    room = held.ends.room(held.distance)
    light = held.distance > held.ends.most
    if not side.load.complete and not light:
        sentence = f"{weights} hang on the bar of {mount.name}, but the load has parts without a mass."
        return Finding("balance", "unsaid", TITLE, sentence, behind, BALANCE, "Weigh what has no mass.")
    if room >= 0:
        sentence = (
            f"{weights} balance the load with their middle {say(held.distance, 'length')} from the polar axis, "
            f"{_along(assembly, side, held.distance)} along the usable part of the bar."
        )
        if room >= ROOM_MM or rated_torque(mount) is not None:
            return Finding("balance", "sound", TITLE, sentence, behind, BALANCE)
        sentence += f" That leaves {say(room, 'length')} of bar, and a little more on one side uses it up."
        return Finding("balance", "tight", TITLE, sentence, behind, BALANCE, *_hang(assembly, mount, _load(side)))
    return _off(assembly, mount, side, held)


def _off(assembly: Assembly, mount: Mount, side: Turned, held: Held) -> Finding:
    """Judge weights that balance at no place on the bar, by what is left to the drive."""
    say, behind = assembly.say, ("balance-at", "balance-along", "torque-left")
    weights = f"{say(side.weights.total, 'mass')} of counterweight"
    torque = physics.polar_torque(held.left, latitude_of(assembly))
    light = held.distance > held.ends.most
    end = say(held.ends.most if light else held.ends.least, "length")
    rated = rated_torque(mount)
    if rated is not None:
        verdict = _verdict(assembly, mount, torque)
        holds = {"sound": "which it holds", "tight": "which leaves little for wind and cables"}.get(
            verdict, "more than it holds"
        )
        outer = "outer" if light else "inner"
        used = say(physics.part_used(torque, rated.value), "fraction")
        sentence = (
            f"{weights} at the {outer} end of the bar, {end} from the polar axis, leave {say(torque, 'torque')} to the "
            f"drive at worst: {used} of what it is rated for, {holds}."
        )
        if verdict == "sound":
            return Finding("balance", verdict, TITLE, sentence, behind, TORQUE)
        return Finding("balance", verdict, TITLE, sentence, behind, TORQUE, *_hang(assembly, mount, _load(side)))
    why = (
        f"too light: they would balance {say(held.distance, 'length')} from the polar axis, and the bar lets their "
        f"middle stand at {end} at most"
        if light
        else f"too heavy: at {end} from the polar axis, the inner end of the bar, they pull more than the load"
    )
    sentence = f"{weights} on {mount.name} are {why}. That leaves {say(torque, 'torque')} out of balance at worst."
    verdict = "tight" if held.ends.off(held.distance) <= ROOM_MM else "fails"
    return Finding("balance", verdict, TITLE, sentence, behind, BALANCE, *_hang(assembly, mount, _load(side)))


def _load(side: Turned) -> float:
    return physics.moment(side.load.total, side.reach.value or 0.0)
