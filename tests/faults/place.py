"""A real server on a folder of its own, which can be killed, stopped and started again on the same port."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.parse
import uuid
from collections.abc import Mapping
from contextlib import closing
from datetime import date
from pathlib import Path

from app.access.work import SYSTEM, Clock, Work
from app.records.base import Database
from app.records.migrating import migrate
from app.services import accounts, checklists
from tests.builders.crops import a_field, a_stand
from tests.builders.people import make_team
from tests.builders.yard import drawn_yard

TODAY = date(2027, 5, 10)
ROOT = Path(__file__).parents[2]


class Away(Exception):
    """The server gave no answer: it may or may not have saved."""


class Browser:
    """One connection that is kept open, signed in as one person."""

    def __init__(self, port: int, cookie: str, patience_s: float = 20) -> None:
        self.port, self.cookie, self.patience_s = port, cookie, patience_s
        self._line: http.client.HTTPConnection | None = None

    def get(self, path: str) -> tuple[int, str]:
        return self._ask("GET", path)

    def post(self, path: str, form: Mapping[str, str] | None = None, once: str | None = None) -> tuple[int, str]:
        """Send a form as a page would, with its once-only key; the same `once` is the same sending."""
        return self._ask("POST", path, urllib.parse.urlencode({"once": once or uuid.uuid4().hex, **(form or {})}))

    def _ask(self, method: str, path: str, body: str | None = None) -> tuple[int, str]:
        headers = {"Cookie": f"sid={self.cookie}", "Content-Type": "application/x-www-form-urlencoded"}
        try:
            if self._line is None:
                self._line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=self.patience_s)
            self._line.request(method, path, body, headers)
            answer = self._line.getresponse()
            return answer.status, answer.read().decode()
        except (OSError, http.client.HTTPException) as gone:
            self.close()
            raise Away(str(gone)) from gone

    def close(self) -> None:
        if self._line is not None:
            self._line.close()
        self._line = None


class Place:
    """The database in `folder`, the server on it, and what to write to."""

    def __init__(self, folder: Path, fields_count: int = 4, module: str = "app") -> None:
        self.file, self.module = folder / "farm.sqlite", module
        self.url = f"sqlite:///{self.file}"
        self.process: subprocess.Popen[bytes] | None = None
        self._fill(fields_count)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port: int = free.getsockname()[1]
        self.farm = f"/farms/{self.farm_id}"
        self.list = f"{self.farm}/checklists/{self.list_id}"

    def _fill(self, fields_count: int) -> None:
        database = Database(self.url)
        migrate(database)
        with database.writing_alone() as session:
            work = Work(session, SYSTEM, Clock(TODAY))
            team = make_team(work)
            self.farm_id, self.other_id = team.farm.id, team.other.id
            self.field_ids = [a_field(work, self.farm_id, name=f"Field {n + 1}").id for n in range(fields_count)]
            for field_id in self.field_ids:
                a_stand(work, self.farm_id, field_id)
            checklist = drawn_yard(work, self.farm_id)
            self.list_id = checklist.id
            lines = checklists.list_page(work, self.farm_id, checklist.id).lines
            self.item_ids = [line.row.id for line in lines if line.need is None]
            self.cookies = {
                role: accounts.start_sign_in(work, person, "test", 30).token for role, person in team.people.items()
            }
            session.commit()
        database.close()

    def launch(self, **more: str) -> None:
        """Begin to start it, without waiting."""
        setting = {"DATABASE": self.url, "PORT": str(self.port), "TODAY": TODAY.isoformat()} | more
        env = os.environ | {f"SWATHBOARD_{name}": value for name, value in setting.items()}
        command, quiet = [sys.executable, "-m", self.module, "run"], subprocess.DEVNULL
        self.process = subprocess.Popen(command, cwd=ROOT, env=env, stdout=quiet, stderr=subprocess.PIPE)

    def start(self, **more: str) -> float:
        """Start it; seconds until the first page is answered."""
        began = time.monotonic()
        self.launch(**more)
        assert self.process is not None and self.process.stderr is not None
        while time.monotonic() - began < 30:
            if self.process.poll() is not None:
                raise RuntimeError(f"the server ended: {self.process.stderr.read().decode()}")
            try:
                if self.browser("owner").get(self.farm + "/checklists")[0] == 200:
                    return time.monotonic() - began
            except Away:
                time.sleep(0.02)
        raise RuntimeError("the server did not answer within 30 s")

    def browser(self, role: str) -> Browser:
        return Browser(self.port, self.cookies[role])

    def kill(self) -> None:
        """End it as a crash would: nothing is handed over, nothing is closed."""
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self._gone()

    def stop(self, within_s: float = 10) -> int:
        """Ask it to stop, and give its exit code."""
        assert self.process is not None
        self.process.terminate()
        self.process.wait(within_s)
        return self._gone()

    def _gone(self) -> int:
        assert self.process is not None
        code = self.process.wait(10)
        self.log = self.process.stderr.read().decode()  # type: ignore[union-attr]
        self.process.stderr.close()  # type: ignore[union-attr]
        self.process = None
        return code

    def end(self) -> None:
        """Whatever state it is in, leave no process behind."""
        if self.process is not None:
            self.kill()

    def rows(self, statement: str, *values: object) -> list[tuple]:
        """Read the file as it lies there, without the app."""
        with closing(sqlite3.connect(self.file)) as connection:
            return connection.execute(statement, values).fetchall()

    def is_whole(self) -> bool:
        return self.rows("PRAGMA integrity_check") == [("ok",)] and self.rows("PRAGMA foreign_key_check") == []

    def has_every_seq_once(self) -> bool:
        """Every farm's history is numbered 1, 2, 3 ... up to the farm's own counter."""
        count = "select farms.seq, count(changes.seq), coalesce(max(changes.seq), 0), count(distinct changes.seq)"
        found = self.rows(f"{count} from farms left join changes on changes.farm_id = farms.id group by farms.id")
        return bool(found) and all(len(set(numbers)) == 1 for numbers in found)
