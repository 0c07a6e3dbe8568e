"""The one place where rights are checked: every row a service touches comes through here."""

from __future__ import annotations

from typing import Any, TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.access.permissions import Permission
from app.access.work import SYSTEM, Work, remembered
from app.errors import NotAllowed, NotFound
from app.records.base import OfFarm
from app.records.farms import Farm

OwnRow = TypeVar("OwnRow", bound=OfFarm)


def access_farm(work: Work, farm_id: int, permission: Permission = Permission.FARM_VIEW) -> Farm:
    """The farm, if the actor may do that there. A stranger learns nothing: NotFound. The wrong role: NotAllowed."""
    if work.actor is not SYSTEM and work.actor.role_on(farm_id) is None:
        raise NotFound("farm")
    farm = _farm(work, farm_id)
    if farm is None:
        raise NotFound("farm")
    if work.actor is not SYSTEM and not work.actor.may(permission, farm_id):
        raise NotAllowed(permission)
    return farm


@remembered
def _farm(work: Work, farm_id: int) -> Farm | None:
    return work.session.get(Farm, farm_id)


def access_row(
    work: Work, table: type[OwnRow], farm_id: int, row_id: int, permission: Permission, *options: Any
) -> OwnRow:
    """A row of that farm, under the same rules. Rows of another farm, and removed ones, are not found."""
    row = access_removed(work, table, farm_id, row_id, permission, *options)
    if getattr(row, "removed_at", None) is not None:
        raise NotFound(table.__tablename__)  # type: ignore[attr-defined]
    return row


def access_removed(
    work: Work, table: type[OwnRow], farm_id: int, row_id: int, permission: Permission, *options: Any
) -> OwnRow:
    """A row of that farm whether it has been removed or not, for the undo of a removal."""
    access_farm(work, farm_id, permission)
    row = _find(work.session, table, farm_id, row_id, *options)
    if row is None:
        raise NotFound(table.__tablename__)  # type: ignore[attr-defined]
    return row


def find_row(session: Session, table: type[OwnRow], farm_id: int, row_id: int, *options: Any) -> OwnRow | None:
    """The row with that id if it belongs to the farm and has not been removed."""
    row = _find(session, table, farm_id, row_id, *options)
    return None if row is None or getattr(row, "removed_at", None) is not None else row


def _find(session: Session, table: type[OwnRow], farm_id: int, row_id: int, *options: Any) -> OwnRow | None:
    wanted = select(table).where(table.id == row_id, table.farm_id == farm_id)  # type: ignore[attr-defined]
    return session.scalar(wanted.options(*options))
