"""A row per farm for whoever follows several: the figures of each board, and which farm needs attention and why."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from app.access.work import Work
from app.planning.estimates import DateEstimate, Estimate
from app.records.accounts import Membership
from app.records.farms import Farm, Snapshot
from app.services.attention import PRESSES, attention
from app.services.board import BoardPage, board_page
from app.units.sentences import Sentence, packed, unpacked

NAME = "row"
SHAPE = 2
"""What a kept body looks like; one kept in another shape is worked out anew."""
PAST_D, AHEAD_D = 5, 45
NOTHING = Sentence("Nothing presses.")


@dataclass(frozen=True)
class Due:
    """An open item that comes up next."""

    title: str
    on: date | None
    owner: str | None


@dataclass(frozen=True)
class FarmRow:
    """One farm today. `body` holds plain values so that it can be kept; use the properties."""

    farm_id: int
    name: str
    place: str | None
    role: str
    seq: int
    today: date
    body: dict[str, Any]

    @property
    def reasons(self) -> tuple[Sentence, ...]:
        """Why the farm needs attention, the most pressing first."""
        return tuple(said for _key, _weight, kept in self.body["attention"] if (said := unpacked(kept))) or (NOTHING,)

    @property
    def presses(self) -> frozenset[str]:
        """What presses, as keys of `attention.PRESSES`."""
        return frozenset(key for key, _weight, _kept in self.body["attention"])

    @property
    def weight(self) -> float:
        """How much it presses: the sum of its reasons."""
        return math.fsum(weight for _key, weight, _kept in self.body["attention"])

    @property
    def questions(self) -> tuple[str, ...]:
        """What the farm has to decide, oldest first."""
        return tuple(self.body["questions"])

    @property
    def dues(self) -> tuple[Due, ...]:
        """What is due next on the list of what has to be ready."""
        return tuple(Due(title, date.fromisoformat(on) if on else None, who) for title, on, who in self.body["dues"])

    def says(self, key: str) -> Sentence | None:
        return unpacked(self.body[key])

    @property
    def cut_says(self) -> tuple[Sentence, ...]:
        return tuple(said for kept in self.body["cut_says"] if (said := unpacked(kept)))

    def figure(self, key: str) -> float:
        value = self.body[key]
        return math.nan if value is None else float(value)

    def day(self, key: str) -> date | None:
        return date.fromisoformat(self.body[key]) if self.body[key] else None

    def value_on(self, key: str, day: date) -> float:
        """One of the daily series on that day; NaN outside it."""
        place = (day - date.fromisoformat(self.body["first_day"])).days
        return self.series(key)[place] if 0 <= place < len(self.body[key]) else math.nan

    @property
    def days(self) -> tuple[date, ...]:
        first = date.fromisoformat(self.body["first_day"])
        return tuple(first + timedelta(days=n) for n in range(len(self.body["ndf"])))

    def series(self, key: str) -> tuple[float, ...]:
        return tuple(math.nan if value is None else value for value in self.body[key])


def farm_rows(work: Work) -> tuple[list[FarmRow], list[FarmRow]]:
    """Every farm of this person, the one that needs attention most first; and those worked out anew just now."""
    kept = _kept(work)
    rows, fresh = [], []
    for farm, role in _farms(work):
        today = work.today(farm.time_zone)
        body = kept.get((farm.id, farm.seq, today))
        row = FarmRow(farm.id, farm.name, farm.place, role, farm.seq, today, body or row_body(work, farm.id, today))
        rows.append(row)
        fresh += [] if body else [row]
    return sorted(rows, key=lambda row: (-row.weight, row.name)), fresh


def chosen(
    rows: Iterable[FarmRow], named: str = "", presses: str = "", only: Iterable[int] = (), order: str = "attention"
) -> list[FarmRow]:
    """Those whose name or place holds the text, that press in that way, that were ticked; in the order asked for."""
    farms, looked_for = set(only), named.strip().casefold()
    found = [
        row
        for row in rows
        if looked_for in f"{row.name} {row.place or ''}".casefold()
        and (presses not in PRESSES or presses in row.presses)
        and (not farms or row.farm_id in farms)
    ]
    if order == "name":
        return sorted(found, key=lambda row: (row.name.casefold(), row.farm_id))
    if order == "start":
        return sorted(found, key=lambda row: (row.day("start") or date.max, row.name))
    return found


def keep_rows(work: Work, rows: list[FarmRow]) -> None:
    """Keep freshly worked out rows until the farm changes or the day is over; another process may have been faster."""
    try:
        with work.session.begin_nested():
            _keep(work, rows)
    except IntegrityError:
        return


def _keep(work: Work, rows: list[FarmRow]) -> None:
    known = {row.farm_id for row in rows}
    old = {
        each.farm_id: each
        for each in work.session.scalars(select(Snapshot).where(Snapshot.name == NAME, Snapshot.farm_id.in_(known)))
    }
    for row in rows:
        snapshot = old.get(row.farm_id) or Snapshot(farm_id=row.farm_id, name=NAME)
        snapshot.seq, snapshot.day_on, snapshot.body = row.seq, row.today, row.body
        work.session.add(snapshot)


def _farms(work: Work) -> list[tuple[Farm, str]]:
    mine = work.actor.farm_ids
    wanted = select(Farm, Membership.role).join(Membership, Membership.farm_id == Farm.id)
    rows = work.session.execute(wanted.where(Membership.account_id == work.actor.account_id, Farm.id.in_(mine)))
    return [(farm, role) for farm, role in rows]


def _kept(work: Work) -> dict[tuple[int, int, date], dict[str, Any]]:
    wanted = select(Snapshot).where(Snapshot.name == NAME, Snapshot.farm_id.in_(work.actor.farm_ids))
    rows = (row for row in work.session.scalars(wanted) if row.body.get("shape") == SHAPE)
    return {(row.farm_id, row.seq, row.day_on): row.body for row in rows}


def row_body(work: Work, farm_id: int, today: date) -> dict[str, Any]:
    """The figures of one farm's row as plain values."""
    board = board_page(work, farm_id)
    need, ready, cut, yard = board.need, board.ready, board.cut, board.yard
    first = today - timedelta(days=PAST_D)
    presses = sorted(attention(board, today), key=lambda each: -each.weight)
    return {
        "shape": SHAPE,
        "need": _plain(need.must_bring),
        "need_low": _plain(need.must_bring, "low"),
        "need_high": _plain(need.must_bring, "high"),
        "ndf_most": _plain(need.ndf_ceiling),
        "need_says": packed(need.says),
        "ready_first": _iso(ready.first.reached if ready.first else None),
        "ready_last": _iso(ready.last.reached if ready.last else None),
        "ready_says": packed(ready.says),
        "start": cut.on.isoformat() if cut.on else None,
        "start_early": cut.earliest.isoformat() if cut.earliest else None,
        "start_late": cut.latest.isoformat() if cut.latest else None,
        "is_agreed": cut.is_agreed,
        "cut_says": [packed(said) for said in cut.says],
        "done": yard.done,
        "total": yard.total,
        "short": yard.short,
        "late": yard.late,
        "worst": packed(yard.worst),
        "attention": [(each.key, each.weight, packed(each.says)) for each in presses],
        "questions": [each.question for each in board.decisions.open],
        "dues": [(each.title, each.due_on.isoformat() if each.due_on else None, each.owner) for each in yard.next_due],
        "first_day": first.isoformat(),
        **_strip(board, first),
    }


def _plain(estimate: Estimate, end: str = "value") -> float | None:
    value = getattr(estimate, end)
    return value if math.isfinite(value) else None


def _iso(estimate: DateEstimate | None) -> str | None:
    return estimate.on.isoformat() if estimate and estimate.on else None


def _strip(board: BoardPage, first: date) -> dict[str, list[float | None]]:
    """NDF when fed of the whole farm by day, fields weighted by area; None where not known."""
    days = [first + timedelta(days=n) for n in range(PAST_D + AHEAD_D + 1)]
    out: dict[str, list[float | None]] = {}
    for key, which in (("ndf", "fed_daily"), ("ndf_low", "fed_low_daily"), ("ndf_high", "fed_high_daily")):
        out[key] = [_mean_on(board, which, day) for day in days]
    return out


def _mean_on(board: BoardPage, which: str, day: date) -> float | None:
    parts = []
    for field in board.maturity.fields:
        if day in field.days:
            value = getattr(field, which)[field.days.index(day)]
            if not math.isnan(value):
                parts.append((field.area_ha, value))
    area = math.fsum(weight for weight, _value in parts)
    return math.fsum(weight * value for weight, value in parts) / area if area else None
