"""Databases and clients for every test: SQLite always, PostgreSQL where SWATHBOARD_TEST_POSTGRES names a server."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import psycopg
import pytest

from app.access.work import SYSTEM, Clock, Work
from app.main import create_app
from app.records.base import Database
from app.records.migrating import migrate
from app.settings import Settings
from tests.builders.people import Team, make_team
from tests.builders.site import Site

POSTGRES = os.environ.get("SWATHBOARD_TEST_POSTGRES", "")
"""`postgresql://postgres@127.0.0.1:PORT` of a throw-away server (the test command starts one)."""
TODAY = date(2027, 5, 10)


@pytest.fixture(scope="session")
def sqlite_master(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated, empty SQLite file that tests copy."""
    path = tmp_path_factory.mktemp("master") / "empty.sqlite"
    database = Database(f"sqlite:///{path}")
    migrate(database)
    with database.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    database.close()
    return path


@pytest.fixture(scope="session")
def postgres_master() -> Iterator[str]:
    """The name of a migrated, empty PostgreSQL database that tests use as a template."""
    name = f"master_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(POSTGRES, autocommit=True, dbname="postgres") as server:
        server.execute(f"create database {name}")
    database = Database(_sqlalchemy_url(name))
    migrate(database)
    database.close()
    yield name
    with psycopg.connect(POSTGRES, autocommit=True, dbname="postgres") as server:
        server.execute(f"drop database {name} with (force)")


def _sqlalchemy_url(name: str) -> str:
    return POSTGRES.replace("postgresql://", "postgresql+psycopg://") + f"/{name}"


BACKENDS = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]


@pytest.fixture(params=BACKENDS)
def url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A migrated database of each kind, empty."""
    if request.param == "sqlite":
        master = request.getfixturevalue("sqlite_master")
        (tmp_path / "farm.sqlite").write_bytes(master.read_bytes())
        yield f"sqlite:///{tmp_path / 'farm.sqlite'}"
        return
    if not POSTGRES:
        pytest.skip("SWATHBOARD_TEST_POSTGRES names no server; the test command starts one")
    master, name = request.getfixturevalue("postgres_master"), f"test_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(POSTGRES, autocommit=True, dbname="postgres") as server:
        server.execute(f"create database {name} template {master}")
        yield _sqlalchemy_url(name)
        server.execute(f"drop database {name} with (force)")


@pytest.fixture
def work(url: str) -> Iterator[Work]:
    """A writing session as the machine itself, on 10 May 2027."""
    database = Database(url)
    with database.writing() as session:
        yield Work(session, SYSTEM, Clock(TODAY))
    database.close()


@pytest.fixture
def team(work: Work) -> Team:
    """Two farms with one person for every role, and a stranger with a farm of their own."""
    return make_team(work)


@pytest.fixture
def site(url: str) -> Iterator[Site]:
    """The whole app on a database with the two farms and their people; `site.as_(role)` is a browser."""
    app = create_app(Settings(database=url), Clock(TODAY))
    yield Site(app)
    app.state.database.close()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that drive Chromium share one worker (`--dist loadgroup`): two browsers at once only slow each other."""
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.xdist_group("browser"))
