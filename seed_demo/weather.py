"""Invented daily weather of the demo farms: made by a seeded generator, measured nowhere.

Mean temperature follows a yearly wave with persistent departures from it; wet and dry days follow each other with the
chances of a two-state chain; wet days are cloudier, so their highs and lows lie closer together. Every figure here is
judgement, chosen to look like a spring in the northern dairy states.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

PAST_YEARS = 24
BASE_F = 41.0
SOURCE = "Invented for the demo by a seeded generator; no real measurements"


@dataclass(frozen=True)
class Place:
    """An invented station and the climate it has."""

    name: str
    latitude: float
    longitude: float
    elevation_m: float
    mean_c: float
    swing_c: float
    wetness: float
    """1 for an ordinary spring, more for wet ground."""
    draws: tuple[tuple[int, int], ...] = ()
    """(year, draw) of years that were drawn again; see `with_usual_spring`."""


@dataclass(frozen=True)
class DayOfWeather:
    """One invented day as a farm's own station writes it: whole degrees Fahrenheit, hundredths of an inch."""

    on: date
    high_f: int
    low_f: int
    rain_in: float


@lru_cache(maxsize=512)
def invented_year(place: Place, year: int) -> tuple[DayOfWeather, ...]:
    """Every day of that year; the same year of the same place is always the same."""
    chance = random.Random(f"{place.name} {year} {dict(place.draws).get(year, 0)}")
    first, days = date(year, 1, 1), 366 if _is_leap(year) else 365
    warm_year, away, wet = chance.gauss(0.0, 0.6), 0.0, False
    found = []
    for number in range(days):
        season = math.sin(2 * math.pi * (number - 107) / 365.25)
        away = 0.72 * away + chance.gauss(0.0, 3.0 - 0.9 * season)
        wet = chance.random() < place.wetness * (0.42 if wet else 0.25 + 0.04 * season)
        spread = max(3.0, chance.gauss(7.0 if wet else 12.5, 2.4))
        mean = place.mean_c + place.swing_c * season + warm_year + away - (0.6 if wet else 0.0)
        rain = chance.gammavariate(0.75, 0.42) if wet else 0.0
        high, low = _fahrenheit(mean + spread / 2), _fahrenheit(mean - spread / 2)
        found.append(DayOfWeather(first + timedelta(days=number), high, low, round(max(rain, 0.01 * wet), 2)))
    return tuple(found)


def with_usual_spring(place: Place, year: int, ahead_d: int = 3) -> Place:
    """The place with a spring of that year that runs a few days ahead of the middle year, so that the demo has a story.

    The year is drawn again until its heat comes near that; past years stay as they fell.
    """
    wanted = day_of_heat(place, year, 0.0).replace(month=5, day=22) - timedelta(days=ahead_d)
    drawn = [replace(place, draws=((year, draw),)) for draw in range(1, 41)]
    return min(drawn, key=lambda each: _away(each, wanted))


def _away(place: Place, wanted: date) -> float:
    """How far a drawn spring lies from the wanted one, early and late in May, in days."""
    late = abs((day_of_heat(place, wanted.year, 700) - wanted).days)
    return late + abs((day_of_heat(place, wanted.year, 450) - (wanted - timedelta(days=12))).days)


def station_file(place: Place, first: date, until: date) -> bytes:
    """A table of days as an own station gives it, from the first day to the day before `until`."""
    lines = ["date,high_f,low_f,rain_in"]
    for year in range(first.year, until.year + 1):
        days = (day for day in invented_year(place, year) if first <= day.on < until)
        lines += [f"{day.on},{day.high_f},{day.low_f},{day.rain_in:.2f}" for day in days]
    return "\n".join(lines).encode()


@lru_cache(maxsize=512)
def _totals(place: Place, year: int) -> dict[date, float]:
    total, found = 0.0, {}
    for day in invented_year(place, year):
        if day.on >= date(year, 3, 1):
            total += max(0.0, (day.high_f + day.low_f) / 2 - BASE_F)
        found[day.on] = total
    return found


def heat_total(place: Place, day: date) -> float:
    """Degree-days base 41 F from 1 March through that day."""
    return _totals(place, day.year)[day]


def day_of_heat(place: Place, year: int, total: float) -> date:
    """The day on which the total is reached."""
    return next(day for day, reached in _totals(place, year).items() if reached >= total)


def is_dry(place: Place, day: date) -> bool:
    """Whether no rain falls that day."""
    return invented_year(place, day.year)[day.timetuple().tm_yday - 1].rain_in == 0


def _fahrenheit(temp_c: float) -> int:
    return round(temp_c * 1.8 + 32)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
