"""Add, change, remove and bring back a supply."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.feeds import Feed, Supply
from app.services.feeds import FEED_PARTS, check_dry_matter
from app.services.lots.questions import ask_pounds
from app.services.lots.shapes import with_ids
from app.units.quantities import KG_PER_SHORT_TON
from app.units.sentences import Sentence

USUAL_STOCK_KG = (0.05 * KG_PER_SHORT_TON, 3_000 * KG_PER_SHORT_TON)


def parts_of(supply_id: int) -> tuple[str, ...]:
    return (*FEED_PARTS, f"supplies-supply-{supply_id}")


def access_supply(
    work: Work, farm_id: int, supply_id: int, permission: Permission = Permission.FARM_VIEW, *options: object
) -> Supply:
    return access_row(work, Supply, farm_id, supply_id, permission, *options)


def add_supply(work: Work, farm_id: int, values: dict[str, Any], *, sure: bool = False) -> Supply:
    farm = access_farm(work, farm_id, Permission.FEED_EDIT)
    values = _with_count(with_ids(values))
    _check(work, farm_id, values, sure)
    _check_name(work, farm_id, values.get("name"))
    if values.get("on_hand_af_kg") and values.get("counted_on") is None:
        values["counted_on"] = work.today(farm.time_zone)
    supply = Supply(farm_id=farm_id, **values)
    work.session.add(supply)
    work.session.flush()
    note(work, farm_id, "add", "supplies", supply.id, name=supply.name, parts=parts_of(supply.id))
    return supply


def edit_supply(
    work: Work,
    farm_id: int,
    supply_id: int,
    values: dict[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    sure: bool = False,
) -> Supply:
    farm = access_farm(work, farm_id)
    supply = access_supply(work, farm_id, supply_id, Permission.FEED_EDIT)
    values, was = _with_count(with_ids(values)), with_ids(dict(was)) if was is not None else None
    if was is not None:
        was = _with_count(was)
    _check(work, farm_id, {"feed_id": supply.feed_id, **values}, sure)
    if values.get("name", supply.name) != supply.name:
        _check_name(work, farm_id, values["name"], supply.id)
    counted = supply.counted_on
    changes = apply_edit(work, supply, values, was, noun="supplies", parts=parts_of(supply.id))
    if "on_hand_af_kg" in changes and supply.counted_on == counted:
        # an amount typed anew was counted today, unless the person says otherwise
        supply.counted_on = work.today(farm.time_zone)
    return supply


def remove_supply(work: Work, farm_id: int, supply_id: int) -> Supply:
    supply = access_supply(work, farm_id, supply_id, Permission.FEED_EDIT)
    remove_row(work, supply, noun="supplies", parts=parts_of(supply.id))
    return supply


def restore_supply(work: Work, farm_id: int, supply_id: int) -> Supply:
    supply = access_removed(work, Supply, farm_id, supply_id, Permission.FEED_EDIT)
    if supply.removed_at is not None:
        _check_name(work, farm_id, supply.name, supply.id)
        restore_row(work, supply, noun="supplies", parts=parts_of(supply.id))
    return supply


def list_removed(work: Work, farm_id: int) -> list[Supply]:
    return removed_rows(work, Supply, farm_id)


def _with_count(values: dict[str, Any]) -> dict[str, Any]:
    """Nothing typed as on hand means nothing on hand."""
    return {**values, "on_hand_af_kg": values["on_hand_af_kg"] or 0.0} if "on_hand_af_kg" in values else values


def _check(work: Work, farm_id: int, values: Mapping[str, Any], sure: bool) -> None:
    feed = work.session.scalar(select(Feed).where(Feed.id == values.get("feed_id"), Feed.farm_id == farm_id))
    if feed is None:
        raise Invalid({"feed_id": Sentence("Choose the feed; add it to the list of feeds first.")})
    check_dry_matter(values.get("dm_frac"), feed.kind, sure)
    ask_pounds(values.get("on_hand_af_kg"), "on_hand_af_kg", work.actor.units, USUAL_STOCK_KG, sure)
    shares = [values.get("ndf_frac"), values.get("cp_frac")]
    if all(share is not None for share in shares) and sum(shares) > 1:  # type: ignore[arg-type]
        raise Invalid({"ndf_frac": Sentence("NDF and crude protein together make more than the whole dry matter.")})


def _check_name(work: Work, farm_id: int, name: str | None, but: int | None = None) -> None:
    same_name = select(Supply.id).where(
        Supply.farm_id == farm_id, Supply.removed_at.is_(None), func.lower(Supply.name) == (name or "").lower()
    )
    if any(found != but for found in work.session.scalars(same_name)):
        raise Invalid({"name": Sentence("There is already a supply named {name}.", name=name or "")})
