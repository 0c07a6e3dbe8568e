"""Rows of a lot as the plain facts that planning counts with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from app.events.corrections import current_rows
from app.planning.stock import Found, LotFacts, Put, Taken
from app.planning.stores import Left
from app.records.feeds import Feed, Feedout, Load, Lot, LotMeasurement, Structure
from app.services.structure_defaults import usual_of
from app.services.structures import sizes_of

DRY_HAY = ("hay", "straw")


def facts_of(
    lot: Lot,
    feed: Feed | None,
    structure: Structure | None,
    values: Mapping[str, float | str],
    sampled_dm_frac: float | None = None,
    but: Sequence[int] = (),
) -> LotFacts:
    """A lot with its readings after corrections; `but` leaves out measurements by id."""
    measured = [row for row in current_rows(lot.measurements) if row.id not in but]
    measured.sort(key=lambda row: (row.measured_on, row.id))
    return LotFacts(
        sizes_of(structure),
        dm_of(lot, feed, measured, sampled_dm_frac),
        usual_of(structure.kind if structure else None, values, lot.remaining_loss_frac, lot.feedout_loss_frac),
        feed is not None and feed.kind in DRY_HAY,
        lot.density_kg_m3,
        tuple(found_of(row, lot, structure, measured) for row in measured),
        tuple(put_of(row) for row in current_rows(lot.loads)),
        tuple(taken_of(row) for row in current_rows(lot.feedouts)),
    )


def dm_of(
    lot: Lot, feed: Feed | None, measured: Sequence[LotMeasurement], sampled_dm_frac: float | None = None
) -> float | None:
    """Dry matter to count with: mean of its samples, else its own, else the last measured, else the feed's usual."""
    last = next((row.dm_frac for row in reversed(measured) if row.dm_frac is not None), None)
    feeds_own = feed.dm_frac if feed else None
    return next((dm for dm in (sampled_dm_frac, lot.dm_frac, last, feeds_own) if dm is not None), None)


def found_of(
    row: LotMeasurement, lot: Lot, structure: Structure | None, measured: Sequence[LotMeasurement] = ()
) -> Found:
    is_open = is_open_on(lot, row.measured_on)
    left = Left(row.length_m, row.width_m, row.height_m, is_open, _settled(lot, structure, measured))
    return Found(
        row.measured_on,
        row.method,
        left,
        row.bales_count,
        row.bale_weight_kg,
        row.mass_af_kg,
        row.mass_dm_kg,
        row.dm_frac,
        row.density_kg_m3,
        row.volume_m3,
    )


def is_open_on(lot: Lot, day: date) -> bool:
    return lot.opened_on is not None and lot.opened_on <= day


def _settled(lot: Lot, structure: Structure | None, measured: Sequence[LotMeasurement]) -> float | None:
    """Depth of feed in a tower before it was opened, where it was measured."""
    if structure is None or structure.kind != "tower":
        return None
    before = [row.height_m for row in measured if row.height_m is not None and not is_open_on(lot, row.measured_on)]
    return before[-1] if before else None


def put_of(row: Load) -> Put:
    return Put(row.loaded_on, row.mass_af_kg, row.dm_frac)


def taken_of(row: Feedout) -> Taken:
    return Taken(row.from_on, row.to_on, row.mass_af_kg, row.thrown_af_kg, row.dm_frac)
