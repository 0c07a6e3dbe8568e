"""A season of a real station as the planning sees it: that year until yesterday, other years as its past."""

from __future__ import annotations

from datetime import date

import numpy as np

from app.planning.season_heat import SeasonWeather, calendar_index
from app.weather.series import Years
from tests.builders.real_weather import years

LATER = 400
"""Leaving one year out uses later years too; the season is moved this far on, so that all others lie before it."""


def season(
    station: str,
    year: int,
    month: int,
    day: int,
    *,
    past: int | None = None,
    forecast_d: int = 0,
    leave_out: bool = False,
) -> SeasonWeather:
    """Weather of `year` known to the day before; `past` takes only so many years, `leave_out` all but this one."""
    every = years(station)
    place = every.years.tolist().index(year)
    today = date(year + LATER * leave_out, month, day)
    known = calendar_index(today) + forecast_d
    high, low = (np.where(np.arange(365) < known, column[place], np.nan) for column in (every.high_c, every.low_c))
    others: Years = every.only(every.years != year) if leave_out else every.before(year)
    if past is not None:
        others = others.only(np.arange(len(others)) >= len(others) - past)
    return SeasonWeather(today.year, today, high, low, others.years, others.high_c, others.low_c)
