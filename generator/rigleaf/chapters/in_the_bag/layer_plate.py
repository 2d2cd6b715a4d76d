"""Plate: one bag packed, layer by layer from the bottom, each seen from above."""

from collections.abc import Mapping, Sequence
from math import ceil

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.in_the_bag.packed import PackedBag
from rigleaf.chapters.in_the_bag.words import count
from rigleaf.chapters.svg import PLATE_WIDTH, Plate
from rigleaf.packing.layers import Pile

MARGIN, GAP, HEAD = 4.0, 22.0, 26.0
LETTER_WIDE, LETTER_HIGH = 9.0, 17.0
"""Room in units that one figure takes where the plate is shown narrow."""
AROUND = tuple(
    (across * far, down * far)
    for far in (20.0, 30.0, 42.0)
    for across, down in ((-1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-0.7, -0.7), (-0.7, 0.7), (0.7, 0.7))
)
"""Where the number of a small box is tried, from its middle, nearest first."""

Corners = tuple[float, float, float, float]


def layer_plate(assembly: Assembly, bag: PackedBag, fragile: frozenset[int]) -> Drawing:
    """Draw every layer of a bag with its pieces, numbered in the order in which they go in."""
    length, across, _ = bag.bag.to_pack().inner
    rows = bag.layers
    columns = 1 if len(rows) == 1 or length > (2.2 if len(rows) == 2 else 3.2) * across else 2
    width = (PLATE_WIDTH - 2 * MARGIN - GAP * (columns - 1)) / columns
    scale = width / length
    if columns == 1 and across * scale > 260:
        scale = 260 / across
    depth = across * scale
    order = {one.piece: number for number, one in enumerate(bag.packing.placed, 1)}
    title = f"{bag.bag.name}, layer by layer"
    height = ceil(len(rows) / columns) * (depth + HEAD + 8) + MARGIN
    description = (
        f"{count(len(rows), 'layer')} from the bottom, seen from above: "
        + "; ".join(f"layer {n} holds {_numbers(order, row)}" for n, row in enumerate(rows, 1))
        + ". The numbers are those of the list below the plate."
    )
    plate = Plate(f"{assembly.rig.id}-bag-{bag.bag.key}", PLATE_WIDTH, height, title, description)
    for index, row in enumerate(rows):
        left = MARGIN + (index % columns) * (length * scale + GAP)
        top = MARGIN + (index // columns) * (depth + HEAD + 8) + HEAD
        reach = assembly.say(max(pile[-1].top for pile in row), "length")
        plate.text(left, top - 8, f"Layer {index + 1}, up to {reach}", "dim")
        plate.rect(left, top, length * scale, depth)
        foot = min(pile[0].corner[2] for pile in row)
        for pile in (pile for below in rows[:index] for pile in below if pile[-1].top > foot + 1e-6):
            plate.rect(*_box(pile, left, top, scale), "ink-2 hidden-line")
        for pile in row:
            tender = any(one.piece in fragile for one in pile)
            plate.rect(*_box(pile, left, top, scale), "ink fill-tint" if tender else "ink fill-paper")
        panel = (left, top, left + length * scale, top + depth)
        _write_numbers(plate, [(_numbers(order, (pile,)), _box(pile, left, top, scale)) for pile in row], panel)
    how = "in one layer" if len(rows) == 1 else f"in {len(rows)} layers from the bottom up"
    caption = (
        f"{bag.bag.name} as it lies open, packed {how} and seen from above. Numbers follow the order in which pieces "
        "go in, a pile has several; dashed ones reach up from below, tinted ones bear nothing heavy."
    )
    return Drawing(f"bag-{bag.bag.key}", title, description, caption, plate.render())


def _write_numbers(plate: Plate, boxes: list[tuple[str, Corners]], panel: Corners) -> None:
    """Write each number into its box, or where that is too small for it, beside it with a line that leads there."""
    taken: list[Corners] = []
    small: list[tuple[str, Corners]] = []
    for number, (x, y, w, d) in boxes:
        if min(w / len(number), d) < LETTER_WIDE:
            small.append((number, (x, y, w, d)))
        else:
            taken.append(_label_at(plate, number, x + w / 2, y + d / 2))
    for number, (x, y, w, d) in small:
        middle = x + w / 2, y + d / 2
        for across, down in ((0.0, 0.0), *AROUND):
            at = middle[0] + across, middle[1] + down
            spot = _spot(number, *at)
            inside = spot[0] >= panel[0] and spot[1] >= panel[1] and spot[2] <= panel[2] and spot[3] <= panel[3]
            if (inside or not across + down) and not any(_meet(spot, other) for other in taken):
                break
        else:
            at = middle
        if at != middle:
            plate.line(*middle, *at, "dim")
            plate.rect(*_spot(number, *at)[:2], LETTER_WIDE * len(number), LETTER_HIGH, "shade fill-paper")
        taken.append(_label_at(plate, number, *at))


def _label_at(plate: Plate, number: str, x: float, y: float) -> Corners:
    plate.text(x, y + 5, number, "label", "middle")
    return _spot(number, x, y)


def _spot(number: str, x: float, y: float) -> Corners:
    half = LETTER_WIDE * len(number) / 2
    return x - half, y - LETTER_HIGH / 2, x + half, y + LETTER_HIGH / 2


def _meet(one: Corners, other: Corners) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _numbers(order: Mapping[int, int], piles: Sequence[Pile]) -> str:
    """Return the numbers of piles that follow each other, as one number or as first and last."""
    found = [order[one.piece] for pile in piles for one in pile]
    return str(found[0]) if len(found) == 1 else f"{min(found)}–{max(found)}"


def _box(pile: Pile, left: float, top: float, scale: float) -> Corners:
    """Return a pile's left and upper edge, width and depth on the plate."""
    x, y, _ = pile[0].corner
    return left + x * scale, top + y * scale, pile[0].sides[0] * scale, pile[0].sides[1] * scale
