"""Lots on hand: what each holds now, with its range, its losses and how the figure came about."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.work import Work
from app.planning.estimates import Estimate, unknown
from app.planning.stock import Pair, Stock, Taken, density_of, stock_now, thrown_share
from app.records.feeds import Feed, Lot, Structure
from app.services import farms
from app.services.lots.entries import READINGS
from app.services.lots.reading import facts_of
from app.units.sentences import Quantity, Sentence

QUIET_D = 14
"""An open lot nobody fed from for longer than this, on paper, has probably shrunk unnoted. Judgement."""

Quality = Mapping[int, Mapping[str, Any]]
"""Means of the samples by lot id; `dm_frac` in it, where given, is the dry matter to count with."""


@dataclass(frozen=True)
class LotOnHand:
    """One lot as pages show it and as the balance counts it."""

    id: int
    name: str
    feed_id: int
    feed: str
    feed_kind: str
    structure_id: int | None
    structure: str
    structure_kind: str
    year: int | None
    cutting: int | None
    use_class: str | None
    sealed_on: date | None
    opened_on: date | None
    used_up_on: date | None
    mass_dm: Estimate
    mass_af: Estimate
    usable_dm: Estimate
    """What will reach the bunk: the remaining storage loss and the feed-out loss taken off."""
    dm_frac: Estimate
    density: Estimate
    density_is_measured: bool
    remaining_loss_frac: float
    feedout_loss_frac: float
    thrown_frac: float
    """Share of the feed taken out so far that was thrown away; NaN while nothing was taken."""
    most_dm_kg: float
    basis: str
    as_of: date | None
    """Day of the measurement or load the amount starts from."""
    method: Sentence
    inputs: tuple[Pair, ...]
    sources: tuple[str, ...]
    notes: tuple[Sentence, ...]
    spread_frac: float
    price_usd_kg_dm: float | None = None
    quality: Mapping[str, Any] = field(default_factory=dict)


def list_lots_on_hand(work: Work, farm_id: int, quality: Quality | None = None) -> tuple[LotOnHand, ...]:
    """Every lot not used up, in its order. Five reads however many lots there are."""
    farm = access_farm(work, farm_id)
    wanted = select(Lot).where(Lot.farm_id == farm_id, Lot.removed_at.is_(None), Lot.used_up_on.is_(None))
    lots = list(work.session.scalars(wanted.order_by(Lot.position, Lot.id).options(*READINGS)))
    feeds = {row.id: row for row in work.session.scalars(select(Feed).where(Feed.farm_id == farm_id))}
    stores = {row.id: row for row in work.session.scalars(select(Structure).where(Structure.farm_id == farm_id))}
    values, today = farms.values_of(work, farm_id), work.today(farm.time_zone)
    return tuple(
        lot_on_hand(lot, feeds.get(lot.feed_id), stores.get(lot.structure_id or 0), values, today, quality)
        for lot in lots
    )


def lot_on_hand(
    lot: Lot,
    feed: Feed | None,
    structure: Structure | None,
    values: Mapping[str, float | str],
    today: date,
    quality: Quality | None = None,
) -> LotOnHand:
    """One lot, its readings loaded, as it stands today."""
    sampled = dict((quality or {}).get(lot.id, {}))
    facts = facts_of(lot, feed, structure, values, _plain(sampled.get("dm_frac")))
    stock, usual = stock_now(facts), facts.usual
    density, measured = density_of(facts, facts.found[-1] if facts.found else None)
    dm = _dry_matter(facts.dm_frac, lot, sampled)
    keep = (1 - usual.remaining_loss_frac) * (1 - usual.feedout_loss_frac)
    return LotOnHand(
        id=lot.id,
        name=lot.name,
        feed_id=lot.feed_id,
        feed=feed.name if feed else "",
        feed_kind=feed.kind if feed else "other",
        structure_id=lot.structure_id,
        structure=structure.name if structure else "",
        structure_kind=structure.kind if structure else "",
        year=lot.year,
        cutting=lot.cutting,
        use_class=lot.use_class,
        sealed_on=lot.sealed_on,
        opened_on=lot.opened_on,
        used_up_on=lot.used_up_on,
        mass_dm=stock.mass_dm,
        mass_af=_as_fed(stock.mass_dm, dm),
        usable_dm=_scaled(stock.mass_dm, keep),
        dm_frac=dm,
        density=density,
        density_is_measured=measured,
        remaining_loss_frac=usual.remaining_loss_frac,
        feedout_loss_frac=usual.feedout_loss_frac,
        thrown_frac=thrown_share(facts.taken),
        most_dm_kg=stock.most_dm_kg,
        basis=stock.basis,
        as_of=stock.found_on,
        method=stock.method,
        inputs=(*stock.inputs, *_loss_inputs(usual)),
        sources=stock.mass_dm.sources,
        notes=(*stock.notes, *_notes(lot, stock, facts.taken, today)),
        spread_frac=stock.spread_frac,
        price_usd_kg_dm=feed.price_usd_kg_dm if feed else None,
        quality=sampled,
    )


def _loss_inputs(usual: Any) -> tuple[Pair, ...]:
    return (
        (Sentence("Storage loss still to come"), Quantity(usual.remaining_loss_frac, "percent")),
        (Sentence("Lost between store and bunk"), Quantity(usual.feedout_loss_frac, "percent")),
    )


def _plain(value: Any) -> float | None:
    """A mean handed in as a number or an Estimate."""
    number = value.value if isinstance(value, Estimate) else value
    return None if number is None or math.isnan(number) else float(number)


def _dry_matter(dm_frac: float | None, lot: Lot, sampled: Mapping[str, Any]) -> Estimate:
    given = sampled.get("dm_frac")
    if isinstance(given, Estimate) and given.known:
        return given
    if dm_frac is None:
        return unknown("percent", Sentence("No dry matter is known for {lot}.", lot=lot.name))
    return Estimate(dm_frac, "percent")


def _as_fed(mass_dm: Estimate, dm: Estimate) -> Estimate:
    if not mass_dm.known:
        return unknown("mass_af", mass_dm.reason or Sentence("Nothing was measured or weighed yet."))
    if not dm.known:
        return unknown("mass_af", dm.reason or Sentence("No dry matter is known."))
    return Estimate(
        mass_dm.value / dm.value, "mass_af", mass_dm.low / dm.value, mass_dm.high / dm.value, sources=mass_dm.sources
    )


def _scaled(mass_dm: Estimate, factor: float) -> Estimate:
    if not mass_dm.known:
        return mass_dm
    return Estimate(
        mass_dm.value * factor, "mass_dm", mass_dm.low * factor, mass_dm.high * factor, sources=mass_dm.sources
    )


def _notes(lot: Lot, stock: Stock, taken: tuple[Taken, ...], today: date) -> tuple[Sentence, ...]:
    if stock.found_on is None or lot.opened_on is None or lot.opened_on > today:
        return ()
    last = max([stock.found_on, lot.opened_on, *(each.to_on for each in taken)])
    if (today - last).days <= QUIET_D:
        return ()
    why = Sentence(
        "Open, and neither measured nor fed from on paper since {day}: less may be left.",
        day=last,
    )
    return (why,)
