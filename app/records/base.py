"""The one metadata object, its constraint names, how a database is opened, and columns that many tables share."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import DateTime, Engine, ForeignKey, MetaData, create_engine, event
from sqlalchemy.engine import URL, Connection, make_url
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import DeclarativeBase, Mapped, Session, mapped_column, sessionmaker
from sqlalchemy.types import TypeDecorator

WAITS_S = 5.0
"""How long a write waits for others to finish, in this process and in others together, before it is given up."""

NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Instant(TypeDecorator[datetime]):
    """A moment in UTC; SQLite forgets the zone, so it is put back on the way out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Any) -> datetime | None:
        return value.astimezone(UTC) if value is not None else None

    def process_result_value(self, value: datetime | None, dialect: Any) -> datetime | None:
        return value.replace(tzinfo=UTC) if value is not None and value.tzinfo is None else value


class Row(DeclarativeBase):
    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {datetime: Instant}


class OfFarm:
    """A row that belongs to one farm."""

    farm_id: Mapped[int] = mapped_column(ForeignKey("farms.id", ondelete="CASCADE"), index=True)


class Edited:
    """A row that two people may edit: `version` counts the changes."""

    version: Mapped[int] = mapped_column(default=1, server_default="1")


class Appended:
    """A reading that is never changed: a later row may correct it, and says which."""

    noted_at: Mapped[datetime]
    account_id: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))


class Database:
    """An open database: sessions for reading and, under one lock, for writing."""

    def __init__(self, url: str) -> None:
        self.url = make_url(url)
        self.sqlite = self.url.get_backend_name() == "sqlite"
        if self.sqlite and self.url.database not in (None, "", ":memory:"):
            Path(self.url.database).parent.mkdir(parents=True, exist_ok=True)
        self.engine = _open_sqlite(url) if self.sqlite else _open_postgres(self.url)
        self.lock = threading.Lock()
        self._read = sessionmaker(self.engine, expire_on_commit=False)
        self._write = sessionmaker(self.engine.execution_options(sqlite_begin="IMMEDIATE"), expire_on_commit=False)

    def reading(self) -> Session:
        return self._read()

    def writing(self) -> Session:
        """A session for a write; hold `lock` from before its first statement until after its commit."""
        return self._write()

    @contextmanager
    def writing_alone(self, wait_s: float = WAITS_S) -> Iterator[Session]:
        """A session that has the lock and whose transaction has begun; OperationalError after `wait_s` of waiting."""
        until = time.monotonic() + wait_s
        if not self.lock.acquire(timeout=wait_s):
            raise OperationalError("BEGIN", None, TimeoutError(f"others were still writing after {wait_s:g} s"))
        try:
            with self._write() as session:
                left_ms = max(0, int(1000 * (until - time.monotonic())))
                session.connection(execution_options={"sqlite_wait_ms": left_ms})
                yield session
        finally:
            self.lock.release()

    def close(self) -> None:
        self.engine.dispose()


def _open_sqlite(url: str) -> Engine:
    engine = create_engine(url, connect_args={"timeout": WAITS_S, "check_same_thread": False})

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        for pragma in (f"busy_timeout={WAITS_S * 1000:.0f}", "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        connection.exec_driver_sql(f"PRAGMA busy_timeout={options.get('sqlite_wait_ms', WAITS_S * 1000):.0f}")
        connection.exec_driver_sql(f"BEGIN {options.get('sqlite_begin', 'DEFERRED')}")

    return engine


def _open_postgres(url: URL) -> Engine:
    """As patient as SQLite: without a limit a write would wait for another's lock for ever."""
    limits = {} if "options" in url.query else {"options": f"-c lock_timeout={WAITS_S:g}s"}
    return create_engine(url, pool_size=8, pool_pre_ping=True, connect_args={"connect_timeout": 5, **limits})
