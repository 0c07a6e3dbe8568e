"""Names that labs use for analytes: the farm's own list."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.errors import AppError
from app.services import analyte_names as services
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Page:
    names: services.NamesPage
    form: FormView


@dataclass(frozen=True)
class FormPage:
    form: FormView
    name_id: int


@router.get("/farms/{farm_id}/analyte-names", name="analyte_names.show")
def show_names(request: Request, farm_id: FarmId) -> Response:
    return _page(request, farm_id)


def _page(request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        form = form_view(services.NAME_SHAPE, work.actor.units, None, typed, refused)
        page = Page(services.names_page(work, farm_id), form)
        return show(request, work, "analyte_names/show.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/analyte-names", name="analyte_names.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_farm(work, farm_id, services.Permission.SAMPLES_EDIT)
            services.add_name(work, farm_id, typed.read(services.NAME_SHAPE, work))
            return go(request, "analyte_names.show", farm_id=farm_id)
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused)


@router.get("/farms/{farm_id}/analyte-names/{name_id}", name="analyte_names.name")
def name(request: Request, farm_id: FarmId, name_id: Id) -> Response:
    return _name_page(request, farm_id, name_id)


def _name_page(
    request: Request, farm_id: int, name_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        row = services.get_name(work, farm_id, name_id)
        values = row_values(row, services.NAME_SHAPE)
        form = form_view(services.NAME_SHAPE, work.actor.units, values, typed, refused)
        return show(request, work, "analyte_names/name.html", FormPage(form, name_id), farm_id, status_of(refused))


@router.post("/farms/{farm_id}/analyte-names/{name_id}", name="analyte_names.edit")
def edit(request: Request, farm_id: FarmId, name_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    shape = services.NAME_SHAPE
    try:
        with writing(request, typed) as work:
            services.get_name(work, farm_id, name_id)
            services.edit_name(work, farm_id, name_id, typed.read(shape, work), typed.was(shape, work))
            return go(request, "analyte_names.show", farm_id=farm_id)
    except REFUSED as refused:
        return _name_page(request, farm_id, name_id, typed, refused)


@router.post("/farms/{farm_id}/analyte-names/{name_id}/remove", name="analyte_names.remove")
def remove(request: Request, farm_id: FarmId, name_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_name(work, farm_id, name_id)
    return go(request, "analyte_names.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/analyte-names/{name_id}/restore", name="analyte_names.restore")
def restore(request: Request, farm_id: FarmId, name_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_name(work, farm_id, name_id)
    return go(request, "analyte_names.show", farm_id=farm_id)
