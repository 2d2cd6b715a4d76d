"""Adding up masses: what is known, how well, and what is missing. Pure functions, kilograms throughout."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot

from rigleaf.quantities import Basis


@dataclass(frozen=True, slots=True)
class Load:
    """One entry of the list.

    Attributes:
        mass: of one piece in kg; None when nobody has said it.
        basis: who says so; meaningless without a mass.
        uncertainty: standard uncertainty of one piece's mass in kg; None when unsaid.
        count: number of pieces that share this one figure.
    """

    mass: float | None
    basis: Basis = "stated"
    uncertainty: float | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class MassSum:
    """A total and what it rests on.

    Attributes:
        total: sum of all known masses in kg; a lower bound when anything is unsaid.
        uncertainty: standard uncertainty in kg of what states one; None when nothing does.
        covered: kg of the total whose uncertainty is stated.
        measured: kg that the club has weighed.
        stated: kg taken from the makers.
        assumed: kg that rest on a default or a computation.
        pieces: number of pieces, known and unsaid.
        unsaid: number of pieces without a mass.
    """

    total: float
    uncertainty: float | None
    covered: float
    measured: float
    stated: float
    assumed: float
    pieces: int
    unsaid: int

    @property
    def complete(self) -> bool:
        """Whether every piece has a mass, so that the total is more than a lower bound."""
        return self.unsaid == 0

    @property
    def measured_share(self) -> float | None:
        """Part of the known mass that was weighed, 0 to 1; None when nothing is known."""
        return self.measured / self.total if self.total else None


def sum_masses(loads: Iterable[Load]) -> MassSum:
    """Add masses, and their uncertainties in quadrature.

    Different entries count as independent. The pieces of one entry share one figure, hence one error: theirs
    adds up plainly. A mass without an uncertainty is taken as it is given and adds none; `covered` says how
    much of the total the uncertainty speaks for.

    Raises:
        ValueError: for a negative mass, uncertainty or count.
    """
    by_basis: dict[Basis, float] = {"measured": 0.0, "stated": 0.0, "assumed": 0.0, "computed": 0.0}
    errors: list[float] = []
    covered = 0.0
    pieces = unsaid = 0
    for load in loads:
        if min(load.count, load.mass or 0.0, load.uncertainty or 0.0) < 0:
            raise ValueError(f"mass, uncertainty and count cannot be negative: {load}")
        pieces += load.count
        if load.mass is None:
            unsaid += load.count
            continue
        mass = load.count * load.mass
        by_basis[load.basis] += mass
        if load.uncertainty is not None:
            errors.append(load.count * load.uncertainty)
            covered += mass
    return MassSum(
        total=sum(by_basis.values()),
        uncertainty=hypot(*errors) if errors else None,
        covered=covered,
        measured=by_basis["measured"],
        stated=by_basis["stated"],
        assumed=by_basis["assumed"] + by_basis["computed"],
        pieces=pieces,
        unsaid=unsaid,
    )
