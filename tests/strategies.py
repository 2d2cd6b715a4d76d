"""What property tests draw from: plain YAML data, quantities, mistyped names."""

import string
from collections.abc import Iterable
from functools import cache

from hypothesis import settings
from hypothesis import strategies as st

from rigleaf.quantities import DIMENSIONS, SPELLINGS, QuantityError, to_canonical

# The first unit that is met imports astropy, which takes longer than an example otherwise may.
settings.register_profile("patient", deadline=None)
settings.load_profile("patient")

# Characters that the reader takes in text: no controls, no marks of direction, no separators of lines but \n.
TEXTS = st.text(
    st.one_of(
        st.characters(exclude_categories=("Cc", "Cf", "Cs", "Cn", "Zl", "Zp")),
        st.sampled_from("\n:#-'\"{}[],&*!|>%@` "),
    ),
    max_size=20,
)

# YAML 1.1 and 1.2 read the same from whole numbers without leading zeros and from plain decimals.
NUMBERS = st.one_of(
    st.integers(-(10**17), 10**17),
    st.decimals(-1000, 1000, places=3, allow_nan=False, allow_infinity=False).map(float),
)
SCALARS = st.one_of(st.none(), st.booleans(), NUMBERS.filter(lambda number: "e" not in repr(number)), TEXTS)


def plain_data(keys: st.SearchStrategy[str] = TEXTS, leaves: int = 12) -> st.SearchStrategy[object]:
    """Return plain data such as YAML holds: lists and mappings with text as keys."""
    return st.recursive(
        SCALARS,
        lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(keys, inner, max_size=4)),
        max_leaves=leaves,
    )


_MORE_UNITS = (
    "mm", "cm", "m", "km", "um", "µm", "μm", "nm", "ft", "yd", "g", "kg", "lb", "oz", "pound", "ounce", "s",
    "min", "h", "d", "W", "mW", "kW", "J", "kJ", "V", "mV", "kV", "A", "mA", "deg", "arcmin", "arcsec", "°",
    "′", "″", "'", "K", "m/s", "l", "L", "ml", "mL", "%",
)  # fmt: skip


@cache
def units_of(dimension: str) -> list[str]:
    """Return the spellings of units that a dimension takes, among many."""
    spellings = dict.fromkeys((DIMENSIONS[dimension].unit, *SPELLINGS, *_MORE_UNITS))
    return [unit for unit in spellings if _is_unit(unit, dimension)]


def _is_unit(unit: str, dimension: str) -> bool:
    try:
        to_canonical(1.0, unit, dimension)
    except QuantityError:
        return False
    return True


@st.composite
def quantities(draw: st.DrawFn) -> tuple[float, str, str]:
    """Return a value in the canonical unit of a dimension, a unit in which to write it, and the dimension."""
    dimension = draw(st.sampled_from([name for name, known in DIMENSIONS.items() if known.unit]))
    known = DIMENSIONS[dimension]
    lowest = -known.highest if known.lowest is None else known.lowest
    value = draw(st.floats(lowest, known.highest).filter(lambda number: number == 0 or abs(number) > 1e-6))
    return value, draw(st.sampled_from(units_of(dimension))), dimension


@st.composite
def mistyped(draw: st.DrawFn, names: Iterable[str], shortest: int = 5) -> tuple[str, str]:
    """Return a name and the same name with one letter wrong, missing, too many or swapped with the next."""
    name = draw(st.sampled_from([name for name in names if len(name) >= shortest]))
    at = draw(st.integers(0, len(name) - 2))
    letter = draw(st.sampled_from(string.ascii_lowercase))
    typo = draw(
        st.sampled_from(
            [
                name[:at] + letter + name[at + 1 :],
                name[:at] + name[at + 1 :],
                name[:at] + letter + name[at:],
                name[:at] + name[at + 1] + name[at] + name[at + 2 :],
            ]
        )
    )
    return name, typo
