"""What happened to one item: who changed what, before and after, newest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select

from app.access.work import Work
from app.records.history import Change
from app.services.checklists.lines import ItemLine
from app.services.checklists.shapes import ITEM_SHAPE
from app.units.sentences import Quantity, Sentence

VERBS = {
    "add": Sentence("Added"),
    "tick": Sentence("Ticked"),
    "untick": Sentence("Opened again"),
    "remove": Sentence("Removed"),
    "restore": Sentence("Put back"),
    "move": Sentence("Moved"),
}
MOST = 30


@dataclass(frozen=True)
class Told:
    """One line of the story."""

    at: datetime
    by: str
    says: Sentence
    before: Any = None
    after: Any = None


def story_of(work: Work, line: ItemLine) -> tuple[Told, ...]:
    """The last changes of the item."""
    wanted = (
        select(Change)
        .where(Change.farm_id == line.row.farm_id, Change.noun == "items", Change.row_id == line.id)
        .order_by(Change.seq.desc())
        .limit(MOST)
    )
    return tuple(told for change in work.session.scalars(wanted) for told in _lines(change, line))


def _lines(change: Change, line: ItemLine) -> list[Told]:
    if change.verb in VERBS:
        return [Told(change.at, change.by, VERBS[change.verb])]
    return [
        Told(change.at, change.by, _label(name), _shown(name, before, line), _shown(name, after, line))
        for name, (before, after) in change.fields.items()
    ]


def _label(name: str) -> Sentence:
    found = [column.label for column in ITEM_SHAPE.columns if column.name == name]
    return Sentence(found[0] if found else name)


def _shown(name: str, value: Any, line: ItemLine) -> Any:
    if value is None:
        return None
    if isinstance(value, dict):
        return Quantity(value["value"], value["kind"])
    if name == "due_on":
        return date.fromisoformat(value)
    column = next((column for column in ITEM_SHAPE.columns if column.name == name), None)
    chosen = dict(column.choices).get(value) if column else None
    return Sentence(chosen) if chosen else value
