"""What the physics of every chapter keeps to: floats in, floats out; arrays in, the same for each of their numbers."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st

Call = tuple[Callable[..., Any], tuple[float, ...]]


def between(least: float, most: float) -> st.SearchStrategy[float]:
    """Finite numbers of a range."""
    return st.floats(least, most, allow_nan=False, allow_infinity=False)


def each(calls: list[Call]) -> pytest.MarkDecorator:
    """Mark a test that takes ``function`` and ``arguments``: one case a call, under the function's name."""
    return pytest.mark.parametrize(
        ("function", "arguments"), calls, ids=[f"{function.__name__}-{i}" for i, (function, _) in enumerate(calls)]
    )


def check(function: Callable[..., Any], arguments: tuple[float, ...], numbers: int | None = None) -> None:
    """Check one call with floats and with arrays; only the first ``numbers`` arguments may be arrays (None: all)."""
    one = function(*arguments)
    assert type(one) is float
    arrays = arguments[:numbers]
    columns = [np.array([value, value]) for value in arrays]
    np.testing.assert_allclose(function(*columns, *arguments[len(arrays) :]), [one, one], rtol=1e-13)


def public_functions(*modules: ModuleType) -> set[str]:
    """Names of the functions that modules define for others."""
    return {
        name
        for module in modules
        for name, thing in vars(module).items()
        if callable(thing)
        and getattr(thing, "__module__", "") == module.__name__
        and not name.startswith("_")
        and not isinstance(thing, type)
    }
