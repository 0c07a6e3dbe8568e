"""The form a field is scouted with, on a phone first, and corrections of what was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.errors import AppError, Conflict, Invalid, Unsure
from app.services import scoutings as services
from app.units import shapes
from app.units.kinds import System
from app.web.forms import REFUSED, FormView, Typed, form_view, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
FIRST_SPOTS = 5
"""Spots a fresh form shows; on a large field more are added one by one."""


@dataclass(frozen=True)
class SpotView:
    """One spot of the form; names end in its number."""

    number: int
    form: FormView
    names: dict[str, str]


@dataclass(frozen=True)
class FormPage:
    """The form of a scouting: what holds for the whole walk, and its spots."""

    field_id: int
    field_name: str
    head: FormView
    spots: list[SpotView]
    suggested: int
    is_mixed: bool
    scouting_id: int | None = None
    wrong: list[tuple[str, str, int, Any]] = field(default_factory=list)
    """(id of the entry, its label, number of the spot or 0, why) of everything refused."""
    spots_conflict: tuple[str, str] | None = None


@router.get("/farms/{farm_id}/fields/{field_id}/scout", name="scoutings.new")
def new(request: Request, farm_id: FarmId, field_id: Id) -> Response:
    return _new_page(request, farm_id, field_id)


def _new_page(
    request: Request, farm_id: int, field_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        place = services.scout_of(work, farm_id, field_id)
        texts = {"scouted_on": place.today.isoformat(), "cutting": "1"}
        page = _page(place, work.actor.units, texts, [], typed, refused)
        return show(request, work, "scoutings/form.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/fields/{field_id}/scout", name="scoutings.add")
def add(request: Request, farm_id: FarmId, field_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    if typed["more"]:
        return _new_page(request, farm_id, field_id, typed)
    try:
        with writing(request, typed) as work:
            place = services.scout_of(work, farm_id, field_id)
            values, spots = services.read_scouting(
                typed.values, _count(typed), work.actor.units, place.today, typed.sure
            )
            services.add_scouting(work, farm_id, field_id, values, spots)
            return go(request, "fields.field", farm_id=farm_id, field_id=field_id)
    except REFUSED as refused:
        return _new_page(request, farm_id, field_id, typed, refused)


@router.get("/farms/{farm_id}/scoutings/{scouting_id}/correct", name="scoutings.change")
def change(request: Request, farm_id: FarmId, scouting_id: Id) -> Response:
    return _correct_page(request, farm_id, scouting_id)


def _correct_page(
    request: Request, farm_id: int, scouting_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        latest = services.latest_reading(work, farm_id, scouting_id)
        place = services.scout_of(work, farm_id, latest.field_id)
        units = work.actor.units
        texts = shapes.write(services.SCOUTING_SHAPE, services.scouting_values(latest), units)
        spots = [shapes.write(services.SPOT_SHAPE, spot, units) for spot in services.spot_values(latest)]
        # after a conflict the form is about the newest reading; a plain refusal stays with the one that was opened
        about = latest.id if typed is None or isinstance(refused, Conflict) else scouting_id
        page = _page(place, units, texts, spots, typed, refused, about)
        return show(request, work, "scoutings/form.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/scoutings/{scouting_id}/correct", name="scoutings.correct")
def correct(request: Request, farm_id: FarmId, scouting_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    if typed["more"]:
        return _correct_page(request, farm_id, scouting_id, typed)
    try:
        with writing(request, typed) as work:
            latest = services.latest_reading(work, farm_id, scouting_id)
            place = services.scout_of(work, farm_id, latest.field_id)
            values, spots = services.read_scouting(
                typed.values, _count(typed), work.actor.units, place.today, typed.sure
            )
            values = {name: value for name, value in values.items() if typed[f"keep_{name}"] != "theirs"}
            if typed["keep_spots"] == "theirs":
                spots = services.spot_values(latest)
            was = typed.was(services.SCOUTING_SHAPE, work)
            services.correct_scouting(work, farm_id, scouting_id, values, spots, was)
            return go(request, "fields.field", "fields-scoutings", farm_id=farm_id, field_id=place.field_id)
    except REFUSED as refused:
        return _correct_page(request, farm_id, scouting_id, typed, refused)


@router.post("/farms/{farm_id}/scoutings/{scouting_id}/withdraw", name="scoutings.withdraw")
def withdraw(request: Request, farm_id: FarmId, scouting_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        row = services.withdraw_scouting(work, farm_id, scouting_id)
        return go(request, "fields.field", "fields-scoutings", farm_id=farm_id, field_id=row.field_id)


@router.post("/farms/{farm_id}/scoutings/{scouting_id}/restore", name="scoutings.restore")
def restore(request: Request, farm_id: FarmId, scouting_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        row = services.withdraw_scouting(work, farm_id, scouting_id, withdrawn=False)
        return go(request, "fields.field", "fields-scoutings", farm_id=farm_id, field_id=row.field_id)


def _count(typed: Typed) -> int:
    """Rows of spots the form was sent with."""
    text = typed["spots_count"]
    return min(int(text), services.MOST_SPOTS) if text.isdecimal() else services.MOST_SPOTS


def _page(
    place: services.Scout,
    units: System,
    texts: Mapping[str, str],
    spots: list[dict[str, str]],
    typed: Typed | None,
    refused: AppError | None,
    scouting_id: int | None = None,
) -> FormPage:
    head = form_view(services.SCOUTING_SHAPE, units, None, typed, _for_head(refused))
    if typed is None:
        head.texts = texts
    if scouting_id is not None:
        kept = typed.seen if typed and typed.seen else dict(texts)
        head.was = {**kept, **{each.name: each.now for each in head.conflicts}}
    count = (
        max(_count(typed) + (1 if typed["more"] else 0), 1)
        if typed
        else max(min(place.suggested, FIRST_SPOTS), len(spots))
    )
    rows = [_spot(number, units, spots, typed, refused) for number in range(1, min(count, services.MOST_SPOTS) + 1)]
    both = refused.fields.get("spots") if isinstance(refused, Conflict) else None
    return FormPage(
        place.field_id, place.field_name, head, rows, place.suggested, place.is_mixed, scouting_id,
        _wrong(head, rows), both,
    )  # fmt: skip


def _for_head(refused: AppError | None) -> AppError | None:
    """The refusal without what belongs to the spots."""
    if not isinstance(refused, Invalid | Unsure | Conflict):
        return refused
    known = {column.name for column in services.SCOUTING_SHAPE.columns}
    return type(refused)({name: why for name, why in refused.fields.items() if name in known})


def _spot(
    number: int, units: System, spots: list[dict[str, str]], typed: Typed | None, refused: AppError | None
) -> SpotView:
    names = services.spot_names(number)
    stored = spots[number - 1] if number <= len(spots) else {}
    form = form_view(services.spot_shape(number), units, None, typed, None)
    if typed is None:
        form.texts = {names[name]: text for name, text in stored.items()}
    if isinstance(refused, Invalid):
        form.errors = {name: why for name, why in refused.fields.items() if name in names.values()}
    elif isinstance(refused, Unsure):
        form.asks = {name: why for name, why in refused.fields.items() if name in names.values()}
    return SpotView(number, form, names)


def _wrong(head: FormView, spots: list[SpotView]) -> list[tuple[str, str, int, Any]]:
    found = [
        (f"{form.noun}-{column.name}", column.label, number, form.error(column.name))
        for number, form in ((0, head), *((spot.number, spot.form) for spot in spots))
        for column in form.columns
        if form.error(column.name)
    ]
    return found
