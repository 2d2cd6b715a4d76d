"""Is focus reached? The stack behind the surface that counts, against the back focus asked for."""

from dataclasses import dataclass

from rigleaf.catalogue.models.optics import Corrector
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.image_train import physics
from rigleaf.chapters.image_train.refill import SAME, Refill, in_mm, refill
from rigleaf.chapters.image_train.train import Train, shift_of
from rigleaf.quantities import Basis

METHOD = "back-focus"
TITLE = "Back focus"


@dataclass(frozen=True)
class Stack:
    """The lengths behind the surface that counts, in mm.

    ``length`` is the sum of all pieces and shims, ``glass`` what filters add to the length that is needed, ``wanted``
    the back focus asked for with its ``tolerance``, ``error`` the sum's own uncertainty (root sum of squares) and
    ``unknown`` the number of pieces and shims that state none.
    """

    length: float
    glass: float
    wanted: float
    tolerance: float
    error: float
    unknown: int

    @property
    def miss(self) -> float:
        """How much too long the stack is; negative where it is too short."""
        return self.length - self.glass - self.wanted


def mending(assembly: Assembly, train: Train) -> Refill | None:
    """Return what would bring the train to its length; None where nothing is wrong or not everything is known."""
    if train.origin is None or _missing(train):
        return None
    stack = measure(assembly, train)
    if _verdict(stack) != "fails":
        return None
    return refill(assembly, train, stack.wanted + stack.glass, stack.tolerance)


def judge_stack(assembly: Assembly, train: Train, mend: Refill | None) -> tuple[list[Figure], list[Finding]]:
    """Return figures and findings on back focus; ``mend`` is what `mending` found for this train."""
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
               note=_left_out(stack)),
        Figure("glass", "Glass moves the focus back by", stack.glass, "optical_length", "glass-shift"),
        Figure("miss", "Too long by (negative: too short)", stack.miss, "gap", METHOD, shown=False),
        Figure("off-by", _off_by(stack), abs(stack.miss), "gap", METHOD),
    ]  # fmt: skip
    figures += _factor(train, stack)
    verdict = _verdict(stack)
    gap = abs(stack.miss)
    wanted = f"{in_mm(stack.wanted, stack.tolerance)} ± {say(stack.tolerance, 'optical_length')}"
    sum_ = in_mm(stack.length - stack.glass, stack.tolerance) + (" with the glass counted" if stack.glass else "")
    if verdict == "fails":
        side = "too long" if stack.miss > 0 else "too short"
        sentence = f"{_origin_name(train)} wants {wanted} and gets {sum_}: {in_mm(gap, stack.tolerance)} {side}."
        if mend is not None and mend.left is not None:
            label = "Error left with rings from the shelf"
            figures.append(Figure("shelf-error", label, mend.left, "gap", "spacer-search"))
        remedy, parts = (mend.words, mend.parts) if mend is not None else ("", ())
        return figures, [
            Finding("back-focus", verdict, TITLE, sentence, ("stack", "glass", "off-by"), METHOD, remedy, parts)
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
    return figures, [Finding("back-focus", verdict, TITLE, sentence, ("stack", "glass", "off-by"), METHOD, remedy)]


def _verdict(stack: Stack) -> Verdict:
    if abs(stack.miss) > stack.tolerance + SAME:
        return "fails"
    return "sound" if abs(stack.miss) + stack.error <= stack.tolerance + SAME else "tight"


def _basis(train: Train) -> Basis:
    asked = train.back_focus.distance if train.back_focus else None
    return asked.basis if asked else "stated"


def _left_out(stack: Stack) -> str:
    """Say how much of the stack the uncertainty leaves out."""
    if not stack.error:
        return "no piece states a tolerance"
    if not stack.unknown:
        return ""
    return f"at least; {'1 piece states' if stack.unknown == 1 else f'{stack.unknown} pieces state'} none"


def _off_by(stack: Stack) -> str:
    if abs(stack.miss) < SAME:
        return "Off by"
    return "Too long by" if stack.miss > 0 else "Too short by"


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
    errors = [reading.uncertainty for reading in (*lengths, *shims)]
    return Stack(
        length=sum((reading.value for reading in (*lengths, *shims)), 0.0),
        glass=train.glass,
        wanted=asked.value if asked else 0.0,
        tolerance=tolerance,
        error=physics.stack_uncertainty(error for error in errors if error is not None),
        unknown=errors.count(None),
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
