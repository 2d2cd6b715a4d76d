"""Sizes and volumes of bags and what goes into them. Pure functions over floats or numpy arrays, lengths in mm."""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])


def linear_size(length: Number, width: Number, height: Number) -> Number:
    """Return the sum of the three sides in mm, by which airlines measure bags."""
    return length + width + height


def litres(length: Number, width: Number, height: Number) -> Number:
    """Return the volume of a box in litres; sides in mm."""
    return length * width * height / 1e6


def padded_litres(length: Number, width: Number, height: Number, padding: Number) -> Number:
    """Return the volume of a box with padding on every side in litres; sides and padding in mm."""
    return (length + 2 * padding) * (width + 2 * padding) * (height + 2 * padding) / 1e6


def fill(packed: Number, inner: Number) -> Number:
    """Return the part of a bag's inner volume that is used, 0 to 1; both volumes in the same unit."""
    return packed / inner
