"""`python -m seed_demo [--on DATE] [--database URL]`: put the invented farms into an empty database."""

from __future__ import annotations

import argparse
import sys
from datetime import date

from app.access.work import SYSTEM, Clock, Work
from app.records.base import Database
from app.records.migrating import migrate
from app.services import accounts
from app.settings import Settings
from seed_demo import demo_day, seed


def main(arguments: list[str] | None = None) -> int:
    """Seed and say who can come in. 1 when the database is not empty."""
    parser = argparse.ArgumentParser(prog="python -m seed_demo", description=__doc__)
    parser.add_argument("--on", type=date.fromisoformat, metavar="DATE", help="the day to stand on, such as 2027-05-10")
    parser.add_argument("--database", metavar="URL", help="the database of the settings unless given")
    chosen = parser.parse_args(arguments)
    settings = Settings()
    day = chosen.on or settings.today or demo_day(date.today())
    database = Database(chosen.database or settings.database)
    try:
        migrate(database, settings.backups)
        with database.reading() as session:
            is_empty = accounts.is_empty(Work(session, SYSTEM, Clock(day)))
        if not is_empty:
            print(
                "Not done: there are accounts in this database already; the demo needs an empty one.", file=sys.stderr
            )
            return 1
        print(f"The demo stands on {day}.")
        print("\n".join(seed(database, Clock(day))))
    finally:
        database.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
