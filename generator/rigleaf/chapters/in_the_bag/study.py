"""Study of the bags: what goes into each, what it weighs, how it is packed, and what is left over."""

from collections import Counter

from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Cell, Figure, Study, Table
from rigleaf.chapters.formatting import show_box
from rigleaf.chapters.in_the_bag.judgement import all_in, loads
from rigleaf.chapters.in_the_bag.layer_plate import layer_plate
from rigleaf.chapters.in_the_bag.packed import Packed, PackedBag, packed
from rigleaf.chapters.in_the_bag.physics import linear_size
from rigleaf.chapters.in_the_bag.words import names
from rigleaf.packing.layers import standing


def study(assembly: Assembly) -> Study:
    """Study the bags of one rig."""
    found = packed(assembly)
    kit = found.kit
    fragile = frozenset(number for number, piece in enumerate(kit.pieces) if piece is not None and piece.fragile)
    # The bags with most to follow come first; one with a single piece needs no plate.
    drawn = sorted((bag for bag in found.bags if len(bag.packing.placed) > 1), key=lambda bag: -len(bag.packing.placed))
    return Study(
        "in-the-bag",
        tuple(_figures(found)),
        (*all_in(assembly, found), *loads(assembly, found)),
        tuple(layer_plate(assembly, bag, fragile) for bag in drawn),
        tuple(_tables(assembly, found, drawn)),
    )


def _figures(found: Packed) -> list[Figure]:
    kit = found.kit
    figures = [Figure("to-pack", "Pieces that go into bags", float(len(kit.parts)), "number", "packed-volume")]
    sized = [piece for piece in kit.pieces if piece is not None]
    gaps = f"at least; {len(found.unsized)} without a size" if found.unsized else ""
    volume = sum(piece.volume for piece in sized) / 1e6 if sized else None
    if not sized:
        gaps = "no packed size is given" if kit.parts else "nothing here"
    label = "What goes into bags, padding included"
    figures.append(Figure("packed-volume", label, volume, "volume", "packed-volume", note=gaps))
    if kit.measured:
        room = sum(bag.room for bag in kit.bags) / 1e6
        note = "" if len(kit.measured) == len(kit.bags) else "at least; not all inner sizes are given"
        figures.append(Figure("room", "Room in the bags", room, "volume", "packed-volume", note=note))
    if kit.bags and sized:
        note = "" if found.left else "everything is shown packed"
        left = float(len(found.left))
        figures.append(Figure("left-over", "Pieces left over", left, "number", "packing-shown", note=note))
        steps = float(found.steps)
        figures.append(Figure("steps", "Steps of the search", steps, "number", "packing-shown", shown=False))
    if weighed := [bag for bag in found.bags if bag.mass.total]:
        heaviest = max(weighed, key=lambda bag: bag.mass.total)
        figures.append(_mass("heaviest", "Heaviest bag", heaviest, heaviest.bag.name))
    for label, parts in (("Worn or in pockets", kit.worn), ("Outside all bags", kit.loose)):
        if parts:
            masses = [part.mass.value for part in parts if part.mass is not None]
            note = names(parts, 20)[0] + ("" if len(masses) == len(parts) else "; at least, a mass is unsaid")
            id_ = "worn" if parts is kit.worn else "loose"
            figures.append(Figure(id_, label, sum(masses) if masses else None, "mass", "bag-load", note=note))
    for bag in found.bags:
        figures += _of_bag(bag)
    return figures


def _of_bag(bag: PackedBag) -> list[Figure]:
    """Return what is measured of one bag; the table of bags shows it."""
    outer, key, name = bag.bag.part.outer, bag.bag.key, bag.bag.name
    linear = None if outer is None else float(linear_size(*outer))
    return [
        Figure(f"linear-{key}", f"{name}: length, width and height", linear, "length", "bag-size", shown=False),
        _mass(f"mass-{key}", f"{name}: mass as packed", bag, shown=False),
        Figure(f"fill-{key}", f"{name}: room used", bag.fill, "fraction", "packed-volume", shown=False),
    ]


def _mass(id_: str, label: str, bag: PackedBag, note: str = "", *, shown: bool = True) -> Figure:
    if not bag.mass.complete:
        note = f"{note}; at least, a mass is unsaid".removeprefix("; ")
    total = bag.mass.total or None
    return Figure(id_, label, total, "mass", "bag-load", note=note, shown=shown)


def _tables(assembly: Assembly, found: Packed, drawn: list[PackedBag]) -> list[Table]:
    if not found.bags:
        return []
    rows = []
    for bag in found.bags:
        linear, mass, fill = _of_bag(bag)
        outer = bag.bag.part.outer
        size = "unsaid" if outer is None else show_box(outer, assembly.catalogue.guide.units).first
        rows.append(
            (
                Cell(bag.bag.name, part=bag.bag.part.id),
                Cell(size),
                Cell(figure=linear, numeric=True),
                Cell(str(len(bag.contents)), numeric=True),
                Cell(figure=fill, numeric=True),
                Cell(figure=mass, numeric=True),
            )
        )
    columns = ("Bag", "Outer size", "Sides added up", "Pieces", "Room used", "Mass as packed")
    tables = [Table("bags", "The bags of this rig", columns, tuple(rows))]
    rest = [bag for bag in found.bags if bag not in drawn and bag.contents]
    return tables + [_list(assembly, found, bag) for bag in (*drawn, *rest)]


def _list(assembly: Assembly, found: Packed, bag: PackedBag) -> Table:
    """Return what is in a bag in the order in which it goes in, the text equivalent of its plate."""
    kit = found.kit

    def row(part: Part, number: str, layer: str, how: str, *at: str, count: int = 1) -> tuple[Cell, ...]:
        name = f"{count} × {part.name}" if count > 1 else part.name
        right, back = at or ("", "")
        return (
            Cell(number, numeric=True), Cell(name, part=part.id), Cell(layer, numeric=True), Cell(how),
            Cell(right, numeric=True), Cell(back, numeric=True),
        )  # fmt: skip

    rows: list[tuple[Cell, ...]] = []
    for layer, piles in enumerate(bag.layers, 1):
        for one in (one for pile in piles for one in pile):
            say = [assembly.say(one.corner[axis], "length") for axis in (0, 1)]
            rows.append(row(kit.parts[one.piece], str(len(rows) + 1), str(layer), standing(one.sides), *say))
    for numbers, how in ((bag.packing.gaps, "in the gaps"), (bag.told, "no place searched")):
        counted = Counter(kit.parts[number].id for number in numbers)
        parts = {kit.parts[number].id: kit.parts[number] for number in numbers}
        rows += [row(part, "", "", how, count=counted[id_]) for id_, part in parts.items()]
    columns = ("No.", "Part", "Layer", "How it lies", "From the left", "From the front")
    return Table(f"list-{bag.bag.key}", f"{bag.bag.name}: what goes in, in order", columns, tuple(rows))
