"""Lots and supplies as the pages show them and as the balance takes them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.access.work import Work
from app.planning.feeding import Delivery, Lot, Supply
from app.services.lots import LotOnHand, list_lots_on_hand
from app.services.samples import LotQuality, lot_quality
from app.services.supplies import SupplyOnHand, list_supplies_on_hand

Values = Mapping[str, float | str]


@dataclass(frozen=True, eq=False)
class Stores:
    """What is on hand and due, with the quality of each lot that was sampled."""

    lots: tuple[LotOnHand, ...]
    supplies: tuple[SupplyOnHand, ...]
    quality: Mapping[int, LotQuality]


def stores_of(work: Work, farm_id: int) -> Stores:
    quality = lot_quality(work, farm_id)
    sampled = {lot_id: {"dm_frac": each.dm.mean} for lot_id, each in quality.items() if each.dm.known}
    return Stores(list_lots_on_hand(work, farm_id, sampled), list_supplies_on_hand(work, farm_id), quality)


def planned_lots(stores: Stores, names: Mapping[int, str], values: Values, today: date) -> tuple[Lot, ...]:
    """Lots as the balance takes them; no two of one name."""
    seen: set[str] = set()
    return tuple(_lot(lot, stores, names, values, today, seen) for lot in stores.lots)


def _lot(lot: LotOnHand, stores: Stores, names: Mapping[int, str], values: Values, today: date, seen: set[str]) -> Lot:
    name = lot.name if lot.name not in seen else f"{lot.name} ({lot.id})"
    seen.add(name)
    quality = stores.quality.get(lot.id)
    return Lot(
        name,
        names[lot.feed_id],
        lot.mass_dm.value,
        lot.remaining_loss_frac,
        lot.dm_frac.value,
        quality.ndf.mean if quality and quality.ndf.known else math.nan,
        (lot.use_class,) if lot.use_class else (),
        _open_from(lot, values, today),
        min(0.99, lot.spread_frac) if lot.spread_frac == lot.spread_frac else 0.0,
    )


def _open_from(lot: LotOnHand, values: Values, today: date) -> date | None:
    """A lot not yet fermented is fed from the end of its fermentation."""
    if lot.opened_on is not None or lot.sealed_on is None:
        return None
    first = lot.sealed_on + timedelta(days=round(float(values["fermentation_d"])))
    return first if first > today else None


def planned_supplies(stores: Stores, names: Mapping[int, str], today: date) -> tuple[Supply, ...]:
    """Supplies as the balance takes them: what has spoiled is not counted on, what is late is not here."""
    return tuple(
        Supply(
            supply.name,
            names[supply.feed_id],
            tuple(
                Delivery(batch.on, batch.mass_dm_kg)
                for batch in supply.batches
                if not batch.is_spoiled and not batch.is_late and not math.isnan(batch.mass_dm_kg)
            ),
            supply.life_d,
            supply.loss_frac,
        )
        for supply in stores.supplies
    )
