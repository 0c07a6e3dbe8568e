"""Lots and supplies as the balance takes them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.work import Work
from app.planning.feeding import Delivery, Lot, Supply
from app.records import feeds as rows
from app.services.stands import current_rows

Values = Mapping[str, float | str]
WET_BELOW_DM_FRAC = 0.60
"""A byproduct wetter than this keeps for days only; common practice, no source."""


def lots_on_hand(work: Work, farm_id: int, names: Mapping[int, str], values: Values, today: date) -> tuple[Lot, ...]:
    wanted = select(rows.Lot).where(
        rows.Lot.farm_id == farm_id, rows.Lot.removed_at.is_(None), rows.Lot.used_up_on.is_(None)
    )
    both = (selectinload(rows.Lot.measurements), selectinload(rows.Lot.feedouts))
    lots = list(work.session.scalars(wanted.options(*both).order_by(rows.Lot.position, rows.Lot.id)))
    return tuple(_lot(lot, names, values, today) for lot in lots)


def _lot(lot: rows.Lot, names: Mapping[int, str], values: Values, today: date) -> Lot:
    measured = [row for row in current_rows(list(lot.measurements)) if row.measured_on <= today]
    last = max(measured, key=lambda row: (row.measured_on, row.id), default=None)
    dm = (last.dm_frac if last else None) or lot.dm_frac or float(values["new_crop_dm_frac"])
    mass = math.nan
    if last is not None:
        mass = last.mass_dm_kg if last.mass_dm_kg is not None else (last.mass_af_kg or math.nan) * dm
        fed = [r for r in current_rows(list(lot.feedouts)) if last.measured_on < r.to_on and r.to_on <= today]
        mass = max(0.0, mass - sum(r.mass_af_kg * (r.dm_frac or dm) for r in fed))
    remaining = lot.remaining_loss_frac
    return Lot(
        lot.name,
        names[lot.feed_id],
        mass,
        float(values["remaining_loss_frac"]) if remaining is None else remaining,
        dm,
        math.nan,
        (lot.use_class,) if lot.use_class else (),
        _open_from(lot, values, today),
    )


def _open_from(lot: rows.Lot, values: Values, today: date) -> date | None:
    """A lot not yet fermented is fed from the end of its fermentation."""
    if lot.opened_on is not None or lot.sealed_on is None:
        return None
    first = lot.sealed_on + timedelta(days=round(float(values["fermentation_d"])))
    return first if first > today else None


def supplies_on_hand(
    work: Work, farm_id: int, names: Mapping[int, str], values: Values, today: date
) -> tuple[Supply, ...]:
    wanted = select(rows.Supply).where(rows.Supply.farm_id == farm_id, rows.Supply.removed_at.is_(None))
    supplies = list(work.session.scalars(wanted.options(selectinload(rows.Supply.deliveries)).order_by(rows.Supply.id)))
    feeds = {feed.id: feed for feed in work.session.scalars(select(rows.Feed).where(rows.Feed.farm_id == farm_id))}
    return tuple(_supply(supply, feeds[supply.feed_id], names, values, today) for supply in supplies)


def _supply(supply: rows.Supply, feed: rows.Feed, names: Mapping[int, str], values: Values, today: date) -> Supply:
    dm = supply.dm_frac or feed.dm_frac or math.nan
    loads = [Delivery(supply.counted_on or today, supply.on_hand_af_kg * dm)] if supply.on_hand_af_kg else []
    for due in supply.deliveries:
        if due.received_on is None:
            loads.append(Delivery(max(due.due_on, today), due.mass_af_kg * dm))
        elif supply.counted_on is None or due.received_on > supply.counted_on:
            loads.append(Delivery(due.received_on, due.mass_af_kg * dm))
    loss = float(values["byproduct_shrink_frac"]) if feed.kind == "byproduct" else 0.0
    return Supply(supply.name, names[feed.id], tuple(loads), _life(feed, dm, values), loss)


def _life(feed: rows.Feed, dm_frac: float, values: Values) -> float:
    if feed.storage_life_d:
        return feed.storage_life_d
    wet = feed.kind == "byproduct" and not dm_frac >= WET_BELOW_DM_FRAC
    return float(values["wet_byproduct_life_d"]) if wet else math.inf
