"""Deliveries under a contract: due, received, taken off."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, Unsure
from app.events.edits import apply_edit
from app.events.history import note
from app.records.feeds import Delivery, Supply
from app.services.lots.questions import ask_pounds
from app.services.supplies.edits import access_supply, parts_of
from app.units.quantities import KG_PER_SHORT_TON
from app.units.sentences import Sentence

USUAL_DELIVERY_KG = (0.5 * KG_PER_SHORT_TON, 1_000 * KG_PER_SHORT_TON)


def access_delivery(
    work: Work, farm_id: int, delivery_id: int, permission: Permission = Permission.FARM_VIEW
) -> Delivery:
    return access_row(work, Delivery, farm_id, delivery_id, permission)


def add_delivery(work: Work, farm_id: int, supply_id: int, values: dict[str, Any], *, sure: bool = False) -> Delivery:
    supply = access_supply(work, farm_id, supply_id, Permission.FEED_EDIT)
    _check(work, farm_id, values, sure)
    delivery = Delivery(farm_id=farm_id, supply_id=supply.id, **values)
    work.session.add(delivery)
    work.session.flush()
    work.session.expire(supply, ["deliveries"])
    note(work, farm_id, "add", "deliveries", delivery.id, name=supply.name, parts=parts_of(supply.id))
    return delivery


def edit_delivery(
    work: Work,
    farm_id: int,
    delivery_id: int,
    values: dict[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    sure: bool = False,
) -> Delivery:
    delivery = access_delivery(work, farm_id, delivery_id, Permission.FEED_EDIT)
    _check(work, farm_id, values, sure)
    supply = _supply(work, delivery)
    apply_edit(work, delivery, values, was, noun="deliveries", name=supply.name, parts=parts_of(supply.id))
    return delivery


def receive_delivery(work: Work, farm_id: int, delivery_id: int, received_on: date | None = None) -> Delivery:
    """Mark a delivery as received, today where no day is given; its weight is on hand from then on."""
    delivery = access_delivery(work, farm_id, delivery_id, Permission.FEED_LOG)
    day = received_on or work.today(access_farm(work, farm_id).time_zone)
    return _set_received(work, farm_id, delivery, day)


def expect_again(work: Work, farm_id: int, delivery_id: int) -> Delivery:
    """Undo of `receive_delivery`."""
    return _set_received(work, farm_id, access_delivery(work, farm_id, delivery_id, Permission.FEED_LOG), None)


def remove_delivery(work: Work, farm_id: int, delivery_id: int) -> tuple[int, dict[str, Any]]:
    """Take a delivery off the contract; returns its supply and the values that put it back."""
    delivery = access_delivery(work, farm_id, delivery_id, Permission.FEED_EDIT)
    supply = _supply(work, delivery)
    kept = {name: getattr(delivery, name) for name in ("due_on", "mass_af_kg", "received_on")}
    work.session.delete(delivery)
    work.session.flush()
    work.session.expire(supply, ["deliveries"])
    fields = {name: (value, None) for name, value in kept.items() if value is not None}
    note(
        work,
        farm_id,
        "remove",
        "deliveries",
        delivery_id,
        name=supply.name,
        fields=fields,
        parts=parts_of(supply.id),
    )
    return supply.id, kept


def _set_received(work: Work, farm_id: int, delivery: Delivery, day: date | None) -> Delivery:
    _check(work, farm_id, {"received_on": day}, True)
    supply = _supply(work, delivery)
    apply_edit(work, delivery, {"received_on": day}, noun="deliveries", name=supply.name, parts=parts_of(supply.id))
    return delivery


def _check(work: Work, farm_id: int, values: Mapping[str, Any], sure: bool) -> None:
    farm = access_farm(work, farm_id)
    today, received = work.today(farm.time_zone), values.get("received_on")
    if received is not None and received > today:
        raise Invalid({"received_on": Sentence("{day} is still to come.", day=received)})
    ask_pounds(values.get("mass_af_kg"), "mass_af_kg", work.actor.units, USUAL_DELIVERY_KG, sure)
    due = values.get("due_on")
    if due is not None and due < today and received is None and not sure:
        raise Unsure({"due_on": Sentence("{day} is past. Was it received? Then fill in the day.", day=due)})


def _supply(work: Work, delivery: Delivery) -> Supply:
    supply = work.session.get(Supply, delivery.supply_id)
    assert supply is not None, "a foreign key"
    return supply
