"""Heat of a season, known and to come: the days measured so far, then every past year from that calendar day on.

Each past year of the station is one member of an ensemble, as in extended streamflow forecasting [Day1985]_: the season
so far, then the forecast where there is one, then that year's weather. Whatever follows from heat exists once per
member, so its spread needs no assumption. All series lie on a 365-day calendar without 29 February.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.agronomy import heat
from app.agronomy.heat import Method, Start
from app.errors import OutOfRange
from app.planning.estimates import DateEstimate
from app.units.ranges import Figures
from app.units.sentences import Sentence

ENOUGH_YEARS = 10
"""Past years from which a range of 8 in 10 is shown; with fewer the earliest and latest year are. (judgement)"""

LOW, MIDDLE, HIGH = 0.10, 0.50, 0.90


class Basis(StrEnum):
    """What a projected date rests on."""

    OBSERVED = "observed"
    YEARS = "past-years"
    FEW_YEARS = "few-years"
    NONE = "none"


@dataclass(frozen=True)
class HeatRule:
    """How a farm counts heat. `starts_on` is needed for a fixed or hand-set date (regrowth: the cutting before)."""

    start: Start = Start.FIRST_OF_MARCH
    method: Method = Method.AVERAGE
    base_c: float = heat.BASE_C
    cap_c: float | None = None
    starts_on: date | None = None


@dataclass(frozen=True, eq=False)
class SeasonWeather:
    """Weather of one season and of the complete years before it, on the 365-day calendar.

    Attributes
    ----------
    year : the season's calendar year
    today : first day that is not over; what stands from here on in `high_c` and `low_c` is forecast
    high_c, low_c : shape (365,), NaN where neither measured nor forecast
    past_years : shape (n,); years from the season's on are refused, for they would project themselves
    past_high_c, past_low_c : shape (n, 365), without NaN
    """

    year: int
    today: date
    high_c: Figures
    low_c: Figures
    past_years: NDArray[np.int64]
    past_high_c: Figures
    past_low_c: Figures

    def __post_init__(self) -> None:
        if self.today.year != self.year:
            raise OutOfRange(f"today must lie in the season's year {self.year}; it was {self.today}")
        if np.any(np.asarray(self.past_years) >= self.year):
            raise OutOfRange(f"past_years must lie before {self.year}; they reach {np.max(self.past_years)}")
        if np.isnan(self.past_high_c).any() or np.isnan(self.past_low_c).any():
            raise OutOfRange("past_high_c and past_low_c must be whole years without missing days")


@dataclass(frozen=True, eq=False)
class HeatEnsemble:
    """Heat totals at the end of each day, once per member.

    Attributes
    ----------
    total_c_d : shape (n, 365). Without past years n is 1 and days that are neither measured nor forecast are NaN. [C d]
    years : shape (n,), the past year behind each member; empty without past years
    known : shape (365,), days measured or forecast
    observed_c_d : total at the end of yesterday; NaN when a day since the start is missing. [C d]
    missing_on : days since the start of counting that should have been measured and were not
    """

    year: int
    today: date
    rule: HeatRule
    total_c_d: Figures
    years: NDArray[np.int64]
    known: NDArray[np.bool_]
    observed_c_d: float
    missing_on: tuple[date, ...] = ()

    @property
    def today_index(self) -> int:
        return calendar_index(self.today)

    def total_range(self) -> tuple[Figures, Figures, Figures]:
        """Median, 10th and 90th per cent of the total at the end of each day, shape (365,) each."""
        low, middle, high = quantiles(self.total_c_d, (LOW, MIDDLE, HIGH))
        return middle, low, high


@dataclass(frozen=True)
class ProjectedDate(DateEstimate):
    """A date with its range, what it rests on, and how many past years."""

    basis: Basis = Basis.NONE
    years_count: int = 0
    notes: tuple[Sentence, ...] = field(default=())


def calendar_index(day: date) -> int:
    """Position of a day on the 365-day calendar; 29 February stands with the 28th.

    >>> calendar_index(date(2028, 2, 28)), calendar_index(date(2028, 2, 29)), calendar_index(date(2028, 3, 1))
    (58, 58, 59)
    """
    if (day.month, day.day) == (2, 29):
        day = date(day.year, 2, 28)
    return (date(2027, day.month, day.day) - date(2027, 1, 1)).days


def calendar_day(index: int, year: int) -> date:
    """The day of `year` at a position of the 365-day calendar."""
    plain = date(2027, 1, 1) + timedelta(days=index)
    return date(year, plain.month, plain.day)


def heat_ensemble(weather: SeasonWeather, rule: HeatRule = HeatRule()) -> HeatEnsemble:
    """Heat totals of the season by the farm's rule, once per past year."""
    known = ~(np.isnan(weather.high_c) | np.isnan(weather.low_c))
    n = len(weather.past_years)
    past = (weather.past_high_c, weather.past_low_c) if n else (np.full((1, 365), np.nan),) * 2
    high = np.where(known, weather.high_c, past[0])
    low = np.where(known, weather.low_c, past[1])
    daily = heat.degree_days(high, low, rule.method, base_c=rule.base_c, cap_c=rule.cap_c)
    starts = np.broadcast_to(start_index(rule, weather.year, high, low), len(high))
    total = heat.accumulated_heat(daily, starts)
    yesterday = calendar_index(weather.today) - 1
    since = np.arange(365) >= max(int(starts.min()), 0)
    missing = np.flatnonzero(~known & since & (np.arange(365) <= yesterday))
    observed = 0.0 if yesterday < 0 else (float(total[0, yesterday]) if not len(missing) else math.nan)
    return HeatEnsemble(
        weather.year,
        weather.today,
        rule,
        total,
        np.asarray(weather.past_years, int),
        known,
        observed,
        tuple(calendar_day(int(i), weather.year) for i in missing),
    )


def start_index(rule: HeatRule, year: int, high_c: Figures, low_c: Figures) -> NDArray[np.int64] | int:
    """Position of the first day counted, for each member (-1 where counting has not begun)."""
    if rule.start is Start.FIRST_OF_MARCH:
        return calendar_index(date(year, 3, 1))
    if rule.start in (Start.FIXED_DATE, Start.MANUAL):
        if rule.starts_on is None:
            raise OutOfRange("starts_on must be given when counting starts on a chosen date, for example 10 April")
        return calendar_index(rule.starts_on)
    if rule.start is Start.WARM_HIGHS:
        return heat.start_after_warm_highs(high_c, base_c=rule.base_c)
    if rule.start is Start.WARM_MEANS:
        return heat.start_after_warm_means(high_c, low_c, base_c=rule.base_c)
    return heat.start_after_hard_freeze(low_c)


def date_of_total(ensemble: HeatEnsemble, target_c_d: float) -> ProjectedDate:
    """The day on which a heat total is reached: as measured, or the median and range over past years."""
    total = ensemble.total_c_d
    index = heat.index_of_total(total, np.full(len(total), target_c_d)).astype(float)
    return projected_date(ensemble, np.where(index < 0, np.inf, index))


def projected_date(ensemble: HeatEnsemble, index: ArrayLike) -> ProjectedDate:
    """Median and range of a day that each member reaches at a position of the calendar (inf: not this year).

    `index` has one value per member, or several where an error of measurement is spread over each.
    """
    reached = np.asarray(index, dtype=float).ravel()
    n, notes = len(ensemble.years), _notes(ensemble)
    low, middle, high = quantiles(reached[:, None], (LOW, MIDDLE, HIGH))[:, 0]
    if reached.max() < ensemble.today_index and ensemble.known[: int(reached.max()) + 1][int(reached.min()) :].all():
        spread = reached.min() != reached.max()
        ends = (_day(ensemble, low), _day(ensemble, high)) if spread else (None, None)
        return ProjectedDate(_day(ensemble, middle), ends[0], ends[1], basis=Basis.OBSERVED, years_count=n, notes=notes)
    if n == 0 and not np.isfinite(middle):
        reason = Sentence("No complete past year of weather is on file, so dates ahead cannot be projected.")
        return ProjectedDate(None, reason=reason, notes=notes)
    if not np.isfinite(middle):
        reason = Sentence("In most past years this is not reached by the end of December.")
        return ProjectedDate(None, reason=reason, basis=Basis.NONE, years_count=n, notes=notes)
    if n < ENOUGH_YEARS:
        reason = Sentence(
            "Complete past years on file: only {n}. The range is the earliest and the latest of them, "
            "not one in which 8 of 10 years fall.",
            n=n,
        )
        ends = (_day(ensemble, reached.min()), _day(ensemble, reached.max()))
        return ProjectedDate(_day(ensemble, middle), ends[0], ends[1], reason, (), Basis.FEW_YEARS, n, notes)
    ends = (_day(ensemble, low), _day(ensemble, high))
    return ProjectedDate(_day(ensemble, middle), ends[0], ends[1], None, ("Day1985",), Basis.YEARS, n, notes)


def _notes(ensemble: HeatEnsemble) -> tuple[Sentence, ...]:
    if not ensemble.missing_on:
        return ()
    return (
        Sentence(
            "Days without weather since counting began: {n}, the first {day}; past years stand in for them.",
            n=len(ensemble.missing_on),
            day=ensemble.missing_on[0],
        ),
    )


def _day(ensemble: HeatEnsemble, place: float) -> date | None:
    """The nearest day to a place between two days; half a day is taken as the later one."""
    return calendar_day(math.floor(place + 0.5), ensemble.year) if np.isfinite(place) else None


def quantiles(values: NDArray[np.float64], parts: Sequence[float]) -> Figures:
    """Parts of the ordered values along the first axis by linear interpolation; a place beside inf is inf, NaN is NaN.

    >>> quantiles(np.array([[1.0], [2.0], [4.0], [np.inf]]), (0.5, 0.9))[:, 0].tolist()
    [3.0, inf]
    """
    ordered = np.sort(values, axis=0)
    out = []
    for part in parts:
        place = part * (len(ordered) - 1)
        below, share = math.floor(place + 1e-12), place - math.floor(place + 1e-12)
        lower = ordered[below]
        if share < 1e-12:
            out.append(lower)
            continue
        upper = ordered[below + 1]
        with np.errstate(invalid="ignore"):
            between = lower + share * (upper - lower)
        out.append(np.where(np.isinf(upper), np.where(np.isnan(lower), np.nan, np.inf), between))
    result = np.array(out)
    return np.where(np.isnan(ordered[-1]), np.nan, result)
