"""Is focus reached? The stack behind the surface that counts, against the back focus asked for."""

from collections import Counter
from dataclasses import dataclass
from itertools import groupby, pairwise

from rigleaf.catalogue.models.optics import Corrector
from rigleaf.catalogue.models.train import Adapter, Shim, Spacer
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.formatting import decimal
from rigleaf.chapters.image_train import physics, solver
from rigleaf.chapters.image_train.joints import rings_on_shelf
from rigleaf.chapters.image_train.train import Piece, Train, shift_of
from rigleaf.chapters.image_train.view import guide_points, main_points
from rigleaf.quantities import Basis

METHOD = "back-focus"
TITLE = "Back focus"

SAME = 0.005
"""Lengths in mm that differ by less are the same: the search counts in micrometres, and no caliper shows so little."""


@dataclass(frozen=True)
class Stack:
    """The lengths behind the surface that counts, in mm.

    ``length`` is the sum of all pieces and shims, ``glass`` what filters add to the length that is needed, ``wanted``
    the back focus asked for with its ``tolerance``, ``error`` the sum's own uncertainty (root sum of squares).
    """

    length: float
    glass: float
    wanted: float
    tolerance: float
    error: float

    @property
    def miss(self) -> float:
        """How much too long the stack is; negative where it is too short."""
        return self.length - self.glass - self.wanted


def judge_stack(assembly: Assembly, train: Train) -> tuple[list[Figure], list[Finding]]:
    """Return figures and findings on back focus."""
    if train.origin is None:
        return [], [_nothing_asked(assembly)] if train.pieces else []
    missing = _missing(train)
    if missing:
        return [], [_unsaid(train, missing)]
    stack = measure(assembly, train)
    say = assembly.say
    figures = [
        Figure("back-focus-wanted", "Back focus asked for", stack.wanted, "optical_length", METHOD, _basis(train),
               stack.tolerance),
        Figure("stack", "Length behind the surface that counts", stack.length, "optical_length", METHOD,
               uncertainty=stack.error or None),
        Figure("stack-error", "Uncertainty of that length", stack.error or None, "optical_length", "stack-tolerance",
               note="" if stack.error else "no piece states a tolerance"),
        Figure("glass", "Glass moves the focus back by", stack.glass, "optical_length", "glass-shift"),
        Figure("miss", "Too long by", stack.miss, "gap", METHOD, note="negative: too short"),
    ]  # fmt: skip
    figures += _factor(train, stack)
    verdict = _verdict(stack)
    gap = abs(stack.miss)
    wanted = f"{_mm(stack.wanted, stack.tolerance)} ± {say(stack.tolerance, 'optical_length')}"
    sum_ = _mm(stack.length - stack.glass, stack.tolerance) + (" with the glass counted" if stack.glass else "")
    if verdict == "fails":
        side = "too long" if stack.miss > 0 else "too short"
        sentence = f"{_origin_name(train)} wants {wanted} and gets {sum_}: {_mm(gap, stack.tolerance)} {side}."
        remedy, parts, left = _remedy(assembly, train, stack)
        if left is not None:
            label = "Error left with rings from the shelf"
            figures.append(Figure("shelf-error", label, left, "gap", "spacer-search"))
        return figures, [
            Finding("back-focus", verdict, TITLE, sentence, ("stack", "glass", "miss"), METHOD, remedy, parts)
        ]
    sentence = f"{_origin_name(train)} wants {wanted} and gets {sum_}."
    remedy = ""
    if verdict == "tight":
        sentence += (
            f" The lengths themselves are known to ± {say(stack.error, 'optical_length')}, so it may be outside."
        )
        remedy = (
            "Measure the stack with a caliper, or look at the corners of a frame: long stars there ask for a shim "
            "more or less."
        )
    return figures, [Finding("back-focus", verdict, TITLE, sentence, ("stack", "glass", "miss"), METHOD, remedy)]


def _verdict(stack: Stack) -> Verdict:
    if abs(stack.miss) > stack.tolerance + SAME:
        return "fails"
    return "sound" if abs(stack.miss) + stack.error <= stack.tolerance + SAME else "tight"


def _basis(train: Train) -> Basis:
    asked = train.back_focus.distance if train.back_focus else None
    return asked.basis if asked else "stated"


def _mm(length: float, tolerance: float) -> str:
    """Write a length as finely as the tolerance asks: the judgement must be seen in the numbers."""
    text = decimal(length, 1 if tolerance >= 0.1 else 2)
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text}\u00a0mm"


def _origin_name(train: Train) -> str:
    return train.pieces[train.origin or 0].part.name


def _nothing_asked(assembly: Assembly) -> Finding:
    optic = assembly.optic
    if optic is None:
        sentence = "Whether focus is reached cannot be told: neither an optic nor a corrector stands in the train."
        cure = "List the optic first under 'train'."
        return Finding("back-focus", "unsaid", TITLE, sentence, (), METHOD, cure)
    name = optic.name
    sentence = f"Whether focus is reached cannot be told: {name} states no back focus."
    cure = "Focus on something far away by day and measure from the rear shoulder to the sensor's mark on the camera."
    return Finding("back-focus", "unsaid", TITLE, sentence, (), METHOD, cure, (optic.id,))


def _missing(train: Train) -> dict[str, str]:
    """Return what is unsaid among the lengths, and whose page it belongs on."""
    missing: dict[str, str] = {}
    if train.back_focus is None or train.back_focus.distance is None:
        missing[f"the back focus of {_origin_name(train)}"] = train.pieces[train.origin or 0].part.id
    for piece in train.behind:
        if piece.length is None:
            missing[f"the length of {piece.part.name}"] = piece.part.id
    for piece in train.pieces[train.origin or 0 :]:
        for one in piece.filters:
            if shift_of(one) is None:
                missing[f"the glass of {one.name}"] = one.id
        for shim in piece.shims:
            if shim.thickness is None:
                missing[f"the thickness of {shim.name}"] = shim.id
    if not train.ends_in_camera:
        missing["a camera at the end of the train"] = _origin_id(train)
    return missing


def _origin_id(train: Train) -> str:
    return train.pieces[train.origin or 0].part.id


def _unsaid(train: Train, missing: dict[str, str]) -> Finding:
    names = list(missing)
    listed = names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"
    verb = "is" if len(names) == 1 else "are"
    sentence = f"Whether {_origin_name(train)} gets its back focus cannot be told: {listed} {verb} not given."
    cure = (
        "Measure lengths from shoulder to shoulder with a caliper; a maker states the back focus and the flange "
        "distance."
    )
    return Finding("back-focus", "unsaid", TITLE, sentence, (), METHOD, cure, tuple(dict.fromkeys(missing.values())))


def measure(assembly: Assembly, train: Train) -> Stack:
    """Add up the stack; every length must be known."""
    lengths = [piece.length for piece in train.behind if piece.length]
    shims = [shim.thickness for piece in train.pieces[train.origin or 0 :] for shim in piece.shims if shim.thickness]
    asked = train.back_focus.distance if train.back_focus else None
    tolerance = (
        assembly.choice("back_focus_tolerance").value
        if asked is None or asked.uncertainty is None
        else asked.uncertainty
    )
    errors = [reading.uncertainty for reading in (*lengths, *shims) if reading.uncertainty]
    return Stack(
        length=sum((reading.value for reading in (*lengths, *shims)), 0.0),
        glass=train.glass,
        wanted=asked.value if asked else 0.0,
        tolerance=tolerance,
        error=physics.stack_uncertainty(errors),
    )


def _factor(train: Train, stack: Stack) -> list[Figure]:
    """Return the factor that a reducer or extender has at the distance that it gets, where that is another."""
    part = train.pieces[train.origin or 0].part
    if not isinstance(part, Corrector) or part.factor is None or part.factor.value == 1.0 or not stack.wanted:
        return []
    if abs(stack.miss) < SAME:
        return []
    factor = physics.reducer_factor_at(part.factor.value, stack.wanted, stack.wanted + stack.miss)
    note = f"thin-lens estimate; {part.factor.value:g} at the distance asked for"
    return [
        Figure(
            "factor-here", "Factor of the corrector at this distance", factor, "number", "reducer-spacing", note=note
        )
    ]


def _remedy(assembly: Assembly, train: Train, stack: Stack) -> tuple[str, tuple[str, ...], float | None]:
    """Find what to put between the pieces that stay, or what to buy; with the error in mm that rings leave."""
    stay, kept = _staying(train)
    clear = _clear_wanted(assembly)
    gaps = [solver.Gap(before.rear, after.front, clear) for before, after in pairwise(stay)]
    target = stack.wanted + stack.glass - sum(length.value for piece in stay[1:] if (length := piece.length))
    target -= sum(shim.thickness.value for shim in kept if shim.thickness)
    behind = {id(piece) for piece in train.behind}
    before = [piece.part.id for piece in train.pieces if id(piece) not in behind]
    in_use = [*before, *(piece.part.id for piece in stay[1:])]
    rings = rings_on_shelf(assembly, in_use)
    thin = [*kept, *(shim for piece in train.pieces[: train.origin or 0] for shim in piece.shims)]
    shims = _shims(assembly, Counter(shim.id for shim in thin))
    if target + stack.tolerance < -SAME:
        return _too_long(stay, -target), (), None
    found = solver.fill(gaps, target, stack.tolerance, rings, shims)
    instead = any(_movable(piece) or piece.shims for piece in train.pieces[train.origin or 0 :])
    if found is not None:
        return *_spelled(assembly, stay, found, stack.tolerance, instead), found.error
    purchase = solver.missing_length(gaps, target, stack.tolerance, rings, shims)
    return *_to_buy(assembly, stay, purchase, stack.tolerance, instead), None


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
            f"{stay[-1].part.name} alone is {_mm(excess, 1.0)} too deep for {stay[0].part.name}: take another camera, "
            "or a corrector that wants more."
        )
    longest = max(between, key=lambda piece: piece.length.value if piece.length else 0.0)
    return (
        f"The pieces that stay are {_mm(excess, 1.0)} too long by themselves: leave one out or take a shorter one, "
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
        for part in assembly.catalogue.parts.values()
        if isinstance(part, Shim) and part.thickness and part.fits_thread
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
            name = parts[id_].name if id_ in parts else "the bought ring"
            if settings and settings[0][0] == id_:
                length = settings.pop(0)[1]
                name = f"{name} set to {_mm(length, tolerance)}" if id_ in parts else name
            names.append(name)
            used += [id_] if id_ in parts else []
        if names:
            steps.append(f"{_counted(names)} between {before.part.name} and {after.part.name}")
    if not steps:
        return "Take out all rings and shims between the pieces: without them it fits.", ()
    left = "fits exactly" if abs(filling.error) < SAME else f"leaves {_mm(abs(filling.error), 0.0)} of error"
    whence = "In place of the rings and shims there, from the shelf" if instead else "From the shelf"
    return f"{whence}: {'; '.join(steps)}. That {left}.", tuple(dict.fromkeys(used))


def _counted(names: list[str]) -> str:
    """List names, equal ones that follow each other as so many times one."""
    runs = [(name, len(list(run))) for name, run in groupby(names)]
    return ", ".join(name if many == 1 else f"{many} times {name}" for name, many in runs)


def _to_buy(
    assembly: Assembly, stay: list[Piece], purchase: solver.Purchase | None, tolerance: float, instead: bool
) -> tuple[str, tuple[str, ...]]:
    if purchase is None:
        words = "Nothing on the shelf, and no single ring to buy, makes it fit: change one of the pieces."
        return words, ()
    before, after = stay[purchase.gap], stay[purchase.gap + 1]
    words, used = _spelled(assembly, stay, purchase.filling, tolerance, instead)
    buy = (
        f"Nothing on the shelf fits. Buy a ring of {_mm(purchase.length, tolerance)}, {purchase.front} to "
        f"{purchase.rear}, for between {before.part.name} and {after.part.name}."
    )
    return f"{buy} {words}" if used or instead else buy, used
