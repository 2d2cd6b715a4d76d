"""Is focus reached? The stack behind the surface that counts, against the back focus asked for."""

from dataclasses import dataclass

from rigleaf.catalogue.models.optics import Corrector
from rigleaf.catalogue.models.train import Adapter, Shim, Spacer
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.image_train import physics, solver
from rigleaf.chapters.image_train.joints import rings_on_shelf
from rigleaf.chapters.image_train.light import guide_points, main_points
from rigleaf.chapters.image_train.train import Piece, Train, shift_of

METHOD = "back-focus"
TITLE = "Back focus"


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
        return [], [_nothing_asked(train)] if train.pieces else []
    missing = _missing(train)
    if missing:
        return [], [_unsaid(train, missing)]
    stack = measure(assembly, train)
    say = assembly.say
    figures = [
        Figure("back-focus-wanted", "Back focus asked for", stack.wanted, "optical_length", METHOD, "stated", stack.tolerance),
        Figure("stack", "Length behind the surface that counts", stack.length, "optical_length", METHOD,
               uncertainty=stack.error or None),
        Figure("stack-error", "Uncertainty of that length", stack.error or None, "optical_length", "stack-tolerance",
               note="" if stack.error else "no piece states a tolerance"),
        Figure("glass", "Glass moves the focus back by", stack.glass, "optical_length", "glass-shift"),
        Figure("miss", "Too long by", stack.miss, "offset", METHOD, note="negative: too short"),
    ]  # fmt: skip
    figures += _factor(train, stack)
    verdict = _verdict(stack)
    gap = abs(stack.miss)
    wanted = f"{say(stack.wanted, 'optical_length')} ± {say(stack.tolerance, 'optical_length')}"
    sum_ = f"{say(stack.length - stack.glass, 'optical_length')} with the glass counted"
    if verdict == "fails":
        side = "too long" if stack.miss > 0 else "too short"
        sentence = f"{_origin_name(train)} wants {wanted} and gets {sum_}: {say(gap, 'optical_length')} {side}."
        remedy, parts, left = _remedy(assembly, train, stack)
        if left is not None:
            figures.append(Figure("shelf-error", "Error left with rings from the shelf", left, "offset", "spacer-search"))
        return figures, [
            Finding("back-focus", verdict, TITLE, sentence, ("stack", "glass", "miss"), METHOD, remedy, parts)
        ]
    sentence = f"{_origin_name(train)} wants {wanted} and gets {sum_}."
    remedy = ""
    if verdict == "tight":
        sentence += (
            f" The lengths themselves are known to ± {say(stack.error, 'optical_length')}, so it may be outside."
        )
        remedy = "Measure the stack with a caliper, or look at the corners of a frame: long stars there ask for a shim more or less."
    return figures, [Finding("back-focus", verdict, TITLE, sentence, ("stack", "glass", "miss"), METHOD, remedy)]


def _verdict(stack: Stack) -> Verdict:
    if abs(stack.miss) > stack.tolerance:
        return "fails"
    return "sound" if abs(stack.miss) + stack.error <= stack.tolerance else "tight"


def _origin_name(train: Train) -> str:
    return train.pieces[train.origin or 0].part.name


def _nothing_asked(train: Train) -> Finding:
    name = train.pieces[0].part.name
    sentence = f"Whether focus is reached cannot be told: {name} states no back focus."
    cure = "Focus on something far away by day and measure from the rear shoulder to the sensor's mark on the camera."
    return Finding("back-focus", "unsaid", TITLE, sentence, (), METHOD, cure, (train.pieces[0].part.id,))


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
    if not train.behind or train.behind[-1].rear is not None:
        missing["a camera at the end of the train"] = _origin_id(train)
    return missing


def _origin_id(train: Train) -> str:
    return train.pieces[train.origin or 0].part.id


def _unsaid(train: Train, missing: dict[str, str]) -> Finding:
    names = list(missing)
    listed = names[0] if len(names) == 1 else ", ".join(names[:-1]) + f" and {names[-1]}"
    verb = "is" if len(names) == 1 else "are"
    sentence = f"Whether {_origin_name(train)} gets its back focus cannot be told: {listed} {verb} not given."
    cure = "Measure lengths from shoulder to shoulder with a caliper; a maker states the back focus and the flange distance."
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
        length=sum(reading.value for reading in (*lengths, *shims)),
        glass=train.glass,
        wanted=asked.value if asked else 0.0,
        tolerance=tolerance,
        error=physics.stack_uncertainty(errors),
    )


def _factor(train: Train, stack: Stack) -> list[Figure]:
    """Return the factor that a reducer or extender has at the distance that it gets, where that misses."""
    part = train.pieces[train.origin or 0].part
    if not isinstance(part, Corrector) or part.factor is None or part.factor.value == 1.0 or not stack.wanted:
        return []
    if abs(stack.miss) <= stack.tolerance:
        return []
    factor = physics.reducer_factor_at(part.factor.value, stack.wanted, stack.wanted + stack.miss)
    note = f"thin-lens estimate; {part.factor.value:g} at the distance asked for"
    return [
        Figure(
            "factor-here", "Factor of the corrector at this distance", factor, "number", "reducer-spacing", note=note
        )
    ]


def _remedy(assembly: Assembly, train: Train, stack: Stack) -> tuple[str, tuple[str, ...], float | None]:
    """Find what to put between the fixed pieces, or what to buy; with the error in mm that the shelf's rings leave."""
    fixed = [train.pieces[train.origin or 0], *(piece for piece in train.behind if not _movable(piece))]
    clear = _clear_wanted(assembly)
    gaps = [solver.Gap(before.rear, after.front, clear) for before, after in zip(fixed, fixed[1:], strict=False)]
    target = stack.wanted + stack.glass - sum(piece.length.value for piece in fixed[1:] if piece.length)
    rings, shims = rings_on_shelf(assembly), _shims(assembly)
    if target < 0:
        most = min(fixed[1:-1], key=lambda piece: -(piece.length.value if piece.length else 0.0), default=None)
        what = f", {most.part.name} before all" if most else ""
        excess = assembly.say(-target, "optical_length")
        words = f"The pieces that stay are {excess} too long by themselves: leave one out or take a shorter one{what}."
        return words, (), None
    found = solver.fill(gaps, target, stack.tolerance, rings, shims)
    if found is not None:
        return *_spelled(assembly, fixed, found), found.error
    purchase = solver.missing_length(gaps, target, stack.tolerance, rings, shims)
    return *_to_buy(assembly, fixed, purchase), None


def _clear_wanted(assembly: Assembly) -> float:
    """Return the free diameter in mm that rings must leave: the sensors themselves, farthest corner to farthest corner."""
    return 2 * max((point.height for point in (*main_points(assembly), *guide_points(assembly))), default=0.0)


def _movable(piece: Piece) -> bool:
    return isinstance(piece.part, (Spacer, Adapter))


def _shims(assembly: Assembly) -> list[solver.Shim]:
    return [
        solver.Shim(part.id, part.thickness.value, part.fits_thread.value, 1 if part.owned is None else part.owned)
        for part in assembly.catalogue.parts.values()
        if isinstance(part, Shim) and part.thickness and part.fits_thread and part.owned != 0
    ]


def _spelled(assembly: Assembly, fixed: list[Piece], filling: solver.Filling) -> tuple[str, tuple[str, ...]]:
    """Say a filling in words: what goes between which pieces."""
    parts = assembly.catalogue.parts
    settings = dict(filling.settings)
    steps: list[str] = []
    used: list[str] = []
    for before, after, gap in zip(fixed, fixed[1:], filling.gaps, strict=False):
        ids = [*gap.rings, *gap.shims]
        if not ids:
            continue
        names = [parts[id_].name if id_ in parts else "the bought ring" for id_ in ids]
        names = [
            f"{name} set to {assembly.say(settings[id_], 'optical_length')}" if id_ in settings else name
            for id_, name in zip(ids, names, strict=True)
        ]
        steps.append(f"{', '.join(names)} between {before.part.name} and {after.part.name}")
        used += [id_ for id_ in ids if id_ in parts]
    if not steps:
        return "Take out all rings between the pieces: without them it fits.", ()
    left = assembly.say(abs(filling.error), "optical_length")
    return f"From the shelf: {'; '.join(steps)}. That leaves {left} of error.", tuple(dict.fromkeys(used))


def _to_buy(assembly: Assembly, fixed: list[Piece], purchase: solver.Purchase | None) -> tuple[str, tuple[str, ...]]:
    if purchase is None:
        return (
            "Nothing on the shelf, and no single ring that could be bought, makes it fit: change one of the pieces.",
            (),
        )
    before, after = fixed[purchase.gap], fixed[purchase.gap + 1]
    length = assembly.say(purchase.length, "optical_length")
    words, used = _spelled(assembly, fixed, purchase.filling)
    buy = f"Nothing on the shelf fits. Buy a ring of {length}, {purchase.front} to {purchase.rear}, for between {before.part.name} and {after.part.name}"
    others = [id_ for id_ in used if id_ != solver.TO_BUY]
    return (f"{buy}. {words}" if others else f"{buy}.", tuple(others))
