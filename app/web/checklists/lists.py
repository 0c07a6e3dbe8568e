"""The list as a whole: the page, its live parts, drawing it, the agreed start, and a note from the big button."""

from __future__ import annotations

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.errors import AppError, Invalid
from app.services import checklists as services
from app.units.sentences import Sentence
from app.web.checklists.views import GroupPart, NotePage, readiness_page
from app.web.forms import REFUSED, Typed, form_view, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/checklists"


@router.get(ROOT, name="checklists.show")
def show_list(request: Request, farm_id: FarmId, removed: int | None = None) -> Response:
    return _page(request, farm_id, removed_id=removed)


def _page(
    request: Request,
    farm_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
    removed_id: int | None = None,
) -> Response:
    with reading(request) as work:
        page = readiness_page(work, farm_id, typed, refused, removed_id)
        return show(request, work, "checklists/show.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/draw", name="checklists.draw")
def draw(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.draw_list(work, farm_id)
    return go(request, "checklists.show", farm_id=farm_id)


@router.post(ROOT + "/start", name="checklists.agree")
def agree(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            farm = services.access_list(work, farm_id, Permission.CHECKLISTS_EDIT)
            values = typed.read(services.START_SHAPE, work, work.today(farm.time_zone))
            services.agree_start(work, farm_id, values, typed.was(services.START_SHAPE, work))
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused)
    return go(request, "checklists.show", farm_id=farm_id)


@router.get(ROOT + "/{checklist_id}/_list", name="checklists.list_part")
def list_part(request: Request, farm_id: FarmId, checklist_id: Id) -> Response:
    with reading(request) as work:
        return show(
            request, work, "checklists/_list.html", readiness_page(work, farm_id, checklist_id=checklist_id), farm_id
        )


@router.get(ROOT + "/{checklist_id}/_summary", name="checklists.summary_part")
def summary_part(request: Request, farm_id: FarmId, checklist_id: Id) -> Response:
    with reading(request) as work:
        return show(
            request, work, "checklists/_summary.html", readiness_page(work, farm_id, checklist_id=checklist_id), farm_id
        )


@router.get(ROOT + "/{checklist_id}/_left/{key}", name="checklists.left_part")
def left_part(request: Request, farm_id: FarmId, checklist_id: Id, key: str) -> Response:
    with reading(request) as work:
        group = services.due_group(work, farm_id, checklist_id, key)
        return show(request, work, "checklists/_left.html", GroupPart(checklist_id, group), farm_id)


@router.get(ROOT + "/{checklist_id}/note", name="checklists.note_page")
def note_page(request: Request, farm_id: FarmId, checklist_id: Id, item: int | None = None) -> Response:
    return _note_page(request, farm_id, checklist_id, chosen=str(item or ""))


def _note_page(
    request: Request,
    farm_id: int,
    checklist_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
    chosen: str = "",
) -> Response:
    with reading(request) as work:
        services.access_list(work, farm_id, Permission.CHECKLISTS_TICK)
        lines = services.list_page(work, farm_id, checklist_id).lines
        form = form_view(services.NOTE_SHAPE, work.actor.units, typed=typed, refused=refused)
        page = NotePage(checklist_id, form, lines, typed["item"] if typed else chosen)
        return show(request, work, "checklists/note.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/{checklist_id}/note", name="checklists.add_note")
def add_note(request: Request, farm_id: FarmId, checklist_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_list(work, farm_id, Permission.CHECKLISTS_TICK)
            text = typed.read(services.NOTE_SHAPE, work)["text"]
            if not typed["item"].isdigit():
                raise Invalid({"item": Sentence("Please choose what the note is about.")})
            item = services.add_note(work, farm_id, checklist_id, int(typed["item"][:9]), text)
    except REFUSED as refused:
        return _note_page(request, farm_id, checklist_id, typed, refused)
    return go(request, "checklists.show", fragment=f"checklists-item-{item.id}", farm_id=farm_id)
