"""The work of one request: who acts, when, and the database session it happens in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, tzinfo
from functools import wraps
from typing import Any, Concatenate, Literal, ParamSpec, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from app.access.permissions import ROLE_MAY, Permission
from app.settings import UPLOAD_MOST_BYTES

DatabaseAway = OperationalError
"""What the database raises when it cannot be reached or stays locked; pages know it by this name."""


@dataclass(frozen=True)
class Clock:
    """Now and today; with `stands_on` the app behaves as if it were that day (demo, drills)."""

    stands_on: date | None = None
    read: Callable[[], datetime] = lambda: datetime.now(UTC)

    def now(self) -> datetime:
        return self.read()

    def today(self, zone: tzinfo) -> date:
        return self.stands_on or self.now().astimezone(zone).date()

    def moment(self, zone: tzinfo) -> datetime:
        """Now, moved to the day it stands on, for 'yesterday' and 'today' in lists."""
        now = self.now()
        if self.stands_on is None:
            return now
        return datetime.combine(self.stands_on, now.astimezone(zone).time() or time(12), tzinfo=zone)


def zone_of(name: str | None) -> tzinfo:
    """The time zone of that name, or UTC where the name is not known."""
    try:
        return ZoneInfo(name or "UTC")
    except (ZoneInfoNotFoundError, ValueError):
        return UTC


@dataclass(frozen=True)
class Actor:
    """Who acts: an account with its roles by farm, or nobody (`account_id` None)."""

    account_id: int | None = None
    name: str = ""
    email: str | None = None
    language: str = "en"
    units: Literal["us", "metric"] = "us"
    roles: Mapping[int, str] = field(default_factory=dict)
    sign_in_id: int | None = None
    only_farm_id: int | None = None
    seen_at: datetime | None = None
    """When this sign-in was last noted to be in use."""

    def role_on(self, farm_id: int) -> str | None:
        if self.only_farm_id is not None and farm_id != self.only_farm_id:
            return None
        return self.roles.get(farm_id)

    def may(self, permission: Permission | str, farm_id: int) -> bool:
        role = self.role_on(farm_id)
        return role is not None and permission in ROLE_MAY[role]

    @property
    def farm_ids(self) -> list[int]:
        return sorted(farm_id for farm_id in self.roles if self.only_farm_id in (None, farm_id))


NOBODY = Actor()
SYSTEM = Actor(name="Swathboard")
"""Acts for commands run on the machine itself (import, demo, set-up); passes every gate."""


@dataclass
class Work:
    """One request's session, actor and clock; `told` collects what open pages must hear after the commit."""

    session: Session
    actor: Actor
    clock: Clock = field(default_factory=Clock)
    upload_most_bytes: int = UPLOAD_MOST_BYTES
    told: list[tuple[int, int]] = field(default_factory=list)
    """(farm id, seq) of the changes made, oldest first."""
    kept: dict[tuple, Any] = field(default_factory=dict, repr=False)
    """What was read in this request already, see `remembered`; emptied by every change."""

    def now(self) -> datetime:
        return self.clock.now()

    def today(self, time_zone: str | None) -> date:
        return self.clock.today(zone_of(time_zone))


Given = ParamSpec("Given")
Found = TypeVar("Found")


def remembered(read: Callable[Concatenate[Work, Given], Found]) -> Callable[Concatenate[Work, Given], Found]:
    """Let a read be done once per request however many services ask for it. Arguments must be hashable."""

    @wraps(read)
    def look(work: Work, *given: Given.args, **named: Given.kwargs) -> Found:
        key = (read, id(work.actor), given, tuple(sorted(named.items())))
        if key not in work.kept:
            work.kept[key] = read(work, *given, **named)
        return work.kept[key]

    return look
