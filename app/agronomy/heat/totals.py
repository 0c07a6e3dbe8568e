"""Heat added up over the season, and the day on which a total is reached."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.agronomy.heat.starts import NEVER
from app.units.ranges import Figures, within

DAY_C_D = (0.0, 65.0)
TOTAL_C_D = (0.0, 20_000.0)
ROUNDING = 1e-9


def accumulated_heat(heat_c_d: ArrayLike, start_index: ArrayLike = 0) -> Figures:
    """Heat added up from the first day counted to the end of each day.

    Parameters
    ----------
    heat_c_d : array, shape (..., n)
        Heat of each day. [C d]
    start_index : int or array of int, shape (...)
        Position of the first day that counts; -1 when counting has not begun. [index]

    Returns
    -------
    array, shape (..., n)
        Total at the end of each day: 0 before the start, NaN from a missing day on. [C d]

    Valid
    -----
    Any daily series without missing days after the start.

    Raises
    ------
    OutOfRange
        If a day's heat is negative or above 65 C d.

    Example
    -------
    >>> accumulated_heat([1.0, 2.0, 5.0, 8.0], 1).tolist()
    [0.0, 2.0, 7.0, 15.0]

    Source
    ------
    [Kaatz2026]_ season total as the sum of daily values; never reset.
    """
    heat = within("heat_c_d", heat_c_d, DAY_C_D, "C d")
    start = np.asarray(start_index)[..., None]
    counts = (np.arange(heat.shape[-1]) >= start) & (start >= 0)
    return np.cumsum(np.where(counts, heat, 0.0), axis=-1)


def index_of_total(total_c_d: ArrayLike, target_c_d: ArrayLike) -> NDArray[np.int64]:
    """Index of the first day whose end total is at or above a target.

    Parameters
    ----------
    total_c_d : array, shape (..., n)
        Total at the end of each day. [C d]
    target_c_d : float or array, shape (...)
        The total looked for. [C d]

    Returns
    -------
    int or array of int, shape (...)
        Position of the day, `NEVER` (-1) if the series does not reach the target. [index]

    Valid
    -----
    Totals that never fall; a missing day hides everything after it.

    Raises
    ------
    OutOfRange
        If the target is negative or above 20,000 C d.

    Example
    -------
    >>> int(index_of_total([0.0, 9.0, 18.0, 30.0], 18.0))
    2

    Source
    ------
    Common practice, no source: the first day whose end total is at or above the target.
    """
    total = np.asarray(total_c_d, dtype=float)
    target = within("target_c_d", target_c_d, TOTAL_C_D, "C d")
    reached = total >= target[..., None] * (1 - ROUNDING)
    return np.where(reached.any(axis=-1), np.argmax(reached, axis=-1), NEVER)
