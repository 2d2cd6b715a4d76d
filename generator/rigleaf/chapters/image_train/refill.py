"""What brings a train to its length: pieces from the shelf, or the one ring to buy, in words."""

from collections import Counter
from dataclasses import dataclass
from itertools import groupby, pairwise

from rigleaf.catalogue.models.train import Adapter, Shim, Spacer
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.formatting import decimal
from rigleaf.chapters.image_train import solver
from rigleaf.chapters.image_train.joints import quoted, rings_on_shelf
from rigleaf.chapters.image_train.mating import join
from rigleaf.chapters.image_train.train import Piece, Train
from rigleaf.chapters.image_train.view import guide_points, main_points
from rigleaf.chapters.image_train.walks import SearchLimitError

SAME = 0.005
"""Lengths in mm that differ by less are the same: the search counts in micrometres, and no caliper shows so little."""


@dataclass(frozen=True)
class Refill:
    """What mends the back focus.

    ``words`` say it, ``used`` are the ids of the shelf's pieces that they name, one for each piece, ``left`` is the
    error in mm that rings from the shelf leave, and ``joints`` are the numbers of joints that the same change mends.
    """

    words: str
    used: tuple[str, ...] = ()
    left: float | None = None
    joints: tuple[int, ...] = ()

    @property
    def parts(self) -> tuple[str, ...]:
        """Ids of the parts named, each once."""
        return tuple(dict.fromkeys(self.used))


def in_mm(length: float, tolerance: float) -> str:
    """Write a length as finely as the tolerance asks: the judgement must be seen in the numbers."""
    text = decimal(length, 1 if tolerance >= 0.1 else 2)
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text}\u00a0mm"


def refill(assembly: Assembly, train: Train, length: float, tolerance: float) -> Refill:
    """Find what to put between the pieces that stay, or what to buy.

    Args:
        assembly: the rig.
        train: its train, with an origin, and every length behind it known.
        length: what all pieces behind the origin must come to, in mm.
        tolerance: by how much they may miss it, in mm.
    """
    stay, kept = _staying(train)
    clear = _clear_wanted(assembly)
    gaps = [solver.Gap(before.rear, after.front, clear) for before, after in pairwise(stay)]
    target = length - sum(piece.length.value for piece in stay[1:] if piece.length)
    target -= sum(shim.thickness.value for shim in kept if shim.thickness)
    behind = {id(piece) for piece in train.behind}
    before = [piece.part.id for piece in train.pieces if id(piece) not in behind]
    in_use = [*before, *(piece.part.id for piece in stay[1:])]
    rings = rings_on_shelf(assembly, in_use)
    thin = [*kept, *(shim for piece in train.pieces[: train.origin or 0] for shim in piece.shims)]
    shims = _shims(assembly, Counter(shim.id for shim in thin))
    if target + tolerance < -SAME:
        return Refill(_too_long(stay, -target))
    try:
        found = solver.fill(gaps, target, tolerance, rings, shims)
        purchase = None if found else solver.missing_length(gaps, target, tolerance, rings, shims)
    except SearchLimitError:
        return Refill(
            "The shelf holds so many rings that not every combination was tried; none of those tried fits. "
            "Take out a piece that stays, or lay out the rings by hand."
        )
    instead = any(_movable(piece) or piece.shims for piece in train.pieces[train.origin or 0 :])
    joints = _clashing(train)
    if found is not None:
        words, used = _spelled(assembly, stay, found, tolerance, instead)
        return Refill(_also(joints, words), used, found.error, joints)
    if purchase is None:
        return Refill("Nothing on the shelf, and no single ring to buy, makes it fit: change one of the pieces.")
    words, used = _to_buy(assembly, stay, purchase, tolerance, instead)
    return Refill(_also(joints, words), used, None, joints)


def _clashing(train: Train) -> tuple[int, ...]:
    """Return the numbers of the joints behind the origin that do not mate: whatever fills the gaps mends them."""
    pairs = enumerate(pairwise(train.pieces), 1)
    first = train.origin or 0
    return tuple(n for n, (one, other) in pairs if n > first and join(one.rear, other.front) == "clashes")


def _also(joints: tuple[int, ...], words: str) -> str:
    """Say before a remedy that it mends joints, too."""
    if not joints:
        return words
    *most, last = map(str, joints)
    named = f"joints {', '.join(most)} and {last}" if most else f"joint {last}"
    return f"One change mends {named} and the back focus: {words[:1].lower()}{words[1:]}"


def _staying(train: Train) -> tuple[list[Piece], list[Shim]]:
    """Return the pieces that stay where they are, the one that counts first, and the shims that stay in their joints.

    Rings can be changed, but not next to a side that nobody has stated: there everything stays as it is.
    """
    stay: list[Piece] = [train.pieces[train.origin or 0]]
    kept: list[Shim] = []
    rings: list[Piece] = []
    for piece in train.behind:
        if _movable(piece):
            rings.append(piece)
            continue
        if stay[-1].rear is None or piece.front is None:
            kept += [shim for one in (stay[-1], *rings) for shim in one.shims]
            stay += rings
        stay.append(piece)
        rings = []
    return stay, [*kept, *stay[-1].shims]


def _too_long(stay: list[Piece], excess: float) -> str:
    between = stay[1:-1]
    if not between:
        return (
            f"{stay[-1].part.name} alone is {in_mm(excess, 1.0)} too deep for {stay[0].part.name}: take another "
            "camera, or a corrector that wants more."
        )
    longest = max(between, key=lambda piece: piece.length.value if piece.length else 0.0)
    return (
        f"The pieces that stay are {in_mm(excess, 1.0)} too long by themselves: leave one out or take a shorter one, "
        f"{longest.part.name} before all."
    )


def _clear_wanted(assembly: Assembly) -> float:
    """Return the free diameter in mm that rings must leave: that of a circle around both sensors."""
    return 2 * max((point.height for point in (*main_points(assembly), *guide_points(assembly))), default=0.0)


def _movable(piece: Piece) -> bool:
    """Whether it is a ring that can be changed; one that a filter is said to lie in stays."""
    return isinstance(piece.part, (Spacer, Adapter)) and not piece.filters


def _shims(assembly: Assembly, in_use: Counter[str]) -> list[solver.Shim]:
    return [
        solver.Shim(part.id, part.thickness.value, part.fits_thread.value, left)
        for part in assembly.catalogue.of_kind(Shim)
        if part.thickness and part.fits_thread
        and (left := (1 if part.owned is None else part.owned) - in_use[part.id]) > 0
    ]  # fmt: skip


def _spelled(
    assembly: Assembly, stay: list[Piece], filling: solver.Filling, tolerance: float, instead: bool
) -> tuple[str, tuple[str, ...]]:
    """Say a filling in words: what goes between which pieces."""
    parts = assembly.catalogue.parts
    settings = list(filling.settings)
    steps: list[str] = []
    used: list[str] = []
    for (before, after), gap in zip(pairwise(stay), filling.gaps, strict=True):
        names: list[str] = []
        for id_ in (*gap.rings, *gap.shims):
            name = quoted(parts[id_].name) if id_ in parts else "the bought ring"
            if settings and settings[0][0] == id_:
                length = settings.pop(0)[1]
                name = f"{name} set to {in_mm(length, tolerance)}" if id_ in parts else name
            names.append(name)
            used += [id_] if id_ in parts else []
        if names:
            steps.append(f"between {quoted(before.part.name)} and {quoted(after.part.name)}: {_counted(names)}")
    if not steps:
        return "Take out all rings and shims between the pieces: without them it fits.", ()
    left = "fits exactly" if abs(filling.error) < SAME else f"leaves {in_mm(abs(filling.error), 0.0)} of error"
    whence = "In place of the rings and shims there, put from the shelf" if instead else "Put from the shelf"
    return f"{whence}, {'; '.join(steps)}. That {left}.", tuple(used)


def _counted(names: list[str]) -> str:
    """List names, equal ones that follow each other as so many times one."""
    runs = [(name, len(list(run))) for name, run in groupby(names)]
    *most, last = [name if many == 1 else f"{many} times {name}" for name, many in runs]
    return f"{', '.join(most)} and {last}" if most else last


def _to_buy(
    assembly: Assembly, stay: list[Piece], purchase: solver.Purchase, tolerance: float, instead: bool
) -> tuple[str, tuple[str, ...]]:
    before, after = stay[purchase.gap], stay[purchase.gap + 1]
    words, used = _spelled(assembly, stay, purchase.filling, tolerance, instead)
    buy = (
        f"Nothing on the shelf fits. Buy a ring of {in_mm(purchase.length, tolerance)}, {purchase.front} to "
        f"{purchase.rear}, for between {quoted(before.part.name)} and {quoted(after.part.name)}."
    )
    return f"{buy} {words}" if used or instead else buy, used
