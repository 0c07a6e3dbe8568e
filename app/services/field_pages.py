"""What the Fields page and the page of one field show."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.agronomy.growth import season_share
from app.errors import OutOfRange
from app.events.corrections import current_rows, last_rows
from app.planning.estimates import Estimate
from app.planning.readings import Reading, read_crop
from app.planning.season_heat import calendar_day, calendar_index
from app.planning.timing import TimingRules
from app.records.accounts import Account
from app.records.fields import Field, Stand, StandCount
from app.records.scoutings import Scouting
from app.services import weather
from app.services.cutting_shares import own_shares, published_shares
from app.services.fields import list_fields, list_removed
from app.services.maturity import (
    FarmMaturity,
    FieldMaturity,
    MaturityBoard,
    board_of,
    expected_first_cut,
    farm_maturity,
    field_maturity,
    season_walk,
    walk_of,
)
from app.services.stands import species_of
from app.units.sentences import Sentence


@dataclass(frozen=True)
class FieldsPage:
    """The table of fields and the strip: what is worked out."""

    maturity: FarmMaturity
    board: MaturityBoard
    first_cut: Estimate
    rule: Sentence
    seq: int

    @property
    def has_weather(self) -> bool:
        return self.maturity.heat.ensemble is not None


@dataclass(frozen=True)
class FieldsAround:
    """What stands around the table: the shares of the season, and what was removed."""

    fields_count: int
    removed: tuple[Field, ...]
    cuts_count: int
    own_shares: dict[int, float]
    published_shares: tuple[float, ...]


@dataclass(frozen=True)
class ScoutingLine:
    """One reading as it stands now, with the readings it corrects."""

    id: int
    reading: Reading
    cutting: int
    note: str | None
    noted_at: datetime
    by: str
    is_withdrawn: bool
    corrected: tuple[ScoutingLine, ...] = ()


@dataclass(frozen=True)
class CountLine:
    """One count as it stands now."""

    id: int
    counted_on: date
    stems_per_m2: float
    root_score: float
    spots_count: int | None
    note: str | None
    by: str
    noted_at: datetime
    is_withdrawn: bool
    corrects: bool


@dataclass(frozen=True)
class StandLine:
    """One stand of the field, now or before, with its counts, newest first."""

    id: int
    seeded_on: date | None
    ended_on: date | None
    species: tuple[tuple[str, float], ...]
    is_reduced_lignin: bool
    season_yield_kg_ha: float
    note: str | None
    counts: tuple[CountLine, ...]


@dataclass(frozen=True)
class HeatCurve:
    """Heat by day: this season as measured, and the middle and 8-in-10 range of past years. [C d]"""

    days: tuple[date, ...]
    season: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    years_count: int


@dataclass(frozen=True)
class FieldPage:
    """Everything the page of one field shows."""

    field: Field
    now: FieldMaturity
    maturity: FarmMaturity
    allowance_frac: float
    allowance_rfv: float
    year_of_stand: int | None
    stands: tuple[StandLine, ...]
    scoutings: tuple[ScoutingLine, ...]
    curve: HeatCurve | None
    rule: Sentence
    published_share_frac: float
    seq: int

    @property
    def stand(self) -> StandLine | None:
        return next((stand for stand in self.stands if stand.ended_on is None), None)


def fields_page(work: Work, farm_id: int) -> FieldsPage:
    """The table of the Fields page today."""
    farm = access_farm(work, farm_id)
    maturity = farm_maturity(work, farm_id)
    return FieldsPage(
        maturity,
        board_of(maturity),
        expected_first_cut(maturity),
        weather.rule_sentence(maturity.heat.rule),
        farm.seq,
    )


def fields_around(work: Work, farm_id: int) -> FieldsAround:
    """The rest of the Fields page."""
    farm = access_farm(work, farm_id)
    return FieldsAround(
        len(list_fields(work, farm_id)),
        tuple(list_removed(work, farm_id)),
        farm.cuts_count,
        own_shares(work, farm_id),
        published_shares(farm.cuts_count),
    )


def field_page(work: Work, farm_id: int, field_id: int) -> FieldPage:
    """The page of one field today."""
    field = access_row(work, Field, farm_id, field_id, Permission.FARM_VIEW)
    farm = access_farm(work, farm_id)
    today = work.today(farm.time_zone)
    stands = _stands(work, field_id)
    standing = next((stand for stand in stands if stand.ended_on is None), None)
    rows = _scoutings(work, field_id)
    maturity = field_maturity(work, farm, field, standing, season_walk(rows, standing, today))
    names = _names(work, [*rows, *(count for stand in stands for count in stand.counts)])
    rules = TimingRules.of(maturity.values)
    seeded = standing.seeded_on if standing else None
    return FieldPage(
        field,
        maturity.fields[0],
        maturity,
        rules.allowance_frac,
        float(maturity.values["allowance_rfv_index"]),
        today.year - seeded.year + 1 if seeded else None,
        tuple(_stand_line(stand, names) for stand in reversed(stands)),
        _scouting_lines(rows, stands, names, rules),
        _curve(maturity, today),
        weather.rule_sentence(maturity.heat.rule),
        _published(farm.cuts_count),
        farm.seq,
    )


def _published(cuts_count: int) -> float:
    try:
        return season_share(cuts_count, 1)
    except OutOfRange:
        return math.nan


def _stands(work: Work, field_id: int) -> list[Stand]:
    wanted = select(Stand).where(Stand.field_id == field_id).order_by(Stand.seeded_on, Stand.id)
    rows = list(work.session.scalars(wanted.options(selectinload(Stand.species), selectinload(Stand.counts))))
    return sorted(rows, key=lambda stand: (stand.ended_on is None, stand.ended_on or date.max, stand.id))


def _scoutings(work: Work, field_id: int) -> list[Scouting]:
    wanted = select(Scouting).where(Scouting.field_id == field_id).order_by(Scouting.id)
    return list(work.session.scalars(wanted.options(selectinload(Scouting.spots))))


def _names(work: Work, rows: Sequence[Any]) -> dict[int | None, str]:
    ids = {row.account_id for row in rows if row.account_id is not None}
    if not ids:
        return {}
    return {
        row.id: row.name for row in work.session.execute(select(Account.id, Account.name).where(Account.id.in_(ids)))
    }


def _stand_line(stand: Stand, names: dict[int | None, str]) -> StandLine:
    return StandLine(
        stand.id,
        stand.seeded_on,
        stand.ended_on,
        species_of(stand),
        stand.is_reduced_lignin,
        math.nan if stand.season_yield_kg_ha is None else stand.season_yield_kg_ha,
        stand.note,
        tuple(
            _count_line(row, names)
            for row in sorted(last_rows(stand.counts), key=lambda row: (row.counted_on, row.id), reverse=True)
        ),
    )


def _count_line(row: StandCount, names: dict[int | None, str]) -> CountLine:
    return CountLine(
        row.id,
        row.counted_on,
        math.nan if row.stems_per_m2 is None else row.stems_per_m2,
        math.nan if row.root_score is None else row.root_score,
        row.spots_count,
        row.note,
        names.get(row.account_id, ""),
        row.noted_at,
        row.is_withdrawn,
        row.corrects_id is not None,
    )


def _scouting_lines(
    rows: list[Scouting], stands: list[Stand], names: dict[int | None, str], rules: TimingRules
) -> tuple[ScoutingLine, ...]:
    """Readings newest first, each with the chain it corrects."""
    by_id = {row.id: row for row in rows}
    kept = current_rows(rows)
    last = last_rows(rows)

    def line(row: Scouting, chain: bool = True) -> ScoutingLine:
        stand = _stand_on(stands, row.scouted_on)
        reading = read_crop(walk_of(row, stand, kept), error_frac=rules.scouting_sd_frac)
        older, before = [], by_id.get(row.corrects_id or 0)
        while chain and before is not None:
            older.append(line(before, chain=False))
            before = by_id.get(before.corrects_id or 0)
        return ScoutingLine(
            row.id,
            reading,
            row.cutting,
            row.note,
            row.noted_at,
            names.get(row.account_id, ""),
            row.is_withdrawn,
            tuple(older),
        )

    return tuple(line(row) for row in sorted(last, key=lambda row: (row.scouted_on, row.id), reverse=True))


def _stand_on(stands: list[Stand], day: date) -> Stand | None:
    """What stood on the field that day."""
    for stand in stands:
        begun = stand.seeded_on is None or stand.seeded_on <= day
        if begun and (stand.ended_on is None or day <= stand.ended_on):
            return stand
    return None


def _curve(maturity: FarmMaturity, today: date) -> HeatCurve | None:
    """From 1 March to some weeks ahead."""
    season, past = maturity.heat.ensemble, maturity.heat.past
    if season is None:
        return None
    first, stop = min(59, season.today_index), min(365, max(calendar_index(today) + 45, 180))
    measured = np.where((np.arange(365) < season.today_index) & season.known, season.total_c_d[0], np.nan)
    count = len(past.years) if past is not None else 0
    bands = past.total_range() if past is not None and count else (np.full(365, np.nan),) * 3
    shown = (tuple(float(value) for value in values[first:stop]) for values in (measured, *bands))
    so_far, middle, low, high = shown
    days = tuple(calendar_day(i, today.year) for i in range(first, stop))
    return HeatCurve(days, so_far, middle, low, high, count)
