"""The cutting that comes next, and the day it starts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.events.edits import apply_edit
from app.events.history import note
from app.records.checklists import Checklist, Item
from app.records.farms import Cutting
from app.services.checklists.parts import list_part, summary_part
from app.services.cuttings import Coming, coming_cutting


@dataclass(frozen=True)
class Start:
    """The day cutting starts: agreed by people, projected from the fields (with its range), or not known."""

    on: date | None = None
    is_agreed: bool = False
    earliest: date | None = None
    latest: date | None = None


def start_of(coming: Coming, projected: Start | None = None) -> Start:
    """The agreed start, else the projected one, else none."""
    if coming.cutting is not None and coming.cutting.starts_on is not None:
        return Start(coming.cutting.starts_on, is_agreed=True)
    return projected or Start()


def due_on(item: Item, start: Start) -> date | None:
    """The item's own day, else so many days before the start."""
    if item.due_on is not None:
        return item.due_on
    if start.on is None or item.days_before is None:
        return None
    return start.on - timedelta(days=item.days_before)


def agree_start(work: Work, farm_id: int, values: dict[str, Any], was: dict[str, Any] | None = None) -> None:
    """Write down the day the team agreed to start; empty goes back to the projected one."""
    farm = access_farm(work, farm_id, Permission.CHECKLISTS_EDIT)
    coming = coming_cutting(work, farm)
    cutting = coming.cutting or _add_cutting(work, farm_id, coming)
    apply_edit(work, cutting, values, was, noun="cuttings", parts=_parts_of_start(work, farm_id, coming))


def _add_cutting(work: Work, farm_id: int, coming: Coming) -> Cutting:
    cutting = Cutting(farm_id=farm_id, year=coming.year, number=coming.number)
    work.session.add(cutting)
    work.session.flush()
    note(work, farm_id, "add", "cuttings", cutting.id)
    return cutting


def _parts_of_start(work: Work, farm_id: int, coming: Coming) -> tuple[str, ...]:
    checklist = find_checklist(work, farm_id, coming)
    own = (list_part(checklist.id), summary_part(checklist.id)) if checklist else ()
    return (*own, "board-figures")


def find_checklist(work: Work, farm_id: int, coming: Coming) -> Checklist | None:
    """The checklist of that cutting, if it has been drawn."""
    return work.session.scalar(
        select(Checklist).where(
            Checklist.farm_id == farm_id, Checklist.year == coming.year, Checklist.cutting == coming.number
        )
    )
