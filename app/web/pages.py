"""Turn a page or a partial into a response: what every template may use, in the reader's language and units."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from typing import Any
from urllib.parse import urlsplit

import jinja2
from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup

from app.access.work import NOBODY, Actor, Work, zone_of
from app.services import farms as farm_services
from app.settings import outside_folder
from app.units.wording import Reader
from app.web import assets
from app.web.words import LANGUAGES, translator

THEMES = ("day", "sun", "night")
KEPT_PARTS = 64
"""Parts of pages kept in memory; a board of forty fields takes about a third of a megabyte."""


@dataclass(frozen=True)
class Me:
    """Who reads the page, as templates see them."""

    name: str
    email: str | None
    language: str
    units: str
    theme: str
    signed_in: bool
    account_id: int | None
    role: str | None
    permissions: frozenset[str]
    farms_count: int

    def may(self, permission: str) -> bool:
        return permission in self.permissions


@cache
def environment() -> jinja2.Environment:
    """The one template environment. Values are escaped; an unknown name is an error, not an empty string."""
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(outside_folder("templates")),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        extensions=["jinja2.ext.do"],
    )


def reader_of(request: Request, actor: Actor) -> Reader:
    """The language and units to write in: the account's, or the browser's language before sign-in."""
    language = actor.language if actor is not NOBODY else language_of(request)
    return Reader(language, actor.units, translator(language))


def language_of(request: Request) -> str:
    """The cookie's language, else the first language the browser asks for that we have."""
    wanted = [request.cookies.get("language", "")]
    wanted += [part.split(";")[0].strip()[:2] for part in request.headers.get("accept-language", "").split(",")]
    return next((language for language in wanted if language in LANGUAGES), "en")


def theme_of(request: Request) -> str:
    theme = request.cookies.get("theme", "day")
    return theme if theme in THEMES else "day"


def _words_for(
    request: Request, work: Work | None, actor: Actor, farm: farm_services.FarmHead | None
) -> dict[str, Any]:
    reader = reader_of(request, actor)
    zone = zone_of(farm.time_zone if farm else None)
    now = work.clock.moment(zone) if work else datetime.now(zone)

    def gettext(text: str, **figures: Any) -> str:
        said = reader.translate(text)
        return said % figures if figures else said

    def title_or_number(value: Any, kind: str, digits: int | None = None) -> str:
        return reader.figure(value, kind, digits)

    def when(at: datetime | None) -> str:
        return reader.when(at, now, zone) if at else "–"

    def once() -> Markup:
        return Markup('<input type="hidden" name="once" value="{}">').format(uuid.uuid4().hex)

    def path(name: str, **params: Any) -> str:
        known = {key: value for key, value in params.items() if not key.startswith("q_")}
        query = "&".join(f"{key[2:]}={value}" for key, value in params.items() if key.startswith("q_"))
        found = str(request.app.url_path_for(name, **known))
        return found + (f"?{query}" if query else "")

    return {
        "_": gettext,
        "say": reader.say,
        "fig": title_or_number,
        "amount": reader.amount,
        "unit": reader.unit,
        "span": reader.span,
        "day": lambda day: reader.day(day),
        "date_short": lambda day: reader.day(day, "short"),
        "date_long": lambda day: reader.day(day, "long"),
        "date_year": lambda day: reader.day(day, "year"),
        "date_iso": lambda day: day.isoformat() if day else "",
        "clock": lambda at: reader.clock(at, zone),
        "when": when,
        "once": once,
        "path": path,
        "asset": assets.asset,
        "reader": reader,
        "now": now,
        "timedelta": timedelta,
    }


_FILTERS = ("say", "fig", "amount", "day", "date_short", "date_long", "date_year", "date_iso", "clock", "when")


def _make_filter(name: str) -> Any:
    @jinja2.pass_context
    def run(context: jinja2.runtime.Context, value: Any, *arguments: Any) -> Any:
        return context[name](value, *arguments)

    return run


for _name in _FILTERS:
    environment().filters[_name] = _make_filter(_name)


def render(
    request: Request,
    work: Work | None,
    template: str,
    page: Any = None,
    farm_id: int | None = None,
    more: Mapping[str, Any] | None = None,
) -> str:
    """A template as text, with the whole context every template has."""
    actor = work.actor if work else NOBODY
    farm = farm_services.farm_head(work, farm_id) if work and farm_id else None
    me = Me(
        name=actor.name,
        email=actor.email,
        language=reader_of(request, actor).language,
        units=actor.units,
        theme=theme_of(request),
        signed_in=actor is not NOBODY,
        account_id=actor.account_id,
        role=actor.role_on(farm_id) if farm_id else None,
        permissions=farm_services.permissions_of(actor, farm_id) if farm_id else frozenset(),
        farms_count=len(actor.farm_ids),
    )
    context = {
        "me": me,
        "farm": farm,
        "page": page,
        "request": request,
        "active": "",
        **_words_for(request, work, actor, farm),
        **(more or {}),
    }
    return environment().get_template(template).render(context)


def show(
    request: Request,
    work: Work | None,
    template: str,
    page: Any = None,
    farm_id: int | None = None,
    status: int = 200,
    **more: Any,
) -> HTMLResponse:
    """A page or partial as the answer. Pages of a farm are private and not kept by any cache."""
    return HTMLResponse(
        render(request, work, template, page, farm_id, more),
        status_code=status,
        headers={"Cache-Control": "private, no-cache"},
    )


def kept_part(request: Request, work: Work, farm_id: int, template: str, make: Callable[[], Any]) -> Markup:
    """A part of a page that everybody with the same role, language and units sees alike.

    It is drawn once for each change of the farm and each day, then kept; so it may hold no form and nothing personal.
    """
    farm, actor = farm_services.farm_head(work, farm_id), work.actor
    key = (template, farm_id, farm.seq, farm.today, actor.role_on(farm_id), actor.language, actor.units)
    kept = request.app.state.kept_parts
    if key not in kept:
        kept[key] = Markup(render(request, work, template, make(), farm_id))
        while len(kept) > KEPT_PARTS:
            kept.pop(next(iter(kept)), None)
    return kept[key]


def is_partial(request: Request) -> bool:
    return "HX-Request" in request.headers or request.headers.get("X-Part") == "1"


def go(request: Request, name: str, fragment: str = "", **params: Any) -> Response:
    """After a POST: 303 to the page, for forms with and without JavaScript alike."""
    url = str(request.app.url_path_for(name, **params)) + (f"#{fragment}" if fragment else "")
    if "HX-Request" in request.headers:
        return Response(status_code=204, headers={"HX-Redirect": url})
    return RedirectResponse(url, status_code=303)


def respond(request: Request, work: Work, partial: str, page: Any, farm_id: int, back_to: str) -> Response:
    """The partial for a swap, or 303 back to the page without JavaScript."""
    if is_partial(request):
        return show(request, work, partial, page, farm_id)
    return RedirectResponse(back_to, status_code=303)


def came_from(request: Request, otherwise: str) -> str:
    """The page of ours a form was on, as a path; never another site's address."""
    parts = urlsplit(request.headers.get("referer", ""))
    same_host = parts.netloc == request.headers.get("host", "")
    return (parts.path + (f"?{parts.query}" if parts.query else "")) if parts.path and same_host else otherwise
