"""What the Weather page says: the station, the heat so far and ahead, and the climate of the place."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import numpy as np

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.agronomy.heat import Method, Start
from app.agronomy.maturity import THRESHOLDS
from app.planning.season_heat import HeatEnsemble, ProjectedDate, calendar_day, calendar_index, date_of_total
from app.records.stations import Station
from app.services import farms, heat, stations
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape
from app.weather import climate
from app.weather.series import DailySeries, Gap, calendar_view, complete_years

START_CHOICES = (
    (Start.FIRST_OF_MARCH.value, "from 1 March"),
    (Start.WARM_HIGHS.value, "after five days in a row with the high at the base"),
    (Start.WARM_MEANS.value, "after five days in a row with the mean above the base"),
    (Start.AFTER_HARD_FREEZE.value, "after the last hard freeze"),
    (Start.MANUAL.value, "from a day you choose"),
)
METHOD_CHOICES = (
    (Method.AVERAGE.value, "mean of high and low"),
    (Method.RAISED.value, "low raised to the base first"),
    (Method.HORIZONTAL_CAP.value, "mean of high and low, high held at the cap"),
    (Method.SINE.value, "single sine"),
    (Method.SINE_HORIZONTAL_CAP.value, "single sine, held at the cap"),
    (Method.SINE_VERTICAL_CAP.value, "single sine, nothing above the cap"),
    (Method.THREE_CASE.value, "three cases"),
)
RULE_SHAPE = Shape(
    "heat",
    (
        Column("heat_start_rule", "Counting starts", "choice", choices=START_CHOICES, required=True),
        Column(
            "heat_start_on",
            "Day counting starts",
            "day",
            hint="Only for a day you choose yourself.",
            example="2027-03-15",
        ),
        Column("heat_method", "Daily method", "choice", choices=METHOD_CHOICES, required=True),
        Column(
            "heat_base_c",
            "Base temperature",
            "number",
            "temp",
            low=0.0,
            high=12.0,
            likely_low=3.0,
            likely_high=8.0,
            required=True,
            example="41",
        ),
        Column(
            "heat_cap_c",
            "Cap",
            "number",
            "temp",
            low=20.0,
            high=45.0,
            hint="Used by the capped methods only.",
            example="86",
        ),
    ),
)
MOST_GAPS = 12
BACK_D, AHEAD_D = 70, 40


@dataclass(frozen=True)
class Threshold:
    """A heat total that means something, and when it comes."""

    label: Sentence
    total_c_d: float
    date: ProjectedDate
    source: str


@dataclass(frozen=True)
class HalfMonth:
    """Climate of one half-month from past years: chances as fractions."""

    first_on: date
    dry_frac: float
    three_dry_frac: float
    days_count: int


@dataclass(frozen=True)
class HeatCurve:
    """Degree-days by day: this season (measured), and the middle and 8-in-10 range of past years. [C d]"""

    days: tuple[date, ...]
    season: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class WeatherPage:
    """Everything the Weather page shows."""

    stations: tuple[Station, ...]
    removed: tuple[Station, ...]
    station: Station | None
    first_on: date | None
    last_on: date | None
    days_old: int | None
    years_count: int
    gaps: tuple[Gap, ...]
    gaps_count: int
    rule: Sentence
    rule_values: dict[str, object]
    total_c_d: float
    ahead: Sentence | None
    ahead_d: float
    thresholds: tuple[Threshold, ...]
    curve: HeatCurve | None
    half_months: tuple[HalfMonth, ...]
    notes: tuple[Sentence, ...]


def weather_page(work: Work, farm_id: int) -> WeatherPage:
    """The Weather page of the farm today."""
    farm = access_farm(work, farm_id)
    today = work.today(farm.time_zone)
    values = farms.values_of(work, farm_id)
    found = heat.farm_heat(work, farm_id)
    ensemble, series = found.ensemble, found.series
    gaps = _season_gaps(series, today) if series is not None else ()
    last = found.last_observed_on
    ahead_d = days_ahead(found)
    return WeatherPage(
        stations=tuple(stations.list_stations(work, farm_id)),
        removed=tuple(stations.list_removed(work, farm_id)),
        station=found.station,
        first_on=series.days[0].astype(object) if series is not None else None,
        last_on=last,
        days_old=(today - last).days if last else None,
        years_count=len(ensemble.years) if ensemble else 0,
        gaps=gaps[:MOST_GAPS],
        gaps_count=len(gaps),
        rule=rule_sentence(found.rule),
        rule_values=rule_values(values, today.year),
        total_c_d=ensemble.observed_c_d if ensemble else math.nan,
        ahead=ahead_sentence(ahead_d),
        ahead_d=ahead_d,
        thresholds=_thresholds(ensemble, values) if ensemble else (),
        curve=_curve(found, today) if series is not None and ensemble else None,
        half_months=_half_months(series, today) if series is not None else (),
        notes=_notes(found, ensemble),
    )


def rule_sentence(rule) -> Sentence:
    """The farm's rule of counting heat in words, as pages show it beside every total."""
    start = Sentence(dict(START_CHOICES).get(rule.start.value, "from a day you choose"))
    method = Sentence(dict(METHOD_CHOICES).get(rule.method.value, rule.method.value))
    base = Quantity(rule.base_c, "temp")
    if rule.cap_c is None:
        return Sentence("Counted {start}; {method}, base {base}, no cap.", start=start, method=method, base=base)
    return Sentence(
        "Counted {start}; {method}, base {base}, cap {cap}.",
        start=start,
        method=method,
        base=base,
        cap=Quantity(rule.cap_c, "temp"),
    )


def rule_values(values: dict[str, float | str], year: int) -> dict[str, object]:
    """The rule as its form shows it."""
    first = date(year, 1, 1) + timedelta(days=int(values["heat_start_day"]) - 1)
    kept = {key: values[key] for key in ("heat_start_rule", "heat_method", "heat_base_c", "heat_cap_c")}
    return {**kept, "heat_start_on": first if values["heat_start_rule"] == Start.MANUAL.value else None}


def edit_rule(work: Work, farm_id: int, typed: dict[str, object]) -> None:
    """Change how the farm counts heat; every projected date follows."""
    access_farm(work, farm_id, Permission.FARM_EDIT)
    for key in ("heat_start_rule", "heat_method", "heat_base_c", "heat_cap_c"):
        farms.set_value(work, farm_id, key, typed[key])  # type: ignore[arg-type]
    chosen = typed["heat_start_on"]
    if isinstance(chosen, date):
        farms.set_value(work, farm_id, "heat_start_day", float((chosen - date(chosen.year, 1, 1)).days + 1))


def days_ahead(found: heat.FarmHeat) -> float:
    """How many days the season's heat is ahead of the middle past year (behind: negative); NaN when not known. [d]"""
    season, past = found.ensemble, found.past
    if season is None or past is None or not len(past.years) or not season.observed_c_d > 0:
        return math.nan
    reached = np.flatnonzero(past.total_range()[0] >= season.observed_c_d)
    return float(reached[0] - (season.today_index - 1)) if len(reached) else math.nan


def ahead_sentence(days: float) -> Sentence | None:
    if math.isnan(days):
        return None
    if abs(days) < 1:
        return Sentence("Heat runs with the middle year.")
    if round(abs(days)) == 1:
        return (
            Sentence("Heat is a day ahead of the middle year.")
            if days > 0
            else Sentence("Heat is a day behind the middle year.")
        )
    if days > 0:
        return Sentence("Heat is {n} days ahead of the middle year.", n=round(days))
    return Sentence("Heat is {n} days behind the middle year.", n=round(-days))


def _thresholds(ensemble: HeatEnsemble, values: dict[str, float | str]) -> tuple[Threshold, ...]:
    named = (
        (Sentence("buds expected"), float(values["bud_heat_c_d"]), ""),
        (Sentence("first flower expected"), float(values["first_flower_heat_c_d"]), ""),
        *((each.meaning, each.heat_c_d, each.source) for each in (THRESHOLDS["large-areas"], THRESHOLDS["target-ndf"])),
    )
    return tuple(Threshold(label, total, date_of_total(ensemble, total), source) for label, total, source in named)


def _season_gaps(series: DailySeries, today: date) -> tuple[Gap, ...]:
    first = np.datetime64(f"{today.year}-01-01")
    if series.days[-1] < first:
        return ()
    return series.between(max(first, series.days[0]), series.days[-1]).gaps()


def _curve(found: heat.FarmHeat, today: date) -> HeatCurve:
    season, past = found.ensemble, found.past
    assert season is not None and past is not None, "a curve is drawn only of a season that was counted"
    start = max(0, season.today_index - BACK_D)
    stop = min(365, season.today_index + AHEAD_D)
    measured = np.where((np.arange(365) < season.today_index) & season.known, season.total_c_d[0], np.nan)
    days = tuple(calendar_day(i, today.year) for i in range(start, stop))

    def part(values: np.ndarray) -> tuple[float, ...]:
        return tuple(float(value) for value in values[start:stop])

    return HeatCurve(days, part(measured), *(part(values) for values in past.total_range()))


@lru_cache(maxsize=64)
def _wet_dry(series: DailySeries, year: int) -> climate.WetDry:
    return climate.wet_dry(calendar_view(series).before(year))


def dry_chance(series: DailySeries, days: tuple[date, ...], year: int) -> tuple[float, ...]:
    """Chance of a dry day on each day, as past years of the station had it; NaN where nothing was counted."""
    chances = _wet_dry(series, year).dry_frac
    return tuple(float(chances[climate.half_month(calendar_index(day))]) for day in days)


def _half_months(series: DailySeries, today: date) -> tuple[HalfMonth, ...]:
    found = _wet_dry(series, today.year)
    three = found.dry_frac * found.dry_after_dry_frac**2
    return tuple(
        HalfMonth(
            calendar_day(int(climate.HALF_MONTH_STARTS[i]), today.year),
            float(found.dry_frac[i]),
            float(three[i]),
            int(found.days_count[i]),
        )
        for i in range(6, 18)
        if found.days_count[i] > 0
    )


def _notes(found: heat.FarmHeat, ensemble: HeatEnsemble | None) -> tuple[Sentence, ...]:
    notes = []
    if found.series is not None and ensemble is not None:
        if len(complete_years(found.series).before(ensemble.year)) < 10:
            notes.append(
                Sentence(
                    "Fewer than ten complete past years are on file ({n}); ranges are the earliest and latest of them.",
                    n=len(ensemble.years),
                )
            )
        if ensemble.missing_on:
            notes.append(
                Sentence(
                    "{n} days since counting began have no weather, first {day}; past years stand in for them.",
                    n=len(ensemble.missing_on),
                    day=ensemble.missing_on[0],
                )
            )
    return tuple(notes)
