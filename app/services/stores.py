"""What lies in each structure now, and what its page says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app.access.gate import access_farm
from app.access.work import Work
from app.planning.cautions import Caution
from app.planning.estimates import Estimate, unknown
from app.planning.store_cautions import cautions_at
from app.services import farms
from app.services.lots import LotOnHand, list_lots_on_hand
from app.services.structures import StructureView, access_structure, list_structures, view_of
from app.units.sentences import Sentence


@dataclass(frozen=True)
class StoreOnHand:
    """A structure with the lots in it. The parts left are shares of what it holds when full."""

    structure: StructureView
    lots: tuple[LotOnHand, ...]
    left: Estimate
    left_frac: float
    low_frac: float
    high_frac: float


@dataclass(frozen=True)
class StorePage:
    store: StoreOnHand
    cautions: tuple[Caution, ...]


def list_stores(work: Work, farm_id: int, lots: Sequence[LotOnHand] | None = None) -> tuple[StoreOnHand, ...]:
    """Every structure with what is left in it; pass the lots where they were read already."""
    found = list_lots_on_hand(work, farm_id) if lots is None else lots
    return tuple(store_of(structure, found) for structure in list_structures(work, farm_id))


def store_of(structure: StructureView, lots: Sequence[LotOnHand]) -> StoreOnHand:
    inside = tuple(lot for lot in lots if lot.structure_id == structure.id)
    left = _sum(inside)
    whole = structure.capacity.value
    if math.isnan(whole):  # a stack: against the most that ever lay in it
        whole = sum(lot.most_dm_kg for lot in inside) or math.nan
    whole = max(whole, left.value) if left.known else whole
    return StoreOnHand(structure, inside, left, left.value / whole, left.low / whole, left.high / whole)


def store_page(work: Work, farm_id: int, structure_id: int) -> StorePage:
    """One structure with its lots and the cautions that belong to it."""
    farm = access_farm(work, farm_id)
    row = access_structure(work, farm_id, structure_id)
    store = store_of(view_of(row, farms.values_of(work, farm_id)), list_lots_on_hand(work, farm_id))
    sealed = [lot.sealed_on for lot in store.lots if lot.sealed_on is not None]
    last: date | None = max(sealed, default=None)
    cautions = cautions_at(
        store.structure.sizes, sealed_on=last, today=work.today(farm.time_zone), is_filling=row.fills_next
    )
    return StorePage(store, cautions)


def _sum(lots: Sequence[LotOnHand]) -> Estimate:
    if not lots:
        return Estimate(0.0, "mass_dm", 0.0, 0.0)
    missing = next((lot for lot in lots if not lot.mass_dm.known), None)
    if missing is not None:
        return unknown("mass_dm", missing.mass_dm.reason or Sentence("Nothing was measured or weighed yet."))
    likely = sum(lot.mass_dm.value for lot in lots)
    low = math.hypot(*(lot.mass_dm.value - lot.mass_dm.low for lot in lots))
    high = math.hypot(*(lot.mass_dm.high - lot.mass_dm.value for lot in lots))
    sources = tuple(dict.fromkeys(key for lot in lots for key in lot.sources))
    return Estimate(likely, "mass_dm", max(0.0, likely - low), likely + high, sources=sources)
