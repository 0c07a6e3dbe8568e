"""How ready the yard is, in a few figures for the board and for the list of farms."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.access.work import Work
from app.services.checklists.lines import ItemLine
from app.services.checklists.pages import list_page
from app.services.checklists.start import Start
from app.units.sentences import Sentence

NEXT = 3


@dataclass(frozen=True)
class NextDue:
    """An open item that comes up next."""

    item_id: int
    title: str
    due_on: date | None
    owner: str | None
    status: str


@dataclass(frozen=True)
class ReadinessSummary:
    """Counts of the coming cutting's list; `checklist_id` is None while nobody has drawn it."""

    checklist_id: int | None
    start: Start
    done: int = 0
    total: int = 0
    left_before_start: int = 0
    """Open items due before the day of the start; all open ones while no start is known."""
    late: int = 0
    short: int = 0
    worst: Sentence | None = None
    """The worst shortage, e.g. packing weight: short 18,000 lb."""
    next_due: tuple[NextDue, ...] = ()


def readiness_summary(work: Work, farm_id: int) -> ReadinessSummary:
    """How ready the yard is for the coming cutting."""
    page = list_page(work, farm_id)
    if page.checklist is None:
        return ReadinessSummary(None, page.start)
    opened = [line for line in page.lines if not line.is_done]
    shortages = page.shortages
    return ReadinessSummary(
        page.checklist.id,
        page.start,
        done=page.done,
        total=page.total,
        left_before_start=sum(_is_before_start(line, page.start) for line in opened),
        late=page.late,
        short=len(shortages),
        worst=shortages[0].shortage if shortages else None,
        next_due=tuple(_next(line) for line in sorted(opened, key=lambda line: line.due_on or date.max)[:NEXT]),
    )


def _is_before_start(line: ItemLine, start: Start) -> bool:
    return start.on is None or line.due_on is None or line.due_on < start.on


def _next(line: ItemLine) -> NextDue:
    return NextDue(line.id, line.row.title, line.due_on, line.row.owner, line.status)
