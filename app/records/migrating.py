"""Bring a database up to this version of the app, with a copy made first."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from app.errors import Unavailable
from app.records.base import Database
from app.settings import outside_folder


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(outside_folder("migrations")))
    return config


def newest_revision() -> str | None:
    """The schema this app needs."""
    return ScriptDirectory.from_config(_config()).get_current_head()


def present_revision(database: Database) -> str | None:
    """The schema the database has; None when it is empty."""
    with database.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def migrate(database: Database, backups: Path | None = None) -> str:
    """Bring the schema up to date and say what was done. A schema this app does not know is refused."""
    present, newest = present_revision(database), newest_revision()
    if present == newest:
        return "up to date"
    known = {script.revision for script in ScriptDirectory.from_config(_config()).walk_revisions()}
    if present is not None and present not in known:
        raise Unavailable(
            f"The database has schema {present}, which this version of Swathboard does not know. "
            "It was made by a newer version: install that one, or restore a copy."
        )
    copy = back_up(database, backups) if present is not None and database.sqlite else None
    config = _config()
    with database.engine.connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
    return f"migrated from {present or 'empty'} to {newest}" + (f"; copy kept at {copy}" if copy else "")


def back_up(database: Database, folder: Path | None = None) -> Path:
    """A whole copy of a SQLite database, made while it may be written to; complete or not there at all."""
    source = Path(str(database.url.database))
    folder = folder or source.parent / "copies"
    folder.mkdir(parents=True, exist_ok=True)
    stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H%M%S-%f")
    target = folder / f"{source.stem}-{stamp}.sqlite"
    part = target.with_suffix(".part")
    try:
        with closing(sqlite3.connect(source)) as live, closing(sqlite3.connect(part)) as copy:
            live.backup(copy)
        part.rename(target)
    finally:
        part.unlink(missing_ok=True)
    return target
