"""Add, change, remove and bring back a lot."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select

from app.access.gate import access_farm, access_removed, access_row, find_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.feeds import Feed, Lot, Structure
from app.services.feeds import FEED_PARTS, check_dry_matter
from app.services.lots.questions import ask_density
from app.services.lots.shapes import with_ids
from app.units.sentences import Sentence


def parts_of(lot_id: int) -> tuple[str, ...]:
    return (*FEED_PARTS, f"lots-lot-{lot_id}")


def access_lot(
    work: Work, farm_id: int, lot_id: int, permission: Permission = Permission.FARM_VIEW, *options: object
) -> Lot:
    return access_row(work, Lot, farm_id, lot_id, permission, *options)


def add_lot(work: Work, farm_id: int, values: dict[str, Any], *, sure: bool = False) -> Lot:
    access_farm(work, farm_id, Permission.FEED_EDIT)
    values = with_ids(values)
    _check(work, farm_id, values, sure)
    _check_name(work, farm_id, values.get("name"))
    last = work.session.scalar(select(func.max(Lot.position)).where(Lot.farm_id == farm_id))
    lot = Lot(farm_id=farm_id, position=(last or 0) + 1, **values)
    work.session.add(lot)
    work.session.flush()
    note(work, farm_id, "add", "lots", lot.id, name=lot.name, parts=parts_of(lot.id))
    return lot


def edit_lot(
    work: Work,
    farm_id: int,
    lot_id: int,
    values: dict[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    sure: bool = False,
) -> Lot:
    lot = access_lot(work, farm_id, lot_id, Permission.FEED_EDIT)
    values, was = with_ids(values), with_ids(dict(was)) if was is not None else None
    names = ("feed_id", "structure_id", "sealed_on", "opened_on", "used_up_on", "dm_frac", "density_kg_m3")
    _check(work, farm_id, {**{name: getattr(lot, name) for name in names}, **values}, sure)
    if values.get("name", lot.name) != lot.name:
        _check_name(work, farm_id, values["name"], lot.id)
    apply_edit(work, lot, values, was, noun="lots", parts=parts_of(lot.id))
    check_days({name: getattr(lot, name) for name in ("sealed_on", "opened_on", "used_up_on")})
    return lot


def remove_lot(work: Work, farm_id: int, lot_id: int) -> Lot:
    """Take a lot off every page; `restore_lot` brings it back with all its readings."""
    lot = access_lot(work, farm_id, lot_id, Permission.FEED_EDIT)
    remove_row(work, lot, noun="lots", parts=parts_of(lot.id))
    return lot


def restore_lot(work: Work, farm_id: int, lot_id: int) -> Lot:
    lot = access_removed(work, Lot, farm_id, lot_id, Permission.FEED_EDIT)
    if lot.removed_at is not None:
        _check_name(work, farm_id, lot.name, lot.id)
        restore_row(work, lot, noun="lots", parts=parts_of(lot.id))
    return lot


def list_removed(work: Work, farm_id: int) -> list[Lot]:
    return removed_rows(work, Lot, farm_id)


def list_used_up(work: Work, farm_id: int) -> list[Lot]:
    """Lots fed to the end, newest first."""
    wanted = select(Lot).where(Lot.farm_id == farm_id, Lot.removed_at.is_(None), Lot.used_up_on.is_not(None))
    return list(work.session.scalars(wanted.order_by(Lot.used_up_on.desc(), Lot.id).limit(50)))


def _check(work: Work, farm_id: int, values: Mapping[str, Any], sure: bool) -> None:
    feed = _own(work, farm_id, Feed, values.get("feed_id"), "feed_id")
    _own(work, farm_id, Structure, values.get("structure_id"), "structure_id")
    if feed is None:
        raise Invalid({"feed_id": Sentence("Choose the feed; add it to the list of feeds first.")})
    check_days(values)
    check_dry_matter(values.get("dm_frac"), feed.kind, sure)
    ask_density(values.get("density_kg_m3"), values.get("dm_frac"), sure)


def _own(work: Work, farm_id: int, table: Any, row_id: int | None, name: str) -> Any:
    """The chosen row, which must be of this farm; a removed one may stay chosen."""
    if row_id is None:
        return None
    row = find_row(work.session, table, farm_id, row_id) or work.session.scalar(
        select(table).where(table.id == row_id, table.farm_id == farm_id)
    )
    if row is None:
        raise Invalid({name: Sentence("That choice is not on this farm's list.")})
    return row


def check_days(values: Mapping[str, Any]) -> None:
    order = (
        ("sealed_on", "opened_on", Sentence("It cannot be opened before it was sealed.")),
        ("sealed_on", "used_up_on", Sentence("It cannot be used up before it was sealed.")),
        ("opened_on", "used_up_on", Sentence("It cannot be used up before it was opened.")),
    )
    for first, then, why in order:
        if values.get(first) and values.get(then) and values[then] < values[first]:
            raise Invalid({then: why})


def _check_name(work: Work, farm_id: int, name: str | None, but: int | None = None) -> None:
    same_name = select(Lot.id).where(
        Lot.farm_id == farm_id,
        Lot.removed_at.is_(None),
        Lot.used_up_on.is_(None),
        func.lower(Lot.name) == (name or "").lower(),
    )
    if any(found != but for found in work.session.scalars(same_name)):
        raise Invalid({"name": Sentence("There is already a lot named {name}.", name=name or "")})
