"""Masses: units and the propagation of uncertainty against published definitions and a simulation."""

import numpy as np
import pytest

from rigleaf.chapters.what_it_weighs.physics import Load, sum_masses
from rigleaf.quantities import to_canonical


def test_a_pound_is_0_45359237_kg_exactly() -> None:
    """International Yard and Pound Agreement of 1959, as in NIST Handbook 44, Appendix C (MEMORY)."""
    assert to_canonical(1.0, "lb", "mass") == pytest.approx(0.45359237, rel=1e-15)


def test_an_ounce_is_a_sixteenth_of_a_pound() -> None:
    """NIST Handbook 44, Appendix C (MEMORY): the avoirdupois ounce is 28.349523125 g."""
    assert to_canonical(1.0, "oz", "mass") == pytest.approx(0.028349523125, rel=1e-14)


def test_a_total_of_pounds_ounces_and_grams() -> None:
    """The same definitions (MEMORY): 10 lb, 8 oz and 250 g are 5.0127 kg, and 250 g more 5.2627 kg."""
    loads = [
        Load(to_canonical(10.0, "lb", "mass")),
        Load(to_canonical(8.0, "oz", "mass")),
        Load(to_canonical(250.0, "g", "mass")),
    ]
    assert sum_masses(loads).total == pytest.approx(4.5359237 + 0.22679618 + 0.250, abs=1e-8)
    assert sum_masses([*loads, loads[-1]]).total == pytest.approx(5.26271988, abs=1e-7)


LOADS = [
    Load(3.42, "measured", 0.005),
    Load(0.655, "measured", 0.002, count=3),
    Load(1.9, "stated", 0.05),
    Load(4.5, "measured", 0.02, count=2),
    Load(0.8, "stated"),
]


def test_uncertainty_of_a_total_by_simulation() -> None:
    """COMPUTED with numpy: many weighings, the pieces of one entry sharing their error."""
    rng = np.random.default_rng(100_2008)
    trials = np.zeros(400_000)
    for load in LOADS:
        trials += load.count * rng.normal(load.mass or 0.0, load.uncertainty or 0.0, trials.size)
    total = sum_masses(LOADS)
    assert total.uncertainty == pytest.approx(float(trials.std()), rel=0.005)
    assert total.total == pytest.approx(float(trials.mean()), abs=0.001)


def test_uncertainty_of_a_total_by_the_law_of_propagation() -> None:
    """JCGM 100:2008 (GUM), eq. 10 for independent inputs, with c = the count as sensitivity (MEMORY)."""
    variance = 0.005**2 + (3 * 0.002) ** 2 + 0.05**2 + (2 * 0.02) ** 2
    assert sum_masses(LOADS).uncertainty == pytest.approx(variance**0.5, rel=1e-12)


def test_what_a_total_rests_on() -> None:
    """Arithmetic on the list above (no source): kilograms by basis, and those that state an uncertainty."""
    total = sum_masses([*LOADS, Load(0.25, "assumed"), Load(0.75, "computed")])
    assert total.measured == pytest.approx(3.42 + 3 * 0.655 + 2 * 4.5, rel=1e-12)
    assert total.stated == pytest.approx(1.9 + 0.8, rel=1e-12)
    assert total.assumed == pytest.approx(1.0, rel=1e-12)
    assert total.covered == pytest.approx(total.measured + 1.9, rel=1e-12)
    assert total.measured_share == pytest.approx(14.385 / 18.085, rel=1e-12)
    assert (total.pieces, total.unsaid, total.complete) == (10, 0, True)


def test_an_unsaid_mass_makes_the_total_a_lower_bound() -> None:
    """Arithmetic on the list above (no source): what is unsaid adds nothing, but is counted."""
    whole, gap = sum_masses(LOADS), sum_masses([*LOADS, Load(None, count=2)])
    assert (gap.total, gap.uncertainty) == (whole.total, whole.uncertainty)
    assert (gap.pieces, gap.unsaid, gap.complete) == (whole.pieces + 2, 2, False)


def test_nothing_known_is_neither_certain_nor_weighed() -> None:
    """No source: a total without one stated uncertainty has none, and of nothing no share was weighed."""
    assert sum_masses([Load(1.0), Load(2.0)]).uncertainty is None
    nothing = sum_masses([Load(None)])
    assert (nothing.total, nothing.uncertainty, nothing.measured_share) == (0.0, None, None)
    assert sum_masses([]).complete


@pytest.mark.parametrize("load", [Load(-1.0), Load(1.0, uncertainty=-0.1), Load(1.0, count=-1), Load(None, count=-1)])
def test_negative_masses_are_refused(load: Load) -> None:
    """No source."""
    with pytest.raises(ValueError, match="cannot be negative"):
        sum_masses([load])
