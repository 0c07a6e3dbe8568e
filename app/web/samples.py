"""Lab results: the list of lots, one lot's samples, and the form of a sample."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.work import Work
from app.errors import AppError
from app.services import samples as services
from app.services.farms import farm_head
from app.units.shapes import Shape
from app.web.forms import REFUSED, FormView, Typed, form_view, status_of, typed_form
from app.web.pages import go, is_partial, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class FormPage:
    """The form of a sample: its head as columns, its values as lines in groups."""

    form: FormView
    groups: tuple[services.Group, ...]
    lines: Mapping[str, services.Line]
    head: tuple[str, ...]
    sample: services.SampleView | None = None
    has_places: bool = True


@router.get("/farms/{farm_id}/samples", name="samples.show")
def show_samples(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        return show(request, work, "samples/show.html", services.samples_page(work, farm_id), farm_id)


@router.get("/farms/{farm_id}/samples/lots/{lot_id}", name="samples.lot")
def lot(request: Request, farm_id: FarmId, lot_id: Id) -> Response:
    with reading(request) as work:
        return show(request, work, "samples/lot.html", services.lot_page(work, farm_id, lot_id), farm_id)


@router.get("/farms/{farm_id}/samples/lots/{lot_id}/_of_lot", name="samples.of_lot")
def of_lot(request: Request, farm_id: FarmId, lot_id: Id) -> Response:
    with reading(request) as work:
        return show(request, work, "samples/_of_lot.html", services.lot_page(work, farm_id, lot_id), farm_id)


@router.get("/farms/{farm_id}/samples/_list", name="samples.list")
def list_part(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        return show(request, work, "samples/_list.html", services.samples_page(work, farm_id), farm_id)


@router.get("/farms/{farm_id}/samples/new", name="samples.new")
def new(request: Request, farm_id: FarmId, of: str = "") -> Response:
    return _new_page(request, farm_id, of)


def _new_page(
    request: Request, farm_id: int, of: str = "", typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        services.check_may_edit(work, farm_id)
        choices = services.places(work, farm_id)
        head = {"of": of if of in dict(choices) else None, "sampled_on": farm_head(work, farm_id).today}
        form = form_view(services.sample_shape(choices), work.actor.units, head, typed, refused)
        form.was = {}
        lines = _typed_lines(typed) if typed else {}
        page = FormPage(form, services.GROUPS, lines, services.HEAD, has_places=bool(choices))
        return show(request, work, "samples/sample.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/samples/new", name="samples.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            values, lines = _read(work, farm_id, typed)
            sample = services.add_sample(work, farm_id, values, lines, typed.sure)
            return _back_to(request, farm_id, services.head_values(sample)["of"])
    except REFUSED as refused:
        return _new_page(request, farm_id, "", typed, refused)


@router.get("/farms/{farm_id}/samples/{sample_id}", name="samples.sample")
def sample(request: Request, farm_id: FarmId, sample_id: Id) -> Response:
    return _sample_page(request, farm_id, sample_id)


def _sample_page(
    request: Request, farm_id: int, sample_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        view = services.sample_view(work, farm_id, sample_id)
        choices = services.places(work, farm_id)
        lines = {**view.lines, **(_typed_lines(typed) if typed else {})}
        page = FormPage(_edit_form(work, view, choices, typed, refused), services.GROUPS, lines, services.HEAD, view)
        return show(request, work, "samples/sample.html", page, farm_id, status_of(refused))


def _edit_form(
    work: Work, view: services.SampleView, choices: Choices, typed: Typed | None, refused: AppError | None
) -> FormView:
    """The stored values, and beside each the whole line as it stood, so that a second editor is noticed."""
    shape = services.sample_shape(choices)
    texts = {services.FIELD + code: line.text for code, line in view.lines.items()}
    form = form_view(shape, work.actor.units, {**view.head, **texts}, typed, refused)
    if typed is None:
        written = {services.FIELD + code: line.written for code, line in view.lines.items()}
        form.was = {**{name: "" for name in form.was if name.startswith(services.FIELD)}, **_head_was(form), **written}
    return form


def _head_was(form: FormView) -> dict[str, str]:
    return {name: form.was.get(name, "") for name in services.HEAD}


def _typed_lines(typed: Typed) -> dict[str, services.Line]:
    codes = [name.removeprefix(services.FIELD) for name in typed.values if name.startswith(services.FIELD)]
    return {
        code: services.Line(
            typed[f"value_{code}"], typed[f"unit_{code}"], typed[f"basis_{code}"], typed[f"method_{code}"]
        )
        for code in codes
    }


def _read(work: Work, farm_id: int, typed: Typed) -> tuple[dict[str, Any], dict[str, services.Line]]:
    services.check_may_edit(work, farm_id)
    today = farm_head(work, farm_id).today
    choices = services.places(work, farm_id)
    return services.read_sample(typed.values, choices, work.actor.units, today, typed.sure)


def _back_to(request: Request, farm_id: int, of: str) -> Response:
    kind, _, number = of.partition("-")
    if kind == "lot":
        return go(request, "samples.lot", farm_id=farm_id, lot_id=int(number))
    return go(request, "samples.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/samples/{sample_id}", name="samples.edit")
def edit(request: Request, farm_id: FarmId, sample_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.sample_view(work, farm_id, sample_id)
            values, lines = _read(work, farm_id, typed)
            head = Shape("samples", services.sample_shape(services.places(work, farm_id)).columns[: len(services.HEAD)])
            was, seen = typed.was(head, work), services.seen_lines(typed.seen)
            changed = services.edit_sample(work, farm_id, sample_id, values, lines, was, seen, typed.sure)
            return _back_to(request, farm_id, services.head_values(changed)["of"])
    except REFUSED as refused:
        return _sample_page(request, farm_id, sample_id, typed, refused)


@router.post("/farms/{farm_id}/samples/{sample_id}/remove", name="samples.remove")
def remove(request: Request, farm_id: FarmId, sample_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_sample(work, farm_id, sample_id)
    return _list_or_back(request, farm_id)


@router.post("/farms/{farm_id}/samples/{sample_id}/restore", name="samples.restore")
def restore(request: Request, farm_id: FarmId, sample_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_sample(work, farm_id, sample_id)
    return _list_or_back(request, farm_id)


def _list_or_back(request: Request, farm_id: int) -> Response:
    """The list with its undo, as a part for htmx and as the page otherwise."""
    if is_partial(request):
        with reading(request) as work:
            return show(request, work, "samples/_list.html", services.samples_page(work, farm_id), farm_id)
    return go(request, "samples.show", farm_id=farm_id)
