"""The rows that maturity is read from: fields, what stands on them, and the latest walk through each."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.work import Work
from app.agronomy.quality import ndf_rise_of_mixture
from app.events.corrections import current_rows
from app.planning.readings import Spot, Walk
from app.records.fields import Field, Stand, StandCount
from app.records.scoutings import Scouting
from app.services.stands import GRASSES

LOOK_BACK_D = 800
"""Readings noted longer ago belong to no season shown."""


def list_rows(work: Work, farm_id: int) -> list[Field]:
    wanted = select(Field).where(Field.farm_id == farm_id, Field.removed_at.is_(None))
    return list(work.session.scalars(wanted.order_by(Field.position, Field.id)))


def standing_stands(work: Work, farm_id: int) -> dict[int, Stand]:
    wanted = select(Stand).where(Stand.farm_id == farm_id, Stand.ended_on.is_(None)).order_by(Stand.id)
    both = (selectinload(Stand.species), selectinload(Stand.counts))
    return {stand.field_id: stand for stand in work.session.scalars(wanted.options(*both))}


def latest_count(stand: Stand | None) -> StandCount | None:
    """The newest count of a stand that stands."""
    rows = current_rows(list(stand.counts)) if stand else []
    return max(rows, key=lambda count: (count.counted_on, count.id), default=None)


def latest_walks(work: Work, farm_id: int, today: date, stands: Mapping[int, Stand]) -> dict[int, Walk]:
    """The latest walk through each field this season; grass sampled on an earlier walk is carried on."""
    names = (
        "id", "field_id", "scouted_on", "cutting", "grass_ndf_frac", "corrects_id", "is_withdrawn",
    )  # fmt: skip
    season = datetime(today.year, 1, 1, tzinfo=UTC) - timedelta(days=1)
    since = min(work.now() - timedelta(days=LOOK_BACK_D), season)
    wanted = select(*(getattr(Scouting, name) for name in names))
    rows = work.session.execute(wanted.where(Scouting.farm_id == farm_id, Scouting.noted_at >= since)).all()
    first = date(today.year, 1, 1)
    by_field: dict[int, list] = defaultdict(list)
    for row in sorted(current_rows(rows), key=lambda row: (row.scouted_on, row.id)):
        if first <= row.scouted_on <= today:
            by_field[row.field_id].append(row)
    latest = select(Scouting).where(Scouting.id.in_([rows[-1].id for rows in by_field.values()]))
    return {
        scouting.field_id: walk_of(scouting, stands.get(scouting.field_id), by_field[scouting.field_id])
        for scouting in work.session.scalars(latest.options(selectinload(Scouting.spots)))
    }


def walk_of(scouting: Scouting, stand: Stand | None, earlier: Sequence[Any] = ()) -> Walk:
    """A scouting as the reading takes it: its own grass share, else the stand's; the latest sample of the grass."""
    grass = {each.species: each.share_frac for each in stand.species} if stand else {}
    share = scouting.grass_frac
    own_grass = math.fsum(part for species, part in grass.items() if species in GRASSES) if share is None else share
    clover = math.fsum(part for species, part in grass.items() if species not in GRASSES and species != "alfalfa")
    return Walk(
        scouting.scouted_on,
        tuple(Spot(spot.height_cm, spot.stage) for spot in scouting.spots),
        scouting.cutting,
        min(own_grass, 1.0),
        _grass_ndf(scouting, earlier),
        clover,
        scouting.is_frosted,
        scouting.is_lodged,
        scouting.is_dry,
        scouting.has_new_shoots,
    )


def _grass_ndf(scouting: Scouting, earlier: Sequence[Any]) -> float:
    """NDF of the grass on the day: sampled then, or the last sample of this cutting carried on by its daily rise."""
    if scouting.grass_ndf_frac is not None:
        return scouting.grass_ndf_frac
    sampled = [row for row in earlier if row.grass_ndf_frac is not None and row.cutting == scouting.cutting]
    sampled = [row for row in sampled if (row.scouted_on, row.id) <= (scouting.scouted_on, scouting.id)]
    if not sampled:
        return math.nan
    days = (scouting.scouted_on - sampled[-1].scouted_on).days
    return min(sampled[-1].grass_ndf_frac + days * float(ndf_rise_of_mixture(1.0)), 0.80)


def season_walk(scoutings: Sequence[Scouting], stand: Stand | None, today: date) -> Walk | None:
    """The latest walk of this season among one field's scoutings."""
    rows = [row for row in current_rows(list(scoutings)) if date(today.year, 1, 1) <= row.scouted_on <= today]
    rows.sort(key=lambda row: (row.scouted_on, row.id))
    return walk_of(rows[-1], stand, rows) if rows else None
