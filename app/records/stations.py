"""Tables `stations` and `days` of weather."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Edited, OfFarm, Row


class Station(OfFarm, Edited, Row):
    """A source of daily weather for one farm. `version` grows with every import, so that caches know."""

    __tablename__ = "stations"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(120))
    code: Mapped[str | None] = mapped_column(String(40))
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
    elevation_m: Mapped[float | None]
    source: Mapped[str] = mapped_column(String(200), default="", server_default="")
    """Where the days come from and under which licence, in words."""
    is_primary: Mapped[bool] = mapped_column(default=True, server_default="1")
    """The station the farm's heat is counted from."""
    removed_at: Mapped[datetime | None]


class Day(Row):
    """One day of weather at a station. Missing readings are empty."""

    __tablename__ = "days"
    __table_args__ = (Index("uq_days_station_day", "station_id", "day_on", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    station_id: Mapped[int] = mapped_column(ForeignKey("stations.id", ondelete="CASCADE"))
    day_on: Mapped[date]
    high_c: Mapped[float | None]
    low_c: Mapped[float | None]
    precip_mm: Mapped[float | None]
    kind: Mapped[str] = mapped_column(String(10), default="observed", server_default="observed")
