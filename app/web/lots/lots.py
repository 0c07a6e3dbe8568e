"""The table of lots, the page of one lot, and the form of a lot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import feeds as feed_services
from app.services import lots as services
from app.units.shapes import Shape
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.lots.views import ROOT, lot_view
from app.web.pages import go, show
from app.web.stores import StoresView, lots_view
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Listing:
    stores: StoresView
    used_up: list
    removed: list
    feeds: list


@dataclass(frozen=True)
class FormPage:
    form: FormView
    lot_id: int | None
    feeds: list


@router.get(ROOT, name="lots.show")
def show_lots(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = Listing(
            lots_view(request, work, farm_id),
            services.list_used_up(work, farm_id),
            services.list_removed(work, farm_id),
            feed_services.list_feeds(work, farm_id),
        )
        return show(request, work, "lots/show.html", page, farm_id)


@router.get(ROOT + "/_table", name="lots.table_part")
def table_part(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = Listing(lots_view(request, work, farm_id), [], [], [])
        return show(request, work, "lots/_table.html", page, farm_id)


@router.get(ROOT + "/new", name="lots.new")
def new(request: Request, farm_id: FarmId, structure: int | None = None) -> Response:
    return _form_page(request, farm_id, None, start={"structure_id": structure})


@router.get(ROOT + "/{lot_id}", name="lots.lot")
def lot(request: Request, farm_id: FarmId, lot_id: Id, by: str = "") -> Response:
    with reading(request) as work:
        return show(request, work, "lots/lot.html", lot_view(request, work, farm_id, lot_id, by), farm_id)


@router.get(ROOT + "/{lot_id}/_figures", name="lots.figures_part")
def figures_part(request: Request, farm_id: FarmId, lot_id: Id) -> Response:
    with reading(request) as work:
        return show(request, work, "lots/_figures.html", lot_view(request, work, farm_id, lot_id), farm_id)


@router.get(ROOT + "/{lot_id}/edit", name="lots.edit_page")
def edit_page(request: Request, farm_id: FarmId, lot_id: Id) -> Response:
    return _form_page(request, farm_id, lot_id)


def _shape(work: Work, farm_id: int, row: Any = None) -> Shape:
    return services.lot_shape(*services.choices(work, farm_id, row))


def _form_page(
    request: Request,
    farm_id: int,
    lot_id: int | None,
    typed: Typed | None = None,
    refused: AppError | None = None,
    start: dict[str, Any] | None = None,
) -> Response:
    with reading(request) as work:
        feed_services.access_farm(work, farm_id, Permission.FEED_EDIT)
        row = services.access_lot(work, farm_id, lot_id, Permission.FEED_EDIT) if lot_id else None
        shape = _shape(work, farm_id, row)
        values = row_values(row, shape) if row else start
        form = form_view(shape, work.actor.units, values, typed, refused)
        if row is None:
            form.was = {}
        page = FormPage(form, lot_id, feed_services.list_feeds(work, farm_id))
        return show(request, work, "lots/form.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/new", name="lots.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            farm = feed_services.access_farm(work, farm_id, Permission.FEED_EDIT)
            values = typed.read(_shape(work, farm_id), work, work.today(farm.time_zone))
            row = services.add_lot(work, farm_id, values, sure=typed.sure)
            return go(request, "lots.lot", farm_id=farm_id, lot_id=row.id)
    except REFUSED as refused:
        return _form_page(request, farm_id, None, typed, refused)


@router.post(ROOT + "/{lot_id}/edit", name="lots.edit")
def edit(request: Request, farm_id: FarmId, lot_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            row = services.access_lot(work, farm_id, lot_id, Permission.FEED_EDIT)
            farm, shape = feed_services.access_farm(work, farm_id), _shape(work, farm_id, row)
            values = typed.read(shape, work, work.today(farm.time_zone))
            services.edit_lot(work, farm_id, lot_id, values, typed.was(shape, work), sure=typed.sure)
            return go(request, "lots.lot", farm_id=farm_id, lot_id=lot_id)
    except REFUSED as refused:
        return _form_page(request, farm_id, lot_id, typed, refused)


@router.post(ROOT + "/{lot_id}/remove", name="lots.remove")
def remove(request: Request, farm_id: FarmId, lot_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_lot(work, farm_id, lot_id)
        return go(request, "lots.show", "lots-removed", farm_id=farm_id)


@router.post(ROOT + "/{lot_id}/restore", name="lots.restore")
def restore(request: Request, farm_id: FarmId, lot_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_lot(work, farm_id, lot_id)
        return go(request, "lots.lot", farm_id=farm_id, lot_id=lot_id)
