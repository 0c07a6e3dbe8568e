"""Tables of the herd: groups, head counts over time, and what share of each feed they get from when."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Edited, OfFarm, Row

USE_CLASSES = ("milking", "growing", "dry")


class Group(OfFarm, Edited, Row):
    """A group of the herd that is fed alike."""

    __tablename__ = "groups"
    __table_args__ = (CheckConstraint("use_class in ('milking', 'growing', 'dry')", name="use_class"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    use_class: Mapped[str] = mapped_column(String(10))
    head_count: Mapped[int]
    intake_method: Mapped[str] = mapped_column(String(24), default="measured", server_default="measured")
    intake_kg: Mapped[float | None]
    """Measured DM intake per head and day; needed where the method is `measured`."""
    body_weight_kg: Mapped[float | None]
    mature_weight_kg: Mapped[float | None]
    milk_kg: Mapped[float | None]
    fat_frac: Mapped[float | None]
    protein_frac: Mapped[float | None]
    lactose_frac: Mapped[float | None]
    days_in_milk_d: Mapped[float | None]
    multiparous_frac: Mapped[float | None]
    condition_score: Mapped[float | None]
    days_to_calving_d: Mapped[float | None]
    diet_ndf_frac: Mapped[float | None]
    forage_ndf_frac: Mapped[float | None]
    """NDF that the forages bring, of diet DM."""
    adf_ndf_frac: Mapped[float | None]
    """ADF divided by NDF of the diet."""
    forage_ndfd48_frac: Mapped[float | None]
    """Digestibility of the forage NDF in 48 hours, of NDF."""
    ndf_ceiling_frac: Mapped[float | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    position: Mapped[int] = mapped_column(default=0, server_default="0")
    removed_at: Mapped[datetime | None]
    inclusions: Mapped[list[Inclusion]] = relationship(
        lazy="raise", viewonly=True, order_by="Inclusion.from_on, Inclusion.id"
    )
    head_changes: Mapped[list[HeadChange]] = relationship(lazy="raise", viewonly=True, order_by="HeadChange.from_on")


class HeadChange(OfFarm, Row):
    """A head count that holds from a day on."""

    __tablename__ = "head_changes"
    __table_args__ = (Index("uq_head_changes_group_day", "group_id", "from_on", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    group_id: Mapped[int] = mapped_column(ForeignKey("groups.id", ondelete="CASCADE"), index=True)
    from_on: Mapped[date]
    head_count: Mapped[int]


class Inclusion(OfFarm, Row):
    """The share of a group's DM that one feed makes up from a day on."""

    __tablename__ = "inclusions"
    __table_args__ = (
        CheckConstraint("share_frac >= 0 and share_frac <= 1", name="share"),
        Index("uq_inclusions_group_feed_day", "group_id", "feed_id", "from_on", unique=True),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    group_id: Mapped[int] = mapped_column(ForeignKey("groups.id", ondelete="CASCADE"), index=True)
    feed_id: Mapped[int] = mapped_column(ForeignKey("feeds.id"), index=True)
    from_on: Mapped[date]
    share_frac: Mapped[float]
