"""What a farm is, read from the tables alone: every row that stands, without numbers and times of the database."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.tables import Row

NOT_OF_THE_FARM = {"changes", "snapshots", "uploads", "memberships", "invitations", "crew_links"}
NOT_COMPARED = {"id", "version", "position", "noted_at", "account_id", "created_at", "removed_at", "corrects_id",
                "is_withdrawn", "seq", "typed_value", "typed_unit", "typed_basis"}  # fmt: skip
KEPT_FOR_OTHERS = {"structures", "feeds"}
"""Rows that others still name stay with them although they were removed."""
NAMES = ("name", "title", "question", "seeded_on", "scouted_on", "sampled_on", "year")


def facts_of(session: Session, farm_id: int) -> dict[str, list[Any]]:
    """Table -> its rows as sorted tuples of (column, value); rows of other rows name them instead of their number."""
    session.flush()
    rows: dict[str, dict[int, dict[str, Any]]] = {}
    for table in Row.metadata.sorted_tables:
        if table.name in NOT_OF_THE_FARM or table.name == "farms":
            continue
        found = [dict(row._mapping) for row in session.execute(select(table))]
        mine = [row for row in found if _belongs(table, row, farm_id, rows)]
        corrected = {row.get("corrects_id") for row in mine}
        rows[table.name] = {
            row["id"]: row
            for row in mine
            if row["id"] not in corrected
            and not row.get("is_withdrawn")
            and (row.get("removed_at") is None or table.name in KEPT_FOR_OTHERS)
        }
    return {
        table.name: sorted((_plain(table, row, rows) for row in rows[table.name].values()), key=repr)
        for table in Row.metadata.sorted_tables
        if rows.get(table.name)
    }


def _belongs(table: Any, row: dict[str, Any], farm_id: int, rows: dict[str, Any]) -> bool:
    if "farm_id" in row and row["farm_id"] != farm_id:
        return False
    parents = [key.column.table.name for key in table.foreign_keys if not key.parent.nullable]
    owned = [name for name in parents if name in rows]
    if "farm_id" not in row and not owned:
        return False
    for key in table.foreign_keys:
        name = key.column.table.name
        if name in owned and not key.parent.nullable and row[key.parent.name] not in rows[name]:
            return False
    return True


def _plain(table: Any, row: dict[str, Any], rows: dict[str, Any]) -> tuple[tuple[str, Any], ...]:
    targets = {key.parent.name: key.column.table.name for key in table.foreign_keys}
    values = []
    for name, value in row.items():
        if name in NOT_COMPARED or name == "farm_id":
            continue
        if name in targets:
            other = rows.get(targets[name], {}).get(value)
            value = tuple(_same(other[each]) for each in NAMES if other and each in other)
        values.append((name, _same(value)))
    return tuple(values)


def _same(value: Any) -> Any:
    """Numbers to nine figures, text as any file can hold it, doubled names without their number."""
    if isinstance(value, float):
        return float(f"{value:.9g}")
    if isinstance(value, datetime):
        return value.isoformat()[:19]
    return value.removesuffix(" (2)").replace("\r\n", "\n") if isinstance(value, str) else value
