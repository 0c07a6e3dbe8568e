"""Set-up, sign-in and sign-out, and a person's own account page."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from app.access.work import SYSTEM, Work
from app.errors import AppError, Invalid, NotFound
from app.services import accounts as services
from app.services import team
from app.units.sentences import Sentence
from app.web.forms import REFUSED, FormView, Typed, form_view, status_of, typed_form
from app.web.pages import THEMES, came_from, go, language_of, show
from app.web.transactions import Id, cookie_name, reading, writing
from app.web.words import LANGUAGES

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class OneClick:
    """Somebody of the demo."""

    account_id: int
    name: str
    role: Sentence


@dataclass(frozen=True)
class SignInPage:
    form: FormView
    next: str
    people: tuple[tuple[str | None, list[OneClick]], ...]
    """One-click people of the demo by farm."""


@dataclass(frozen=True)
class FormPage:
    form: FormView
    token: str = ""


@dataclass(frozen=True)
class AccountPage:
    tokens: list
    new_token: str | None
    password: FormView


def device_of(request: Request) -> str:
    return request.headers.get("user-agent", "")[:80]


def signed_in(request: Request, new: services.NewSignIn, to: str) -> Response:
    """The answer after a sign-in: the cookie, and on to the page."""
    https = request.app.state.settings.https
    answer = RedirectResponse(to, status_code=303)
    answer.set_cookie(
        cookie_name(request), new.token, max_age=new.days * 86400, httponly=True, samesite="lax", secure=https, path="/"
    )
    return answer


def _safe_next(path: str) -> str:
    return path if path.startswith("/") and not path.startswith(("//", "/\\")) else "/"


@router.get("/sign-in", name="accounts.sign_in_page")
def sign_in_page(request: Request, next: str = "/") -> Response:
    return _sign_in_page(request, _safe_next(next))


def _sign_in_page(request: Request, to: str, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request, anyone=True) as work:
        people = _one_click_people(work) if request.app.state.settings.demo else ()
        form = form_view(services.SIGN_IN_SHAPE, "us", typed=typed, refused=refused)
        return show(request, work, "accounts/sign_in.html", SignInPage(form, to, people), status=status_of(refused))


def _one_click_people(work: Work) -> tuple[tuple[str | None, list[OneClick]], ...]:
    """The demo's people by farm; first, under no farm, those with more than one."""
    groups: dict[str | None, list[OneClick]] = {None: []}
    for person, roles in team.list_people(Work(work.session, SYSTEM, work.clock)):
        if roles:
            farm = roles[0][0] if len(roles) == 1 else None
            groups.setdefault(farm, []).append(OneClick(person.id, person.name, team.ROLES[roles[0][1]]))
    return tuple((farm, people) for farm, people in groups.items() if people)


@router.post("/sign-in", name="accounts.sign_in")
def sign_in(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    to = _safe_next(typed["next"] or "/")
    try:
        with writing(request, anyone=True) as work:
            values = typed.read(services.SIGN_IN_SHAPE, work)
            address = request.client.host if request.client else ""
            new = services.sign_in(
                work,
                values["email"],
                values["password"],
                address,
                device_of(request),
                request.app.state.settings.session_days,
            )
        if new is None:
            raise Invalid({"password": Sentence("E-mail and password do not fit together.")})
    except REFUSED as refused:
        return _sign_in_page(request, to, typed, refused)
    return signed_in(request, new, to)


@router.post("/sign-in/as/{account_id}", name="accounts.sign_in_as")
def sign_in_as(request: Request, account_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    """One click as one of the demo's people; there is no such address outside the demo."""
    if not request.app.state.settings.demo:
        raise NotFound("page")
    with writing(request, anyone=True) as work:
        new = services.sign_in_as(work, account_id, device_of(request), 1)
    return signed_in(request, new, _safe_next(typed["next"] or "/"))


@router.post("/sign-out", name="accounts.sign_out")
def sign_out(request: Request) -> Response:
    with writing(request, anyone=True) as work:
        services.sign_out(work)
    answer = RedirectResponse("/sign-in", status_code=303)
    answer.delete_cookie(cookie_name(request), path="/")
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


@router.get("/set-up/{token}", name="accounts.set_up_page")
def set_up_page(request: Request, token: str) -> Response:
    return _set_up_page(request, token)


def _set_up_page(request: Request, token: str, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request, anyone=True) as work:
        services.find_setup_link(work, token)
        form = form_view(services.ACCOUNT_SHAPE, "us", typed=typed, refused=refused)
        return show(request, work, "accounts/set_up.html", FormPage(form, token), status=status_of(refused))


@router.post("/set-up/{token}", name="accounts.set_up")
def set_up(request: Request, token: str, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, anyone=True) as work:
            values = typed.read(services.ACCOUNT_SHAPE, work) | {"language": language_of(request)}
            new = services.use_setup_link(
                work, token, values, device_of(request), request.app.state.settings.session_days
            )
    except REFUSED as refused:
        return _set_up_page(request, token, typed, refused)
    return signed_in(request, new, "/farms/new")


@router.get("/account", name="accounts.account")
def account(request: Request) -> Response:
    return _account_page(request)


PASSWORD_SHAPE = services.Shape(
    "accounts",
    (
        services.Column("old", "Present password", "secret", required=True),
        services.Column("new", "New password", "secret", required=True),
    ),
)


def _account_page(
    request: Request, new_token: str | None = None, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        page = AccountPage(
            services.list_api_tokens(work), new_token, form_view(PASSWORD_SHAPE, "us", typed=typed, refused=refused)
        )
        return show(request, work, "accounts/account.html", page, status=status_of(refused))


@router.post("/account/choose", name="accounts.choose")
def choose(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    """Language and units of the person; before sign-in the language is kept in a cookie."""
    answer = RedirectResponse(came_from(request, "/"), status_code=303)
    with writing(request, anyone=True) as work:
        if work.actor.account_id is not None:
            services.choose(work, typed["language"] or None, typed["units"] or None)
    if typed["language"] in LANGUAGES:
        answer.set_cookie("language", typed["language"], max_age=31536000, samesite="lax", path="/")
    return answer


@router.post("/theme", name="accounts.theme")
def theme(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    """The look of this device: day, sun or night."""
    answer = RedirectResponse(came_from(request, "/"), status_code=303)
    if typed["theme"] in THEMES:
        answer.set_cookie("theme", typed["theme"], max_age=31536000, samesite="lax", path="/")
    return answer


@router.post("/account/password", name="accounts.change_password")
def change_password(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.change_password(work, typed["old"], typed["new"])
    except REFUSED as refused:
        return _account_page(request, None, Typed(), refused)
    return go(request, "accounts.account")


@router.post("/account/tokens", name="accounts.add_token")
def add_token(request: Request, typed: Typed = Depends(typed_form)) -> Response:
    """A new API token; it is shown on this one answer and never again."""
    with writing(request, typed) as work:
        token = services.add_api_token(work, services.whole_account(work), typed["name"])
    return _account_page(request, token)


@router.post("/account/tokens/{token_id}/revoke", name="accounts.revoke_token")
def revoke_token(request: Request, token_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.revoke_api_token(work, token_id)
    return go(request, "accounts.account")
