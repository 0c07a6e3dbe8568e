"""A database that is locked, full or read-only: pages go on, writes say so in plain words, and it mends by itself."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import event

from app.records.base import WAITS_S
from tests.faults.place import Place

HOLD = """
import sqlite3, sys
held = sqlite3.connect(sys.argv[1], isolation_level=None)
held.execute("BEGIN IMMEDIATE")
print("held", flush=True)
sys.stdin.readline()
held.execute("ROLLBACK")
"""
HELD_S = float(os.environ.get("SWATHBOARD_TEST_HELD_S", "10"))
"""How long the lock is held against a write that waits five; 30 where it was measured."""

PAGES = ("", "/checklists", "/fields", "/feed")


@pytest.fixture
def place(tmp_path):
    made = Place(tmp_path)
    made.start()
    yield made
    made.end()


@contextmanager
def held_by_another_process(file: Path) -> Iterator[subprocess.Popen]:
    """The write lock, in a process that is none of the app's."""
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(file)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout.readline() == "held\n"
    try:
        yield holder
    finally:
        holder.communicate("\n", timeout=10)


def say(place: Place, text: str, item: int = 0) -> tuple[int, str, float]:
    began = time.monotonic()
    status, page = place.browser("owner").post(f"{place.list}/note", {"item": str(place.item_ids[item]), "text": text})
    return status, page, time.monotonic() - began


def notes(place: Place) -> str:
    return "\n".join(note for (note,) in place.rows("select note from items where note is not null"))


def pages_take(place: Place) -> float:
    """Seconds of the slowest page; every one must be there."""
    slowest, browser = 0.0, place.browser("crew")
    for page in ("/farms", *(place.farm + page for page in PAGES)):
        began = time.monotonic()
        assert browser.get(page)[0] == 200, page
        slowest = max(slowest, time.monotonic() - began)
    return slowest


def is_plain(page: str, *words: str) -> bool:
    return all(word in page for word in words) and "Traceback" not in page and "sqlite" not in page.lower()


def test_a_write_waits_while_another_process_holds_the_lock_for_three_seconds(place):
    with held_by_another_process(place.file) as holder:
        threading.Timer(3, lambda: (holder.stdin.write("\n"), holder.stdin.flush())).start()
        status, _page, took_s = say(place, "waited")
        assert status == 303 and 2 < took_s < WAITS_S
        holder.wait(5)
    assert "waited" in notes(place)


def test_a_write_is_given_up_in_plain_words_when_the_lock_is_held_for_long(place):
    """More people write at once than requests are worked on at once, so that the pages are tried hardest."""
    pages_take(place)
    before = place.rows("select seq from farms where id = ?", place.farm_id)
    answers: list[tuple[int, str, float]] = []
    with held_by_another_process(place.file):
        began = time.monotonic()
        writing = [threading.Thread(target=lambda n=n: answers.append(say(place, f"lost {n}", n))) for n in range(12)]
        for thread in writing:
            thread.start()
        time.sleep(0.5)
        assert pages_take(place) < 2, "pages do not wait for the lock"
        for thread in writing:
            thread.join()
        while time.monotonic() - began < HELD_S:
            assert pages_take(place) < 2
            time.sleep(2)
        answers.append(say(place, "lost too"))
    assert [status for status, _page, _took in answers] == [503] * 13
    assert max(took for _status, _page, took in answers) < WAITS_S + 1.5
    assert all(is_plain(page, "did not answer in time", "Nothing was saved") for _status, page, _took in answers)
    assert place.rows("select seq from farms where id = ?", place.farm_id) == before
    assert say(place, "saved again")[0] == 303, "it goes on without a restart"
    assert "saved again" in notes(place) and "lost" not in notes(place)
    assert place.stop() == 0 and "Traceback" not in place.log


def test_a_disk_that_refuses_every_write_is_told_and_nothing_is_half_saved(place):
    """The kernel refuses the running server to write into any file (RLIMIT_FSIZE), then allows it."""
    assert say(place, "before")[0] == 303
    usual = resource.prlimit(place.process.pid, resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))
    status, page, _took = say(place, "refused")
    assert status == 503 and is_plain(page, "The disk of the server", "Nothing was saved")
    assert pages_take(place) < 2
    resource.prlimit(place.process.pid, resource.RLIMIT_FSIZE, usual)
    assert say(place, "after")[0] == 303
    assert "before" in notes(place) and "after" in notes(place) and "refused" not in notes(place)
    assert place.is_whole() and place.has_every_seq_once()
    assert place.stop() == 0 and "Traceback" not in place.log


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 4 MB of its own; only root may make one."""
    folder = tmp_path / "small"
    folder.mkdir()
    made = shutil.which("mount") and os.geteuid() == 0 and subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(folder)], capture_output=True, check=False
    ).returncode == 0  # fmt: skip
    if not made:
        pytest.skip("no right to make a small disk; a refused write is tested without it above")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_is_told_and_goes_on_once_there_is_room(small_disk):
    place = Place(small_disk)
    try:
        place.start()
        assert say(place, "before")[0] == 303
        filler = small_disk / "filler"
        with filler.open("wb", buffering=0) as file, pytest.raises(OSError):
            while True:
                file.write(b"x" * 4096)
        saved, full = [], ""
        for turn in range(400):  # what the log still has room for is saved, then it is full
            status, page, _took = say(place, f"turn {turn}.", turn % len(place.item_ids))
            assert status in (303, 503)
            if status == 503:
                full = page
                break
            saved.append(f"turn {turn}.")
        assert is_plain(full, "The disk of the server is full", "Nothing was saved")
        assert pages_take(place) < 2
        filler.unlink()
        assert say(place, "room again")[0] == 303
        assert all(text in notes(place) for text in ["before", *saved, "room again"])
        assert f"turn {len(saved)}." not in notes(place)
        assert place.is_whole() and place.has_every_seq_once()
        assert place.stop() == 0 and "Traceback" not in place.log
    finally:
        place.end()


def test_a_read_only_database_is_told_in_the_readers_language_and_goes_on_later(site):
    """SQLite itself refuses (`query_only`), as it does on a disk mounted read-only."""
    address = f"/farms/{site.farm_id}/fields/new"
    owner, engine = site.as_("owner"), site.app.state.database.engine
    if not site.app.state.database.sqlite:
        pytest.skip("a matter of SQLite files")
    _on_every_connection(engine, "query_only=ON")
    refused = owner.post(address, {"name": "Long Acre", "area_ha": "20"})
    assert refused.status_code == 503 and is_plain(refused.text, "may only read its database", "Nothing was saved")
    spanish = owner.post(address, {"name": "Long Acre"}, headers={"Cookie": "language=es"})
    assert spanish.status_code == 503 and "solo puede leer su base de datos" in spanish.text
    assert owner.get(f"/farms/{site.farm_id}/fields").status_code == 200
    _on_every_connection(engine, "query_only=OFF")
    assert owner.post(address, {"name": "Long Acre", "area_ha": "20"}).status_code == 303
    assert "Long Acre" in owner.get(f"/farms/{site.farm_id}/fields").text


def _on_every_connection(engine, pragma: str) -> None:
    engine.dispose()

    @event.listens_for(engine, "connect")
    def set_it(connection, _record):
        connection.execute(f"PRAGMA {pragma}")


@pytest.mark.parametrize("url", [pytest.param("postgres", marks=pytest.mark.postgres)], indirect=True)
def test_a_row_that_another_process_holds_in_postgresql_is_given_up_as_well(url, site):
    """Without a limit PostgreSQL would let the write wait for ever."""
    owner, address = site.as_("owner"), f"/farms/{site.farm_id}/fields/new"
    with psycopg.connect(url.replace("+psycopg", "")) as other:
        other.execute("select seq from farms where id = %s for update", [site.farm_id])
        began = time.monotonic()
        refused = owner.post(address, {"name": "Long Acre", "area_ha": "20"})
        assert refused.status_code == 503 and is_plain(refused.text, "Nothing was saved")
        assert time.monotonic() - began < WAITS_S + 1.5
        assert owner.get(f"/farms/{site.farm_id}/fields").status_code == 200
    assert owner.post(address, {"name": "Long Acre", "area_ha": "20"}).status_code == 303
