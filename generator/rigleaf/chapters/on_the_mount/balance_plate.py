"""Plate: the declination axis as a balance, seen along the polar axis, to scale."""

from rigleaf.catalogue.models.mounting import Counterweight, Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.on_the_mount.balance_study import Held
from rigleaf.chapters.on_the_mount.bodies import Turned, thickness
from rigleaf.chapters.on_the_mount.carriers import latitude_of
from rigleaf.chapters.on_the_mount.physics import moment, polar_torque
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

SIDE, TOP, BOTTOM = 26.0, 34.0, 48.0
LETTERED = 40.0
"""Radius of a tube, in plate units, in which its mass can be written where the lettering is large."""

LEAST_RADIUS_MM = 40.0
"""Half the size of a load whose tube states no diameter."""

FARTHEST = 1.5
"""A balance farther out than so many times the bar's end is told, not drawn."""


def balance_plate(assembly: Assembly, mount: Mount, side: Turned, held: Held | None) -> Drawing | None:
    """Draw the load on one side of the polar axis and bar and weights on the other; None without a reach."""
    reach = side.reach.value
    if reach is None or not side.load.total:
        return None
    say = assembly.say
    optic = assembly.optic
    tube = optic.tube_diameter.value / 2 if optic is not None and optic.tube_diameter is not None else LEAST_RADIUS_MM
    saddle = mount.saddle_distance.value if mount.saddle_distance is not None else 0.0
    bar_end = side.bar_from + side.bar_length if side.bar_from is not None and side.bar_length is not None else 0.0
    # Where no bar is carried the head is drawn as far out as on the load's side.
    head = side.bar_from if bar_end and side.bar_from is not None else saddle
    off = held is not None and held.ends.off(held.distance) > 0
    drawn = held is not None and 0 < held.distance <= FARTHEST * bar_end
    right = max(bar_end, held.distance if held is not None and drawn else 0.0, head) + 18
    half = max([tube, *(width / 2 for _, width in _weights(assembly))])
    scale = min((PLATE_WIDTH - 2 * SIDE) / (reach + tube + right), 150 / (2 * half))
    centre = SIDE + (PLATE_WIDTH - 2 * SIDE - (reach + tube + right) * scale) / 2 + (reach + tube) * scale
    middle = TOP + half * scale
    words = f"The load, {say(side.load.total, 'mass')}, stands {say(reach, 'length')} from the polar axis"
    if held is not None and held.distance > 0:
        words += f"; the weights, {say(side.weights.total, 'mass')}, balance it at {say(held.distance, 'length')}"
    title = "The declination axis as a balance"
    plate = Plate(f"{assembly.rig.id}-balance", PLATE_WIDTH, middle + half * scale + BOTTOM, title, f"{words}.")
    # The head with the declination axis in it, the plate between saddle and tube, and the tube seen from its end.
    plate.rect(centre - saddle * scale, middle - 9, (saddle + head) * scale, 18, "ink-2 fill-tint")
    foot = reach - tube * 0.8 - saddle
    if foot > 0:
        plate.rect(centre - (saddle + foot) * scale, middle - 15, foot * scale, 30, "ink-2")
    plate.circle(centre - reach * scale, middle, tube * scale, "ink fill-paper")
    plate.circle(centre, middle, 5, "ink fill-ink")
    plate.text(centre, TOP - 14, "polar axis", "dim", "middle")
    plate.line(centre, TOP - 8, centre, middle - 8, "dim")
    low = 5 if tube * scale >= LETTERED else -tube * scale - 8
    plate.text(centre - reach * scale, middle + low, say(side.load.total, "mass"), "label", "middle")
    base = middle + half * scale + 16
    plate.dimension(centre - reach * scale, base, centre, base, f"a = {say(reach, 'length')}")
    if bar_end and side.bar.pieces:
        plate.rect(centre + (side.bar_from or 0.0) * scale, middle - 3, (side.bar_length or 0.0) * scale, 6, "ink")
    if held is not None:
        _hang(assembly, plate, held, (centre, middle, scale))
        if drawn:
            spot = centre + held.distance * scale
            plate.path([(spot - 7, base - 10), (spot, base - 22), (spot + 7, base - 10)], "accent", close=True)
            plate.dimension(centre, base, spot, base, f"b = {say(held.distance, 'length')}")
        plate.text(centre + held.place * scale, middle - half * scale - 8, say(side.weights.total, "mass"), "label",
                   "middle")  # fmt: skip
    caption = (
        "The declination axis seen along the polar axis, lying level, where the load pulls hardest; to scale. On the "
        "left the tube from its end, at a from the polar axis."
    )
    if held is not None:
        caption += " On the right the weights at their best place on the bar"
        if drawn:
            caption += ", and b, the mark at which their middle balances the load"
        caption += ". The bar does not reach so far." if off and held.distance > held.ends.most else "."
    else:
        torque = polar_torque(moment(side.load.total, reach), latitude_of(assembly))
        caption += f" It turns the head with {say(torque, 'torque')} at worst."
    return Drawing("balance", title, plate.description, caption, plate.render())


def _weights(assembly: Assembly) -> list[tuple[float, float]]:
    """Return thickness and diameter in mm of each weight, from their packed sizes; 40 and 90 where unsaid."""
    found = []
    for item in assembly.items:
        if isinstance(item.part, Counterweight):
            packed = item.part.packed
            found += [(thickness(item.part) or 40.0, max(packed) if packed is not None else 90.0)] * item.count
    return found


def _hang(assembly: Assembly, plate: Plate, held: Held, frame: tuple[float, float, float]) -> None:
    """Draw the weights side by side with their middle at the best place."""
    centre, middle, scale = frame
    weights = _weights(assembly)
    start = held.place - sum(thick for thick, _ in weights) / 2
    for thick, wide in weights:
        plate.rect(centre + start * scale, middle - wide / 2 * scale, thick * scale, wide * scale, "ink hatch")
        start += thick
