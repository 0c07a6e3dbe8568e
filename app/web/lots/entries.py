"""Measurements, feed-out and loads of a lot: noted, corrected, taken back and put back."""

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
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class EntryPage:
    """A reading to be put right; `noun` is measurement, feedout or load."""

    form: FormView
    noun: str
    entry_id: int
    lot_id: int
    lot_name: str


@router.post(ROOT + "/{lot_id}/measurements", name="lots.measure")
def measure(request: Request, farm_id: FarmId, lot_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _add(request, farm_id, lot_id, "measurement", typed)


@router.post(ROOT + "/{lot_id}/feedouts", name="lots.feed_out")
def feed_out(request: Request, farm_id: FarmId, lot_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _add(request, farm_id, lot_id, "feedout", typed)


@router.post(ROOT + "/{lot_id}/loads", name="lots.load_in")
def load_in(request: Request, farm_id: FarmId, lot_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _add(request, farm_id, lot_id, "load", typed)


def _add(request: Request, farm_id: int, lot_id: int, noun: str, typed: Typed) -> Response:
    by = typed["method"]
    try:
        with writing(request, typed) as work:
            services.access_lot(work, farm_id, lot_id, Permission.FEED_LOG)
            kind = services.kind_of_store(work, farm_id, lot_id)
            by = by if by in dict(services.METHOD_NAMES) else services.methods_for(kind)[0]
            values = typed.read(_shape(work, farm_id, noun, by, kind), work, _today(work, farm_id))
            if noun == "measurement":
                services.add_measurement(work, farm_id, lot_id, {**values, "method": by}, sure=typed.sure)
            elif noun == "feedout":
                services.add_feedout(work, farm_id, lot_id, values, sure=typed.sure)
            else:
                services.add_load(work, farm_id, lot_id, values, sure=typed.sure)
            return go(request, "lots.lot", f"lots-{noun}s", farm_id=farm_id, lot_id=lot_id)
    except REFUSED as refused:
        with reading(request) as work:
            page = lot_view(request, work, farm_id, lot_id, by, noun, typed, refused)
            return show(request, work, "lots/lot.html", page, farm_id, status_of(refused))


def _shape(work: Work, farm_id: int, noun: str, method: str, kind: str | None) -> Shape:
    if noun == "measurement":
        return services.measurement_shape(method, kind)
    return services.FEEDOUT_SHAPE if noun == "feedout" else services.load_shape(services.field_choices(work, farm_id))


def _today(work: Work, farm_id: int) -> Any:
    return work.today(feed_services.access_farm(work, farm_id).time_zone)


def _entry_page(
    request: Request,
    farm_id: int,
    noun: str,
    entry_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
) -> Response:
    with reading(request) as work:
        row = services.access_entry(work, farm_id, services.TABLES[noun], entry_id)
        lot = services.access_lot(work, farm_id, row.lot_id, Permission.FEED_LOG)
        shape = _shape_of(work, farm_id, noun, row)
        form = form_view(shape, work.actor.units, row_values(row, shape), typed, refused)
        page = EntryPage(form, noun, row.id, lot.id, lot.name)
        return show(request, work, "lots/entry.html", page, farm_id, status_of(refused))


def _shape_of(work: Work, farm_id: int, noun: str, row: Any) -> Shape:
    kind = services.kind_of_store(work, farm_id, row.lot_id)
    return _shape(work, farm_id, noun, getattr(row, "method", ""), kind)


def _correct(request: Request, farm_id: int, noun: str, entry_id: int, typed: Typed) -> Response:
    table = services.TABLES[noun]
    try:
        with writing(request, typed) as work:
            row = services.access_entry(work, farm_id, table, entry_id)
            shape = _shape_of(work, farm_id, noun, row)
            values, was = typed.read(shape, work, _today(work, farm_id)), typed.was(shape, work)
            services.correct(work, farm_id, table, entry_id, values, was, sure=typed.sure)
            return go(request, "lots.lot", f"lots-{noun}s", farm_id=farm_id, lot_id=row.lot_id)
    except REFUSED as refused:
        return _entry_page(request, farm_id, noun, entry_id, typed, refused)


def _withdraw(request: Request, farm_id: int, noun: str, entry_id: int, typed: Typed, withdrawn: bool) -> Response:
    with writing(request, typed) as work:
        row = services.withdraw(work, farm_id, services.TABLES[noun], entry_id, withdrawn)
        return go(request, "lots.lot", f"lots-{noun}s", farm_id=farm_id, lot_id=row.lot_id)


MEASUREMENT = ROOT + "/measurements/{measurement_id}"
FEEDOUT = ROOT + "/feedouts/{feedout_id}"
LOAD = ROOT + "/loads/{load_id}"


@router.get(MEASUREMENT, name="lots.measurement")
def measurement(request: Request, farm_id: FarmId, measurement_id: Id) -> Response:
    return _entry_page(request, farm_id, "measurement", measurement_id)


@router.post(MEASUREMENT, name="lots.correct_measurement")
def correct_measurement(
    request: Request, farm_id: FarmId, measurement_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    return _correct(request, farm_id, "measurement", measurement_id, typed)


@router.post(MEASUREMENT + "/withdraw", name="lots.withdraw_measurement")
def withdraw_measurement(
    request: Request, farm_id: FarmId, measurement_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    return _withdraw(request, farm_id, "measurement", measurement_id, typed, True)


@router.post(MEASUREMENT + "/restore", name="lots.restore_measurement")
def restore_measurement(
    request: Request, farm_id: FarmId, measurement_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    return _withdraw(request, farm_id, "measurement", measurement_id, typed, False)


@router.get(FEEDOUT, name="lots.feedout")
def feedout(request: Request, farm_id: FarmId, feedout_id: Id) -> Response:
    return _entry_page(request, farm_id, "feedout", feedout_id)


@router.post(FEEDOUT, name="lots.correct_feedout")
def correct_feedout(request: Request, farm_id: FarmId, feedout_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _correct(request, farm_id, "feedout", feedout_id, typed)


@router.post(FEEDOUT + "/withdraw", name="lots.withdraw_feedout")
def withdraw_feedout(request: Request, farm_id: FarmId, feedout_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _withdraw(request, farm_id, "feedout", feedout_id, typed, True)


@router.post(FEEDOUT + "/restore", name="lots.restore_feedout")
def restore_feedout(request: Request, farm_id: FarmId, feedout_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _withdraw(request, farm_id, "feedout", feedout_id, typed, False)


@router.get(LOAD, name="lots.load")
def load(request: Request, farm_id: FarmId, load_id: Id) -> Response:
    return _entry_page(request, farm_id, "load", load_id)


@router.post(LOAD, name="lots.correct_load")
def correct_load(request: Request, farm_id: FarmId, load_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _correct(request, farm_id, "load", load_id, typed)


@router.post(LOAD + "/withdraw", name="lots.withdraw_load")
def withdraw_load(request: Request, farm_id: FarmId, load_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _withdraw(request, farm_id, "load", load_id, typed, True)


@router.post(LOAD + "/restore", name="lots.restore_load")
def restore_load(request: Request, farm_id: FarmId, load_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _withdraw(request, farm_id, "load", load_id, typed, False)
