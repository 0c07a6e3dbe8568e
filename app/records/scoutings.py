"""Tables `scoutings` and `scouting_spots`."""

from __future__ import annotations

from datetime import date

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Appended, OfFarm, Row

STAGES = ("vegetative", "bud", "flower")


class Scouting(OfFarm, Appended, Row):
    """Height and stage read on a field on a day; never changed, a later one may correct it."""

    __tablename__ = "scoutings"
    id: Mapped[int] = mapped_column(primary_key=True)
    field_id: Mapped[int] = mapped_column(ForeignKey("fields.id", ondelete="CASCADE"), index=True)
    scouted_on: Mapped[date] = mapped_column(index=True)
    cutting: Mapped[int] = mapped_column(default=1, server_default="1")
    grass_frac: Mapped[float | None]
    grass_ndf_frac: Mapped[float | None]
    is_frosted: Mapped[bool] = mapped_column(default=False, server_default="0")
    is_lodged: Mapped[bool] = mapped_column(default=False, server_default="0")
    is_dry: Mapped[bool] = mapped_column(default=False, server_default="0")
    has_new_shoots: Mapped[bool] = mapped_column(default=False, server_default="0")
    note: Mapped[str | None] = mapped_column(String(2000))
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("scoutings.id"))
    is_withdrawn: Mapped[bool] = mapped_column(default=False, server_default="0")
    spots: Mapped[list[ScoutingSpot]] = relationship(
        lazy="raise", cascade="all, delete-orphan", order_by="ScoutingSpot.number"
    )


class ScoutingSpot(Row):
    """One spot of a scouting: the tallest stem and the most mature stem there."""

    __tablename__ = "scouting_spots"
    __table_args__ = (
        CheckConstraint("stage in ('vegetative', 'bud', 'flower')", name="stage"),
        CheckConstraint("height_cm > 0", name="height"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    scouting_id: Mapped[int] = mapped_column(ForeignKey("scoutings.id", ondelete="CASCADE"), index=True)
    number: Mapped[int]
    height_cm: Mapped[float]
    stage: Mapped[str] = mapped_column(String(12))
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
