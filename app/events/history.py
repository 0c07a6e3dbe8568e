"""Every accepted change: one line of history in the same transaction, which is also what open pages hear."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import update

from app.records.farms import Farm
from app.records.history import Change
from app.units.sentences import Quantity

if TYPE_CHECKING:
    from app.access.work import Work


def note(
    work: Work,
    farm_id: int,
    verb: str,
    noun: str,
    row_id: int | None = None,
    *,
    name: str = "",
    fields: Mapping[str, tuple[Any, Any]] | None = None,
    parts: tuple[str, ...] = (),
) -> Change:
    """Write the line: who, when, what, before -> after; raise the farm's `seq`; remember to tell open pages.

    `verb` is add, edit, remove, restore, tick, untick, import ...; `parts` are names of live parts of pages
    (`checklists-item-42`). Pages that show figures of the whole farm listen to `board-figures` as well.
    """
    work.session.flush()
    seq = work.session.scalar(update(Farm).where(Farm.id == farm_id).values(seq=Farm.seq + 1).returning(Farm.seq))
    assert seq is not None, "the farm was checked at the gate"
    change = Change(
        farm_id=farm_id,
        seq=seq,
        at=work.now(),
        account_id=work.actor.account_id,
        by=work.actor.name or "Swathboard",
        verb=verb,
        noun=noun,
        row_id=row_id,
        name=name[:200],
        fields={key: [_plain(before), _plain(after)] for key, (before, after) in (fields or {}).items()},
        parts=list(parts),
    )
    work.session.add(change)
    work.session.flush()
    work.told.append((farm_id, seq))
    work.kept.clear()
    return change


def _plain(value: Any) -> Any:
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Quantity):
        return {"value": value.value, "kind": value.kind}
    return value
