"""Feed on hand, built through the services the way people enter it."""

from __future__ import annotations

from datetime import date
from typing import Any

from app.access.work import Work
from app.records.feeds import Feed, Lot, Structure
from app.services import feeds, lots, structures
from app.units.quantities import M_PER_FT

FT = M_PER_FT
BUNKER = {
    "name": "Bunker 2",
    "kind": "bunker",
    "length_m": 100 * FT,
    "width_m": 40 * FT,
    "wall_height_m": 12 * FT,
    "ramps_count": 1,
    "end_slope": 3.0,
}
TOWER = {"name": "Tower", "kind": "tower", "diameter_m": 20 * FT, "peak_height_m": 40 * FT}
STACK = {
    "name": "Hay shed",
    "kind": "stack",
    "bale_is_round": True,
    "diameter_m": 5 * FT,
    "bale_width_m": 5 * FT,
}


def add_feed(work: Work, farm_id: int, name: str = "Alfalfa haylage", kind: str = "haylage", **more: Any) -> Feed:
    return feeds.add_feed(work, farm_id, {"name": name, "kind": kind, **more})


def add_lot(
    work: Work, farm_id: int, store: dict[str, Any] | None = None, feed: Feed | None = None, **more: Any
) -> tuple[Lot, Structure | None]:
    """A lot in a structure of those sizes, by default haylage of 38 % dry matter sealed last May."""
    feed = feed or add_feed(work, farm_id)
    structure = structures.add_structure(work, farm_id, store) if store else None
    values = {"name": f"Lot in {store['name'] if store else 'the yard'}", "feed_id": feed.id, "dm_frac": 0.38,
              "sealed_on": date(2026, 5, 28), "structure_id": structure.id if structure else None, **more}  # fmt: skip
    return lots.add_lot(work, farm_id, values), structure
