"""Tables of feed: structures, feeds, lots with their measurements, feed-out and loads, and supplies."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from app.records.base import Appended, Edited, OfFarm, Row

FEED_KINDS = ("haylage", "corn_silage", "hay", "straw", "byproduct", "other")


class Structure(OfFarm, Edited, Row):
    """A bunker, drive-over pile, bag, tower or stack of bales. Which sizes count depends on its kind."""

    __tablename__ = "structures"
    __table_args__ = (CheckConstraint("kind in ('bunker', 'pile', 'bag', 'tower', 'stack')", name="kind"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    kind: Mapped[str] = mapped_column(String(10))
    length_m: Mapped[float | None]
    width_m: Mapped[float | None]
    """Floor width of a bunker, base width of a pile."""
    top_width_m: Mapped[float | None]
    """Width between battered walls at their top; empty when the walls stand straight."""
    wall_height_m: Mapped[float | None]
    peak_height_m: Mapped[float | None]
    """Settled height at the highest point; above the wall it makes the crown."""
    ramps_count: Mapped[int | None]
    side_slope: Mapped[float | None]
    """Run over rise of a pile's sides."""
    end_slope: Mapped[float | None]
    """Run over rise of ramps and pile ends."""
    diameter_m: Mapped[float | None]
    bale_width_m: Mapped[float | None]
    bale_length_m: Mapped[float | None]
    bale_depth_m: Mapped[float | None]
    bale_is_round: Mapped[bool] = mapped_column(default=True, server_default="1")
    is_oxygen_limiting: Mapped[bool] = mapped_column(default=False, server_default="0")
    fills_next: Mapped[bool] = mapped_column(default=False, server_default="0")
    """Meant to take the coming cutting."""
    note: Mapped[str | None] = mapped_column(String(2000))
    position: Mapped[int] = mapped_column(default=0, server_default="0")
    removed_at: Mapped[datetime | None]


class Feed(OfFarm, Edited, Row):
    """A kind of feed on this farm."""

    __tablename__ = "feeds"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    kind: Mapped[str] = mapped_column(String(16))
    dm_frac: Mapped[float | None]
    storage_life_d: Mapped[float | None]
    price_usd_kg_dm: Mapped[float | None]
    removed_at: Mapped[datetime | None]


class Lot(OfFarm, Edited, Row):
    """An amount of one feed in one structure from one cutting."""

    __tablename__ = "lots"
    id: Mapped[int] = mapped_column(primary_key=True)
    feed_id: Mapped[int] = mapped_column(ForeignKey("feeds.id"), index=True)
    structure_id: Mapped[int | None] = mapped_column(ForeignKey("structures.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    year: Mapped[int | None]
    cutting: Mapped[int | None]
    use_class: Mapped[str | None] = mapped_column(String(10))
    """Use class it is kept for (milking, growing, dry); empty: any."""
    sealed_on: Mapped[date | None]
    opened_on: Mapped[date | None]
    dm_frac: Mapped[float | None]
    density_kg_m3: Mapped[float | None]
    """Measured DM density; empty: the default of the structure with its range."""
    remaining_loss_frac: Mapped[float | None]
    feedout_loss_frac: Mapped[float | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    position: Mapped[int] = mapped_column(default=0, server_default="0")
    used_up_on: Mapped[date | None]
    removed_at: Mapped[datetime | None]
    measurements: Mapped[list[LotMeasurement]] = relationship(
        lazy="raise", viewonly=True, order_by="LotMeasurement.measured_on, LotMeasurement.id"
    )
    feedouts: Mapped[list[Feedout]] = relationship(lazy="raise", viewonly=True, order_by="Feedout.from_on, Feedout.id")
    loads: Mapped[list[Load]] = relationship(lazy="raise", viewonly=True, order_by="Load.loaded_on, Load.id")


class LotMeasurement(OfFarm, Appended, Row):
    """What was found in the structure on a day: sizes of what is left, a weight, or a count of bales."""

    __tablename__ = "lot_measurements"
    id: Mapped[int] = mapped_column(primary_key=True)
    lot_id: Mapped[int] = mapped_column(ForeignKey("lots.id", ondelete="CASCADE"), index=True)
    measured_on: Mapped[date]
    method: Mapped[str] = mapped_column(String(10))
    """`sizes`, `weight`, `count` or `judged`."""
    length_m: Mapped[float | None]
    width_m: Mapped[float | None]
    height_m: Mapped[float | None]
    volume_m3: Mapped[float | None]
    bales_count: Mapped[int | None]
    bale_weight_kg: Mapped[float | None]
    mass_af_kg: Mapped[float | None]
    mass_dm_kg: Mapped[float | None]
    dm_frac: Mapped[float | None]
    density_kg_m3: Mapped[float | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("lot_measurements.id"))
    is_withdrawn: Mapped[bool] = mapped_column(default=False, server_default="0")


class Feedout(OfFarm, Appended, Row):
    """Feed taken from a lot over some days, and what of it was thrown away."""

    __tablename__ = "feedouts"
    id: Mapped[int] = mapped_column(primary_key=True)
    lot_id: Mapped[int] = mapped_column(ForeignKey("lots.id", ondelete="CASCADE"), index=True)
    from_on: Mapped[date]
    to_on: Mapped[date]
    mass_af_kg: Mapped[float]
    thrown_af_kg: Mapped[float] = mapped_column(default=0.0, server_default="0")
    dm_frac: Mapped[float | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("feedouts.id"))
    is_withdrawn: Mapped[bool] = mapped_column(default=False, server_default="0")


class Load(OfFarm, Appended, Row):
    """A weighed load into a lot."""

    __tablename__ = "loads"
    id: Mapped[int] = mapped_column(primary_key=True)
    lot_id: Mapped[int] = mapped_column(ForeignKey("lots.id", ondelete="CASCADE"), index=True)
    field_id: Mapped[int | None] = mapped_column(ForeignKey("fields.id"))
    loaded_on: Mapped[date]
    mass_af_kg: Mapped[float]
    dm_frac: Mapped[float | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("loads.id"))
    is_withdrawn: Mapped[bool] = mapped_column(default=False, server_default="0")


class Supply(OfFarm, Edited, Row):
    """Byproduct or bought feed, on hand or on contract."""

    __tablename__ = "supplies"
    id: Mapped[int] = mapped_column(primary_key=True)
    feed_id: Mapped[int] = mapped_column(ForeignKey("feeds.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    on_hand_af_kg: Mapped[float] = mapped_column(default=0.0, server_default="0")
    counted_on: Mapped[date | None]
    dm_frac: Mapped[float | None]
    ndf_frac: Mapped[float | None]
    cp_frac: Mapped[float | None]
    price_usd_kg_af: Mapped[float | None]
    note: Mapped[str | None] = mapped_column(String(2000))
    removed_at: Mapped[datetime | None]
    deliveries: Mapped[list[Delivery]] = relationship(
        lazy="raise", cascade="all, delete-orphan", order_by="Delivery.due_on"
    )


class Delivery(OfFarm, Edited, Row):
    """A delivery due under a contract, or received."""

    __tablename__ = "deliveries"
    id: Mapped[int] = mapped_column(primary_key=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", ondelete="CASCADE"), index=True)
    due_on: Mapped[date]
    mass_af_kg: Mapped[float]
    received_on: Mapped[date | None]
