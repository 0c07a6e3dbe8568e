"""Live pages over a crash and a stop, and copies of the database over writing and migrating."""

from __future__ import annotations

import http.client
import json
import signal
import sqlite3
import time
from contextlib import closing

import pytest
from alembic import command

from app.errors import Unavailable
from app.records import migrating
from app.records.base import Database
from app.records.migrating import back_up, migrate, newest_revision
from tests.faults.place import Place
from tests.faults.writers import Writer


@pytest.fixture
def place(tmp_path):
    made = Place(tmp_path)
    made.start()
    yield made
    made.end()


class Stream:
    """The live stream as a browser reads it: an id and the data of every change."""

    def __init__(self, place: Place, last_id: int | None = None) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", place.port, timeout=10)
        headers = {"Cookie": f"sid={place.cookies['crew']}"}
        if last_id is not None:
            headers["Last-Event-ID"] = str(last_id)
        self.line.request("GET", f"{place.farm}/stream", headers=headers)
        self.answer = self.line.getresponse()
        assert self.answer.status == 200

    def read(self, count: int) -> list[int]:
        """The ids of the next `count` changes, each with the same number inside."""
        ids: list[int] = []
        event: dict[str, str] = {}
        while len(ids) < count:
            line = self.answer.readline().decode().rstrip("\n")
            if line:
                name, _colon, value = line.partition(": ")
                event[name] = value
                continue
            if "id" in event and "event" not in event:
                assert json.loads(event["data"])["seq"] == int(event["id"])
                ids.append(int(event["id"]))
            event = {}
        return ids

    def close(self) -> None:
        self.answer.close()
        self.line.close()


def tick(place: Place, times: int) -> None:
    browser = place.browser("owner")
    for turn in range(times):
        assert browser.post(f"{place.list}/items/{place.item_ids[0]}/{'untick' if turn % 2 else 'tick'}")[0] == 303


def seq(place: Place) -> int:
    return place.rows("select seq from farms where id = ?", place.farm_id)[0][0]


def test_a_page_that_was_away_over_a_crash_hears_every_missed_change_once_and_in_order(place):
    stream, start = Stream(place), seq(place)
    tick(place, 4)
    heard = stream.read(2)
    place.kill()
    stream.close()
    place.start()
    tick(place, 6)
    again = Stream(place, heard[-1])
    heard += again.read(8)
    tick(place, 2)
    heard += again.read(2)
    again.close()
    assert heard == list(range(start + 1, start + 13))


def test_a_page_that_missed_more_than_is_handed_on_at_once_does_not_wait_for_the_rest(place):
    start = seq(place)
    with closing(sqlite3.connect(place.file)) as connection, connection:
        for number in range(start + 1, start + 1203):
            connection.execute(
                "insert into changes (farm_id, seq, at, by, verb, noun, name, fields, parts)"
                " values (?, ?, '2027-05-10 12:00:00', 'Ana', 'edit', 'items', '', '{}', '[]')",
                (place.farm_id, number),
            )
        connection.execute("update farms set seq = ? where id = ?", (start + 1202, place.farm_id))
    began = time.monotonic()
    stream = Stream(place, start)
    assert stream.read(1202) == list(range(start + 1, start + 1203))
    assert time.monotonic() - began < 5
    stream.close()


def test_a_stop_with_live_pages_open_and_people_writing_takes_less_than_five_seconds(place):
    streams = [Stream(place) for _ in range(20)]
    writer = Writer(place, 0)
    writer.up.set()
    writer.start()
    time.sleep(0.5)
    writer.up.clear()
    began = time.monotonic()
    place.process.send_signal(signal.SIGTERM)
    assert place.stop() == 0
    assert time.monotonic() - began < 5
    for stream in streams:
        stream.close()
    place.start()
    writer.ending.set()
    writer.up.set()
    writer.join(20)
    kept = [key.partition(":")[2] for (key,) in place.rows("select key from sendings")]
    assert writer.done and writer.wrong == []
    assert all(kept.count(each.key) == 1 for each in writer.done)


def test_a_copy_made_while_people_write_is_whole_and_holds_what_was_answered_before(place, tmp_path):
    """The drill: copy, put in the place of the file, start on it, see the same farm."""
    writers = [Writer(place, number) for number in range(4)]
    for writer in writers:
        writer.up.set()
        writer.start()
    copies = []
    for _ in range(3):
        time.sleep(0.3)
        answered = [each.key for writer in writers for each in list(writer.done)]
        database = Database(place.url)
        copies.append((back_up(database, tmp_path / "copies"), answered))
        database.close()
    for writer in writers:
        writer.ending.set()
    for writer in writers:
        writer.join(20)
    assert place.stop() == 0
    assert sorted(copy for copy, _answered in copies) == sorted((tmp_path / "copies").iterdir()), "no part is left"
    for copy, answered in copies:
        place.file = copy
        kept = {key.partition(":")[2] for (key,) in place.rows("select key from sendings")}
        assert answered and set(answered) <= kept
        assert place.is_whole() and place.has_every_seq_once()
    place.url = f"sqlite:///{place.file}"
    place.start()
    assert place.browser("owner").get(f"{place.farm}/checklists")[0] == 200
    tick(place, 2)
    assert place.has_every_seq_once()


def test_a_copy_that_cannot_be_made_leaves_no_part_behind(place, tmp_path, monkeypatch):
    class Broken(sqlite3.Connection):
        def backup(self, target, **more):
            raise sqlite3.OperationalError("database or disk is full")

    connect = sqlite3.connect
    monkeypatch.setattr(migrating.sqlite3, "connect", lambda path: connect(path, factory=Broken))
    database = Database(place.url)
    with pytest.raises(sqlite3.OperationalError):
        back_up(database, tmp_path / "copies")
    database.close()
    assert list((tmp_path / "copies").iterdir()) == []


def test_the_database_is_copied_before_it_is_migrated(tmp_path):
    database = Database(f"sqlite:///{tmp_path / 'old.sqlite'}")
    config = migrating._config()
    with database.engine.connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, _first_revision())
    assert migrate(database, tmp_path / "copies").startswith(f"migrated from {_first_revision()} to")
    database.close()
    (copy,) = (tmp_path / "copies").iterdir()
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("select version_num from alembic_version").fetchall() == [(_first_revision(),)]
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def _first_revision() -> str:
    from alembic.script import ScriptDirectory

    return ScriptDirectory.from_config(migrating._config()).get_base()


def test_an_older_app_refuses_a_newer_schema_and_changes_nothing(place):
    assert place.stop() == 0
    with closing(sqlite3.connect(place.file)) as connection, connection:
        connection.execute("update alembic_version set version_num = 'from_next_year'")
    before = place.file.read_bytes()
    database = Database(place.url)
    with pytest.raises(Unavailable, match="newer version"):
        migrate(database)
    database.close()
    with pytest.raises(RuntimeError, match="newer version") as told:
        place.start()
    assert "Traceback" not in str(told.value)
    assert place.file.read_bytes() == before
    assert newest_revision() != "from_next_year"
