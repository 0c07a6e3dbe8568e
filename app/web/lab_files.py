"""Lab reports from files and pasted text, with a look at every guess before anything is stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from app.errors import AppError, Invalid
from app.services import lab_files as services
from app.services import samples
from app.web.forms import REFUSED, Typed, question_of, sent_file, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class SendPage:
    places: tuple[tuple[str, str], ...]
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class PreviewPage:
    preview: services.LabPreview
    analytes: tuple[samples.Entry, ...]
    refused: Any = None


@router.get("/farms/{farm_id}/lab-files/new", name="lab_files.new")
def new(request: Request, farm_id: FarmId, of: str = "") -> Response:
    return _send_page(request, farm_id, {"of": of})


def _send_page(request: Request, farm_id: int, typed: Mapping[str, str], refused: AppError | None = None) -> Response:
    with reading(request) as work:
        samples.check_may_edit(work, farm_id)
        errors = refused.fields if isinstance(refused, Invalid) else {}
        page = SendPage(samples.places(work, farm_id), typed, errors)
        return show(request, work, "lab_files/new.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/lab-files/new", name="lab_files.send")
async def send(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    return await run_in_threadpool(_send, request, farm_id, typed, *await sent_file(typed))


def _send(request: Request, farm_id: int, typed: Typed, name: str, body: bytes) -> Response:
    try:
        with writing(request, typed) as work:
            upload_id = services.send_file(work, farm_id, name, body, typed.values)
            return go(request, "lab_files.preview", farm_id=farm_id, upload_id=upload_id)
    except REFUSED as refused:
        return _send_page(request, farm_id, typed.values, refused)


@router.post("/farms/{farm_id}/lab-files/paste", name="lab_files.paste")
def paste(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            upload_id = services.paste_report(work, farm_id, typed["text"], typed.values)
            return go(request, "lab_files.preview", farm_id=farm_id, upload_id=upload_id)
    except REFUSED as refused:
        return _send_page(request, farm_id, typed.values, refused)


@router.get("/farms/{farm_id}/lab-files/{upload_id}", name="lab_files.preview")
def preview(request: Request, farm_id: FarmId, upload_id: Id) -> Response:
    return _preview_page(request, farm_id, upload_id)


def _preview_page(request: Request, farm_id: int, upload_id: int, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        found = services.preview_file(work, farm_id, upload_id)
        entries = tuple(entry for group in samples.GROUPS for entry in group.entries)
        page = PreviewPage(found, entries, question_of(refused) if refused else None)
        return show(request, work, "lab_files/preview.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/lab-files/{upload_id}", name="lab_files.answer")
def answer(request: Request, farm_id: FarmId, upload_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    """Answers and changed guesses; shows the preview again."""
    with writing(request, typed) as work:
        services.answer_questions(work, farm_id, upload_id, _answers(typed))
    return go(request, "lab_files.preview", farm_id=farm_id, upload_id=upload_id)


def _answers(typed: Typed) -> dict[str, str]:
    return {name: value for name, value in typed.values.items() if name not in ("once", "sure")}


@router.post("/farms/{farm_id}/lab-files/{upload_id}/take", name="lab_files.take")
def take(request: Request, farm_id: FarmId, upload_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    """Store what the preview shows. Changes sent along are shown first: nothing is stored that nobody has seen."""
    try:
        with writing(request, typed) as work:
            if services.answer_questions(work, farm_id, upload_id, _answers(typed)):
                return go(request, "lab_files.preview", farm_id=farm_id, upload_id=upload_id)
            _count, of = services.take_file(work, farm_id, upload_id, typed.sure)
            kind, _, number = of.partition("-")
            if kind == "lot":
                return go(request, "samples.lot", farm_id=farm_id, lot_id=int(number))
            return go(request, "samples.show", farm_id=farm_id)
    except REFUSED as refused:
        return _preview_page(request, farm_id, upload_id, refused)
