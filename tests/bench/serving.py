"""A server of its own process on a throw-away database, for measurements."""

from __future__ import annotations

import os
import platform
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from app.access.work import SYSTEM, Clock, Work
from app.records.base import Database
from app.records.migrating import migrate
from app.services import accounts
from tests.builders.large_farm import fill_farm
from tests.builders.people import make_team

TODAY = date(2027, 5, 10)


@dataclass(frozen=True)
class Server:
    """Where it answers, which farm, and a signed-in cookie by role."""

    address: str
    farm_id: int
    cookies: dict[str, str]
    pid: int

    @property
    def farm(self) -> str:
        return f"{self.address}/farms/{self.farm_id}"


def machine() -> str:
    """What the figures were measured on, in a few words."""
    return f"{os.cpu_count()} cores, Python {platform.python_version()}, {platform.system()} {platform.machine()}"


@contextmanager
def serving(fields_count: int = 40) -> Iterator[Server]:
    """Start `swathboard run` on a farm with that many fields; ended by its process id."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'bench.sqlite'}"
        farm_id, cookies = _fill(url, fields_count)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        setting = {"DATABASE": url, "PORT": str(port), "TODAY": TODAY.isoformat()}
        env = os.environ | {f"SWATHBOARD_{name}": value for name, value in setting.items()}
        process = subprocess.Popen([sys.executable, "-m", "app", "run"], env=env, stdout=subprocess.DEVNULL)
        try:
            _wait(f"http://127.0.0.1:{port}/sign-in", process)
            yield Server(f"http://127.0.0.1:{port}", farm_id, cookies, process.pid)
        finally:
            process.terminate()
            process.wait(10)


def _fill(url: str, fields_count: int) -> tuple[int, dict[str, str]]:
    database = Database(url)
    migrate(database)
    with database.writing() as session:
        work = Work(session, SYSTEM, Clock(TODAY))
        team = make_team(work)
        fill_farm(work, team.farm.id, fields_count, TODAY)
        cookies = {role: accounts.start_sign_in(work, person, "bench", 1).token for role, person in team.people.items()}
        session.commit()
        farm_id = team.farm.id
    database.close()
    return farm_id, cookies


def _wait(address: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(200):
        if process.poll() is not None:
            raise RuntimeError(f"the server ended with {process.returncode}")
        try:
            urllib.request.urlopen(address, timeout=1).read()
            return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("the server did not answer within 20 s")


def table(title: str, rows: list[tuple[str, str, str, str]]) -> None:
    """Print what was measured, against what was to be reached."""
    print(f"\n{title} ({machine()})\n")
    print("| what | target | measured | met |\n|---|---|---|---|")
    for row in rows:
        print("| " + " | ".join(row) + " |")


def met(is_met: bool) -> str:
    return "yes" if is_met else "no"
