"""Readings are never changed: a later row corrects an earlier one or takes it back, and says which."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import select

from app.events.edits import changes_of, same

if TYPE_CHECKING:
    from app.access.work import Work

Reading = TypeVar("Reading")


def append_reading(
    work: Work, row_of: Callable[..., Reading], values: Mapping[str, Any], wrong: Any = None, gone: bool = False
) -> Reading:
    """A new row noted now by whoever acts; it stands for `wrong`, if given, and `gone` takes that one back."""
    row = row_of(
        noted_at=work.now(),
        account_id=work.actor.account_id,
        corrects_id=wrong.id if wrong else None,
        is_withdrawn=gone,
        **values,
    )
    work.session.add(row)
    work.session.flush()
    return row


def corrected_fields(wrong: Any, values: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    """Field -> (before, after) of a correction; empty where nothing is corrected."""
    if wrong is None:
        return {}
    return {name: (getattr(wrong, name), new) for name, new in values.items() if not same(getattr(wrong, name), new)}


def merged(now: Mapping[str, Any], values: Mapping[str, Any], was: Mapping[str, Any] | None) -> dict[str, Any]:
    """Values of a correction: what the person left as it was keeps what stands there now; both changed: Conflict."""
    return {**now, **{name: after for name, (_before, after) in changes_of(now, values, was).items()}}


def latest_of(work: Work, table: Any, row: Any) -> Any:
    """The last correction in the chain a reading belongs to."""
    while True:
        newer = work.session.scalar(select(table).where(table.corrects_id == row.id).order_by(table.id.desc()).limit(1))
        if newer is None:
            return row
        row = newer


def last_rows(rows: Iterable[Any]) -> list[Any]:
    """The last row of each chain, those taken back included."""
    rows = list(rows)
    corrected = {row.corrects_id for row in rows}
    return [row for row in rows if row.id not in corrected]


def current_rows(rows: Iterable[Any]) -> list[Any]:
    """Readings that no other corrects and nobody withdrew."""
    return [row for row in last_rows(rows) if not row.is_withdrawn]
