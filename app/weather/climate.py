"""What past years of a station say: usual temperatures by day, and how wet and dry days follow one another."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from app.agronomy.heat import BASE_C, Method, degree_days
from app.errors import OutOfRange
from app.units.ranges import fraction
from app.weather.series import Figures, Years

ANY_RAIN_MM = 0.254
"""A wet day as rain probabilities count it: a hundredth of an inch or more. [MeteorologicalGlossary2026]_"""

DAMAGING_RAIN_MM = 2.5
"""Rain that does harm to cut forage (judgement; compare the rain-loss trials)."""

_MONTH_STARTS = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])
HALF_MONTH_STARTS = np.sort(np.concatenate([_MONTH_STARTS, _MONTH_STARTS + 15]))
"""First day (0 is 1 January, no leap day) of each of the 24 half-months: the 1st and the 16th."""


def half_month(day_index: ArrayLike) -> np.ndarray:
    """Number 0 to 23 of the half-month a day of the 365-day calendar lies in.

    >>> half_month([0, 14, 15, 120, 135]).tolist()
    [0, 0, 1, 8, 9]
    """
    return np.searchsorted(HALF_MONTH_STARTS, np.asarray(day_index), side="right") - 1


@dataclass(frozen=True, eq=False)
class DailyMeans:
    """Usual weather of each day of the 365-day calendar: means over years, smoothed over the days around."""

    high_c: Figures
    low_c: Figures
    precip_mm: Figures


def daily_means(years: Years, *, window_d: int = 15) -> DailyMeans:
    """Means by calendar day over years and a centred window that runs on across the turn of the year."""
    if window_d < 1 or window_d % 2 == 0 or window_d > 91:
        raise OutOfRange(f"window_d must be odd and within 1 to 91 d, for example 15; it was {window_d}")
    return DailyMeans(*(_smooth(column, window_d) for column in (years.high_c, years.low_c, years.precip_mm)))


def _smooth(values: Figures, window_d: int) -> Figures:
    known = ~np.isnan(values)
    total, count = np.where(known, values, 0.0).sum(axis=0), known.sum(axis=0).astype(float)
    half = window_d // 2
    summed = [np.convolve(np.pad(part, half, mode="wrap"), np.ones(window_d), "valid") for part in (total, count)]
    return np.divide(summed[0], summed[1], out=np.full(values.shape[1], np.nan), where=summed[1] > 0)


@dataclass(frozen=True, eq=False)
class WetDry:
    """How wet and dry days follow one another, by half-month (24 places each); NaN where nothing was counted.

    Attributes
    ----------
    dry_frac : share of days that are dry
    dry_after_dry_frac, dry_after_wet_frac : share of days that are dry among those after a dry, a wet day
    days_count : days with rain measured
    threshold_mm : rain from which a day is wet
    """

    dry_frac: Figures
    dry_after_dry_frac: Figures
    dry_after_wet_frac: Figures
    days_count: Figures
    threshold_mm: float

    @property
    def wet_frac(self) -> Figures:
        return 1 - self.dry_frac


def wet_dry(years: Years, *, threshold_mm: float = ANY_RAIN_MM) -> WetDry:
    """First-order chain of wet and dry days by half-month, counted on the given years.

    A day belongs to its own half-month, the day before may lie in the one before; the day before 1 January is the last
    of the year before where that year is there. A pair with a missing day is not counted.
    """
    rain = years.precip_mm
    before = np.full_like(rain, np.nan)
    before[:, 1:] = rain[:, :-1]
    follows = np.flatnonzero(np.diff(years.years) == 1) + 1
    before[follows, 0] = rain[follows - 1, -1]
    known, pair = ~np.isnan(rain), ~(np.isnan(rain) | np.isnan(before))
    dry, dry_before = rain < threshold_mm, before < threshold_mm
    place = np.broadcast_to(half_month(np.arange(365)), rain.shape)

    def count(mask: np.ndarray) -> Figures:
        return np.bincount(place[mask], minlength=24).astype(float)

    def share(part: np.ndarray, whole: np.ndarray) -> Figures:
        n = count(whole)
        return np.divide(count(part & whole), n, out=np.full(24, np.nan), where=n > 0)

    return WetDry(
        share(dry, known),
        share(dry, pair & dry_before),
        share(dry, pair & ~dry_before),
        count(known),
        threshold_mm,
    )


def dry_run_frac(dry_frac: ArrayLike, dry_after_dry_frac: ArrayLike, run_d: ArrayLike) -> Figures:
    """Chance that a run of days stays dry, by a first-order chain.

    Parameters
    ----------
    dry_frac : float or array
        Chance that the first day is dry. [fraction]
    dry_after_dry_frac : float or array
        Chance that a day after a dry one is dry. [fraction]
    run_d : int or array
        Length of the run, at least 1. [d]

    Returns
    -------
    array
        Chance that all days of the run are dry. [fraction]

    Valid
    -----
    Runs of a few days inside a half-month; independence would understate them.

    Raises
    ------
    OutOfRange
        If a chance lies outside 0 to 1 or the run is shorter than a day.

    Example
    -------
    >>> round(float(dry_run_frac(0.634, 0.679, 3)), 3)
    0.292

    Source
    ------
    [GabrielNeumann1962]_ first-order chain of wet and dry days (from memory).
    """
    first, again = fraction("dry_frac", dry_frac), fraction("dry_after_dry_frac", dry_after_dry_frac)
    run = np.asarray(run_d)
    if np.any(run < 1):
        raise OutOfRange("run_d must be at least 1 d, for example 3")
    return first * again ** (run - 1)


def counted_dry_runs_frac(years: Years, run_d: int, *, threshold_mm: float = ANY_RAIN_MM) -> Figures:
    """Share of runs of `run_d` days, by the half-month they begin in, that stayed dry (24 places); no model."""
    rain = years.precip_mm
    runs = np.lib.stride_tricks.sliding_window_view(rain, run_d, axis=1)
    known, dry = ~np.isnan(runs).any(axis=2), (runs < threshold_mm).all(axis=2)
    place = np.broadcast_to(half_month(np.arange(runs.shape[1])), known.shape)
    n = np.bincount(place[known], minlength=24).astype(float)
    hits = np.bincount(place[known & dry], minlength=24).astype(float)
    return np.divide(hits, n, out=np.full(24, np.nan), where=n > 0)


def heat_by_year(
    years: Years, method: Method = Method.AVERAGE, *, base_c: float = BASE_C, cap_c: float | None = None
) -> Figures:
    """Heat of each day of each year by the farm's method, shape (n, 365): what a season is projected with. [C d]"""
    return degree_days(years.high_c, years.low_c, method, base_c=base_c, cap_c=cap_c)
