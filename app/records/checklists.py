"""Tables of getting ready: machines, checklists with their items, and decisions."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Edited, OfFarm, Row


class Machine(OfFarm, Edited, Row):
    """A mower, merger, chopper, truck or packing tractor the farm can count on."""

    __tablename__ = "machines"
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    kind: Mapped[str] = mapped_column(String(16))
    weight_kg: Mapped[float | None]
    share_frac: Mapped[float | None]
    """Share of the filling hours a packing tractor works."""
    rate_kg_h: Mapped[float | None]
    """As fed per hour, of a chopper or truck."""
    width_m: Mapped[float | None]
    is_custom: Mapped[bool] = mapped_column(default=False, server_default="0")
    removed_at: Mapped[datetime | None]


class Checklist(OfFarm, Edited, Row):
    """What has to be ready for one cutting."""

    __tablename__ = "checklists"
    __table_args__ = (Index("uq_checklists_farm_year_cutting", "farm_id", "year", "cutting", unique=True),)
    id: Mapped[int] = mapped_column(primary_key=True)
    year: Mapped[int]
    cutting: Mapped[int]
    created_at: Mapped[datetime]


class Item(OfFarm, Edited, Row):
    """One thing to have ready. Due `days_before` the start of cutting, or on a day of its own."""

    __tablename__ = "items"
    id: Mapped[int] = mapped_column(primary_key=True)
    checklist_id: Mapped[int] = mapped_column(ForeignKey("checklists.id", ondelete="CASCADE"), index=True)
    key: Mapped[str | None] = mapped_column(String(40))
    """Key of `planning.readiness` it was drawn from; empty when typed by a person."""
    title: Mapped[str] = mapped_column(String(200))
    place: Mapped[str | None] = mapped_column(String(80))
    role: Mapped[str | None] = mapped_column(String(16))
    owner: Mapped[str | None] = mapped_column(String(80))
    days_before: Mapped[int | None]
    due_on: Mapped[date | None]
    need: Mapped[float | None]
    have: Mapped[float | None]
    kind: Mapped[str | None] = mapped_column(String(16))
    note: Mapped[str | None] = mapped_column(String(2000))
    blocked_by_id: Mapped[int | None] = mapped_column(ForeignKey("items.id", ondelete="SET NULL"))
    position: Mapped[int] = mapped_column(default=0, server_default="0")
    done_at: Mapped[datetime | None]
    done_by_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    removed_at: Mapped[datetime | None]


class Decision(OfFarm, Edited, Row):
    """A question the team has to settle, and what was agreed, by whom and why."""

    __tablename__ = "decisions"
    id: Mapped[int] = mapped_column(primary_key=True)
    question: Mapped[str] = mapped_column(String(300))
    answer: Mapped[str | None] = mapped_column(String(300))
    why: Mapped[str | None] = mapped_column(String(2000))
    decided_by_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    decided_at: Mapped[datetime | None]
    created_at: Mapped[datetime]
    removed_at: Mapped[datetime | None]
