"""Taking a row off every page, and bringing it back: nothing is deleted, and both leave a line of history."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

from sqlalchemy import select

from app.events.history import note

if TYPE_CHECKING:
    from app.access.work import Work


class Removable(Protocol):
    """A row with a day on which it was taken off."""

    id: Any
    farm_id: Any
    removed_at: Any


Gone = TypeVar("Gone", bound=Removable)


def remove_row(work: Work, row: Removable, *, noun: str, name: str = "", parts: tuple[str, ...] = ()) -> None:
    """Take the row off; `restore_row` is its undo."""
    _move(work, row, work.now())
    note(work, row.farm_id, "remove", noun, row.id, name=name or _name(row), parts=parts)


def restore_row(work: Work, row: Removable, *, noun: str, name: str = "", parts: tuple[str, ...] = ()) -> bool:
    """Bring the row back; False, and nothing noted, where it was there already."""
    if row.removed_at is None:
        return False
    _move(work, row, None)
    note(work, row.farm_id, "restore", noun, row.id, name=name or _name(row), parts=parts)
    return True


def removed_rows(work: Work, table: type[Gone], farm_id: int, most: int = 20) -> list[Gone]:
    """What was taken off the farm last, newest first, so that it can be undone."""
    gone = select(table).where(table.farm_id == farm_id, table.removed_at.is_not(None))
    return list(work.session.scalars(gone.order_by(table.removed_at.desc(), table.id).limit(most)))


def _move(work: Work, row: Any, removed_at: datetime | None) -> None:
    row.removed_at = removed_at
    if hasattr(row, "version"):
        row.version += 1


def _name(row: Any) -> str:
    return str(getattr(row, "name", ""))
