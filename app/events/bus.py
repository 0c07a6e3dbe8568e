"""In this process: hand each committed change to the streams that are open, and know who is looking."""

from __future__ import annotations

import asyncio
import threading
from collections import defaultdict
from dataclasses import dataclass, field


@dataclass(eq=False)
class Listener:
    """One open page of one farm."""

    farm_id: int
    name: str
    loop: asyncio.AbstractEventLoop
    queue: asyncio.Queue[str] = field(default_factory=lambda: asyncio.Queue(maxsize=64))


class Bus:
    """Listeners by farm. `publish` may be called from any thread; what it hands on is only that farm's newest seq."""

    def __init__(self) -> None:
        self._listeners: dict[int, set[Listener]] = defaultdict(set)
        self._lock = threading.Lock()

    def join(self, farm_id: int, name: str) -> Listener:
        listener = Listener(farm_id, name, asyncio.get_running_loop())
        with self._lock:
            self._listeners[farm_id].add(listener)
        self._wake(farm_id, "presence")
        return listener

    def leave(self, listener: Listener) -> None:
        with self._lock:
            self._listeners[listener.farm_id].discard(listener)
            if not self._listeners[listener.farm_id]:
                del self._listeners[listener.farm_id]
        self._wake(listener.farm_id, "presence")

    def publish(self, farm_id: int) -> None:
        """Tell every open page of the farm that there are changes to fetch."""
        self._wake(farm_id, "changes")

    def close(self) -> None:
        """Tell every open page to end, so that the process can stop."""
        for farm_id in list(self._listeners):
            self._wake(farm_id, "end")

    def names(self, farm_id: int) -> list[str]:
        """Who is looking at the farm now, each once."""
        with self._lock:
            return sorted({listener.name for listener in self._listeners.get(farm_id, ())})

    def farms(self) -> list[int]:
        with self._lock:
            return list(self._listeners)

    def _wake(self, farm_id: int, word: str) -> None:
        with self._lock:
            listeners = list(self._listeners.get(farm_id, ()))
        for listener in listeners:
            try:
                listener.loop.call_soon_threadsafe(_offer, listener.queue, word)
            except RuntimeError:  # its loop has ended; the stream's own clean-up takes it out
                continue


def _offer(queue: asyncio.Queue[str], word: str) -> None:
    if word == "end" and queue.full():
        queue.get_nowait()
    if not queue.full():  # a full queue already holds a wake-up; the reader catches up from the database
        queue.put_nowait(word)
