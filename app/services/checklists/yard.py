"""What the farm has said about its yard, as the checklist counts with it."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import select

from app.access.work import Work
from app.planning.yard import FillStructure, PackingTractor, YardInputs
from app.records.checklists import Machine
from app.records.feeds import Structure
from app.services.checklists.outlook import Outlook


def yard_of(work: Work, farm_id: int, outlook: Outlook) -> YardInputs:
    """Machines, the structures meant for the coming cutting and the crop; what nobody has said stays unknown."""
    machines = list(
        work.session.scalars(
            select(Machine).where(Machine.farm_id == farm_id, Machine.removed_at.is_(None)).order_by(Machine.id)
        )
    )
    structures = work.session.scalars(
        select(Structure)
        .where(Structure.farm_id == farm_id, Structure.removed_at.is_(None), Structure.fills_next)
        .order_by(Structure.position, Structure.id)
    )
    return YardInputs(
        expected_af_kg=outlook.expected_af_kg,
        dm_frac=outlook.dm_frac,
        delivery_af_kg_h=_sum(row.rate_kg_h for row in machines if row.kind == "chopper"),
        structures=tuple(_fill(row) for row in structures),
        packing_tractors=tuple(
            PackingTractor(row.weight_kg, 1.0 if row.share_frac is None else row.share_frac)
            for row in machines
            if row.kind == "packing_tractor" and row.weight_kg is not None
        ),
        trucks_count=sum(row.kind == "truck" for row in machines) or None,
        truck_rate_af_kg_h=_mean(row.rate_kg_h for row in machines if row.kind == "truck"),
        mower_width_m=max((row.width_m for row in machines if row.kind == "mower" and row.width_m), default=None),
    )


def _sum(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) if known else None


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None


def _fill(row: Structure) -> FillStructure:
    return FillStructure(
        name=row.name,
        kind=row.kind,
        length_m=row.length_m,
        width_m=row.width_m,
        wall_height_m=row.wall_height_m,
        peak_height_m=row.peak_height_m,
        ramps_count=1 if row.ramps_count is None else row.ramps_count,
        side_ratio=3.0 if row.side_slope is None else row.side_slope,
        end_ratio=3.0 if row.end_slope is None else row.end_slope,
    )
