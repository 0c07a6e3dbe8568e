"""Figures of a report about the yard and what is open: the list of what has to be ready, and decisions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from app.services.checklists import ReadinessSummary
from app.services.decisions import Decisions
from app.services.reports.figure import Figure
from app.units.sentences import Sentence

NOT_DRAWN = Sentence("The list of what has to be ready is not drawn up yet.")
NOTHING_SHORT = Sentence("Nothing is short.")


def yard_figures(yard: ReadinessSummary, today: date) -> Iterator[Figure]:
    yield Figure("yard.is_drawn", "A list of what has to be ready is drawn up", yard.checklist_id is not None, today)
    for name, label in (
        ("done", "Items done"),
        ("total", "Items in all"),
        ("left_before_start", "Open items due before the start"),
        ("late", "Items late"),
        ("short", "Items short"),
    ):
        yield Figure(f"yard.{name}", label, getattr(yard, name), today, unit="items")
    worst = yard.worst or (NOTHING_SHORT if yard.checklist_id else NOT_DRAWN)
    yield Figure("yard.worst", "Worst shortage", worst, today)
    for number, due in enumerate(yard.next_due, 1):
        yield Figure(
            f"yard.next.{number}", f"Due next: {due.title.rstrip('.')}", due.due_on or Sentence("No day set"), today
        )


def decision_figures(decisions: Decisions, today: date) -> Iterator[Figure]:
    yield Figure("decisions.open", "Questions to decide", len(decisions.open), today, unit="questions")
    for each in decisions.open:
        yield Figure(f"decisions.{each.id}", "To decide", each.question, today)
