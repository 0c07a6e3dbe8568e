"""The day from which heat is counted."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.agronomy.heat.daily import AIR_C, BASE_C
from app.errors import OutOfRange
from app.units.quantities import celsius
from app.units.ranges import within

NEVER = -1
"""The index that stands for a day not reached within the series."""

HARD_FREEZE_C = celsius(27.0)


class Start(StrEnum):
    """The rule by which counting starts."""

    FIRST_OF_MARCH = "first-of-march"
    FIXED_DATE = "fixed-date"
    WARM_HIGHS = "five-warm-highs"
    WARM_MEANS = "five-warm-means"
    MANUAL = "manual"
    AFTER_HARD_FREEZE = "after-hard-freeze"


def start_on(first_on: date, starts_on: date) -> int:
    """Index of a chosen calendar date in a daily series.

    Parameters
    ----------
    first_on : date
        Day of the first value of the series. [date]
    starts_on : date
        The day to count from: fixed, or set by hand when the stand broke dormancy or was cut. [date]

    Returns
    -------
    int
        Position of `starts_on` in the series. [index]

    Valid
    -----
    Any crop; for regrowth the date is that of the cutting before.

    Raises
    ------
    OutOfRange
        If the series begins after the day to count from, because heat would be missing without notice.

    Example
    -------
    >>> start_on(date(2026, 1, 1), date(2026, 4, 10))
    99

    Source
    ------
    [MichiganState2013]_ for a fixed date; [UniversityCalifornia2026]_ for the cutting date of regrowth.
    """
    if starts_on < first_on:
        raise OutOfRange(f"starts_on must not lie before the first day of the series, {first_on}; it was {starts_on}")
    return (starts_on - first_on).days


def start_on_first_of_march(first_on: date) -> int:
    """Index of 1 March of the year in which a daily series begins.

    Parameters
    ----------
    first_on : date
        Day of the first value of the series, at the latest 1 March itself. [date]

    Returns
    -------
    int
        Position of 1 March. [index]

    Valid
    -----
    First cutting, northern half of North America; the rule behind the 680 and 750 degree-day (F) totals.

    Raises
    ------
    OutOfRange
        If the series begins after 1 March.

    Example
    -------
    >>> start_on_first_of_march(date(2026, 1, 1)), start_on_first_of_march(date(2028, 1, 1))
    (59, 60)

    Source
    ------
    [MichiganState2013]_ and [Kaatz2026]_.
    """
    return start_on(first_on, date(first_on.year, 3, 1))


def start_after_warm_highs(temp_max_c: ArrayLike, *, base_c: float = BASE_C, run_d: int = 5) -> NDArray[np.int64]:
    """Index of the day that completes the first run of days whose high is at or above the base.

    Parameters
    ----------
    temp_max_c : array, shape (..., n), position 0 is 1 January
        Daily highs; a missing day (NaN) breaks the run. [C]
    base_c : float, keyword
        Base temperature. [C]
    run_d : int, keyword
        Length of the run; its last day is the first one counted. [d]

    Returns
    -------
    int or array of int, shape (...)
        Position of the first day to count, `NEVER` (-1) if there is no such run. [index]

    Valid
    -----
    First cutting; in the north it differs little from 1 March, because colder days add nothing anyway.

    Raises
    ------
    OutOfRange
        If a temperature cannot be one or the run is shorter than a day.

    Example
    -------
    >>> int(start_after_warm_highs([3.0, 6.0, 5.0, 7.0, 8.0, 9.0, 2.0]))
    5

    Source
    ------
    [ForageGrower2026]_ (its wording concerns the daily high).
    """
    high = within("temp_max_c", temp_max_c, AIR_C, "C")
    return _end_of_first_run(high >= base_c, run_d)


def start_after_warm_means(
    temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C, run_d: int = 5
) -> NDArray[np.int64]:
    """Index of the day that completes the first run of days whose mean is above the base.

    Parameters
    ----------
    temp_max_c, temp_min_c : array, shape (..., n), position 0 is 1 January
        Daily highs and lows; a missing day (NaN) breaks the run. [C]
    base_c : float, keyword
        Base temperature. [C]
    run_d : int, keyword
        Length of the run; its last day is the first one counted. [d]

    Returns
    -------
    int or array of int, shape (...)
        Position of the first day to count, `NEVER` (-1) if there is no such run. [index]

    Valid
    -----
    A variant from memory, without a publication seen; starts later than the rule on highs.

    Raises
    ------
    OutOfRange
        If a temperature cannot be one or the run is shorter than a day.

    Example
    -------
    >>> int(start_after_warm_means([9.0] * 7, [0.0, 2.0, 2.0, 2.0, 2.0, 2.0, 2.0]))
    5

    Source
    ------
    Common practice, no source (from memory); compare [ForageGrower2026]_.
    """
    high = within("temp_max_c", temp_max_c, AIR_C, "C")
    low = within("temp_min_c", temp_min_c, AIR_C, "C")
    return _end_of_first_run((high + low) / 2 > base_c, run_d)


def start_after_hard_freeze(
    temp_min_c: ArrayLike, *, freeze_c: float = HARD_FREEZE_C, spring_d: int = 181
) -> NDArray[np.int64]:
    """Index of the day after the last hard freeze of spring.

    Parameters
    ----------
    temp_min_c : array, shape (..., n), position 0 is 1 January
        Daily lows; a missing day (NaN) is not taken for a freeze. [C]
    freeze_c : float, keyword
        A low at or below this is a hard freeze; 27 F. [C]
    spring_d : int, keyword
        Days from 1 January within which a freeze belongs to spring; later ones are autumn's. [d]

    Returns
    -------
    int or array of int, shape (...)
        Position of the first day to count; 0 if spring had no hard freeze, n if the last day was one. [index]

    Valid
    -----
    Research use: growth is taken to begin anew after a hard freeze.

    Raises
    ------
    OutOfRange
        If a temperature cannot be one.

    Example
    -------
    >>> int(start_after_hard_freeze([-9.0, -3.0, 1.0, -2.8, 4.0]))
    4

    Source
    ------
    [UniversityCalifornia2026]_ biofix of the Minnesota model: last occurrence of 27 F (-2.8 C) or lower.
    """
    low = within("temp_min_c", temp_min_c, AIR_C, "C")[..., :spring_d]
    frozen = low <= freeze_c
    last = low.shape[-1] - np.argmax(frozen[..., ::-1], axis=-1)
    return np.where(frozen.any(axis=-1), last, 0)


def _end_of_first_run(warm: NDArray[np.bool_], run_d: int) -> NDArray[np.int64]:
    if run_d < 1:
        raise OutOfRange(f"run_d must be at least 1 d, for example 5; it was {run_d}")
    if warm.shape[-1] < run_d:
        return np.full(warm.shape[:-1], NEVER)
    whole = np.lib.stride_tricks.sliding_window_view(warm, run_d, axis=-1).all(axis=-1)
    return np.where(whole.any(axis=-1), np.argmax(whole, axis=-1) + run_d - 1, NEVER)
