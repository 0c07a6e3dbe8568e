"""The table of supplies, the page of one, and its form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import feeds as feed_services
from app.services import lots as lot_services
from app.services import supplies as services
from app.units.shapes import Shape
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.stores import StoresView, supplies_view
from app.web.supplies.views import ROOT, supply_view
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Listing:
    stores: StoresView
    removed: list
    feeds: list


@dataclass(frozen=True)
class FormPage:
    form: FormView
    supply_id: int | None
    feeds: list


@router.get(ROOT, name="supplies.show")
def show_supplies(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        view = supplies_view(work, farm_id)
        page = Listing(view, services.list_removed(work, farm_id), feed_services.list_feeds(work, farm_id))
        return show(request, work, "supplies/show.html", page, farm_id)


@router.get(ROOT + "/_table", name="supplies.table_part")
def table_part(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = Listing(supplies_view(work, farm_id), [], [])
        return show(request, work, "supplies/_table.html", page, farm_id)


@router.get(ROOT + "/new", name="supplies.new")
def new(request: Request, farm_id: FarmId) -> Response:
    return _form_page(request, farm_id, None)


@router.get(ROOT + "/{supply_id}", name="supplies.supply")
def supply(request: Request, farm_id: FarmId, supply_id: Id) -> Response:
    with reading(request) as work:
        page = supply_view(request, work, farm_id, supply_id)
        return show(request, work, "supplies/supply.html", page, farm_id, 422 if page.check.errors else 200)


@router.get(ROOT + "/{supply_id}/edit", name="supplies.edit_page")
def edit_page(request: Request, farm_id: FarmId, supply_id: Id) -> Response:
    return _form_page(request, farm_id, supply_id)


def _shape(work: Work, farm_id: int, row: Any = None) -> Shape:
    feeds, _stores = lot_services.choices(work, farm_id)
    known = {feed_id for feed_id, _name in feeds}
    if row is not None and row.feed_id not in known:
        feeds = [*feeds, (row.feed_id, services.supply_page(work, farm_id, row.id).feed)]
    return services.supply_shape(feeds)


def _form_page(
    request: Request, farm_id: int, supply_id: int | None, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        feed_services.access_farm(work, farm_id, Permission.FEED_EDIT)
        row = services.access_supply(work, farm_id, supply_id, Permission.FEED_EDIT) if supply_id else None
        shape = _shape(work, farm_id, row)
        form = form_view(shape, work.actor.units, row_values(row, shape) if row else None, typed, refused)
        page = FormPage(form, supply_id, feed_services.list_feeds(work, farm_id))
        return show(request, work, "supplies/form.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/new", name="supplies.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            farm = feed_services.access_farm(work, farm_id, Permission.FEED_EDIT)
            values = typed.read(_shape(work, farm_id), work, work.today(farm.time_zone))
            row = services.add_supply(work, farm_id, values, sure=typed.sure)
            return go(request, "supplies.supply", farm_id=farm_id, supply_id=row.id)
    except REFUSED as refused:
        return _form_page(request, farm_id, None, typed, refused)


@router.post(ROOT + "/{supply_id}/edit", name="supplies.edit")
def edit(request: Request, farm_id: FarmId, supply_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            row = services.access_supply(work, farm_id, supply_id, Permission.FEED_EDIT)
            farm, shape = feed_services.access_farm(work, farm_id), _shape(work, farm_id, row)
            values = typed.read(shape, work, work.today(farm.time_zone))
            services.edit_supply(work, farm_id, supply_id, values, typed.was(shape, work), sure=typed.sure)
            return go(request, "supplies.supply", farm_id=farm_id, supply_id=supply_id)
    except REFUSED as refused:
        return _form_page(request, farm_id, supply_id, typed, refused)


@router.post(ROOT + "/{supply_id}/remove", name="supplies.remove")
def remove(request: Request, farm_id: FarmId, supply_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_supply(work, farm_id, supply_id)
        return go(request, "supplies.show", "supplies-removed", farm_id=farm_id)


@router.post(ROOT + "/{supply_id}/restore", name="supplies.restore")
def restore(request: Request, farm_id: FarmId, supply_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_supply(work, farm_id, supply_id)
        return go(request, "supplies.supply", farm_id=farm_id, supply_id=supply_id)
