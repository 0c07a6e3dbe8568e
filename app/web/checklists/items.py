"""One item: tick it, say what is on hand, change it, move it, take it off and put it back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import checklists as services
from app.web.checklists.lists import ROOT
from app.web.checklists.views import ItemPage, blockers_of, item_part, quick_shape, readiness_page
from app.web.forms import REFUSED, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, is_partial, respond, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ITEMS = ROOT + "/{checklist_id}/items"
ITEM = ITEMS + "/{item_id}"


def _back(request: Request, farm_id: int, item_id: int | None = None) -> str:
    url = str(request.app.url_path_for("checklists.show", farm_id=farm_id))
    return f"{url}#checklists-item-{item_id}" if item_id else url


@router.get(ITEMS + "/_item/{item_id}", name="checklists.item_part")
def part(request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id) -> Response:
    with reading(request) as work:
        return show(request, work, "checklists/_item.html", item_part(work, farm_id, checklist_id, item_id), farm_id)


def _act(
    request: Request, typed: Typed, act: Callable[[Work], Any], farm_id: int, checklist_id: int, item_id: int
) -> Response:
    """Do it, and answer with the row of the item, or go back to it."""
    with writing(request, typed) as work:
        act(work)
        return respond(
            request,
            work,
            "checklists/_item.html",
            item_part(work, farm_id, checklist_id, item_id),
            farm_id,
            _back(request, farm_id, item_id),
        )


@router.post(ITEM + "/tick", name="checklists.tick")
def tick(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    def act(work: Work) -> None:
        services.tick_item(work, farm_id, checklist_id, item_id)

    return _act(request, typed, act, farm_id, checklist_id, item_id)


@router.post(ITEM + "/untick", name="checklists.untick")
def untick(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    def act(work: Work) -> None:
        services.untick_item(work, farm_id, checklist_id, item_id)

    return _act(request, typed, act, farm_id, checklist_id, item_id)


@router.post(ITEM + "/note", name="checklists.say")
def say(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    """The small form of the row: note and what is on hand."""

    def act(work: Work) -> None:
        services.access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_TICK)
        line = services.item_line(work, farm_id, checklist_id, item_id)
        shape = services.item_shape(line.kind).only("note", "have")
        values, was = typed.read(shape, work, partial=True), typed.was(shape, work)
        services.say_on_item(work, farm_id, checklist_id, item_id, values, was)

    try:
        return _act(request, typed, act, farm_id, checklist_id, item_id)
    except REFUSED as refused:
        if is_partial(request):
            with reading(request) as work:
                page = item_part(work, farm_id, checklist_id, item_id, typed, refused)
                return show(request, work, "checklists/_item.html", page, farm_id, status_of(refused))
        return _item_page(request, farm_id, checklist_id, item_id, typed, refused, quick=True)


@router.get(ITEMS + "/new", name="checklists.new")
def new(request: Request, farm_id: FarmId, checklist_id: Id) -> Response:
    return _new_page(request, farm_id, checklist_id)


def _new_page(
    request: Request, farm_id: int, checklist_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        services.access_list(work, farm_id, Permission.CHECKLISTS_EDIT)
        shape = _shape(services.list_page(work, farm_id, checklist_id), None, typed["kind"] if typed else None)
        form = form_view(shape, work.actor.units, typed=typed, refused=refused)
        return show(
            request, work, "checklists/new.html", ItemPage(checklist_id, None, form), farm_id, status_of(refused)
        )


def _shape(page: services.ListPage, line: services.ItemLine | None, kind: str | None):
    """The columns that may be typed: a need the app counts itself is left out."""
    known = {key for key, _label in services.ITEM_SHAPE.column("kind").choices}
    shape = services.item_shape(kind if kind in known else None, blockers_of(page, line.id if line else None))
    if line is None or not line.is_counted:
        return shape
    left_out = {"kind", "need"} if line.need is not None and line.reason is None else {"kind"}
    return shape.only(*(column.name for column in shape.columns if column.name not in left_out))


@router.post(ITEMS + "/new", name="checklists.add")
def add(request: Request, farm_id: FarmId, checklist_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            farm = services.access_list(work, farm_id, Permission.CHECKLISTS_EDIT)
            shape = _shape(services.list_page(work, farm_id, checklist_id), None, typed["kind"])
            values = typed.read(shape, work, work.today(farm.time_zone))
            item = services.add_item(work, farm_id, checklist_id, values)
    except REFUSED as refused:
        return _new_page(request, farm_id, checklist_id, typed, refused)
    return go(request, "checklists.show", fragment=f"checklists-item-{item.id}", farm_id=farm_id)


@router.get(ITEM, name="checklists.item")
def item(request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id) -> Response:
    return _item_page(request, farm_id, checklist_id, item_id)


def _item_page(
    request: Request,
    farm_id: int,
    checklist_id: int,
    item_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
    quick: bool = False,
) -> Response:
    with reading(request) as work:
        page = services.list_page(work, farm_id, checklist_id)
        known = (line for line in page.lines if line.id == item_id)
        line = next(known, None) or services.item_line(work, farm_id, checklist_id, item_id)
        shape = _shape(page, line, typed["kind"] if typed and typed["kind"] else line.kind)
        if quick or not work.actor.may(Permission.CHECKLISTS_EDIT, farm_id):
            shape = quick_shape(line)
        form = form_view(shape, work.actor.units, row_values(line.row, shape), typed, refused)
        view = ItemPage(checklist_id, line, form, services.story_of(work, line))
        return show(request, work, "checklists/item.html", view, farm_id, status_of(refused))


@router.post(ITEM, name="checklists.edit")
def edit(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    try:
        with writing(request, typed) as work:
            farm = services.access_list(work, farm_id, Permission.CHECKLISTS_EDIT)
            page = services.list_page(work, farm_id, checklist_id)
            line = services.item_line(work, farm_id, checklist_id, item_id)
            shape = _shape(page, line, typed["kind"] or line.kind)
            values = typed.read(shape, work, work.today(farm.time_zone), partial=True)
            was = typed.was(_shape(page, line, typed["was_kind"] or line.kind), work)
            services.edit_item(work, farm_id, checklist_id, item_id, values, was)
    except REFUSED as refused:
        return _item_page(request, farm_id, checklist_id, item_id, typed, refused)
    return go(request, "checklists.show", fragment=f"checklists-item-{item_id}", farm_id=farm_id)


def _move(request: Request, typed: Typed, farm_id: int, checklist_id: int, item_id: int, by: int) -> Response:
    with writing(request, typed) as work:
        services.move_item(work, farm_id, checklist_id, item_id, by)
        page, back = readiness_page(work, farm_id), _back(request, farm_id, item_id)
        return respond(request, work, "checklists/_list.html", page, farm_id, back)


@router.post(ITEM + "/up", name="checklists.up")
def up(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    return _move(request, typed, farm_id, checklist_id, item_id, -1)


@router.post(ITEM + "/down", name="checklists.down")
def down(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    return _move(request, typed, farm_id, checklist_id, item_id, 1)


@router.post(ITEM + "/remove", name="checklists.remove")
def remove(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    with writing(request, typed) as work:
        services.remove_item(work, farm_id, checklist_id, item_id)
        back = f"{_back(request, farm_id)}?removed={item_id}"
        page = readiness_page(work, farm_id, removed_id=item_id)
        return respond(request, work, "checklists/_list.html", page, farm_id, back)


@router.post(ITEM + "/restore", name="checklists.restore")
def restore(
    request: Request, farm_id: FarmId, checklist_id: Id, item_id: Id, typed: Typed = Depends(typed_form)
) -> Response:
    with writing(request, typed) as work:
        services.restore_item(work, farm_id, checklist_id, item_id)
        page, back = readiness_page(work, farm_id), _back(request, farm_id, item_id)
        return respond(request, work, "checklists/_list.html", page, farm_id, back)
