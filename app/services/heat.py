"""The farm's heat: its rule, the season so far and the past years it is projected with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import numpy as np

from app.access.gate import access_farm
from app.access.work import Work, remembered
from app.agronomy.heat import Method, Start
from app.agronomy.heat.daily import NEEDS_CAP
from app.planning.season_heat import HeatEnsemble, HeatRule, SeasonWeather, heat_ensemble
from app.records.stations import Station
from app.services import farms, stations
from app.weather.series import DailySeries, calendar_view, complete_years


@dataclass(frozen=True, eq=False)
class FarmHeat:
    """One season of one farm. Without a station or days, `ensemble` is None."""

    station: Station | None
    series: DailySeries | None
    rule: HeatRule
    ensemble: HeatEnsemble | None
    past: HeatEnsemble | None = None
    """The past years alone, by the same rule: what the season is ahead of or behind."""

    @property
    def last_observed_on(self) -> date | None:
        """The newest day with both temperatures."""
        if self.series is None or not self.series.has_heat.any():
            return None
        return self.series.days[self.series.has_heat][-1].astype(object)


def heat_rule(values: dict[str, float | str], year: int) -> HeatRule:
    """The farm's rule from its assumptions."""
    start, method = Start(str(values["heat_start_rule"])), Method(str(values["heat_method"]))
    chosen = start in (Start.FIXED_DATE, Start.MANUAL)
    return HeatRule(
        start,
        method,
        float(values["heat_base_c"]),
        float(values["heat_cap_c"]) if method in NEEDS_CAP else None,
        _day_of_year(int(values["heat_start_day"]), year) if chosen else None,
    )


def _day_of_year(number: int, year: int) -> date:
    return date.fromordinal(date(year, 1, 1).toordinal() + number - 1)


@remembered
def farm_heat(work: Work, farm_id: int) -> FarmHeat:
    """The farm's heat today, by its rule and its primary station."""
    farm = access_farm(work, farm_id)
    today = work.today(farm.time_zone)
    rule = heat_rule(farms.values_of(work, farm_id), today.year)
    station = stations.primary_station(work, farm_id)
    if station is None:
        return FarmHeat(None, None, rule, None)
    series = stations.series_of_station(work.session, station)
    if not len(series):
        return FarmHeat(station, None, rule, None)
    return FarmHeat(station, series, rule, *_ensembles(series, rule, today))


@lru_cache(maxsize=64)
def _ensembles(series: DailySeries, rule: HeatRule, today: date) -> tuple[HeatEnsemble, HeatEnsemble]:
    season = calendar_view(series.between(np.datetime64(f"{today.year}-01-01"), np.datetime64(f"{today.year}-12-31")))
    past = complete_years(series).before(today.year)
    seen = season.years == today.year
    high = season.high_c[seen][0] if seen.any() else np.full(365, np.nan)
    low = season.low_c[seen][0] if seen.any() else np.full(365, np.nan)
    unknown = np.full(365, np.nan)
    both = (
        SeasonWeather(today.year, today, *now, past.years, past.high_c, past.low_c)
        for now in ((high, low), (unknown, unknown))
    )
    return tuple(heat_ensemble(weather, rule) for weather in both)  # type: ignore[return-value]
