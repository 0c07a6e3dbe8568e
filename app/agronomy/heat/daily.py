"""Heat of one day by each of the published methods; thresholds belong to the method they were made with."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from app.errors import OutOfRange
from app.units.ranges import Figures, within

BASE_C = 5.0
"""Base temperature of the published first-cut thresholds: 41 F, exactly 5 C."""

AIR_C = (-60.0, 60.0)
BASES_C = (-5.0, 20.0)
CAPS_C = (15.0, 60.0)


class Method(StrEnum):
    """How a day's heat is taken from its high and low."""

    AVERAGE = "average"
    RAISED = "raised"
    HORIZONTAL_CAP = "horizontal-cap"
    SINE = "sine"
    SINE_HORIZONTAL_CAP = "sine-horizontal-cap"
    SINE_VERTICAL_CAP = "sine-vertical-cap"
    THREE_CASE = "three-case"


NEEDS_CAP = frozenset({Method.HORIZONTAL_CAP, Method.SINE_HORIZONTAL_CAP, Method.SINE_VERTICAL_CAP})
TAKES_CAP = NEEDS_CAP | {Method.RAISED}


def degree_days_average(temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C) -> Figures:
    """Heat of a day by the plain average method.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    First cutting; the method behind the 680 and 750 degree-day (F) thresholds. No cap, no raising of cold lows.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_average((60 - 32) / 1.8, (40 - 32) / 1.8)) * 1.8, 6)
    9.0

    Source
    ------
    [Kaatz2026]_ worked example (60 and 40 F give 9); [MichiganState2013]_.
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    return np.maximum(0.0, (high + low) / 2 - base)


def degree_days_raised(
    temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C, cap_c: float = np.inf
) -> Figures:
    """Heat of a day with lows (and highs) below the base raised to it, and highs above a cap cut to it.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]
    cap_c : float, keyword
        Temperature above which a high counts no further; none by default. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    Runs ahead of the average method in March and April, so the published totals do not belong to it.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_raised((50 - 32) / 1.8, (30 - 32) / 1.8)) * 1.8, 6)
    4.5

    Source
    ------
    [OregonState2026]_ substitution of both limits (100 and 40 F, limits 50 and 86 F, give 18).
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    cap = np.inf if np.isinf(cap_c) else _cap(cap_c, base)
    return (np.clip(high, base, cap) + np.clip(low, base, cap)) / 2 - base


def degree_days_horizontal_cap(
    temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C, cap_c: float
) -> Figures:
    """Heat of a day by averaging after cutting temperatures above a cap down to it.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]
    cap_c : float, keyword
        Temperature above which development goes on no faster. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    No alfalfa harvest source uses a cap with this base; 30 and 32 C are in use elsewhere and seldom bind in May.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_horizontal_cap(35.0, 20.0, cap_c=32.0)), 6)
    21.0

    Source
    ------
    [OregonState2026]_ horizontal cutoff; the example is derived.
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    cap = _cap(cap_c, base)
    return np.maximum(0.0, (np.minimum(high, cap) + np.minimum(low, cap)) / 2 - base)


def degree_days_sine(temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C) -> Figures:
    """Heat of a day as the area of a sine curve between low and high that lies above the base.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    Any crop; gives more heat than the average method on days that cross the base.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_sine((60 - 32) / 1.8, (40 - 32) / 1.8)) * 1.8, 3)
    9.095

    Source
    ------
    [Baskerville1969]_ single sine; formula from memory, checked by numerical integration.
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    return _sine_above(high, low, base)[0]


def degree_days_sine_horizontal_cap(
    temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C, cap_c: float
) -> Figures:
    """Heat of a day under a sine curve cut off level at a cap.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]
    cap_c : float, keyword
        Temperature above which development goes on no faster. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    As the single sine; the cap binds only on days whose high passes it.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_sine_horizontal_cap(35.0, (65 - 32) / 1.8, cap_c=30.0)) * 1.8, 3)
    36.838

    Source
    ------
    [OregonState2026]_ horizontal cutoff with the single sine of [Baskerville1969]_; example derived.
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    cap = _cap(cap_c, base)
    return _sine_above(high, low, base)[0] - _sine_above(high, low, cap)[0]


def degree_days_sine_vertical_cap(
    temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C, cap_c: float
) -> Figures:
    """Heat of a day under a sine curve, counting nothing while it is above a cap.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]
    cap_c : float, keyword
        Temperature above which development stops. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    As the single sine; a hot day counts less than a mild one.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_sine_vertical_cap(35.0, (65 - 32) / 1.8, cap_c=30.0)) * 1.8, 3)
    20.233

    Source
    ------
    [OregonState2026]_ vertical cutoff with the single sine of [Baskerville1969]_; example derived.
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    cap = _cap(cap_c, base)
    above_cap, share_of_day = _sine_above(high, low, cap)
    return _sine_above(high, low, base)[0] - above_cap - (cap - base) * share_of_day


def degree_days_three_case(temp_max_c: ArrayLike, temp_min_c: ArrayLike, *, base_c: float = BASE_C) -> Figures:
    """Heat of a day by a national weather service's rule for days above, across and below the base.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    base_c : float, keyword
        Temperature below which the crop stands still. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    Any crop; close to the single sine without trigonometry.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days_three_case(12.0, 2.0)), 6)
    2.75

    Source
    ------
    [MetEireann2026]_ the three cases; the example is derived.
    """
    high, low, base = _day(temp_max_c, temp_min_c, base_c)
    mean = (high + low) / 2
    crossing = np.where(mean > base, 0.5 * (high - base) - 0.25 * (base - low), 0.25 * (high - base))
    heat = np.where(low >= base, mean - base, np.where(high <= base, 0.0, crossing))
    return np.where(np.isnan(mean), np.nan, heat)


def degree_days(
    temp_max_c: ArrayLike,
    temp_min_c: ArrayLike,
    method: Method = Method.AVERAGE,
    *,
    base_c: float = BASE_C,
    cap_c: float | None = None,
) -> Figures:
    """Heat of a day by the method a farm has chosen.

    Parameters
    ----------
    temp_max_c, temp_min_c : float or array, shape (..., n)
        High and low of the day. [C]
    method : Method
        Which of the methods of this file.
    base_c : float, keyword
        Temperature below which the crop stands still. [C]
    cap_c : float, keyword
        Temperature above which the cap works; methods named after a cap need it, the others refuse it. [C]

    Returns
    -------
    array, same shape
        Heat of the day, never below 0. [C d]

    Valid
    -----
    As the method chosen; another method needs other thresholds.

    Raises
    ------
    OutOfRange
        If a temperature lies outside -60 to 60 C, the low is above the high, or base or cap cannot be one. NaN passes.

    Example
    -------
    >>> round(float(degree_days(35.0, 20.0, Method.HORIZONTAL_CAP, cap_c=32.0)), 6)
    21.0

    Source
    ------
    [OregonState2026]_ names the methods; the formulas stand above.
    """
    formula = FORMULAS[method]
    if cap_c is None:
        if method in NEEDS_CAP:
            raise OutOfRange(f"cap_c must be given for the method {method.value}, for example 30 C")
        return formula(temp_max_c, temp_min_c, base_c=base_c)
    if method not in TAKES_CAP:
        raise OutOfRange(f"cap_c has no place in the method {method.value}; leave it out or choose a method with a cap")
    return formula(temp_max_c, temp_min_c, base_c=base_c, cap_c=cap_c)


FORMULAS: dict[Method, Callable[..., Figures]] = {
    Method.AVERAGE: degree_days_average,
    Method.RAISED: degree_days_raised,
    Method.HORIZONTAL_CAP: degree_days_horizontal_cap,
    Method.SINE: degree_days_sine,
    Method.SINE_HORIZONTAL_CAP: degree_days_sine_horizontal_cap,
    Method.SINE_VERTICAL_CAP: degree_days_sine_vertical_cap,
    Method.THREE_CASE: degree_days_three_case,
}


def _day(temp_max_c: ArrayLike, temp_min_c: ArrayLike, base_c: float) -> tuple[Figures, Figures, Figures]:
    high = within("temp_max_c", temp_max_c, AIR_C, "C")
    low = within("temp_min_c", temp_min_c, AIR_C, "C")
    if np.any(low > high):
        raise OutOfRange("temp_min_c must not lie above temp_max_c of the same day; high and low may be exchanged")
    return high, low, within("base_c", base_c, BASES_C, "C")


def _cap(cap_c: float, base: Figures) -> Figures:
    cap = within("cap_c", cap_c, CAPS_C, "C")
    if np.any(cap <= base):
        raise OutOfRange(f"cap_c must lie above base_c ({float(base):g} C), for example 30 C")
    return cap


def _sine_above(high: Figures, low: Figures, limit: Figures) -> tuple[Figures, Figures]:
    """Area of the day's sine curve above `limit`, and the share of the day it spends there."""
    mean, swing = (high + low) / 2, (high - low) / 2
    reach = np.divide(limit - mean, swing, out=np.where(mean >= limit, -1.0, 1.0), where=swing > 0)
    theta = np.arcsin(np.clip(reach, -1.0, 1.0))
    area = ((mean - limit) * (np.pi / 2 - theta) + swing * np.cos(theta)) / np.pi
    return np.where(np.isnan(mean), np.nan, area), (np.pi / 2 - theta) / np.pi
