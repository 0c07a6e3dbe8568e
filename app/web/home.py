"""Where a person lands: sign-in, the only farm (crew at its checklist, others at its board), or the list of farms."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.access.work import Actor
from app.services import farms
from app.web.pages import go
from app.web.transactions import FarmId, reading

router = APIRouter(include_in_schema=False)


@router.get("/", name="home.show")
def show_home(request: Request) -> Response:
    with reading(request, anyone=True) as work:
        actor = work.actor
    if actor.account_id is None:
        return go(request, "accounts.sign_in_page")
    if len(actor.farm_ids) == 1:
        return _to_farm(request, actor, actor.farm_ids[0])
    return go(request, "farms.show")


@router.get("/farms/{farm_id}/home", name="home.farm")
def show_farm(request: Request, farm_id: FarmId) -> Response:
    """The first page of that farm for this person's role."""
    with reading(request) as work:
        farms.access_farm(work, farm_id)
        return _to_farm(request, work.actor, farm_id)


def _to_farm(request: Request, actor: Actor, farm_id: int) -> Response:
    page = "checklists.show" if actor.role_on(farm_id) == "crew" else "board.show"
    return go(request, page, farm_id=farm_id)
