"""Watching a farm live."""

from __future__ import annotations

from dataclasses import dataclass

from app.access.gate import access_farm
from app.access.work import Work
from app.records.history import list_changes_since

MOST = 500
"""Changes handed on at once; whoever was away for longer asks again at once."""


@dataclass(frozen=True)
class Watcher:
    """Someone with an open page of the farm, and the `seq` that page was drawn at."""

    name: str
    seq: int


@dataclass(frozen=True)
class Heard:
    """One change as an open page hears it."""

    seq: int
    by: str
    parts: tuple[str, ...]


def watch_farm(work: Work, farm_id: int) -> Watcher:
    return Watcher(work.actor.name, access_farm(work, farm_id).seq)


def list_changes(work: Work, farm_id: int, since: int) -> list[Heard]:
    """The farm's changes after `since`, oldest first, for whoever may see the farm."""
    access_farm(work, farm_id)
    rows = list_changes_since(work.session, farm_id, since, MOST)
    return [Heard(row.seq, row.by, tuple(row.parts)) for row in rows]
