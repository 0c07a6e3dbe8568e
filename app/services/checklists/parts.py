"""Names of the live parts of the Readiness page."""

from __future__ import annotations


def item_part(item_id: int) -> str:
    return f"checklists-item-{item_id}"


def list_part(checklist_id: int) -> str:
    return f"checklists-list-{checklist_id}"


def summary_part(checklist_id: int) -> str:
    return f"checklists-summary-{checklist_id}"


def left_part(checklist_id: int, group: str) -> str:
    return f"checklists-left-{checklist_id}-{group}"
