"""With several server processes on PostgreSQL, hear the changes the others committed."""

from __future__ import annotations

import asyncio
import logging

from sqlalchemy import select
from sqlalchemy.exc import SQLAlchemyError

from app.events.bus import Bus
from app.records.base import Database
from app.records.farms import Farm

log = logging.getLogger("swathboard")
EVERY_S = 0.25


async def hear_other_processes(database: Database, bus: Bus) -> None:
    """Look a few times a second whether a watched farm's `seq` has moved, and wake its pages.

    Changes made in this process wake their pages at once through `Bus.publish`; this is only for the others', so it
    asks nothing while SQLite is used (one process) or nobody is watching.
    """
    if database.sqlite:
        return
    seen: dict[int, int] = {}
    while True:
        await asyncio.sleep(EVERY_S)
        watched = bus.farms()
        if not watched:
            continue
        try:
            now = await asyncio.to_thread(_seqs, database, watched)
        except SQLAlchemyError:
            log.warning("could not look for changes of other processes", exc_info=True)
            await asyncio.sleep(5)
            continue
        for farm_id, seq in now.items():
            if seen.get(farm_id, seq) != seq:
                bus.publish(farm_id)
        seen = now


def _seqs(database: Database, farm_ids: list[int]) -> dict[int, int]:
    with database.reading() as session:
        return {row.id: row.seq for row in session.execute(select(Farm.id, Farm.seq).where(Farm.id.in_(farm_ids)))}
