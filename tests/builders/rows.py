"""One row in every table of a farm, so that a walk over all routes has something to name by id."""

from __future__ import annotations

import re
import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

from sqlalchemy import CheckConstraint, insert, update
from sqlalchemy.orm import Session

from app.records.base import Instant
from app.records.history import Upload
from app.records.tables import Row

NOT_OURS = {"accounts", "memberships", "farms", "setup_links", "failed_attempts", "sendings", "changes", "farm_values"}
"""Tables that belong to no farm, that people and their doings fill, or whose keys must be known ones."""
REAL = {
    ("machines", "kind"): "mower",
    ("items", "kind"): "weight",
    ("uploads", "purpose"): "weather",
    ("lot_measurements", "method"): "weight",
}
"""(table, column) -> a value that pages look up and cannot do without."""
FILE = b"DATE,TMAX,TMIN\n2027-05-01,70,50\n"
ONE_OF = re.compile(r"(\w+) in \('(\w+)'")
NOW = datetime(2027, 5, 10, 12, tzinfo=UTC)


def add_rows(session: Session, farm_id: int, account_id: int) -> dict[str, int]:
    """Add one row to each table that hangs on a farm; table name -> id. Nothing in it means anything."""
    ids: dict[str, int] = {"farms": farm_id, "accounts": account_id}
    for table in Row.metadata.sorted_tables:
        if table.name in NOT_OURS:
            continue
        values = {
            column.name: _value(table, column, ids)
            for column in table.columns
            if not column.primary_key and (not column.nullable or column.foreign_keys)
        }
        made = session.execute(insert(table).values(values).returning(*table.primary_key.columns))
        ids[table.name] = made.scalar_one()
    session.execute(update(Upload).where(Upload.farm_id == farm_id).values(answers={"station": ids["stations"]}))
    return ids


def _value(table: Any, column: Any, ids: dict[str, int]) -> Any:
    for key in column.foreign_keys:
        parent = key.column.table
        return None if parent is table and column.nullable else ids.get(parent.name)
    allowed = REAL.get((table.name, column.name)) or _allowed(table).get(column.name)
    if allowed is not None:
        return allowed
    kind = datetime if isinstance(column.type, Instant) else column.type.python_type
    if kind is str:
        return uuid.uuid4().hex[: column.type.length or 8]
    if kind is datetime:
        return NOW + timedelta(days=3650 if column.name == "expires_at" else 0)
    return {int: 1, float: 0.5, bool: False, date: NOW.date(), bytes: FILE, dict: {}, object: {}}[kind]


def _allowed(table: Any) -> dict[str, str]:
    checks = (str(each.sqltext) for each in table.constraints if isinstance(each, CheckConstraint))
    return {found[1]: found[2] for check in checks if (found := ONE_OF.search(check))}
