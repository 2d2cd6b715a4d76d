"""Plate: one bag packed, layer by layer from the bottom, each seen from above."""

from math import ceil

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.in_the_bag.packed import PackedBag
from rigleaf.chapters.in_the_bag.words import count
from rigleaf.chapters.svg import PLATE_WIDTH, Plate
from rigleaf.packing.boxes import Placed

MARGIN, GAP, HEAD = 4.0, 22.0, 26.0
LETTER = 16.0
"""Room in units that the two figures of a number take."""


def layer_plate(assembly: Assembly, bag: PackedBag, fragile: frozenset[int]) -> Drawing:
    """Draw every layer of a bag with its pieces, numbered in the order in which they go in."""
    length, across, _ = bag.bag.to_pack().inner
    rows = bag.layers
    columns = 1 if len(rows) == 1 or length > 2.2 * across else 2
    width = (PLATE_WIDTH - 2 * MARGIN - GAP * (columns - 1)) / columns
    scale = width / length
    if columns == 1 and across * scale > 260:
        scale = 260 / across
    depth = across * scale
    title = f"{bag.bag.name}, layer by layer"
    height = ceil(len(rows) / columns) * (depth + HEAD + 8) + MARGIN
    description = (
        f"{count(len(rows), 'layer')} from the bottom, seen from above: "
        + "; ".join(f"layer {n} holds {_numbers(bag, row)}" for n, row in enumerate(rows, 1))
        + ". The numbers are those of the list below the plate."
    )
    plate = Plate(f"{assembly.rig.id}-bag-{bag.bag.key}", PLATE_WIDTH, height, title, description)
    order = {one.piece: number for number, one in enumerate(bag.packing.placed, 1)}
    for index, row in enumerate(rows):
        left = MARGIN + (index % columns) * (length * scale + GAP)
        top = MARGIN + (index // columns) * (depth + HEAD + 8) + HEAD
        reach = assembly.say(max(one.top for one in row), "length")
        plate.text(left, top - 8, f"{index + 1}: up to {reach}", "dim")
        plate.rect(left, top, length * scale, depth)
        foot = min(one.corner[2] for one in row)
        for one in (one for below in rows[:index] for one in below if one.top > foot + 1e-6):
            plate.rect(*_box(one, left, top, scale), "ink-2 hidden-line")
        for one in row:
            plate.rect(*_box(one, left, top, scale), "ink fill-tint" if one.piece in fragile else "ink fill-paper")
        for one in row:
            x, y, w, d = _box(one, left, top, scale)
            plate.text(x + w / 2, y + d / 2 + 5, str(order[one.piece]), "label", "middle")
    caption = (
        f"{bag.bag.name} as it lies open, {count(len(rows), 'layer')} from the bottom up, seen from above. "
        "Numbers follow the order in which pieces go in; dashed ones reach up from below, tinted ones bear nothing heavy."
    )
    return Drawing(f"bag-{bag.bag.key}", title, description, caption, plate.render())


def _numbers(bag: PackedBag, row: tuple[Placed, ...]) -> str:
    order = {one.piece: number for number, one in enumerate(bag.packing.placed, 1)}
    found = [order[one.piece] for one in row]
    return f"number {found[0]}" if len(found) == 1 else f"numbers {min(found)} to {max(found)}"


def _box(one: Placed, left: float, top: float, scale: float) -> tuple[float, float, float, float]:
    return left + one.corner[0] * scale, top + one.corner[1] * scale, one.sides[0] * scale, one.sides[1] * scale
