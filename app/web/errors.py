"""The page and status of every error."""

from __future__ import annotations

import logging

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from app import errors
from app.access.work import NOBODY, DatabaseAway, Work
from app.units.sentences import Sentence
from app.web.pages import came_from, is_partial, show

STATUS: dict[type[Exception], int] = {
    errors.NotFound: 404,
    errors.NotAllowed: 403,
    errors.Conflict: 409,
    errors.Invalid: 422,
    errors.Unsure: 422,
    errors.Unavailable: 503,
    errors.SignInNeeded: 401,
    errors.TooMany: 429,
}
WORDS = {
    401: Sentence("Please sign in first."),
    403: Sentence("Your role on this farm does not allow that. The owner can change roles on the Team page."),
    404: Sentence("There is no such page, or you are not a member of that farm."),
    405: Sentence("That address does not take this kind of request."),
    409: Sentence("Someone else changed the same thing meanwhile. Look at both values and save again."),
    413: Sentence("That file is too large."),
    422: Sentence("Something in what was sent could not be read."),
    429: Sentence("Too many attempts. Please wait a quarter of an hour and try again."),
    500: Sentence("Something went wrong here. Nothing was saved; please try again."),
    503: Sentence("The database did not answer in time. Nothing was saved; please try again."),
}
DISK: dict[str, Sentence] = {
    "SQLITE_FULL": Sentence(
        "The disk of the server is full. Nothing was saved. Make room there, then send this again; pages can be read."
    ),
    "SQLITE_READONLY": Sentence(
        "The server may only read its database now. Nothing was saved. "
        "Whoever looks after it must make it writable; pages can be read."
    ),
    "SQLITE_IOERR": Sentence(
        "The disk of the server does not take anything now. Nothing was saved. "
        "Whoever looks after it should see to the disk; pages can be read."
    ),
}
"""What to say when it is the disk, by the start of SQLite's name of the error."""
log = logging.getLogger("swathboard")


def answer(request: Request, status: int, message: Sentence | str | None = None) -> Response:
    """An error as a page, a partial or JSON, whichever was asked for."""
    said = message or WORDS.get(status, WORDS[500])
    if request.url.path.startswith("/api/"):
        return JSONResponse({"detail": str(said)}, status_code=status)
    template = "errors/_message.html" if is_partial(request) else "errors/page.html"
    return show(request, _nobody(request), template, status=status, message=said)


def _nobody(request: Request) -> Work | None:
    return Work(None, NOBODY, request.app.state.clock)  # type: ignore[arg-type]


def add_error_pages(app: FastAPI) -> None:
    @app.exception_handler(errors.AppError)
    def refuse(request: Request, error: errors.AppError) -> Response:
        if isinstance(error, errors.AlreadyDone):
            back = came_from(request, "/")
            return (
                Response(status_code=204, headers={"HX-Refresh": "true"})
                if is_partial(request)
                else RedirectResponse(back, 303)
            )
        if (
            isinstance(error, errors.SignInNeeded)
            and request.method == "GET"
            and not is_partial(request)
            and not request.url.path.startswith("/api/")
        ):
            return RedirectResponse(f"/sign-in?next={request.url.path}", status_code=303)
        said = next(iter(error.fields.values()), None) if isinstance(error, errors.Invalid | errors.Unsure) else None
        if isinstance(error, errors.Unavailable | errors.TooMany) and error.args:
            said = error.args[0]
        return answer(request, STATUS[type(error)], said)

    @app.exception_handler(RequestValidationError)
    def unreadable(request: Request, error: RequestValidationError) -> Response:
        bad_path = any(part["loc"][:1] == ("path",) for part in error.errors())
        return answer(request, 404 if bad_path else 422)

    @app.exception_handler(HTTPException)
    def plain(request: Request, error: HTTPException) -> Response:
        return answer(request, error.status_code)

    @app.exception_handler(DatabaseAway)
    def database_away(request: Request, error: DatabaseAway) -> Response:
        log.warning("database: %s", error.orig)
        name = getattr(error.orig, "sqlite_errorname", "")
        return answer(request, 503, next((said for start, said in DISK.items() if name.startswith(start)), None))

    @app.exception_handler(Exception)
    def unexpected(request: Request, error: Exception) -> Response:
        log.error("unexpected %s on %s", type(error).__name__, request.url.path, exc_info=error)
        return answer(request, 500)
