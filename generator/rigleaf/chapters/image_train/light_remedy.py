"""What clears the light of a point: other pieces from the shelf, a wider path, or nothing that the club has."""

from collections import Counter
from math import ceil

import numpy as np

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.optics import Corrector, Optic
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.train import Filter, FilterDrawer, FilterWheel, TrainPiece
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.formatting import decimal
from rigleaf.chapters.image_train import light_physics as light
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.joints import filters, nearest_filter, quoted, same_size
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.refill import in_mm
from rigleaf.chapters.image_train.train import Train
from rigleaf.chapters.image_train.view import WALL_MM, Opening, Openings, Seen, needed_at
from rigleaf.chapters.shelf import Row, row_of

ALIKE = 100.0
"""Nanometres by which two filters' bands may differ in all and still do the same work (a choice of this guide)."""


SLACK_MM = 1e-6
"""By how much a piece is taken for wider before it is looked at closely."""


def wider(assembly: Assembly, train: Train, seen: Seen, around: Openings) -> tuple[str, tuple[str, ...]]:
    """Say what would clear the light of a point, with what the shelf has first, and the parts that this names."""
    cutting = [opening for opening in around.found if opening.diameter < needed_at(opening, seen)]
    parts = assembly.catalogue.parts
    own = [opening for opening in cutting if isinstance(parts[opening.part], (Optic, Corrector, Camera))]
    glass = [opening for opening in cutting if isinstance(parts[opening.part], Filter)]
    rings = [opening for opening in cutting if opening not in own and opening not in glass]
    taken = Counter(piece.part.id for piece in train.pieces)
    words: list[str] = []
    named: list[str] = []
    for opening in glass:
        sentence, other = _larger_filter(assembly, train, opening, seen)
        words.append(sentence)
        named += [opening.part, *other]
    left: list[Opening] = []
    for place in dict.fromkeys(opening.place for opening in rings):
        of_piece = [opening for opening in rings if opening.place == place]
        other_piece = _other_piece(assembly, train, of_piece, seen, taken)
        if other_piece is None:
            left += of_piece
            continue
        taken[other_piece.id] += 1
        words.append(_replace(train, place, other_piece))
        named += [of_piece[0].part, other_piece.id]
    if left:
        first = left[-1]  # openings run from the camera towards the sky
        path = _path(train, left, seen)
        words.append(path or _nothing(seen, first if words else None))
        named += [first.part] if path or len(words) > 1 else []
    spared = light.light_through(seen.point.x, seen.point.y, [opening.hole for opening in own], seen.beam)
    if spared < assembly.choice("corner_light").value:
        names = listed(dict.fromkeys(opening.name for opening in own))
        words.append(
            f"The opening of {names} itself cuts the light: only another one, or a smaller sensor, mends that."
        )
        named += [opening.part for opening in own]
    return " ".join(words), tuple(dict.fromkeys(named))


# --- From the shelf -----------------------------------------------------------------------------------------


def _on_shelf(part: Part, taken: Counter[str]) -> bool:
    return (1 if part.owned is None else part.owned) > taken[part.id]


def _larger_filter(assembly: Assembly, train: Train, opening: Opening, seen: Seen) -> tuple[str, tuple[str, ...]]:
    """Name a filter of the shelf that does the same work, is wide enough and fits the holder; else what to look for."""
    parts = assembly.catalogue.parts
    mine, holder = parts[opening.part], train.pieces[opening.place].part
    size = holder.filter_size if isinstance(holder, (FilterDrawer, FilterWheel)) else None
    needed = widest([opening], seen)
    best = None
    if isinstance(mine, Filter):
        row = assembly.catalogue.once(filters)
        wide = row.numbers["clear"] >= needed
        best = nearest_filter(
            assembly, mine, size, wide,
            lambda part: part.id != mine.id and part.clear_aperture is not None
            and part.clear_aperture.value >= needed and bool(part.bands and mine.bands),
            ALIKE,
        )  # fmt: skip
    if best is None:
        return f"Take a larger filter than {quoted(opening.name)}, with {_free(needed)}.", ()
    return f"Take the club's {quoted(best.name)} in place of {quoted(opening.name)}.", (best.id,)


def _other_piece(
    assembly: Assembly, train: Train, cutting: list[Opening], seen: Seen, taken: Counter[str]
) -> TrainPiece | None:
    """Return a piece of the shelf that can stand in the place of one that cuts: same kind, wide enough, same joints."""
    place = cutting[0].place
    piece = train.pieces[place]
    mine = piece.part
    rear = train.pieces[place - 1].rear if place else None
    front = train.pieces[place + 1].front if place + 1 < len(train.pieces) else None
    if not isinstance(mine, TrainPiece) or piece.length is None:
        return None
    length, least = piece.length.value, widest(cutting, seen)

    def suits(part: TrainPiece) -> bool:
        if part.kind != mine.kind or part.id == mine.id:
            return False
        if not _on_shelf(part, taken) or part.optical_length is None or part.clear_aperture is None:
            return False
        # A longer one reaches farther up the cone.
        needed = least + max(part.optical_length.value - length, 0.0) / seen.beam.focal_ratio
        holds = not piece.filters or same_size(getattr(part, "filter_size", None), getattr(mine, "filter_size", None))
        return part.clear_aperture.value >= needed and holds and _joins(rear, part, front)

    row = assembly.catalogue.once(_pieces)[mine.kind]
    longer = row.numbers["length"] - length
    wide = row.numbers["clear"] >= least + np.maximum(longer, 0.0) / seen.beam.focal_ratio - SLACK_MM
    return row.first(assembly, suits, wide, np.abs(longer))


def _pieces(catalogue: Catalogue) -> dict[str, Row[TrainPiece]]:
    """Return the pieces of trains by their kind, in the order of their ids, with length and clear aperture in mm."""

    def length(part: TrainPiece) -> float | None:
        return part.optical_length.value if part.optical_length is not None else None

    def clear(part: TrainPiece) -> float | None:
        return part.clear_aperture.value if part.clear_aperture is not None else None

    kinds = dict.fromkeys(part.kind for part in catalogue.of_kind(TrainPiece))
    models = {kind: KINDS[kind].model for kind in kinds}
    return {
        kind: row_of(catalogue, model, lambda one: one.id, {"length": length, "clear": clear})
        for kind, model in models.items()
        if issubclass(model, TrainPiece)
    }


def _joins(rear: Connection | None, part: TrainPiece, front: Connection | None) -> bool:
    return mates(rear, part.front) and mates(part.rear, front)


def _replace(train: Train, place: int, other: TrainPiece) -> str:
    piece = train.pieces[place]
    was = piece.length.value if piece.length else 0.0
    longer = round((other.optical_length.value if other.optical_length else 0.0) - was, 2)
    length = f", which is {in_mm(abs(longer), 0.0)} {'longer' if longer > 0 else 'shorter'}" if longer else ""
    return f"Replace {quoted(piece.part.name)} by the club's {quoted(other.name)}{length}."


# --- To buy, or not to be had -------------------------------------------------------------------------------


def _path(train: Train, cutting: list[Opening], seen: Seen) -> str:
    """Say which path to make to the camera; empty where a piece at either end is too narrow for such a thread."""
    first, needed = cutting[-1], widest(cutting, seen)
    thread = physics.smallest_thread(needed, wall_mm=WALL_MM)
    ends = [train.pieces[-1].front] if train.ends_in_camera else []
    if train.origin is not None and first.place == train.origin + 1:
        ends.append(train.pieces[train.origin].rear)
    narrow = [end for end in ends if end is not None and end.diameter is not None and end.form == "thread"
              and (thread is None or end.diameter < thread.diameter)]  # fmt: skip
    if thread is None or narrow:
        return ""
    return (
        f"Make the path from {first.name} to the camera {thread.name} or wider ({_free(needed)}), or move the narrow "
        "piece nearer to the sensor."
    )


def _nothing(seen: Seen, first: Opening | None) -> str:
    """Say that the shelf has nothing, and how to live with it; ``first`` where other remedies stand before this one."""
    what = f"what {first.name} cuts" if first else "it"
    if seen.point.name.startswith("the guide"):
        return f"Nothing on the shelf mends {what}; guide on a star in the half that lies nearer to the axis."
    if seen.least <= 0:
        return f"Nothing on the shelf mends {what}; crop the frame to what is lit."
    low, high = (decimal(light.stops_lost(kept), 1) for kept in (seen.most, seen.least))
    stops = high if low == high else f"up to {high}" if low == "0.0" else f"{low} to {high}"
    return f"Nothing on the shelf mends {what}; flat-field exposures correct {stops} stops."


def widest(cutting: list[Opening], seen: Seen) -> float:
    """Return the free diameter in mm that the widest place needs; rounded up, so that what is bought by it will do."""
    return ceil(max(needed_at(opening, seen) for opening in cutting) * 10 - 1e-6) / 10


def _free(needed: float) -> str:
    return f"{needed:.1f}".removesuffix(".0") + "\u00a0mm free"
