"""Refuse what no silo, machine or crop can have, and let what was not measured (NaN) pass."""

import numpy as np

from app.errors import OutOfRange

Values = float | np.ndarray
"""One figure, or an array of them; NaN where nothing was measured."""


def within(name: str, values: Values, low: float, high: float, example: float) -> Values:
    """Give the values back when all lie between low and high, both included; NaN passes."""
    found = np.asarray(values, dtype=float)
    wrong = (found < low) | (found > high)
    if wrong.any():
        worst = float(np.atleast_1d(found)[np.atleast_1d(wrong)][0])
        raise OutOfRange(
            f"{name} must lie within {_said(low)} and {_said(high)} "
            f"(for example {_said(example)}); found {_said(worst)}."
        )
    return plain(found)


def plain(values: Values) -> Values:
    """A Python float where there is one figure, the array where there are several."""
    return values if np.ndim(values) else float(values)


def _said(value: float) -> str:
    """Six figures, and millions in full instead of with an exponent."""
    return f"{value:.0f}" if 1e6 <= abs(value) < 1e16 else f"{value:g}"


def length(name: str, values: Values, high: float = 1000.0, low: float = 0.0) -> Values:
    """A length of a structure in metres."""
    return within(name, values, low, high, min(3.6, high))


def fraction(name: str, values: Values, low: float = 0.0, high: float = 1.0, example: float = 0.38) -> Values:
    """A share between 0 and 1; the message also serves someone who typed a percentage."""
    return within(name, values, low, high, example)


def dry_matter(values: Values) -> Values:
    """A dry-matter content between 5 and 95 %."""
    return within("dm_frac", values, 0.05, 0.95, 0.38)


def dm_density_range(values: Values, name: str = "density_dm_kg_m3") -> Values:
    """A dry-matter density between 20 and 900 kg/m3 (loose in a wagon to far beyond any silo)."""
    return within(name, values, 20.0, 900.0, 240.0)


def bulk_density_range(values: Values) -> Values:
    """A density as fed between 30 and 1500 kg/m3."""
    return within("density_af_kg_m3", values, 30.0, 1500.0, 705.0)


def must_hold(claim: Values, message: str) -> None:
    """Raise OutOfRange with the message unless the claim holds everywhere it is known."""
    if not np.all(claim):
        raise OutOfRange(message)
