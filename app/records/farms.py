"""Tables of a farm: itself, its own values of assumptions, its cuttings, its snapshots."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import JSON, CheckConstraint, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Edited, OfFarm, Row


class Farm(Edited, Row):
    """One dairy. `seq` numbers its changes: it grows by one with every line of history."""

    __tablename__ = "farms"
    __table_args__ = (
        CheckConstraint("latitude is null or latitude between -90 and 90", name="latitude"),
        CheckConstraint("cuts_count between 1 and 8", name="cuts_count"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    place: Mapped[str | None] = mapped_column(String(200))
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
    time_zone: Mapped[str] = mapped_column(String(64), default="UTC", server_default="UTC")
    cuts_count: Mapped[int] = mapped_column(default=4, server_default="4")
    seq: Mapped[int] = mapped_column(default=0, server_default="0")
    created_at: Mapped[datetime]


class FarmValue(OfFarm, Row):
    """The farm's own value of one assumption (`planning.assumptions`), in kept units or as a choice."""

    __tablename__ = "farm_values"
    __table_args__ = (Index("uq_farm_values_farm_key", "farm_id", "key", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(64))
    number: Mapped[float | None]
    choice: Mapped[str | None] = mapped_column(String(64))


class CuttingShare(OfFarm, Row):
    """The farm's own share of the season's yield that one cutting brings."""

    __tablename__ = "cutting_shares"
    __table_args__ = (
        CheckConstraint("share_frac > 0 and share_frac <= 1", name="share"),
        Index("uq_cutting_shares_farm_number", "farm_id", "number", unique=True),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int]
    share_frac: Mapped[float]


class Cutting(OfFarm, Edited, Row):
    """First, second ... cutting of a year; `starts_on` is the agreed start, empty while it is only projected."""

    __tablename__ = "cuttings"
    __table_args__ = (Index("uq_cuttings_farm_year_number", "farm_id", "year", "number", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    year: Mapped[int]
    number: Mapped[int]
    starts_on: Mapped[date | None]
    sealed_on: Mapped[date | None]
    note: Mapped[str | None] = mapped_column(String(2000))


class Snapshot(OfFarm, Row):
    """Figures of a farm worked out at one `seq` and day, kept so that lists of farms need not work them out again."""

    __tablename__ = "snapshots"
    __table_args__ = (Index("uq_snapshots_farm_name", "farm_id", "name", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(32))
    seq: Mapped[int]
    day_on: Mapped[date]
    body: Mapped[dict] = mapped_column(JSON)
