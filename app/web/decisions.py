"""What the team has to decide, and what it agreed and why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import decisions as services
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/decisions"


@dataclass(frozen=True)
class DecisionsPage:
    decisions: services.Decisions
    form: FormView


@dataclass(frozen=True)
class DecisionPage:
    """One question with the form of its answer."""

    id: int
    question: str
    is_settled: bool
    form: FormView


@router.get(ROOT, name="decisions.show")
def show_decisions(request: Request, farm_id: FarmId) -> Response:
    return _page(request, farm_id)


def _page(request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        form = form_view(services.QUESTION_SHAPE, work.actor.units, typed=typed, refused=refused)
        page = DecisionsPage(services.list_decisions(work, farm_id), form)
        return show(request, work, "decisions/show.html", page, farm_id, status_of(refused))


def _part(request: Request, farm_id: int, template: str) -> Response:
    with reading(request) as work:
        page = DecisionsPage(
            services.list_decisions(work, farm_id), form_view(services.QUESTION_SHAPE, work.actor.units)
        )
        return show(request, work, template, page, farm_id)


@router.get(ROOT + "/_open", name="decisions.open_part")
def open_part(request: Request, farm_id: FarmId) -> Response:
    return _part(request, farm_id, "decisions/_open.html")


@router.get(ROOT + "/_settled", name="decisions.settled_part")
def settled_part(request: Request, farm_id: FarmId) -> Response:
    return _part(request, farm_id, "decisions/_settled.html")


@router.post(ROOT, name="decisions.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_farm(work, farm_id, Permission.DECISIONS_EDIT)
            services.ask_decision(work, farm_id, typed.read(services.QUESTION_SHAPE, work))
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused)
    return go(request, "decisions.show", farm_id=farm_id)


@router.get(ROOT + "/{decision_id}", name="decisions.decision")
def decision(request: Request, farm_id: FarmId, decision_id: Id) -> Response:
    return _decision_page(request, farm_id, decision_id)


def _decision_page(
    request: Request, farm_id: int, decision_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        row = services.access_decision(work, farm_id, decision_id, Permission.DECISIONS_EDIT)
        values = row_values(row, services.DECISION_SHAPE)
        form = form_view(services.DECISION_SHAPE, work.actor.units, values, typed, refused)
        page = DecisionPage(row.id, row.question, row.decided_at is not None, form)
        return show(request, work, "decisions/decision.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/{decision_id}", name="decisions.answer")
def answer(request: Request, farm_id: FarmId, decision_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_decision(work, farm_id, decision_id, Permission.DECISIONS_EDIT)
            values, was = typed.read(services.DECISION_SHAPE, work), typed.was(services.DECISION_SHAPE, work)
            services.answer_decision(work, farm_id, decision_id, values, was)
    except REFUSED as refused:
        return _decision_page(request, farm_id, decision_id, typed, refused)
    return go(request, "decisions.show", farm_id=farm_id)


def _act(request: Request, typed: Typed, farm_id: int, act: Callable[[Work], Any]) -> Response:
    with writing(request, typed) as work:
        act(work)
    return go(request, "decisions.show", farm_id=farm_id)


@router.post(ROOT + "/{decision_id}/reopen", name="decisions.reopen")
def reopen(request: Request, farm_id: FarmId, decision_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _act(request, typed, farm_id, lambda work: services.reopen_decision(work, farm_id, decision_id))


@router.post(ROOT + "/{decision_id}/remove", name="decisions.remove")
def remove(request: Request, farm_id: FarmId, decision_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _act(request, typed, farm_id, lambda work: services.remove_decision(work, farm_id, decision_id))


@router.post(ROOT + "/{decision_id}/restore", name="decisions.restore")
def restore(request: Request, farm_id: FarmId, decision_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _act(request, typed, farm_id, lambda work: services.restore_decision(work, farm_id, decision_id))
