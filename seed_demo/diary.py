"""What people did, day by day: put down in any order, then done in order, each as the person who did it.

Nothing that lies after the moment the demo stands on is done, so one story serves every day of the year.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta, tzinfo
from typing import Any

from app.access.work import SYSTEM, Clock, Work
from app.records.base import Database
from seed_demo.cast import Person

Act = Callable[[Work], Any]
MORNING_H = 10.0
BATCH = 250
"""Entries written in one transaction."""


@dataclass
class Diary:
    """The entries of one farm."""

    zone: tzinfo
    until: datetime
    entries: list[tuple[datetime, Person | None, Act]] = field(default_factory=list)

    @property
    def today(self) -> date:
        return self.until.date()

    def on(self, day: date, person: Person | None, act: Act, hour: float = 9.0) -> None:
        """Somebody does something on a day; without a person the machine does it.

        What is planned for later today has not happened yet; what belongs to the morning has, however early it is.
        """
        planned = datetime.combine(day, time(), tzinfo=self.zone) + timedelta(hours=hour)
        if planned > self.until and day == self.today and hour < MORNING_H:
            planned = self.until - timedelta(minutes=5)
        if planned <= self.until:
            self.entries.append((planned, person, act))

    def write(self, database: Database) -> None:
        """Do everything, oldest first."""
        ordered = sorted(self.entries, key=lambda entry: entry[0])
        for start in range(0, len(ordered), BATCH):
            with writing(database) as session:
                for at, person, act in ordered[start : start + BATCH]:
                    act(Work(session, person.actor() if person else SYSTEM, moved_clock(at)))


def moved_clock(at: datetime) -> Clock:
    """A clock that shows that moment."""
    return Clock(at.date(), lambda: at)


@contextmanager
def writing(database: Database) -> Iterator[Any]:
    """One transaction, committed at its end."""
    with database.lock, database.writing() as session:
        yield session
        session.commit()
