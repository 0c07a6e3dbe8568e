"""What a person sees who follows an invitation link. Looking uses nothing up; only joining does."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.errors import AppError
from app.services import accounts, team
from app.services import invitations as services
from app.units.sentences import Sentence
from app.web.accounts import device_of, signed_in
from app.web.attempts import limited
from app.web.forms import REFUSED, FormView, Typed, form_view, status_of, typed_form
from app.web.pages import go, language_of, show
from app.web.transactions import reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Page:
    invited: services.Invited
    role: Sentence
    token: str
    form: FormView
    can_join: bool


@router.get("/invitations/{token}", name="invitations.show")
def show_invitation(request: Request, token: str) -> Response:
    with limited(request):
        return _page(request, token)


def _page(request: Request, token: str, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request, anyone=True) as work:
        invited = services.find_invited(work, token)
        form = form_view(
            accounts.ACCOUNT_SHAPE, "us", None if typed else {"email": invited.email}, typed=typed, refused=refused
        )
        can_join = work.actor.email is not None and work.actor.only_farm_id is None
        page = Page(invited, team.ROLES[invited.role], token, form, can_join)
        return show(request, work, "invitations/show.html", page, status=status_of(refused))


@router.post("/invitations/{token}/join", name="invitations.join")
def join(request: Request, token: str, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with limited(request), writing(request, typed) as work:
            farm_id = services.join(work, token)
    except REFUSED as refused:
        return _page(request, token, Typed(), refused)
    return go(request, "home.farm", farm_id=farm_id)


@router.post("/invitations/{token}", name="invitations.join_as_new")
def join_as_new(request: Request, token: str, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with limited(request), writing(request, anyone=True) as work:
            values = typed.read(accounts.ACCOUNT_SHAPE, work) | {"language": language_of(request)}
            days = request.app.state.settings.session_days
            new = services.join_as_new(work, token, values, device_of(request), days)
    except REFUSED as refused:
        return _page(request, token, typed, refused)
    return signed_in(request, new, str(request.app.url_path_for("home.show")))
