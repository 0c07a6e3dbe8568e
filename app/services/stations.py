"""What people do with weather stations and the days they bring in."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work, remembered
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.stations import Day, Station
from app.units.shapes import Column, Shape
from app.weather.series import DAY, DailySeries, Kind, empty_series, series_of

STATION_SHAPE = Shape(
    "stations",
    (
        Column("name", "Name of the station", required=True, longest=120, example="Home farm"),
        Column("code", "Station number", longest=40, hint="As the weather service writes it."),
        Column("latitude", "Latitude", "number", "degrees", low=-90, high=90, example="43.07"),
        Column("longitude", "Longitude", "number", "degrees", low=-180, high=180, example="-89.4"),
        Column("elevation_m", "Elevation", "number", "length", low=-430, high=6000, example="900"),
        Column(
            "source",
            "Where the days come from",
            longest=200,
            required=True,
            hint="Who measured them and under which licence or permission you use them.",
            example="own gauge",
        ),
    ),
)
PARTS = ("board-figures", "weather-figures", "fields-table")
KINDS = {"observed": Kind.OBSERVED, "filled": Kind.FILLED, "forecast": Kind.FORECAST}
KIND_NAMES = {kind: name for name, kind in KINDS.items()}


@remembered
def list_stations(work: Work, farm_id: int) -> list[Station]:
    """The farm's stations, the one its heat is counted from first."""
    access_farm(work, farm_id)
    wanted = select(Station).where(Station.farm_id == farm_id, Station.removed_at.is_(None))
    return list(work.session.scalars(wanted.order_by(Station.is_primary.desc(), Station.id)))


def list_removed(work: Work, farm_id: int) -> list[Station]:
    """Stations that were taken out, newest first, so that it can be undone."""
    return removed_rows(work, Station, farm_id, most=5)


def primary_station(work: Work, farm_id: int) -> Station | None:
    """The station the farm's heat is counted from; None while there is none."""
    return next(iter(list_stations(work, farm_id)), None)


def find_station(work: Work, farm_id: int, station_id: int) -> Station:
    return access_row(work, Station, farm_id, station_id, Permission.WEATHER_EDIT)


def add_station(work: Work, farm_id: int, values: dict[str, Any]) -> Station:
    """A new station; the first one counts for the farm's heat."""
    first = primary_station(work, farm_id) is None
    access_farm(work, farm_id, Permission.WEATHER_EDIT)
    station = Station(farm_id=farm_id, **values, is_primary=first)
    work.session.add(station)
    note(work, farm_id, "add", "stations", station.id, name=station.name, parts=PARTS)
    return station


def edit_station(work: Work, farm_id: int, station_id: int, values: dict[str, Any], was: dict[str, Any]) -> Station:
    station = access_row(work, Station, farm_id, station_id, Permission.WEATHER_EDIT)
    apply_edit(work, station, values, was, noun="stations", parts=PARTS)
    return station


def make_primary(work: Work, farm_id: int, station_id: int) -> None:
    """Count the farm's heat from this station from now on."""
    chosen = access_row(work, Station, farm_id, station_id, Permission.WEATHER_EDIT)
    before = primary_station(work, farm_id)
    for station in list_stations(work, farm_id):
        station.is_primary = station.id == chosen.id
    names = (before.name if before else None, chosen.name)
    note(work, farm_id, "edit", "stations", chosen.id, name=chosen.name, fields={"is_primary": names}, parts=PARTS)


def remove_station(work: Work, farm_id: int, station_id: int) -> None:
    """Take a station out; its days stay and `restore_station` brings it back."""
    station = access_row(work, Station, farm_id, station_id, Permission.WEATHER_EDIT)
    station.is_primary = False
    remove_row(work, station, noun="stations", parts=PARTS)
    left = primary_station(work, farm_id)
    if left is not None:
        left.is_primary = True


def restore_station(work: Work, farm_id: int, station_id: int) -> None:
    station = access_removed(work, Station, farm_id, station_id, Permission.WEATHER_EDIT)
    has_primary = primary_station(work, farm_id) is not None
    if restore_row(work, station, noun="stations", parts=PARTS):
        station.is_primary = not has_primary


def series_of_station(session: Session, station: Station) -> DailySeries:
    """Every day of the station. Kept in memory until the station's version moves."""
    bind = session.get_bind()
    return _series(_Source(str(getattr(bind, "url", "")), station.id, station.version, station.name, session))


class _Source:
    """What a series is kept under; the session is only for loading it."""

    def __init__(self, database: str, station_id: int, version: int, name: str, session: Session) -> None:
        self.key, self.station_id, self.name, self.session = (database, station_id, version), station_id, name, session

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Source) and self.key == other.key


def _series(source: _Source) -> DailySeries:
    found = _kept(source)
    source.session = None  # type: ignore[assignment]  # the cache must not hold the session
    return found


@lru_cache(maxsize=64)
def _kept(source: _Source) -> DailySeries:
    columns = select(Day.day_on, Day.high_c, Day.low_c, Day.precip_mm, Day.kind).where(
        Day.station_id == source.station_id
    )
    rows = source.session.execute(columns.order_by(Day.day_on)).all()
    if not rows:
        return empty_series(source.name)
    days, highs, lows, rain, kinds = zip(*rows, strict=True)
    series = series_of(source.name, np.array(days, DAY), _floats(highs), _floats(lows), _floats(rain))
    place = (np.array(days, DAY) - series.days[0]).astype(int)
    kind = series.kind.copy()
    kind[place] = np.where(kind[place] == Kind.NONE, Kind.NONE, [KINDS.get(name, Kind.OBSERVED) for name in kinds])
    return DailySeries(series.station, series.days, series.high_c, series.low_c, series.precip_mm, kind)


def _floats(values: tuple[float | None, ...]) -> np.ndarray:
    return np.array([np.nan if value is None else value for value in values], float)
