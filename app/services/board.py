"""What the board says: what we need, when it is ready, how we cut, are we ready; and what changed since yesterday."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.work import Work, zone_of
from app.planning.estimates import Estimate, unknown
from app.records.history import Change
from app.services import changes, decisions
from app.services.balance import NeedBoard, need_board
from app.services.checklists import ReadinessSummary, readiness_summary
from app.services.maturity import FarmMaturity, MaturityBoard, board_of, expected_first_cut, farm_maturity
from app.units.sentences import Quantity, Sentence

CHANGES_MOST = 6
NO_START = Sentence("No start is agreed or projected yet.")


@dataclass(frozen=True)
class CutBoard:
    """How the coming cutting is taken, as far as it is known: the start, stubble and swath, and what it brings."""

    on: date | None
    is_agreed: bool
    earliest: date | None
    latest: date | None
    stubble_cm: float
    swath_frac: float
    tons: Estimate
    """Dry matter expected from all fields. [kg]"""
    ndf: Estimate
    """NDF when fed if every field were cut on the start, weighted by what each field brings. [fraction]"""
    says: tuple[Sentence, ...]


@dataclass(frozen=True)
class BoardPage:
    """The whole board."""

    need: NeedBoard
    maturity: FarmMaturity
    ready: MaturityBoard
    cut: CutBoard
    yard: ReadinessSummary
    changed: tuple[changes.Line, ...]
    decisions: decisions.Decisions


def board_page(work: Work, farm_id: int) -> BoardPage:
    """The board of the farm today."""
    access_farm(work, farm_id)
    maturity = farm_maturity(work, farm_id)
    yard = readiness_summary(work, farm_id)
    return BoardPage(
        need_board(work, farm_id),
        maturity,
        board_of(maturity),
        cut_board(maturity, yard),
        yard,
        changed_since_yesterday(work, farm_id),
        decisions.list_decisions(work, farm_id),
    )


def cut_board(maturity: FarmMaturity, yard: ReadinessSummary) -> CutBoard:
    """How the cutting is taken: the agreed start, else the projected one."""
    start, values = yard.start, maturity.values
    tons, ndf = expected_first_cut(maturity), ndf_on(maturity, start.on)
    return CutBoard(
        start.on,
        start.is_agreed,
        start.earliest,
        start.latest,
        float(values["stubble_cm"]),
        float(values["swath_share_frac"]),
        tons,
        ndf,
        tuple(_cut_says(start.on, start.is_agreed, tons, ndf)),
    )


def _cut_says(on: date | None, is_agreed: bool, tons: Estimate, ndf: Estimate):
    if on is None:
        yield NO_START
    elif not is_agreed:
        yield Sentence("Projected; no start is agreed yet.")
    if tons.known and ndf.known:
        yield Sentence("Brings {tons} at {ndf}.", tons=Quantity(tons.value, "mass_dm"), ndf=Quantity(ndf.value, "ndf"))
    elif tons.known:
        yield Sentence("Brings {tons}.", tons=Quantity(tons.value, "mass_dm"))
    elif tons.reason is not None:
        yield tons.reason


def ndf_on(maturity: FarmMaturity, on: date | None) -> Estimate:
    """NDF when fed if all fields were cut on that day, weighted by the dry matter each brings."""
    if on is None:
        return unknown("ndf", NO_START)
    parts = []
    for field in maturity.fields:
        place = field.days.index(on) if on in field.days else None
        if place is None or not field.yields.first_cut.known or math.isnan(field.fed_daily[place]):
            reason = field.fed.reason or Sentence("Nothing is known of {field} on that day.", field=field.name)
            return unknown("ndf", reason)
        mass = field.area_ha * field.yields.first_cut.value
        parts.append((mass, field.fed_daily[place], field.fed_low_daily[place], field.fed_high_daily[place]))
    whole = math.fsum(mass for mass, *_ in parts)
    if not whole:
        return unknown("ndf", Sentence("No field is on file yet."))
    mean, low, high = (math.fsum(part[0] * part[i] for part in parts) / whole for i in (1, 2, 3))
    return Estimate(mean, "ndf", low, high)


def changed_since_yesterday(work: Work, farm_id: int) -> tuple[changes.Line, ...]:
    """The newest changes since the beginning of yesterday, one line each."""
    farm = access_farm(work, farm_id)
    zone = zone_of(farm.time_zone)
    today = work.clock.now().astimezone(zone).date()
    since = datetime.combine(today - timedelta(days=1), time.min, tzinfo=zone)
    wanted = select(Change).where(Change.farm_id == farm_id, Change.at >= since).order_by(Change.seq.desc())
    rows = list(work.session.scalars(wanted.limit(CHANGES_MOST)))
    return tuple(next(iter(changes.lines_of(row))) for row in rows)


def strip_finding(board: BoardPage) -> Sentence:
    """What the season strip shows, in one sentence."""
    fields, on = board.maturity.fields, board.cut.on
    today = board.maturity.today
    day = on if on is not None and on >= today else today
    known = [field for field in fields if day in field.days and not math.isnan(field.fed_daily[field.days.index(day)])]
    if not known:
        return Sentence("No field's feeding value can be projected yet")
    under = sum(field.fed_daily[field.days.index(day)] <= field.target_fed_frac for field in known)
    if day == today:
        return Sentence("{n} of {all} fields are still within their target today", n=under, all=len(known))
    return Sentence("{n} of {all} fields are still within their target on {day}", n=under, all=len(known), day=day)
