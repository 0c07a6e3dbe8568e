"""A row per farm for whoever follows several: the figures of each board, and which farm needs attention and why."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import select

from app.access.work import Work
from app.planning.estimates import DateEstimate, Estimate
from app.records.accounts import Membership
from app.records.farms import Farm, Snapshot
from app.services.board import BoardPage, board_page
from app.units.sentences import Sentence, packed, unpacked

NAME = "row"
PAST_D, AHEAD_D = 5, 45
NOTHING = Sentence("Nothing presses.")


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
        return tuple(unpacked(kept) for _weight, kept in self.body["attention"]) or (NOTHING,)

    @property
    def weight(self) -> float:
        """How much it presses: the sum of its reasons."""
        return math.fsum(weight for weight, _kept in self.body["attention"])

    def says(self, key: str) -> Sentence | None:
        return unpacked(self.body[key])

    def figure(self, key: str) -> float:
        value = self.body[key]
        return math.nan if value is None else float(value)

    def day(self, key: str) -> date | None:
        return date.fromisoformat(self.body[key]) if self.body[key] else None

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


def keep_rows(work: Work, rows: list[FarmRow]) -> None:
    """Keep freshly worked out rows until the farm changes or the day is over."""
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
    return {(row.farm_id, row.seq, row.day_on): row.body for row in work.session.scalars(wanted)}


def row_body(work: Work, farm_id: int, today: date) -> dict[str, Any]:
    """The figures of one farm's row as plain values."""
    board = board_page(work, farm_id)
    need, ready, cut, yard = board.need, board.ready, board.cut, board.yard
    first = today - timedelta(days=PAST_D)
    return {
        "need": _plain(need.must_bring),
        "need_low": _plain(need.must_bring, "low"),
        "need_high": _plain(need.must_bring, "high"),
        "need_says": packed(need.says),
        "ready_first": _iso(ready.first.reached if ready.first else None),
        "ready_last": _iso(ready.last.reached if ready.last else None),
        "ready_says": packed(ready.says),
        "start": cut.on.isoformat() if cut.on else None,
        "is_agreed": cut.is_agreed,
        "tons": _plain(cut.tons),
        "ndf": _plain(cut.ndf),
        "done": yard.done,
        "total": yard.total,
        "short": yard.short,
        "late": yard.late,
        "worst": packed(yard.worst),
        "attention": [
            (weight, packed(said)) for weight, said in sorted(attention(board, today), key=lambda each: -each[0])
        ],
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


def attention(board: BoardPage, today: date) -> Iterator[tuple[float, Sentence]]:
    """What presses on a farm, with a weight: feed running out, fields past their target, the yard, stale readings."""
    yield from _feed_presses(board)
    past = [field for field in board.maturity.fields if field.status == "past"]
    if past:
        yield (
            30.0 + 5 * len(past),
            Sentence("{n} fields are past their target; {field} longest.", n=len(past), field=past[0].name),
        )
    yield from _yard_presses(board, today)
    yield from _readings_press(board, today)


def _feed_presses(board: BoardPage) -> Iterator[tuple[float, Sentence]]:
    short = board.need.short.days
    if short.known and short.value >= 1:
        yield (
            20.0 + min(short.value, 60.0),
            Sentence("Feed runs out {n} days before the new crop can be fed.", n=round(short.value)),
        )


def _yard_presses(board: BoardPage, today: date) -> Iterator[tuple[float, Sentence]]:
    on, yard = board.cut.on, board.yard
    if on is None or not 0 <= (on - today).days <= 21:
        return
    days = (on - today).days
    nearness = 25.0 - days
    if yard.checklist_id is None:
        yield nearness, Sentence("Cutting starts in {n} days and no list is drawn up.", n=days)
    elif yard.late or yard.short:
        yield (
            nearness + yard.late + 2 * yard.short,
            Sentence(
                "Cutting starts in {n} days; {late} items are late and {short} short.",
                n=days,
                late=yard.late,
                short=yard.short,
            ),
        )


def _readings_press(board: BoardPage, today: date) -> Iterator[tuple[float, Sentence]]:
    last = board.maturity.heat.last_observed_on
    if last is None:
        yield 6.0, Sentence("No weather is on file.")
    elif (today - last).days > 4:
        yield 8.0, Sentence("The newest weather is {n} days old.", n=(today - last).days)
    on = board.cut.on
    stale = [
        field
        for field in board.maturity.fields
        if field.reading is None or (today - field.reading.scouted_on).days > 10
    ]
    if stale and on is not None and 0 <= (on - today).days <= 14:
        yield (
            10.0 + len(stale),
            Sentence("{n} of {all} fields have no scouting in ten days.", n=len(stale), all=len(board.maturity.fields)),
        )
