"""Forms of stands and of counts of stems and roots."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.errors import AppError
from app.services import stands as services
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class FormPage:
    """A form of a stand or a count on a field."""

    form: FormView
    field_id: int
    field_name: str
    row_id: int | None = None
    shares: tuple[str, ...] = ()


@router.get("/farms/{farm_id}/fields/{field_id}/stands/new", name="stands.new")
def new(request: Request, farm_id: FarmId, field_id: Id) -> Response:
    return _new_page(request, farm_id, field_id)


def _new_page(
    request: Request, farm_id: int, field_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        field = services.field_of(work, farm_id, field_id)
        form = form_view(services.STAND_SHAPE, work.actor.units, None, typed, refused)
        if typed is None:
            form.texts = {"share_alfalfa": "100"}
        page = FormPage(form, field_id, field.name, shares=services.SHARES)
        return show(request, work, "stands/form.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/fields/{field_id}/stands/new", name="stands.add")
def add(request: Request, farm_id: FarmId, field_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            today = services.today_on(work, farm_id)
            services.add_stand(work, farm_id, field_id, typed.read(services.STAND_SHAPE, work, today))
            return go(request, "fields.field", farm_id=farm_id, field_id=field_id)
    except REFUSED as refused:
        return _new_page(request, farm_id, field_id, typed, refused)


@router.get("/farms/{farm_id}/stands/{stand_id}/edit", name="stands.change")
def change(request: Request, farm_id: FarmId, stand_id: Id) -> Response:
    return _edit_page(request, farm_id, stand_id)


def _edit_page(
    request: Request, farm_id: int, stand_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        stand = services.get_stand(work, farm_id, stand_id)
        field = services.field_of(work, farm_id, stand.field_id)
        form = form_view(services.STAND_SHAPE, work.actor.units, services.stand_values(stand), typed, refused)
        page = FormPage(form, field.id, field.name, stand.id, services.SHARES)
        return show(request, work, "stands/form.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/stands/{stand_id}/edit", name="stands.edit")
def edit(request: Request, farm_id: FarmId, stand_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            shape, today = services.STAND_SHAPE, services.today_on(work, farm_id)
            values, was = typed.read(shape, work, today), typed.was(shape, work)
            stand = services.edit_stand(work, farm_id, stand_id, values, was)
            return go(request, "fields.field", farm_id=farm_id, field_id=stand.field_id)
    except REFUSED as refused:
        return _edit_page(request, farm_id, stand_id, typed, refused)


@router.get("/farms/{farm_id}/stands/{stand_id}/end", name="stands.ending")
def ending(request: Request, farm_id: FarmId, stand_id: Id) -> Response:
    return _end_page(request, farm_id, stand_id)


def _end_page(
    request: Request, farm_id: int, stand_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        stand = services.get_stand(work, farm_id, stand_id)
        field = services.field_of(work, farm_id, stand.field_id)
        form = form_view(services.END_SHAPE, work.actor.units, None, typed, refused)
        if typed is None:
            form.texts = {"ended_on": services.today_on(work, farm_id).isoformat()}
        page = FormPage(form, field.id, field.name, stand.id)
        return show(request, work, "stands/end.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/stands/{stand_id}/end", name="stands.end")
def end(request: Request, farm_id: FarmId, stand_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            values = typed.read(services.END_SHAPE, work, services.today_on(work, farm_id))
            if "ended_on" not in values:  # after a conflict the other's day was kept
                stand = services.get_stand(work, farm_id, stand_id)
            else:
                stand = services.end_stand(work, farm_id, stand_id, values["ended_on"])
            return go(request, "fields.field", "fields-stands", farm_id=farm_id, field_id=stand.field_id)
    except REFUSED as refused:
        return _end_page(request, farm_id, stand_id, typed, refused)


@router.post("/farms/{farm_id}/stands/{stand_id}/resume", name="stands.resume")
def resume(request: Request, farm_id: FarmId, stand_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        stand = services.resume_stand(work, farm_id, stand_id)
        return go(request, "fields.field", "fields-stands", farm_id=farm_id, field_id=stand.field_id)


@router.get("/farms/{farm_id}/stands/{stand_id}/counts/new", name="stands.new_count")
def new_count(request: Request, farm_id: FarmId, stand_id: Id) -> Response:
    return _count_page(request, farm_id, stand_id)


def _count_page(
    request: Request, farm_id: int, stand_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        stand = services.get_stand(work, farm_id, stand_id)
        field = services.field_of(work, farm_id, stand.field_id)
        form = form_view(services.COUNT_SHAPE, work.actor.units, None, typed, refused)
        if typed is None:
            form.texts = {"counted_on": services.today_on(work, farm_id).isoformat()}
        page = FormPage(form, field.id, field.name, None)
        action = str(request.app.url_path_for("stands.add_count", farm_id=farm_id, stand_id=stand_id))
        return show(request, work, "stands/count.html", page, farm_id, status_of(refused), action=action)


@router.post("/farms/{farm_id}/stands/{stand_id}/counts/new", name="stands.add_count")
def add_count(request: Request, farm_id: FarmId, stand_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            values = typed.read(services.COUNT_SHAPE, work, services.today_on(work, farm_id))
            services.add_count(work, farm_id, stand_id, values)
            stand = services.get_stand(work, farm_id, stand_id)
            return go(request, "fields.field", "fields-stands", farm_id=farm_id, field_id=stand.field_id)
    except REFUSED as refused:
        return _count_page(request, farm_id, stand_id, typed, refused)


@router.get("/farms/{farm_id}/counts/{count_id}/correct", name="stands.change_count")
def change_count(request: Request, farm_id: FarmId, count_id: Id) -> Response:
    return _correct_page(request, farm_id, count_id)


def _correct_page(
    request: Request, farm_id: int, count_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        count, stand = services.get_count(work, farm_id, count_id)
        field = services.field_of(work, farm_id, stand.field_id)
        values = row_values(count, services.COUNT_SHAPE)
        form = form_view(services.COUNT_SHAPE, work.actor.units, values, typed, refused)
        page = FormPage(form, field.id, field.name, count.id)
        action = str(request.app.url_path_for("stands.correct_count", farm_id=farm_id, count_id=count.id))
        return show(request, work, "stands/count.html", page, farm_id, status_of(refused), action=action)


@router.post("/farms/{farm_id}/counts/{count_id}/correct", name="stands.correct_count")
def correct_count(request: Request, farm_id: FarmId, count_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            shape, today = services.COUNT_SHAPE, services.today_on(work, farm_id)
            values, was = typed.read(shape, work, today), typed.was(shape, work)
            count = services.correct_count(work, farm_id, count_id, values, was)
            return _back(request, work, farm_id, count)
    except REFUSED as refused:
        return _correct_page(request, farm_id, count_id, typed, refused)


@router.post("/farms/{farm_id}/counts/{count_id}/withdraw", name="stands.withdraw_count")
def withdraw_count(request: Request, farm_id: FarmId, count_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        return _back(request, work, farm_id, services.withdraw_count(work, farm_id, count_id))


@router.post("/farms/{farm_id}/counts/{count_id}/restore", name="stands.restore_count")
def restore_count(request: Request, farm_id: FarmId, count_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        return _back(request, work, farm_id, services.withdraw_count(work, farm_id, count_id, withdrawn=False))


def _back(request: Request, work, farm_id: int, count) -> Response:
    _latest, stand = services.get_count(work, farm_id, count.id)
    return go(request, "fields.field", "fields-stands", farm_id=farm_id, field_id=stand.field_id)
