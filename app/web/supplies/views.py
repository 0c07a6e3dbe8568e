"""The page of one supply with its deliveries and the check of a load against the herd."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from fastapi import Request

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import supplies as services
from app.units import shapes
from app.web.citations import cited
from app.web.forms import FormView, Typed, form_view

ROOT = "/farms/{farm_id}/supplies"
FIRST_LOAD_KG = 22_500.0


@dataclass(frozen=True)
class SupplyView:
    """`taken_off` are the typed values of a delivery just taken off, to put it back with."""

    supply: services.SupplyOnHand
    delivery: FormView | None
    check: FormView
    checked: services.LoadCheck | None
    keeps: bool
    taken_off: dict[str, str]
    sources: tuple


def supply_view(
    request: Request,
    work: Work,
    farm_id: int,
    supply_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
) -> SupplyView:
    supply = services.supply_page(work, farm_id, supply_id)
    may, units = work.actor.may(Permission.FEED_EDIT, farm_id), work.actor.units
    texts = request.query_params
    check, checked = _check(supply, texts, units)
    off = {name: texts[f"off_{name}"] for name in ("due_on", "mass_af_kg", "received_on") if texts.get(f"off_{name}")}
    return SupplyView(
        supply,
        form_view(services.DELIVERY_SHAPE, units, None, typed, refused) if may else None,
        check,
        checked,
        math.isinf(supply.life_d),
        off if may else {},
        cited(request, ("Chase2026",)),
    )


def _check(supply: services.SupplyOnHand, texts: Any, units: Any) -> tuple[FormView, services.LoadCheck | None]:
    """The check as it was asked for in the address; a plain form of GET that works without JavaScript."""
    shape = services.LOAD_CHECK_SHAPE
    form = form_view(shape, units, {"load_af_kg": _one_load(supply)})
    form.was = {}
    asked = {column.name: texts[column.name] for column in shape.columns if column.name in texts}
    if not asked:
        return form, None
    form.texts = {**form.texts, **asked}
    read = shapes.read(shape, asked, units)
    if read.errors:
        form.errors = read.errors
        return form, None
    values = read.values
    return form, services.check_load(supply, values["load_af_kg"], values["head_count"], values["fed_af_kg"])


def _one_load(supply: services.SupplyOnHand) -> float:
    """The next delivery, or what lies there, or a usual load."""
    due = supply.next_due.mass_af_kg if supply.next_due else 0.0
    return due or supply.on_hand_af.value or FIRST_LOAD_KG
