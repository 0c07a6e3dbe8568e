"""A yard with machines and a bunker to be filled."""

from __future__ import annotations

from app.access.work import Work
from app.records.checklists import Checklist, Item
from app.records.feeds import Structure
from app.services import checklists, machines
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON, M_PER_FT


def add_yard(work: Work, farm_id: int) -> None:
    """A chopper of 50 tons an hour, one packing tractor of 30,000 lb, and a bunker of 40 x 150 ft."""
    machines.add_machine(work, farm_id, {"name": "Chopper", "kind": "chopper", "rate_kg_h": 50 * KG_PER_SHORT_TON})
    machines.add_machine(
        work,
        farm_id,
        {"name": "Blue", "kind": "packing_tractor", "weight_kg": 30_000 * KG_PER_LB, "share_frac": 1.0},
    )
    work.session.add(
        Structure(
            farm_id=farm_id,
            name="Bunker 2",
            kind="bunker",
            length_m=150 * M_PER_FT,
            width_m=40 * M_PER_FT,
            wall_height_m=12 * M_PER_FT,
            peak_height_m=14 * M_PER_FT,
            ramps_count=1,
            fills_next=True,
        )
    )
    work.session.flush()


def drawn_yard(work: Work, farm_id: int) -> Checklist:
    add_yard(work, farm_id)
    return checklists.draw_list(work, farm_id)


def item_of(work: Work, checklist: Checklist, key: str) -> Item:
    """The item of the list drawn from that entry."""
    line = next(line for line in checklists.list_page(work, checklist.farm_id).lines if line.row.key == key)
    return line.row
