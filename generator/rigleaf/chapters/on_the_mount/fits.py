"""Whether plate, saddle, bar, weight, base and tripod go together, and what on the shelf would join them."""

from collections.abc import Iterator
from dataclasses import dataclass

from rigleaf.catalogue.models.mounting import Counterweight, Fixing, Mount, Tripod
from rigleaf.catalogue.models.optics import Optic
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.train import Adapter
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.image_train.joints import quoted
from rigleaf.chapters.image_train.mating import join, mates, mismatch
from rigleaf.chapters.on_the_mount.bodies import Turned, bar_of, brackets_of
from rigleaf.chapters.on_the_mount.carriers import lightest_carrier, takes, tripod_instead
from rigleaf.chapters.on_the_mount.counterweights import Hung, balance_from_shelf
from rigleaf.chapters.on_the_mount.on_shelf import left_over, on_shelf
from rigleaf.chapters.on_the_mount.physics import moment
from rigleaf.quantities import Reading

FITS = "mount-fits"

RING_SLACK_MM = 0.5
"""By how much the diameters of two pairs of rings may differ that hold the same tube."""


@dataclass(frozen=True)
class Plate:
    """The dovetail plate that holds the tube: on which part it is, and its width in mm."""

    part: Part
    width: float


def plate_of(assembly: Assembly) -> Plate | None:
    """Return the plate under the tube: that of rings or heads, else the one fitted to the optic itself."""
    fixings = [one for one in assembly.parts(Fixing, "train", "rider") if one.saddle is None]
    # A tube in rings sits on their plate, whatever else is named before them.
    fixings.sort(key=lambda one: one.holds_diameter is None)
    for one in (*fixings, assembly.optic):
        if one is not None and one.dovetail is not None:
            return Plate(one, one.dovetail.value)
    return None


def judge_fits(
    assembly: Assembly, mount: Mount, tripod: Tripod | None, side: Turned, counter: Hung
) -> Iterator[Finding]:
    """Yield a finding for each joint that does not fit or is unsaid, or one for all where everything fits."""
    rest = (_bar(assembly, mount, side, counter), _base(assembly, mount, tripod))
    found = [*_saddles(assembly, mount, side), *(one for one in rest if one is not None)]
    yield from found
    if found or tripod is None:
        return
    plate = plate_of(assembly)
    width = f"the {assembly.say(plate.width, 'length')} plate in the saddle, " if plate is not None else ""
    weights = "weights and bar on the mount, " if counter.hangs else ""
    sentence = f"Everything fits: {width}{weights}{mount.name} on {tripod.name} ({mount.base} on {tripod.top})."
    yield Finding("fit", "sound", "Fit", sentence, (), FITS)


def _saddles(assembly: Assembly, mount: Mount, side: Turned) -> Iterator[Finding]:
    """Yield what is wrong between the mount's saddle, brackets and the plate under the tube."""
    title = "Dovetail"
    if not any(assembly.parts(Optic, "train")):
        return
    plate = plate_of(assembly)
    # From the mount outwards: what holds, the widths that it takes, what sits in it, and the width of that.
    holder: Part = mount
    widths = mount.saddles
    pairs: list[tuple[Part, tuple[Reading, ...] | None, Part | None, float | None]] = []
    for bracket in brackets_of(assembly):
        pairs.append((holder, widths, bracket, bracket.dovetail.value if bracket.dovetail is not None else None))
        holder, widths = bracket, (bracket.saddle,) if bracket.saddle is not None else None
    pairs.append((holder, widths, plate.part if plate else None, plate.width if plate else None))
    for number, (holds, taken, part, width) in enumerate(pairs, 1):
        id_ = "dovetail" if number == len(pairs) else f"dovetail-bracket-{number}"
        if width is None or part is None:
            sentence = f"Whether the tube sits in {holds.name} cannot be told: no plate under it is named."
            cure = (
                "Measure the foot of its plate with a caliper, and state it as the dovetail of the optic or its rings."
            )
            yield Finding(id_, "unsaid", title, sentence, (), FITS, cure)
        elif taken is None:
            sentence = f"Whether {part.name} sits in {holds.name} cannot be told: what its saddle takes is not stated."
            cure = "Measure the jaws of the saddle, open and closed, with a caliper."
            yield Finding(id_, "unsaid", title, sentence, (), FITS, cure, (holds.id,))
        elif not takes(taken, width):
            say = assembly.say
            wide, listed = say(width, "length"), " or ".join(say(one.value, "length") for one in taken)
            sentence = f"The plate of {part.name} is {wide} wide, and the saddle of {holds.name} takes {listed}."
            cure, parts = _plate_remedy(assembly, mount, side, taken, part, width)
            yield Finding(id_, "fails", title, sentence, (), FITS, cure, parts)


def _plate_remedy(
    assembly: Assembly, mount: Mount, side: Turned, taken: tuple[Reading, ...], part: Part, width: float
) -> tuple[str, tuple[str, ...]]:
    """Return rings that hold the same tube on a plate that fits, a bracket between, or a mount whose saddle fits."""
    fixings = [one for one in on_shelf(assembly, Fixing) if one is not part and left_over(assembly, one) > 0]
    good = [one for one in fixings if one.dovetail is not None and takes(taken, one.dovetail.value)]
    for one in good:
        if (
            one.saddle is None and isinstance(part, Fixing)
            and one.holds_diameter is not None and part.holds_diameter is not None
            and abs(one.holds_diameter.value - part.holds_diameter.value) <= RING_SLACK_MM
        ):  # fmt: skip
            return f"The club's {quoted(one.name)} hold the same tube on a plate that fits.", (one.id,)
    for one in good:
        if one.saddle is not None and takes((one.saddle,), width):
            return f"Put the club's {quoted(one.name)} between them.", (one.id,)
    jaws = assembly.say(taken[0].value, "length") if taken else "the saddle's width"
    buy = f"a plate of {jaws} under the same tube"
    other = lightest_carrier(assembly, mount, side, width)
    if other is not None:
        head = other.mount
        whose = f"The saddle of the club's {quoted(head.name)} takes it, and that mount carries the load"
        return f"{whose}; on {mount.name} it needs {buy}.", (head.id,)
    return f"Nothing on the shelf joins them; {buy} is to be bought.", ()


def _bar(assembly: Assembly, mount: Mount, side: Turned, counter: Hung) -> Finding | None:
    """Return what is wrong between mount, bar and weights."""
    if not counter.named:
        return None
    title, bar = "Counterweight", bar_of(assembly)
    if counter.clash:
        sentence = f"The counterweight cannot hang: {counter.clash}."
        return Finding("counterweight", "fails", title, sentence, (), FITS, *_bar_remedy(assembly, mount, side))
    if bar is None:
        sentence = f"The rig names a counterweight for {mount.name} and no bar to hang it on."
        cure = "Name the bar under 'counterweights', even where it is built in."
        return Finding("counterweight", "unsaid", title, sentence, (), FITS, cure)
    weights = list(assembly.parts(Counterweight, "counterweight"))
    unsaid: list[Part] = [one for one in weights if one.bore is None]
    unsaid += [bar] if bar.diameter is None else []
    unsaid += [mount] if mount.counterweight_bar is None else []
    if not unsaid:
        return None
    names = ", ".join(one.name for one in unsaid)
    sentence = (
        f"Whether the counterweight goes on {mount.name} cannot be told: the diameter of bar of {names} is not stated."
    )
    return Finding("counterweight", "unsaid", title, sentence, (), FITS, "Measure bar and bores with a caliper.",
                   tuple(one.id for one in unsaid))  # fmt: skip


def _bar_remedy(assembly: Assembly, mount: Mount, side: Turned) -> tuple[str, tuple[str, ...]]:
    """Return the club's bar and weights that go on this mount and hold the load, or what it takes."""
    if mount.counterweight_bar is None:
        return "Leave it at home.", ()
    if side.reach.value is not None:
        found = balance_from_shelf(assembly, mount, moment(side.load.total, side.reach.value))
        if found is not None:
            return f"Take {found.names()}: they go on this mount and balance the load.", found.parts
    size = assembly.say(mount.counterweight_bar.value, "length")
    return f"Take a bar of {size}, which {mount.name} wants, and weights with the same bore.", ()


def _base(assembly: Assembly, mount: Mount, tripod: Tripod | None) -> Finding | None:
    """Return what is wrong between the mount's base and the tripod's top."""
    title = "Base and tripod"
    if tripod is None:
        sentence = f"Whether {mount.name} has anything to stand on cannot be told: the rig names no tripod or pier."
        return Finding("base", "unsaid", title, sentence, (), FITS, "Name it under 'tripod'.")
    state = join(tripod.top, mount.base)
    if state == "mates":
        return None
    if state == "unsaid":
        unsaid = [part for part, side in ((mount, mount.base), (tripod, tripod.top)) if side is None]
        names = listed(part.name for part in unsaid)
        sentence = f"Whether {mount.name} goes on {tripod.name} cannot be told: the thread of {names} is not stated."
        cure = "A 3/8 in photo screw is 9.5 mm thick and a 1/4 in one 6.4 mm; count the turns of others over 10 mm."
        return Finding("base", "unsaid", title, sentence, (), FITS, cure, tuple(part.id for part in unsaid))
    sentence = f"{mount.name} does not go on {tripod.name}: {mismatch(tripod.top, mount.base)}."
    return Finding("base", "fails", title, sentence, (), FITS, *_base_remedy(assembly, mount, tripod))


def _base_remedy(assembly: Assembly, mount: Mount, tripod: Tripod) -> tuple[str, tuple[str, ...]]:
    """Return an adapter between them, or a tripod that fits the mount; its own load is judged elsewhere."""
    for one in on_shelf(assembly, Adapter):
        for low, high in ((one.front, one.rear), (one.rear, one.front)):
            if left_over(assembly, one) > 0 and mates(tripod.top, low) and mates(high, mount.base):
                return f"Put the club's {quoted(one.name)} between them.", (one.id,)
    adapter = f"an adapter from {tripod.top} to {mount.base}"
    cure, parts = tripod_instead(assembly, mount, tripod)
    return (cure, parts) if parts else (f"Nothing on the shelf joins them; {adapter} is to be bought.", ())
