"""Sources as links to the help page."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import Request
from markupsafe import Markup
from starlette.routing import NoMatchFound

from app.sources import SOURCES


def cited(request: Request, keys: Iterable[str]) -> tuple[tuple[str, Markup], ...]:
    """(key, link) of each known source, once each and in order."""
    return tuple((key, _link(request, key)) for key in dict.fromkeys(keys) if key in SOURCES)


def _link(request: Request, key: str) -> Markup:
    source = SOURCES[key]
    try:
        help_page = str(request.app.url_path_for("help.show"))
    except NoMatchFound:
        help_page = ""
    text = Markup('<a href="{}#source-{}">{} {}</a>')
    return text.format(help_page, key, source.authors, source.year)
