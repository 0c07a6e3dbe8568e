"""Tables `samples`, `sample_values` and `analyte_names`: forage samples, what the lab found, what labs call it."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Edited, OfFarm, Row


class Sample(OfFarm, Edited, Row):
    """A forage sample of a lot (or of a field, standing)."""

    __tablename__ = "samples"
    id: Mapped[int] = mapped_column(primary_key=True)
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lots.id", ondelete="CASCADE"), index=True)
    field_id: Mapped[int | None] = mapped_column(ForeignKey("fields.id", ondelete="CASCADE"), index=True)
    sampled_on: Mapped[date]
    received_on: Mapped[date | None]
    lab: Mapped[str | None] = mapped_column(String(80))
    lab_ref: Mapped[str | None] = mapped_column(String(80))
    note: Mapped[str | None] = mapped_column(String(2000))
    removed_at: Mapped[datetime | None]
    values: Mapped[list[SampleValue]] = relationship(
        lazy="raise", cascade="all, delete-orphan", order_by="SampleValue.id"
    )


class SampleValue(Row):
    """One analyte of a sample, in the unit and basis of `nutrition.lab`, with what was typed kept beside it."""

    __tablename__ = "sample_values"
    __table_args__ = (Index("uq_sample_values_sample_analyte", "sample_id", "analyte", "hours", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    sample_id: Mapped[int] = mapped_column(ForeignKey("samples.id", ondelete="CASCADE"), index=True)
    analyte: Mapped[str] = mapped_column(String(16))
    hours: Mapped[int] = mapped_column(default=0, server_default="0")
    value: Mapped[float]
    method: Mapped[str] = mapped_column(String(8), default="", server_default="")
    typed_value: Mapped[str] = mapped_column(String(40), default="", server_default="")
    typed_unit: Mapped[str] = mapped_column(String(16), default="", server_default="")
    typed_basis: Mapped[str] = mapped_column(String(8), default="", server_default="")


class AnalyteName(OfFarm, Edited, Row):
    """What a lab of this farm calls an analyte, with the unit and basis it prints where they are always the same.

    `name` is kept in small letters with single spaces, so that two spellings are one name.
    """

    __tablename__ = "analyte_names"
    __table_args__ = (Index("uq_analyte_names_farm_name", "farm_id", "name", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    analyte: Mapped[str] = mapped_column(String(16))
    unit: Mapped[str] = mapped_column(String(16), default="", server_default="")
    basis: Mapped[str] = mapped_column(String(8), default="", server_default="")
    removed_at: Mapped[datetime | None]
