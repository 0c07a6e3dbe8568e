"""Tables of what happened: history, form sendings already done, uploads that wait for a yes."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import JSON, ForeignKey, Index, LargeBinary, String, select
from sqlalchemy.orm import Mapped, Session, mapped_column

from app.records.base import OfFarm, Row


class Change(OfFarm, Row):
    """One line of a farm's history, numbered by `seq` without gaps; live pages replay from it."""

    __tablename__ = "changes"
    __table_args__ = (
        Index("uq_changes_farm_seq", "farm_id", "seq", unique=True),
        Index("ix_changes_noun_row", "noun", "row_id"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    seq: Mapped[int]
    at: Mapped[datetime]
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    by: Mapped[str] = mapped_column(String(80))
    verb: Mapped[str] = mapped_column(String(16))
    noun: Mapped[str] = mapped_column(String(24))
    row_id: Mapped[int | None]
    name: Mapped[str] = mapped_column(String(200), default="", server_default="")
    fields: Mapped[dict] = mapped_column(JSON)
    """Field name -> [before, after]."""
    parts: Mapped[list] = mapped_column(JSON)
    """Live parts of open pages that this change touches."""


class Sending(Row):
    """A form sending that took effect, by its once-only key."""

    __tablename__ = "sendings"
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(80), unique=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    at: Mapped[datetime] = mapped_column(index=True)


class Upload(OfFarm, Row):
    """A file somebody sent, kept as it came while its preview is looked at."""

    __tablename__ = "uploads"
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    purpose: Mapped[str] = mapped_column(String(16))
    filename: Mapped[str] = mapped_column(String(200))
    body: Mapped[bytes] = mapped_column(LargeBinary)
    answers: Mapped[dict] = mapped_column(JSON)
    created_at: Mapped[datetime]
    taken_at: Mapped[datetime | None]


def list_changes_since(session: Session, farm_id: int, seq: int, most: int = 500) -> list[Change]:
    """The farm's changes after `seq`, oldest first."""
    wanted = select(Change).where(Change.farm_id == farm_id, Change.seq > seq).order_by(Change.seq).limit(most)
    return list(session.scalars(wanted))
