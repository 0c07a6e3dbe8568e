"""Two people on one row: different fields merge, the same field is shown with both values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from app.errors import Conflict
from app.events.history import note
from app.records.base import Row
from app.units.sentences import Quantity

if TYPE_CHECKING:
    from app.access.work import Work

_NEAR = 1e-9
_SHOWN = 1e-5


def same(left: Any, right: Any) -> bool:
    """Whether two stored values are the same; numbers within rounding of a form and back."""
    if _is_empty(left) or _is_empty(right):
        return _is_empty(left) and _is_empty(right)
    if isinstance(left, bool) or isinstance(right, bool):
        return left == right
    if isinstance(left, int | float) and isinstance(right, int | float):
        return abs(left - right) <= _NEAR * max(1.0, abs(left), abs(right))
    return left == right


def _seen_as(was: Any, now: Any) -> bool:
    """Whether a person who saw `was` saw what stands there now: forms show six figures."""
    if isinstance(was, float) and isinstance(now, int | float):
        return math.isclose(was, now, rel_tol=_SHOWN)
    return same(was, now)


def _is_empty(value: Any) -> bool:
    """Nothing typed, or a box not ticked. Nought is a figure: nothing on hand is not the same as not known."""
    return value is None or value is False or value == ""


def changes_of(
    now: Mapping[str, Any], values: Mapping[str, Any], was: Mapping[str, Any] | None
) -> dict[str, tuple[Any, Any]]:
    """Field -> (before, after) of what a person changed; a field changed by somebody else as well raises Conflict."""
    changes, conflicts = {}, {}
    for field, typed in values.items():
        stands = now.get(field)
        if same(stands, typed) or (was is not None and field in was and same(was[field], typed)):
            continue
        if was is not None and field in was and not _seen_as(was[field], stands):
            conflicts[field] = (stands, typed)
        else:
            changes[field] = (stands, typed)
    if conflicts:
        raise Conflict(conflicts)
    return changes


def apply_edit(
    work: Work,
    row: Row,
    values: Mapping[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    noun: str,
    name: str = "",
    parts: tuple[str, ...] = (),
    verb: str = "edit",
    kinds: Mapping[str, str] | None = None,
) -> dict[str, tuple[Any, Any]]:
    """Change the fields of `row` that differ, with a line of history; returns field -> (before, after).

    `was` holds the values the person saw when the form was opened. A field the person left as it was keeps what
    stands there now; a field both changed raises Conflict with both values, and nothing is changed. `kinds` names the
    kind of fields whose unit the noun alone does not tell, so that the history can say them with it.
    """
    changes = changes_of({field: getattr(row, field) for field in values}, values, was)
    if changes:
        for field, (_before, after) in changes.items():
            setattr(row, field, after)
        row_id: int = row.id  # type: ignore[attr-defined]
        if hasattr(row, "version"):
            row.version += 1
        note(
            work,
            getattr(row, "farm_id", row_id),
            verb,
            noun,
            row_id,
            name=name or str(getattr(row, "name", "")),
            fields={field: _with_kind(both, (kinds or {}).get(field)) for field, both in changes.items()},
            parts=parts,
        )
    return changes


def _with_kind(both: tuple[Any, Any], kind: str | None) -> tuple[Any, Any]:
    """Before and after as quantities of that kind."""
    if kind is None:
        return both
    return tuple(None if value is None else Quantity(value, kind) for value in both)  # type: ignore[return-value]
