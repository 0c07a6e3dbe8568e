"""Serve `/static/<name>.<hash>.<ending>`: cached for ever, compressed beforehand."""

from __future__ import annotations

import logging
import mimetypes
from functools import cache
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse

from app.errors import NotFound
from app.settings import outside_folder
from app.web import bundling

router = APIRouter(include_in_schema=False)
FOR_EVER = "public, max-age=31536000, immutable"
ENCODINGS = (("br", ".br"), ("gzip", ".gz"))
log = logging.getLogger(__name__)


@cache
def built() -> dict[str, str]:
    """Name -> hashed name of every file browsers may ask for. In a checkout this bundles what has changed."""
    names = bundling.build(outside_folder("static"))
    return names | _plotly_name()


def _plotly_name() -> dict[str, str]:
    try:
        hashed = bundling.prepare_plotly(outside_folder("static"))
    except OSError as failure:  # installed where we may not write: the file is sent as it is
        log.warning("plotly's browser file cannot be compressed beforehand: %s", failure)
        hashed = bundling.PLOTLY
    return {bundling.PLOTLY: hashed} if hashed else {}


def asset(name: str) -> str:
    """The address of a browser file, e.g. `app.css`; it changes whenever the file does."""
    return f"/static/{built()[name]}"


@router.get("/static/{name}", name="assets.file")
def file(request: Request, name: str) -> FileResponse:
    if name not in built().values():
        raise NotFound
    path = outside_folder("static") / "built" / name
    if not path.is_file():
        path = bundling.plotly_source() or path
    accepted = {part.split(";")[0].strip() for part in request.headers.get("Accept-Encoding", "").split(",")}
    headers = {"Cache-Control": FOR_EVER, "Vary": "Accept-Encoding", "X-Content-Type-Options": "nosniff"}
    for encoding, suffix in ENCODINGS:
        packed = path.with_name(path.name + suffix)
        if encoding in accepted and packed.is_file():
            return _answer(packed, name, headers | {"Content-Encoding": encoding})
    return _answer(path, name, headers)


def _answer(path: Path, name: str, headers: dict[str, str]) -> FileResponse:
    kind = mimetypes.guess_type(name)[0] or "application/octet-stream"
    return FileResponse(path, media_type=kind, headers=headers)
