"""The Team page: members and roles, invitations, crew codes and phones, and who changed what."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from app.errors import AppError
from app.services import changes, crew, invitations
from app.services import team as services
from app.units.sentences import Sentence
from app.web.forms import REFUSED, FormView, Typed, form_view, question_of, status_of, typed_form
from app.web.links import address_of, is_only_here, qr_svg
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
LAST_COUNT = 12


@dataclass(frozen=True)
class MembersPage:
    members: tuple[services.Member, ...]
    invitations: tuple[invitations.Open, ...]
    roles: dict[str, Sentence] = field(default_factory=lambda: services.ROLES)
    role_says: dict[str, Sentence] = field(default_factory=lambda: services.ROLE_SAYS)


@dataclass(frozen=True)
class PhonesPage:
    links: tuple[crew.Link, ...]
    phones: tuple[crew.Phone, ...]


@dataclass(frozen=True, kw_only=True)
class Page(MembersPage, PhonesPage):
    history: changes.ChangesPage
    invite: FormView
    crew: FormView
    removed: tuple[int, str] | None = None
    """(membership, name) of somebody just removed, to be brought back with one click."""
    refused: Any = None


@dataclass(frozen=True)
class NewLink:
    """A link or code that is shown once."""

    link: str
    qr: str = ""
    email: str = ""
    days: int = 0
    is_only_here: bool = False


@router.get("/farms/{farm_id}/team", name="team.show")
def show_team(request: Request, farm_id: FarmId, removed: int | None = None) -> Response:
    return _page(request, farm_id, removed=removed)


def _page(
    request: Request,
    farm_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
    form: str = "",
    removed: int | None = None,
) -> Response:
    """The page; after a refusal with the form that was refused as it was typed, or with the reason above."""
    kept: dict[str, dict[str, Any]] = {form: {"typed": typed, "refused": refused}} if form else {}
    with reading(request) as work:
        page = Page(
            members=services.list_members(work, farm_id),
            invitations=invitations.list_invitations(work, farm_id),
            links=crew.list_links(work, farm_id),
            phones=crew.list_phones(work, farm_id),
            history=changes.list_lines(work, farm_id, most=LAST_COUNT),
            invite=form_view(invitations.INVITATION_SHAPE, "us", **kept.get("invite", {})),
            crew=form_view(crew.LINK_SHAPE, "us", {"days": crew.USUAL_DAYS}, **kept.get("crew", {})),
            removed=(removed, services.removed_name(work, farm_id, removed)) if removed else None,
            refused=question_of(refused) if refused is not None and not form else None,
        )
        return show(request, work, "team/show.html", page, farm_id, status_of(refused))


@router.get("/farms/{farm_id}/team/_members", name="team.members")
def members(request: Request, farm_id: FarmId) -> Response:
    """The list alone, as open pages fetch it when somebody joins or leaves."""
    with reading(request) as work:
        page = MembersPage(services.list_members(work, farm_id), invitations.list_invitations(work, farm_id))
        return show(request, work, "team/_members.html", page, farm_id)


@router.get("/farms/{farm_id}/team/_phones", name="team.phones")
def phones(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = PhonesPage(crew.list_links(work, farm_id), crew.list_phones(work, farm_id))
        return show(request, work, "team/_phones.html", page, farm_id)


@router.post("/farms/{farm_id}/team/members/{membership_id}/role", name="team.change_role")
def change_role(request: Request, farm_id: FarmId, membership_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.change_role(work, farm_id, membership_id, typed["role"], typed["was_role"] or None)
    except REFUSED as refused:
        return _page(request, farm_id, refused=refused)
    return go(request, "team.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/team/members/{membership_id}/remove", name="team.remove")
def remove(request: Request, farm_id: FarmId, membership_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            is_own = services.remove_member(work, farm_id, membership_id)
    except REFUSED as refused:
        return _page(request, farm_id, refused=refused)
    if is_own:
        return go(request, "home.show")
    return RedirectResponse(f"{request.app.url_path_for('team.show', farm_id=farm_id)}?removed={membership_id}", 303)


@router.post("/farms/{farm_id}/team/members/{membership_id}/restore", name="team.restore")
def restore(request: Request, farm_id: FarmId, membership_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_member(work, farm_id, membership_id)
    return go(request, "team.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/team/leave", name="team.leave")
def leave(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.leave_farm(work, farm_id)
    except REFUSED as refused:
        return _page(request, farm_id, refused=refused)
    return go(request, "home.show")


@router.post("/farms/{farm_id}/team/invitations", name="team.invite")
def invite(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    """A new invitation; its link is shown on this one answer and never again."""
    try:
        with writing(request, typed) as work:
            services.check_may_edit(work, farm_id)
            values = typed.read(invitations.INVITATION_SHAPE, work)
            token = invitations.invite(work, farm_id, values)
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused, "invite")
    link = address_of(request, "invitations.show", token=token)
    new = NewLink(link, email=values["email"], days=invitations.INVITATION_D, is_only_here=is_only_here(link))
    with reading(request) as work:
        return show(request, work, "team/invited.html", new, farm_id)


@router.post("/farms/{farm_id}/team/invitations/{invitation_id}/withdraw", name="team.withdraw")
def withdraw(request: Request, farm_id: FarmId, invitation_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        invitations.withdraw_invitation(work, farm_id, invitation_id)
    return go(request, "team.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/team/crew-codes", name="team.make_code")
def make_code(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    """A new crew code to print and hang up; it is shown on this one answer and never again."""
    try:
        with writing(request, typed) as work:
            services.check_may_edit(work, farm_id)
            days = int(typed.read(crew.LINK_SHAPE, work)["days"])
            code = crew.make_link(work, farm_id, days)
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused, "crew")
    link = address_of(request, "crew.show", code=code)
    with reading(request) as work:
        new = NewLink(link, qr_svg(link), days=days, is_only_here=is_only_here(link))
        return show(request, work, "team/code.html", new, farm_id)


@router.post("/farms/{farm_id}/team/crew-codes/{link_id}/revoke", name="team.revoke_code")
def revoke_code(request: Request, farm_id: FarmId, link_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        crew.revoke_link(work, farm_id, link_id)
    return go(request, "team.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/team/phones/{phone_id}/sign-out", name="team.sign_phone_out")
def sign_phone_out(request: Request, farm_id: FarmId, phone_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        crew.sign_phone_out(work, farm_id, phone_id)
    return go(request, "team.show", farm_id=farm_id)


@router.get("/farms/{farm_id}/team/changes", name="team.changes")
def show_changes(request: Request, farm_id: FarmId, before: int | None = None) -> Response:
    with reading(request) as work:
        return show(request, work, "team/changes.html", changes.list_lines(work, farm_id, before), farm_id)
