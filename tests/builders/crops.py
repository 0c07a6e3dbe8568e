"""Fields with stands and scoutings, and a station with days, made through the services."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
from sqlalchemy import insert

from app.access.work import Work
from app.records.fields import Field, Stand
from app.records.scoutings import Scouting
from app.records.stations import Day, Station
from app.services import fields, scoutings, stands
from app.units.quantities import HA_PER_ACRE
from app.weather.series import DailySeries

FIELD = {
    "name": "Long Acre",
    "area_ha": 88 * HA_PER_ACRE,
    "latitude": None,
    "longitude": None,
    "haul_km": 2.0,
    "drainage_note": None,
}
STAND = {"seeded_on": date(2024, 4, 20), "is_reduced_lignin": False, "season_yield_kg_ha": None, "note": None}
WALK = {
    "scouted_on": date(2027, 5, 10),
    "cutting": 1,
    "grass_frac": None,
    "grass_ndf_frac": None,
    "is_frosted": False,
    "is_lodged": False,
    "is_dry": False,
    "has_new_shoots": False,
    "note": None,
}
COUNT = {"counted_on": date(2027, 4, 20), "stems_per_m2": 500.0, "root_score": 1.5, "spots_count": 5, "note": None}


def a_field(work: Work, farm_id: int, **more: Any) -> Field:
    return fields.add_field(work, farm_id, FIELD | more)


def a_stand(work: Work, farm_id: int, field_id: int, **more: Any) -> Stand:
    shares = {} if any(name in more for name in stands.SHARES) else {"share_alfalfa": 1.0}
    return stands.add_stand(work, farm_id, field_id, STAND | shares | more)


def spots(*inches: float, stage: str = "vegetative") -> list[dict[str, Any]]:
    """Spots by their tallest stem in inches."""
    place = {"latitude": None, "longitude": None}
    return [{"height_cm": each * 2.54, "stage": stage} | place for each in inches]


def a_scouting(
    work: Work, farm_id: int, field_id: int, *inches: float, stage: str = "vegetative", **more: Any
) -> Scouting:
    read = spots(*(inches or (24.0,) * 5), stage=stage)
    return scoutings.add_scouting(work, farm_id, field_id, WALK | more, read)


def a_station(work: Work, farm_id: int, series: DailySeries | None = None) -> Station:
    """The farm's station with the days of a real series, or with twelve years of even, invented days."""
    station = Station(farm_id=farm_id, name="Home", source="test")
    work.session.add(station)
    work.session.flush()
    rows = _rows(series) if series is not None else _even_days(2015, 2027)
    work.session.execute(insert(Day), [{"station_id": station.id, **row} for row in rows])
    return station


def _rows(series: DailySeries) -> list[dict[str, Any]]:
    columns = (series.days, series.high_c, series.low_c, series.precip_mm)
    return [
        {"day_on": day.astype(object), "high_c": _or_none(high), "low_c": _or_none(low), "precip_mm": _or_none(rain)}
        for day, high, low, rain in zip(*columns, strict=True)
    ]


def _or_none(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


def _even_days(first: int, last: int) -> list[dict[str, Any]]:
    """Every year the same, each a little warmer or colder: 10 C d a day in May; measured to 9 May of the last year."""
    day, rows = date(first, 1, 1), []
    while day < date(last, 5, 10):
        season = 9.0 - 16.0 * np.cos((day.timetuple().tm_yday - 20) / 365 * 2 * np.pi) + (day.year % 5 - 2) * 0.5
        rows.append({"day_on": day, "high_c": float(season + 6), "low_c": float(season - 6), "precip_mm": 0.0})
        day += timedelta(days=1)
    return rows
