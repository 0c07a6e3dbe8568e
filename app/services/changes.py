"""The farm's history in words: who changed what, when, from what to what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib import import_module
from pkgutil import walk_packages
from typing import Any

from sqlalchemy import select

import app.services
from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.records.history import Change
from app.services.team import ROLES
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape, parse_day

PAGE_COUNT = 50
NOUNS: dict[str, Sentence] = {
    "farms": Sentence("Farm"),
    "farm_values": Sentence("Setting of the farm"),
    "cuttings": Sentence("Cutting"),
    "cutting_shares": Sentence("Share of a cutting"),
    "members": Sentence("Team"),
    "invitations": Sentence("Invitation"),
    "crew codes": Sentence("Crew code"),
    "phones": Sentence("Crew phone"),
    "fields": Sentence("Field"),
    "stands": Sentence("Stand"),
    "stand_counts": Sentence("Stand count"),
    "scoutings": Sentence("Scouting"),
    "stations": Sentence("Weather station"),
    "days": Sentence("Weather days"),
    "structures": Sentence("Structure"),
    "feeds": Sentence("Feed"),
    "lots": Sentence("Lot"),
    "lot_measurements": Sentence("Measurement of a lot"),
    "feedouts": Sentence("Feed-out"),
    "loads": Sentence("Load"),
    "supplies": Sentence("Supply"),
    "deliveries": Sentence("Delivery"),
    "samples": Sentence("Sample"),
    "sample_values": Sentence("Lab value"),
    "analyte_names": Sentence("Name of an analyte"),
    "groups": Sentence("Herd group"),
    "head_changes": Sentence("Head count"),
    "inclusions": Sentence("Inclusion"),
    "checklists": Sentence("Checklist"),
    "items": Sentence("Checklist item"),
    "decisions": Sentence("Decision"),
    "machines": Sentence("Machine"),
}
VERBS: dict[str, Sentence] = {
    "add": Sentence("added"),
    "edit": Sentence("changed"),
    "remove": Sentence("removed"),
    "restore": Sentence("brought back"),
    "tick": Sentence("ticked"),
    "untick": Sentence("unticked"),
    "import": Sentence("read from a file"),
    "draw": Sentence("drawn up"),
    "recount": Sentence("worked out again"),
    "correct": Sentence("put right"),
    "withdraw": Sentence("withdrawn"),
    "move": Sentence("moved"),
    "decide": Sentence("decided"),
    "reopen": Sentence("put back to decide"),
    "leave": Sentence("left the farm"),
    "sign out": Sentence("signed out"),
}
FIELDS: dict[str, Sentence] = {
    "role": Sentence("role"),
    "days": Sentence("days"),
    "added": Sentence("rows added"),
    "changed": Sentence("rows changed"),
    "is_done": Sentence("done"),
    "removed_at": Sentence("removed"),
    "position": Sentence("place in the list"),
}
UNSAID = {"account_id", "version", "removed_at", "group_id", "feed_id"}
"""Fields kept for undoing or counting, which say nothing to people."""


@dataclass(frozen=True)
class Line:
    """One changed field, or one change without fields. `before` and `after` are said by the page."""

    seq: int
    at: datetime
    by: str
    says: Sentence
    before: Any
    after: Any
    href: str = ""


@dataclass(frozen=True)
class ChangesPage:
    """Some of the history, newest first; `older` is the number to go on from, or None at the beginning."""

    lines: tuple[Line, ...]
    older: int | None


def list_lines(work: Work, farm_id: int, before: int | None = None, most: int = PAGE_COUNT) -> ChangesPage:
    """The newest changes, or those before that number."""
    access_farm(work, farm_id, Permission.TEAM_VIEW)
    wanted = select(Change).where(Change.farm_id == farm_id)
    if before is not None:
        wanted = wanted.where(Change.seq < before)
    rows = list(work.session.scalars(wanted.order_by(Change.seq.desc()).limit(most + 1)))
    lines = tuple(line for row in rows[:most] for line in lines_of(row))
    return ChangesPage(lines, rows[most - 1].seq if len(rows) > most else None)


def lines_of(row: Change) -> Iterator[Line]:
    """A change in words: one line per field."""
    noun = NOUNS.get(row.noun) or Sentence(row.noun.replace("_", " ").capitalize())
    verb = VERBS.get(row.verb) or Sentence(row.verb)
    what = Sentence("{noun} {name}", noun=noun, name=row.name) if row.name else noun
    fields = {name: both for name, both in (row.fields or {}).items() if name not in UNSAID}
    if not fields:
        yield Line(row.seq, row.at, row.by, Sentence("{what} {verb}", what=what, verb=verb), None, None)
    for name, (before, after) in fields.items():
        label, column = _label(row.noun, name)
        says = Sentence("{what} {verb}, {field}", what=what, verb=verb, field=label)
        yield Line(row.seq, row.at, row.by, says, _said(name, column, before), _said(name, column, after))


def _label(noun: str, field: str) -> tuple[Sentence | str, Column | None]:
    column = columns_of().get((noun, field)) or columns_of().get((noun.rstrip("s"), field))
    if column is not None:
        return Sentence(column.label), column
    return FIELDS.get(field) or field.replace("_", " "), None


def _said(field: str, column: Column | None, value: Any) -> Any:
    """A stored value as a page says it: in the reader's unit, or by the label of the choice."""
    if value is None or value == "":
        return None
    if isinstance(value, dict) and value.keys() == {"value", "kind"}:
        return Quantity(value["value"], value["kind"])
    if column is None and field == "role" and value in ROLES:
        return ROLES[value]
    if isinstance(value, bool):
        return Sentence("yes") if value else Sentence("no")
    if column is not None and column.kind and isinstance(value, int | float):
        return Quantity(value, column.kind)
    if column is not None and column.type == "choice":
        return Sentence(dict(column.choices).get(str(value), str(value)))
    if column is not None and column.type == "day":
        return parse_day(value) or str(value)
    return str(round(value, 4)) if isinstance(value, float) else str(value)


@cache
def columns_of() -> dict[tuple[str, str], Column]:
    """Every column that may be typed, by noun and name, from the shapes the services keep."""
    found: dict[tuple[str, str], Column] = {}
    for module in walk_packages(app.services.__path__, "app.services."):
        for thing in vars(import_module(module.name)).values():
            if isinstance(thing, Shape):
                found |= {(thing.noun, column.name): column for column in thing.columns}
    return found
