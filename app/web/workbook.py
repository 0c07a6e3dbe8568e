"""The farm workbook: download everything, look at what an upload would do, take it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from app.access.permissions import Permission
from app.errors import Invalid, Unsure
from app.services import farms
from app.services import workbook as services
from app.web.forms import REFUSED, Typed, question_of, sent_file, typed_form
from app.web.pages import go, reader_of, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
SHOWN_MOST = 200
"""Faults and questions listed on a page; the rest are counted."""


@dataclass(frozen=True)
class Page:
    refused: Any = None


@dataclass(frozen=True)
class NewPage:
    """A new farm from a workbook; after a refusal with every fault or question."""

    refused: Any = None
    reasons: tuple[Any, ...] = ()
    asks: tuple[Any, ...] = ()


@dataclass(frozen=True)
class PreviewPage:
    """What a workbook would do to this farm, or as a new one."""

    upload_id: int
    filename: str
    result: services.ImportResult
    as_new: bool
    most: int = SHOWN_MOST


# A new farm: these addresses stand before those of a farm, which they would fit as well


@router.get("/farms/new/workbook", name="workbook.new")
def new(request: Request) -> Response:
    return _new_page(request, NewPage())


def _new_page(request: Request, page: NewPage) -> Response:
    with reading(request) as work:
        farms.check_may_add(work)
        return show(request, work, "workbook/new.html", page, status=422 if page.refused else 200)


@router.get("/farms/new/workbook/empty.xlsx", name="workbook.empty")
def empty(request: Request) -> Response:
    with reading(request) as work:
        return _sent(services.empty_book(reader_of(request, work.actor)))


@router.post("/farms/new/workbook", name="workbook.make")
async def make(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    return await run_in_threadpool(_make, request, typed, *await sent_file(typed))


def _make(request: Request, typed: Typed, name: str, body: bytes) -> Response:
    try:
        with writing(request, typed) as work:
            reader = reader_of(request, work.actor)
            made = services.import_farm(work, body, name, sure=typed.sure, reader=reader)
            return go(request, "board.show", farm_id=made.farm_id)
    except Unsure as asked:
        return _new_page(request, NewPage(question_of(asked), asks=tuple(asked.fields.values())))
    except Invalid as refused:
        return _new_page(request, NewPage(question_of(refused), reasons=tuple(refused.fields.values())))


# A farm


@router.get("/farms/{farm_id}/workbook", name="workbook.show")
def show_workbook(request: Request, farm_id: FarmId) -> Response:
    return _page(request, farm_id, Page())


def _page(request: Request, farm_id: int, page: Page) -> Response:
    with reading(request) as work:
        farms.access_farm(work, farm_id, Permission.EXPORT)
        return show(request, work, "workbook/show.html", page, farm_id, status=422 if page.refused else 200)


@router.get("/farms/{farm_id}/workbook/farm.xlsx", name="workbook.xlsx")
def download_xlsx(request: Request, farm_id: FarmId) -> Response:
    return _download(request, farm_id, "xlsx")


@router.get("/farms/{farm_id}/workbook/farm.zip", name="workbook.zip")
def download_zip(request: Request, farm_id: FarmId) -> Response:
    return _download(request, farm_id, "zip")


def _download(request: Request, farm_id: int, kind: str) -> Response:
    with reading(request) as work:
        return _sent(services.export_farm(work, farm_id, reader_of(request, work.actor), kind))


def _sent(export: services.Export) -> Response:
    plain = export.filename.encode("ascii", "replace").decode().replace("?", "-").replace('"', "-")
    headers = {
        "Content-Disposition": f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(export.filename)}",
        "Cache-Control": "private, no-store",
    }
    return Response(export.body, media_type=export.media_type, headers=headers)


@router.post("/farms/{farm_id}/workbook", name="workbook.send")
async def send(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    return await run_in_threadpool(_send, request, farm_id, typed, *await sent_file(typed))


def _send(request: Request, farm_id: int, typed: Typed, name: str, body: bytes) -> Response:
    try:
        with writing(request, typed) as work:
            upload_id = services.send_book(work, farm_id, name, body)
            return go(request, "workbook.preview", farm_id=farm_id, upload_id=upload_id)
    except REFUSED as refused:
        return _page(request, farm_id, Page(question_of(refused)))


@router.get("/farms/{farm_id}/workbook/files/{upload_id}", name="workbook.preview")
def preview(request: Request, farm_id: FarmId, upload_id: Id, into: Literal["this", "new"] = "this") -> Response:
    return _preview(request, farm_id, upload_id, into == "new")


def _preview(request: Request, farm_id: int, upload_id: int, as_new: bool, status: int = 200) -> Response:
    with reading(request) as work:
        try:
            found = services.preview_book(work, farm_id, upload_id, reader_of(request, work.actor), as_new=as_new)
        except Invalid as unreadable:
            return show(request, work, "workbook/unreadable.html", question_of(unreadable), farm_id, status=422)
        page = PreviewPage(upload_id, *found, as_new)
        return show(request, work, "workbook/preview.html", page, farm_id, status=status)


@router.post("/farms/{farm_id}/workbook/files/{upload_id}/take", name="workbook.take")
def take(request: Request, farm_id: FarmId, upload_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    as_new = typed["into"] == "new"
    try:
        with writing(request, typed) as work:
            reader = reader_of(request, work.actor)
            taken = services.take_book(work, farm_id, upload_id, reader, sure=typed.sure, as_new=as_new)
            return go(request, "board.show", farm_id=taken.farm_id)
    except REFUSED:
        return _preview(request, farm_id, upload_id, as_new, 422)
