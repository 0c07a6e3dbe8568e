"""What the page of one lot shows: the lot, its readings with what became of them, and the structure's cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.events.corrections import current_rows, last_rows
from app.planning.cautions import Caution
from app.planning.stock import amount_or_reason
from app.planning.store_cautions import cautions_at
from app.records.accounts import Account
from app.records.feeds import Feed, Feedout, Load, Lot, LotMeasurement, Structure
from app.records.fields import Field
from app.services import farms
from app.services.lots.edits import access_lot
from app.services.lots.entries import READINGS
from app.services.lots.on_hand import LotOnHand, Quality, lot_on_hand
from app.services.lots.reading import facts_of, found_of
from app.services.lots.shapes import methods_for
from app.services.structures import sizes_of


@dataclass(frozen=True)
class Entry:
    """A reading that stands, with who noted it; `dm_kg` is what a measurement came to."""

    row: Any
    by: str
    at: datetime
    is_correction: bool
    dm_kg: float | None = None


@dataclass(frozen=True)
class Withdrawn:
    """A reading that was taken back last and can be put back."""

    id: int
    on: date
    noun: str


@dataclass(frozen=True)
class LotPage:
    lot: LotOnHand
    note: str | None
    methods: tuple[str, ...]
    measurements: tuple[Entry, ...]
    feedouts: tuple[Entry, ...]
    loads: tuple[Entry, ...]
    fields: dict[int, str]
    withdrawn: tuple[Withdrawn, ...]
    cautions: tuple[Caution, ...]


def lot_page(work: Work, farm_id: int, lot_id: int, quality: Quality | None = None) -> LotPage:
    """One lot with everything noted about it, newest first."""
    farm = access_farm(work, farm_id)
    lot = access_lot(work, farm_id, lot_id, Permission.FARM_VIEW, *READINGS)
    feed = work.session.get(Feed, lot.feed_id)
    structure = work.session.get(Structure, lot.structure_id) if lot.structure_id else None
    values, today = farms.values_of(work, farm_id), work.today(farm.time_zone)
    rows: list[Any] = [*lot.measurements, *lot.feedouts, *lot.loads]
    names = _names(work, {row.account_id for row in rows if row.account_id is not None})
    measured = current_rows(lot.measurements)
    facts = facts_of(lot, feed, structure, values)

    cautions = cautions_at(sizes_of(structure), sealed_on=lot.sealed_on, today=today, is_filling=False)
    return LotPage(
        lot_on_hand(lot, feed, structure, values, today, quality),
        lot.note,
        methods_for(structure.kind if structure else None),
        tuple(
            _entry(row, names, amount_or_reason(facts, found_of(row, lot, structure, measured)).mass_dm_kg)
            for row in reversed(measured)
        ),
        tuple(_entry(row, names) for row in reversed(current_rows(lot.feedouts))),
        tuple(_entry(row, names) for row in reversed(current_rows(lot.loads))),
        {row.id: row.name for row in work.session.scalars(select(Field).where(Field.farm_id == farm_id))},
        (
            *_withdrawn(lot.measurements, "measurement", "measured_on"),
            *_withdrawn(lot.feedouts, "feedout", "from_on"),
            *_withdrawn(lot.loads, "load", "loaded_on"),
        ),
        cautions if structure else (),
    )


def _entry(row: LotMeasurement | Feedout | Load, names: dict[int, str], dm_kg: float | None = None) -> Entry:
    by = names.get(row.account_id or 0, "Swathboard")
    return Entry(row, by, row.noted_at, row.corrects_id is not None, dm_kg)


def _withdrawn(rows: Sequence[Any], noun: str, day: str) -> list[Withdrawn]:
    gone = [row for row in last_rows(rows) if row.is_withdrawn]
    return [Withdrawn(row.id, getattr(row, day), noun) for row in gone[-5:]]


def _names(work: Work, account_ids: set[int]) -> dict[int, str]:
    if not account_ids:
        return {}
    rows = work.session.execute(select(Account.id, Account.name).where(Account.id.in_(account_ids)))
    return {row.id: row.name for row in rows}


def choices(work: Work, farm_id: int, lot: Lot | None = None) -> tuple[list[tuple[int, str]], list[tuple[int, str]]]:
    """Feeds and structures a lot may be of and in; what it has already stays choosable after removal."""
    access_farm(work, farm_id)
    feeds = select(Feed).where(Feed.farm_id == farm_id).order_by(Feed.name, Feed.id)
    stores = select(Structure).where(Structure.farm_id == farm_id).order_by(Structure.position, Structure.id)
    keep = {lot.feed_id, lot.structure_id} if lot else set()
    return (
        [(row.id, row.name) for row in work.session.scalars(feeds) if row.removed_at is None or row.id in keep],
        [(row.id, row.name) for row in work.session.scalars(stores) if row.removed_at is None or row.id in keep],
    )


def field_choices(work: Work, farm_id: int) -> list[tuple[int, str]]:
    access_farm(work, farm_id)
    wanted = select(Field).where(Field.farm_id == farm_id, Field.removed_at.is_(None))
    return [(row.id, row.name) for row in work.session.scalars(wanted.order_by(Field.position, Field.id))]


def kind_of_store(work: Work, farm_id: int, lot_id: int) -> str | None:
    """Kind of the structure a lot lies in; None where it lies in none."""
    lot = access_lot(work, farm_id, lot_id)
    structure = work.session.get(Structure, lot.structure_id) if lot.structure_id is not None else None
    return structure.kind if structure else None
