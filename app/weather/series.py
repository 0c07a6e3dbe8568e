"""Daily weather of one station: every day from the first to the last, NaN where nothing was measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange

Days = NDArray[np.datetime64]
Figures = NDArray[np.float64]
DAY = "datetime64[D]"


class Kind(IntEnum):
    """What a day's values are."""

    NONE = 0
    OBSERVED = 1
    FILLED = 2
    FORECAST = 3


@dataclass(frozen=True)
class Gap:
    """Days in a row without a value."""

    first_on: np.datetime64
    last_on: np.datetime64

    @property
    def length_d(self) -> int:
        return int((self.last_on - self.first_on).astype(int)) + 1


@dataclass(frozen=True, eq=False)
class DailySeries:
    """Weather by day. `days` has no holes; a day nobody measured has NaN and kind NONE.

    Attributes
    ----------
    station : name or number the file gives
    days : array of datetime64[D], each one day after the other
    high_c, low_c : highest and lowest air temperature of the day. [C]
    precip_mm : rain and melted snow of the day; a trace is 0. [mm]
    kind : what each day's values are, see `Kind`
    """

    station: str
    days: Days
    high_c: Figures
    low_c: Figures
    precip_mm: Figures
    kind: NDArray[np.int8]

    def __post_init__(self) -> None:
        lengths = {len(self.days), len(self.high_c), len(self.low_c), len(self.precip_mm), len(self.kind)}
        if len(lengths) > 1:
            raise OutOfRange(f"days, high_c, low_c, precip_mm and kind must be equally long; they have {lengths}")
        if len(self.days) > 1 and not (np.diff(self.days).astype(int) == 1).all():
            raise OutOfRange("days must follow one after the other; use `series_of` for days with holes")

    def __len__(self) -> int:
        return len(self.days)

    def between(self, first_on: np.datetime64, last_on: np.datetime64) -> DailySeries:
        """The days from `first_on` to `last_on`, both included; days outside the series are NaN."""
        days: Days = np.arange(first_on.astype(DAY), last_on.astype(DAY) + np.timedelta64(1, "D"), dtype=DAY)
        place = (days - self.days[0]).astype(int) if len(self) else np.full(len(days), -1)
        inside = (place >= 0) & (place < len(self))
        take = np.where(inside, place, 0)

        def column(values: NDArray, empty: float) -> NDArray:
            picked = values[take] if len(self) else np.full(len(days), empty)
            return np.where(inside, picked, empty).astype(values.dtype)

        return DailySeries(
            self.station,
            days,
            column(self.high_c, np.nan),
            column(self.low_c, np.nan),
            column(self.precip_mm, np.nan),
            column(self.kind, Kind.NONE),
        )

    @property
    def has_heat(self) -> NDArray[np.bool_]:
        """Days with both high and low."""
        return ~(np.isnan(self.high_c) | np.isnan(self.low_c))

    def gaps(self) -> tuple[Gap, ...]:
        """Runs of days without both temperatures, inside the series."""
        return tuple(Gap(self.days[start], self.days[stop - 1]) for start, stop in _runs(~self.has_heat))


def _runs(mask: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], mask.astype(np.int8), [0]))))
    yield from zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)


def empty_series(station: str) -> DailySeries:
    """A series without days."""
    none = np.empty(0)
    return DailySeries(station, np.empty(0, DAY), none, none, none, np.empty(0, np.int8))


def series_of(
    station: str,
    days: ArrayLike | Sequence[date],
    high_c: ArrayLike,
    low_c: ArrayLike,
    precip_mm: ArrayLike,
    kind: Kind = Kind.OBSERVED,
) -> DailySeries:
    """A series from days in any order and with holes; each day at most once."""
    day = np.asarray(days, DAY)
    if not len(day):
        return empty_series(station)
    if len(np.unique(day)) != len(day):
        raise OutOfRange("each day may be given once; find doubled days before making a series")
    whole = np.arange(day.min(), day.max() + 1)
    place = (day - whole[0]).astype(int)

    def column(values: ArrayLike) -> Figures:
        out = np.full(len(whole), np.nan)
        out[place] = np.asarray(values, float)
        return out

    high, low, precip = column(high_c), column(low_c), column(precip_mm)
    known = ~(np.isnan(high) & np.isnan(low) & np.isnan(precip))
    return DailySeries(station, whole, high, low, precip, np.where(known, kind, Kind.NONE).astype(np.int8))


@dataclass(frozen=True)
class Merged:
    """A series with new days added, and what happened: new, unchanged, and days where the values differ."""

    series: DailySeries
    new_d: int
    same_d: int
    changed_on: tuple[np.datetime64, ...]


def merge(old: DailySeries, new: DailySeries, *, replace_changed: bool) -> Merged:
    """Add the days of `new` to `old`.

    A value is never replaced by a missing one, and an observation never by a forecast. Where both have a different
    value, `replace_changed` says which stands; such days are listed either way.
    """
    if not len(new):
        return Merged(old, 0, 0, ())
    if not len(old):
        return Merged(new, int((new.kind != Kind.NONE).sum()), 0, ())
    first, last = min(old.days[0], new.days[0]), max(old.days[-1], new.days[-1])
    before, after = old.between(first, last), new.between(first, last)
    outranked = (after.kind == Kind.FORECAST) & ((before.kind == Kind.OBSERVED) | (before.kind == Kind.FILLED))
    differs = np.zeros(len(before), bool)
    columns: dict[str, Figures] = {}
    for name in ("high_c", "low_c", "precip_mm"):
        was, now = getattr(before, name), getattr(after, name)
        offered = ~np.isnan(now) & ~outranked
        clash = offered & ~np.isnan(was) & (np.abs(was - now) > 1e-6)
        weak = (before.kind == Kind.FORECAST) | (before.kind == Kind.FILLED)
        differs |= clash & ~weak
        columns[name] = np.where(offered & (np.isnan(was) | replace_changed | weak), now, was)
    offered_day = (after.kind != Kind.NONE) & ~outranked
    fresh = offered_day & (before.kind == Kind.NONE)
    firmer = offered_day & (fresh | (before.kind == Kind.FORECAST) | (before.kind == Kind.FILLED))
    kind = np.where(firmer, after.kind, before.kind).astype(np.int8)
    series = DailySeries(new.station or old.station, before.days, kind=kind, **columns)
    same = offered_day & ~fresh & ~differs
    return Merged(series, int(fresh.sum()), int(same.sum()), tuple(before.days[differs]))


def fill_short_gaps(series: DailySeries, *, longest_d: int = 3) -> DailySeries:
    """High and low of short gaps by straight lines between their neighbours; such days get kind FILLED.

    Rain is not filled, for it cannot be drawn between two days. Longer gaps stay missing.
    """
    if not len(series):
        return series
    high, low, kind = series.high_c.copy(), series.low_c.copy(), series.kind.copy()
    for values in (high, low):
        for start, stop in _runs(np.isnan(values)):
            if start > 0 and stop < len(values) and stop - start <= longest_d:
                values[start:stop] = np.interp(
                    np.arange(start, stop), [start - 1, stop], [values[start - 1], values[stop]]
                )
                kind[start:stop] = Kind.FILLED
    low = np.where(low > high, high, low)
    return DailySeries(series.station, series.days, high, low, series.precip_mm, kind)


@dataclass(frozen=True, eq=False)
class Years:
    """Whole years side by side on a 365-day calendar: 29 February is left out.

    `years` has shape (n,), the figures (n, 365); column 0 is 1 January.
    """

    years: NDArray[np.int64]
    high_c: Figures
    low_c: Figures
    precip_mm: Figures

    def __len__(self) -> int:
        return len(self.years)

    def only(self, keep: NDArray[np.bool_]) -> Years:
        return Years(self.years[keep], self.high_c[keep], self.low_c[keep], self.precip_mm[keep])

    def before(self, year: int) -> Years:
        """The years before `year`, as the ensemble of a season needs them."""
        return self.only(self.years < year)


def calendar_view(series: DailySeries) -> Years:
    """All years touched by the series on the 365-day calendar; days without a value are NaN. Forecast days are not."""
    if not len(series):
        none = np.empty((0, 365))
        return Years(np.empty(0, int), none, none, none)
    first, last = (int(str(day)[:4]) for day in (series.days[0], series.days[-1]))
    whole = series.between(np.datetime64(f"{first}-01-01"), np.datetime64(f"{last}-12-31"))
    keep = ~is_leap_day(whole.days)
    forecast = whole.kind == Kind.FORECAST

    def table(values: Figures) -> Figures:
        return np.where(forecast, np.nan, values)[keep].reshape(-1, 365)

    return Years(np.arange(first, last + 1), table(whole.high_c), table(whole.low_c), table(whole.precip_mm))


def season_columns(series: DailySeries, year: int) -> tuple[Figures, Figures]:
    """High and low of one year on the 365-day calendar, forecast days included; what a season's heat is made from."""
    whole = series.between(np.datetime64(f"{year}-01-01"), np.datetime64(f"{year}-12-31"))
    keep = ~is_leap_day(whole.days)
    return whole.high_c[keep], whole.low_c[keep]


def is_leap_day(days: Days) -> NDArray[np.bool_]:
    """Whether each day is a 29 February."""
    month = days.astype("datetime64[M]")
    return (month.astype(int) % 12 == 1) & ((days - month.astype(DAY)).astype(int) == 28)


def complete_years(series: DailySeries, *, fill_d: int = 3) -> Years:
    """The years in which every day has a high and a low, gaps of up to `fill_d` days filled by straight lines.

    Rain may be missing; who needs it looks again.
    """
    view = calendar_view(fill_short_gaps(series, longest_d=fill_d))
    holes = np.isnan(view.high_c) | np.isnan(view.low_c)
    return view.only(np.logical_not(holes.any(axis=1)))
