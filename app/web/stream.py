"""The live stream of a farm: what changed, who is looking. It holds no session while it waits."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator

from fastapi import APIRouter, Depends, Request
from fastapi.sse import EventSourceResponse, ServerSentEvent
from starlette.concurrency import run_in_threadpool

from app.errors import AppError
from app.services import streams
from app.web.transactions import FarmId, reading

router = APIRouter(include_in_schema=False)
BEAT_S = 15.0


def watcher(request: Request, farm_id: FarmId) -> streams.Watcher:
    """Rights are checked before the stream starts, so that a stranger gets a plain 404."""
    with reading(request) as work:
        return streams.watch_farm(work, farm_id)


@router.get("/farms/{farm_id}/stream", name="streams.stream", response_class=EventSourceResponse)
async def stream(
    request: Request, farm_id: FarmId, seq: int | None = None, who: streams.Watcher = Depends(watcher)
) -> AsyncIterator[ServerSentEvent]:
    """Changes after `Last-Event-ID` (or `seq`) first, then live. Ends when the right to see the farm ends."""
    bus = request.app.state.bus
    last = request.headers.get("last-event-id", "")
    since = int(last) if last.isdigit() else seq if seq is not None else who.seq
    listener = bus.join(farm_id, who.name)  # joined before catching up, so that nothing falls between
    try:
        words = ["changes"]
        while words[-1] != "end":
            if "changes" in words:
                changes = await run_in_threadpool(_changes, request, farm_id, since)
                if changes is None:
                    return
                for change in changes:
                    since = change.seq
                    yield ServerSentEvent(
                        raw_data=json.dumps({"seq": change.seq, "by": change.by, "parts": change.parts}),
                        id=str(change.seq),
                    )
                if len(changes) == streams.MOST:
                    continue  # there may be more, and nobody will wake this stream for it
            if "presence" in words:
                yield ServerSentEvent(event="presence", raw_data=json.dumps({"names": bus.names(farm_id)}))
            words = await _next_words(listener)
            if not words:
                words = ["changes"]  # also looks whether this person may still see the farm
                yield ServerSentEvent(event="beat", raw_data=str(since))
    finally:
        bus.leave(listener)


async def _next_words(listener) -> list[str]:
    try:
        words = [await asyncio.wait_for(listener.queue.get(), BEAT_S)]
    except TimeoutError:
        return []
    while not listener.queue.empty():
        words.append(listener.queue.get_nowait())
    return ["end"] if "end" in words else words


def _changes(request: Request, farm_id: int, since: int):
    try:
        with reading(request) as work:
            return streams.list_changes(work, farm_id, since)
    except AppError:
        return None
