"""A person's farms, and a new farm."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.errors import AppError
from app.services import farms as services
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class FormPage:
    form: FormView


@router.get("/farms/new", name="farms.new")
def new(request: Request) -> Response:
    return _new_page(request)


def _new_page(request: Request, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        services.check_may_add(work)
        form = form_view(services.FARM_SHAPE, work.actor.units, typed=typed, refused=refused)
        return show(request, work, "farms/new.html", FormPage(form), status=status_of(refused))


@router.post("/farms/new", name="farms.add")
def add(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            farm = services.add_farm(work, typed.read(services.FARM_SHAPE, work))
            return go(request, "board.show", farm_id=farm.id)
    except REFUSED as refused:
        return _new_page(request, typed, refused)


@router.get("/farms/{farm_id}/settings", name="farms.settings")
def settings(request: Request, farm_id: FarmId) -> Response:
    return _settings_page(request, farm_id)


def _settings_page(
    request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        farm = services.access_farm(work, farm_id, services.Permission.FARM_EDIT)
        form = form_view(services.FARM_SHAPE, work.actor.units, row_values(farm, services.FARM_SHAPE), typed, refused)
        return show(request, work, "farms/settings.html", FormPage(form), farm_id, status_of(refused))


@router.post("/farms/{farm_id}/settings", name="farms.edit")
def edit(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            values, was = typed.read(services.FARM_SHAPE, work), typed.was(services.FARM_SHAPE, work)
            services.edit_farm(work, farm_id, values, was)
            return go(request, "farms.settings", farm_id=farm_id)
    except REFUSED as refused:
        return _settings_page(request, farm_id, typed, refused)
