"""Addresses that leave the page: links to send and codes to scan."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

import segno
from fastapi import Request
from markupsafe import Markup

HERE = {"127.0.0.1", "localhost", "::1"}


def address_of(request: Request, name: str, **params: Any) -> str:
    """The whole address of a page, by the address people use from outside."""
    base = request.app.state.settings.base_url.rstrip("/") or str(request.base_url).rstrip("/")
    return base + str(request.app.url_path_for(name, **params))


def is_only_here(link: str) -> bool:
    """Whether the link leads to this computer only, so that no phone can follow it."""
    return urlsplit(link).hostname in HERE


def qr_svg(link: str) -> Markup:
    """The link as a QR code: dark on white in every theme, because scanners need that."""
    return Markup(
        segno.make(link, error="m", micro=False).svg_inline(
            scale=6, border=4, dark="#000", light="#fff", svgclass="qr", lineclass=None, omitsize=True
        )
    )
