"""Supplies on hand and due: how much, until when it keeps, and whether the herd eats a load in time."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.nutrition.demand import herd_for_load, load_use_time
from app.planning.estimates import Estimate, unknown
from app.records.feeds import Delivery, Feed, Supply
from app.services import farms
from app.services.supplies.edits import access_supply
from app.units.sentences import Quantity, Sentence

WET_BELOW_FRAC = 0.60
"""A byproduct with less dry matter than this spoils; it takes the farm's days where it has none of its own."""


@dataclass(frozen=True)
class Batch:
    """Feed that came or will come on one day; `keeps_until` is its last good day, None when it keeps."""

    id: int | None
    """The delivery, or None for what was counted."""
    on: date
    mass_af_kg: float
    mass_dm_kg: float
    received_on: date | None
    keeps_until: date | None
    is_spoiled: bool
    is_late: bool


@dataclass(frozen=True)
class SupplyOnHand:
    """One supply as pages show it and as the balance counts it: `batches` on hand and due, with one storage life."""

    id: int
    name: str
    feed_id: int
    feed: str
    feed_kind: str
    on_hand_af: Estimate
    on_hand_dm: Estimate
    due_af_kg: float
    next_due: Batch | None
    counted_on: date | None
    dm_frac: float
    ndf_frac: float
    cp_frac: float
    price_usd_kg_af: float
    life_d: float
    """Days a batch keeps; infinite when it keeps."""
    loss_frac: float
    batches: tuple[Batch, ...]
    received: tuple[Batch, ...]
    """Deliveries received, newest first."""
    notes: tuple[Sentence, ...]
    note: str | None


@dataclass(frozen=True)
class LoadCheck:
    """How long one load lasts the animals fed from it, against how long it keeps."""

    lasts_d: float
    life_d: float
    herd_needed: float
    says: Sentence
    is_short: bool


def list_supplies_on_hand(
    work: Work, farm_id: int, fed_dm_kg_d: Mapping[int, float] | None = None
) -> tuple[SupplyOnHand, ...]:
    """Every supply by name. `fed_dm_kg_d`, by feed id, lets a wet load be held against what the herd eats of it."""
    farm = access_farm(work, farm_id)
    wanted = select(Supply).where(Supply.farm_id == farm_id, Supply.removed_at.is_(None))
    rows = list(work.session.scalars(wanted.order_by(Supply.name, Supply.id).options(selectinload(Supply.deliveries))))
    feeds = {row.id: row for row in work.session.scalars(select(Feed).where(Feed.farm_id == farm_id))}
    values, today = farms.values_of(work, farm_id), work.today(farm.time_zone)
    return tuple(supply_on_hand(row, feeds[row.feed_id], values, today, fed_dm_kg_d) for row in rows)


def supply_page(work: Work, farm_id: int, supply_id: int) -> SupplyOnHand:
    farm = access_farm(work, farm_id)
    row = access_supply(work, farm_id, supply_id, Permission.FARM_VIEW, selectinload(Supply.deliveries))
    feed = work.session.get(Feed, row.feed_id)
    assert feed is not None, "a foreign key"
    return supply_on_hand(row, feed, farms.values_of(work, farm_id), work.today(farm.time_zone))


def supply_on_hand(
    row: Supply,
    feed: Feed,
    values: Mapping[str, float | str],
    today: date,
    fed_dm_kg_d: Mapping[int, float] | None = None,
) -> SupplyOnHand:
    """One supply, its deliveries loaded, as it stands today."""
    dm = _first(row.dm_frac, feed.dm_frac)
    life = life_of(feed, dm, values)
    counted = _counted(row, dm, life, today)
    came = [_batch(d, dm, life, today) for d in row.deliveries if d.received_on is not None]
    new = [batch for batch in came if row.counted_on is None or batch.on > row.counted_on]
    due = [_batch(d, dm, life, today) for d in row.deliveries if d.received_on is None]
    here = [*([counted] if counted else []), *sorted(new, key=lambda batch: batch.on)]
    good = sum(batch.mass_af_kg for batch in here if not batch.is_spoiled)
    return SupplyOnHand(
        id=row.id,
        name=row.name,
        feed_id=feed.id,
        feed=feed.name,
        feed_kind=feed.kind,
        on_hand_af=Estimate(good, "mass_af", good, good),
        on_hand_dm=_dm(good, dm),
        due_af_kg=sum(batch.mass_af_kg for batch in due),
        next_due=min((b for b in due if b.on >= today), key=lambda b: b.on, default=None),
        counted_on=row.counted_on,
        dm_frac=dm,
        ndf_frac=_first(row.ndf_frac),
        cp_frac=_first(row.cp_frac),
        price_usd_kg_af=_first(row.price_usd_kg_af),
        life_d=life,
        loss_frac=float(values["byproduct_shrink_frac"]),
        batches=(*here, *sorted(due, key=lambda batch: batch.on)),
        received=tuple(sorted(came, key=lambda batch: batch.on, reverse=True)),
        notes=tuple(_notes(here, due, life, dm, (fed_dm_kg_d or {}).get(feed.id), today)),
        note=row.note,
    )


def life_of(feed: Feed, dm_frac: float, values: Mapping[str, float | str]) -> float:
    """Days a batch keeps: the feed's own, else the farm's days for a wet byproduct, else without end."""
    if feed.storage_life_d is not None:
        return feed.storage_life_d
    wet = feed.kind == "byproduct" and dm_frac < WET_BELOW_FRAC
    return float(values["wet_byproduct_life_d"]) if wet else math.inf


def check_load(supply: SupplyOnHand, load_af_kg: float, head_count: int, fed_af_kg: float) -> LoadCheck:
    """Hold one load against the herd that eats it and the days it keeps."""
    lasts = float(load_use_time(load_af_kg, head_count, fed_af_kg))
    if math.isinf(supply.life_d):
        says = Sentence("The load lasts {lasts}; nothing says that it spoils.", lasts=Quantity(lasts, "days"))
        return LoadCheck(lasts, supply.life_d, math.nan, says, False)
    herd = float(herd_for_load(load_af_kg, supply.life_d, fed_af_kg))
    keeps = Quantity(supply.life_d, "days")
    if lasts <= supply.life_d:
        says = Sentence("The load lasts {lasts} and keeps {keeps}.", lasts=Quantity(lasts, "days"), keeps=keeps)
        return LoadCheck(lasts, supply.life_d, herd, says, False)
    says = Sentence(
        "The load lasts {lasts} but keeps {keeps}: too slow. It takes {herd} to eat it in time, or a smaller load.",
        lasts=Quantity(round(lasts, 1), "days"),
        keeps=keeps,
        herd=Quantity(math.ceil(herd - 1e-9), "head"),
    )
    return LoadCheck(lasts, supply.life_d, herd, says, True)


def _counted(row: Supply, dm: float, life: float, today: date) -> Batch | None:
    if row.on_hand_af_kg <= 0:
        return None
    on = row.counted_on or today
    until = _until(on, life)
    gone = until is not None and until < today
    return Batch(None, on, row.on_hand_af_kg, row.on_hand_af_kg * dm, on, until, gone, False)


def _batch(row: Delivery, dm: float, life: float, today: date) -> Batch:
    on = row.received_on or row.due_on
    until = _until(on, life)
    gone = row.received_on is not None and until is not None and until < today
    late = row.received_on is None and row.due_on < today
    return Batch(row.id, on, row.mass_af_kg, row.mass_af_kg * dm, row.received_on, until, gone, late)


def _until(on: date, life_d: float) -> date | None:
    """Last day a batch of that day is still good."""
    return None if math.isinf(life_d) else on + timedelta(days=max(0, math.ceil(life_d) - 1))


def _dm(mass_af_kg: float, dm: float) -> Estimate:
    if math.isnan(dm):
        return unknown("mass_dm", Sentence("No dry matter is known."))
    return Estimate(mass_af_kg * dm, "mass_dm", mass_af_kg * dm, mass_af_kg * dm)


def _first(*values: float | None) -> float:
    return next((value for value in values if value is not None), math.nan)


def _notes(
    here: list[Batch], due: list[Batch], life: float, dm: float, fed_dm_kg_d: float | None, today: date
) -> list[Sentence]:
    notes = [
        Sentence("{mass} of {day} kept through {until}: look at it before it is fed; it is not counted on.",
                 mass=Quantity(batch.mass_af_kg, "mass_af"), day=batch.on, until=batch.keeps_until)
        for batch in here if batch.is_spoiled
    ]  # fmt: skip
    notes += [
        Sentence("{mass} of {day} keep through {until}.",
                 mass=Quantity(batch.mass_af_kg, "mass_af"), day=batch.on, until=batch.keeps_until)
        for batch in here if not batch.is_spoiled and batch.keeps_until is not None
    ]  # fmt: skip
    notes += [Sentence("Due {day} and not noted as received.", day=batch.on) for batch in due if batch.is_late]
    if math.isinf(life) or not fed_dm_kg_d or math.isnan(dm):
        return notes
    for batch in (b for b in (*here, *due) if not b.is_spoiled and not b.is_late):
        lasts = batch.mass_dm_kg / fed_dm_kg_d
        if lasts > life:
            notes.append(
                Sentence(
                    "{mass} of {day} last the herd {lasts} but keep {keeps}: too slow.",
                    mass=Quantity(batch.mass_af_kg, "mass_af"),
                    day=batch.on,
                    lasts=Quantity(round(lasts, 1), "days"),
                    keeps=Quantity(life, "days"),
                )
            )
    return notes
