"""Tables `fields`, `stands`, `stand_species` and `stand_counts`."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Appended, Edited, OfFarm, Row


class Field(OfFarm, Edited, Row):
    """A parcel."""

    __tablename__ = "fields"
    __table_args__ = (CheckConstraint("area_ha > 0", name="area"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    area_ha: Mapped[float]
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
    drainage_note: Mapped[str | None] = mapped_column(String(2000))
    haul_km: Mapped[float | None]
    position: Mapped[int] = mapped_column(default=0, server_default="0")
    removed_at: Mapped[datetime | None]
    stands: Mapped[list[Stand]] = relationship(lazy="raise", order_by="Stand.seeded_on", viewonly=True)


class Stand(OfFarm, Edited, Row):
    """What grows, or grew, on a field; the one without `ended_on` stands there now."""

    __tablename__ = "stands"
    id: Mapped[int] = mapped_column(primary_key=True)
    field_id: Mapped[int] = mapped_column(ForeignKey("fields.id", ondelete="CASCADE"), index=True)
    seeded_on: Mapped[date | None]
    is_reduced_lignin: Mapped[bool] = mapped_column(default=False, server_default="0")
    season_yield_kg_ha: Mapped[float | None]
    """Own record of the season's DM yield; replaces the stem equation."""
    note: Mapped[str | None] = mapped_column(String(2000))
    ended_on: Mapped[date | None]
    species: Mapped[list[StandSpecies]] = relationship(
        lazy="raise", cascade="all, delete-orphan", order_by="StandSpecies.id"
    )
    counts: Mapped[list[StandCount]] = relationship(lazy="raise", viewonly=True, order_by="StandCount.counted_on")


class StandSpecies(Row):
    """One species' share of a stand, of DM."""

    __tablename__ = "stand_species"
    __table_args__ = (
        CheckConstraint("share_frac > 0 and share_frac <= 1", name="share"),
        Index("uq_stand_species_stand_species", "stand_id", "species", unique=True),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    stand_id: Mapped[int] = mapped_column(ForeignKey("stands.id", ondelete="CASCADE"), index=True)
    species: Mapped[str] = mapped_column(String(32))
    share_frac: Mapped[float]


class StandCount(OfFarm, Appended, Row):
    """Stems counted and roots scored on a day."""

    __tablename__ = "stand_counts"
    __table_args__ = (CheckConstraint("stems_per_m2 is null or stems_per_m2 >= 0", name="stems"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    stand_id: Mapped[int] = mapped_column(ForeignKey("stands.id", ondelete="CASCADE"), index=True)
    counted_on: Mapped[date]
    stems_per_m2: Mapped[float | None]
    root_score: Mapped[float | None]
    spots_count: Mapped[int | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("stand_counts.id"))
    is_withdrawn: Mapped[bool] = mapped_column(default=False, server_default="0")
