"""Ranges that refuse the impossible before a formula uses it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange

Figures = NDArray[np.float64]


def within(name: str, values: ArrayLike, bounds: tuple[float, float], unit: str = "") -> Figures:
    """The values as an array, refused by name when one lies outside `bounds`; NaN (not measured) passes."""
    array = np.asarray(values, dtype=float)
    low, high = bounds
    wrong = (array < low) | (array > high)
    if np.any(wrong):
        first = float(array[wrong].flat[0]) if array.ndim else float(array)
        example = (low + high) / 2
        raise OutOfRange(
            f"{name} must lie within {low:g} to {high:g}{' ' + unit if unit else ''}, "
            f"for example {example:g}; it was {first:g}"
        )
    return array


def fraction(name: str, values: ArrayLike) -> Figures:
    """The values as an array of fractions 0 to 1; a percentage typed as a fraction is refused by name."""
    return within(name, values, (0.0, 1.0), "(a fraction: 40 % is 0.40)")
