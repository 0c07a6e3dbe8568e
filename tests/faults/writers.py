"""People who write all the time, note every answer, and send again what got none, as a phone does."""

from __future__ import annotations

import threading
import time
import uuid
from dataclasses import dataclass, field

from tests.faults.place import Away, Browser, Place

SPOTS = {"spots_count": "2", "stage_1": "vegetative", "height_cm_1": "24", "stage_2": "bud", "height_cm_2": "25.5"}
KINDS = (*(("tick", "note", "tick", "edit", "tick", "note", "tick", "scout") * 8)[:-1], "add")
WALK = {"scouted_on": "2027-05-10", "cutting": "1", **SPOTS}


@dataclass(frozen=True)
class Saved:
    """One acknowledged write: its once-only key, what it was, a text that is nowhere else, and when it was answered."""

    key: str
    kind: str
    text: str
    at: float


@dataclass
class Writer(threading.Thread):
    """One person with items of their own: ticks, notes, edits, new items and scoutings in turn."""

    place: Place
    number: int
    role: str = "owner"
    done: list[Saved] = field(default_factory=list)
    sent_again: int = 0
    wrong: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)
        ids = self.place.item_ids
        self.tick_id, self.note_id, self.edit_id = (ids[(self.number * 3 + nth) % len(ids)] for nth in range(3))
        self.field_id = self.place.field_ids[self.number % len(self.place.field_ids)]
        self.ending, self.up = threading.Event(), threading.Event()
        self.ticked, self.note, self.title = False, "", ""

    def __hash__(self) -> int:
        return id(self)

    def run(self) -> None:
        browser = self.place.browser(self.role)
        turn = 0
        while not self.ending.is_set():
            self._save(browser, KINDS[turn % len(KINDS)], turn)
            turn += 1
        browser.close()

    def _save(self, browser: Browser, kind: str, turn: int) -> None:
        """Send until it is answered, each time with the same key; only then it counts."""
        key, text = uuid.uuid4().hex, f"w{self.number}-{turn}"
        path, form = getattr(self, f"_{kind}")(text)
        while True:
            try:
                status, page = browser.post(path, form, key)
            except Away:
                self.sent_again += 1
                self.up.wait()
                time.sleep(0.02)
                continue
            if status == 303:
                self.done.append(Saved(key, kind, text, time.monotonic()))
            else:
                self.wrong.append(f"{kind} {text}: {status} {page[-200:]}")
            return

    def _tick(self, _text: str) -> tuple[str, dict[str, str]]:
        self.ticked = not self.ticked
        return f"{self.place.list}/items/{self.tick_id}/{'tick' if self.ticked else 'untick'}", {}

    def _note(self, text: str) -> tuple[str, dict[str, str]]:
        was, self.note = self.note, text
        return f"{self.place.list}/items/{self.note_id}/note", {"note": text, "was_note": was}

    def _edit(self, text: str) -> tuple[str, dict[str, str]]:
        was, self.title = self.title, text
        seen = {"was_title": was} if was else {}
        return f"{self.place.list}/items/{self.edit_id}", {"title": text, **seen}

    def _add(self, text: str) -> tuple[str, dict[str, str]]:
        return f"{self.place.list}/items/new", {"title": text}

    def _scout(self, text: str) -> tuple[str, dict[str, str]]:
        return f"{self.place.farm}/fields/{self.field_id}/scout", WALK | {"note": text}
