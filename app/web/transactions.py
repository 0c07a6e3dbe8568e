"""One transaction per request: reading, or writing under the write lock with once-only sendings."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import timedelta
from typing import Annotated, Any

from anyio import from_thread, to_thread
from fastapi import Path, Request
from starlette.datastructures import State

from app.access.sessions import actor_by_cookie
from app.access.work import NOBODY, Actor, Clock, DatabaseAway, Work
from app.errors import SignInNeeded
from app.services import accounts, sendings
from app.web.forms import Typed

Id = Annotated[int, Path(ge=1, le=2**31 - 1)]
FarmId = Annotated[int, Path(ge=1, le=2**31 - 1)]
SEEN_EVERY = timedelta(minutes=10)
log = logging.getLogger("swathboard")


def cookie_name(request: Request) -> str:
    """`__Host-` cookies need HTTPS; on plain http (loopback, a yard network) the plain name is used."""
    return "__Host-sid" if request.app.state.settings.https else "sid"


@contextmanager
def reading(request: Request, *, anyone: bool = False) -> Iterator[Work]:
    """A session to read in, for whoever is signed in. `anyone` lets people in who are not."""
    state = request.app.state
    with state.database.reading() as session:
        actor = _actor(request, session, anyone)
        yield Work(session, actor, state.clock)
    if actor.seen_at is not None and state.clock.now() - actor.seen_at > SEEN_EVERY:
        _note_seen(state, actor)


def _note_seen(state: State, actor: Actor) -> None:
    """A page was read: worth a line in the list of who looked, never worth failing the page."""
    try:
        with state.database.writing_alone(wait_s=0) as session:
            accounts.see(Work(session, actor, state.clock))
            session.commit()
    except DatabaseAway as busy:
        log.warning("could not note that a sign-in is in use: %s", busy.orig)


@contextmanager
def writing(
    request: Request, typed: Typed | None = None, *, anyone: bool = False, waits: bool = True
) -> Iterator[Work]:
    """A session to write in; commits at the end, then tells open pages. Any error undoes everything.

    A form sent twice with the same once-only key raises AlreadyDone the second time. What a page notes by the way
    does not wait for other writers (`waits=False`): it is given up with DatabaseAway, and the page is shown.
    """
    state = request.app.state
    with _alone(state) if waits else state.database.writing_alone(wait_s=0) as session:
        work = Work(session, _actor(request, session, anyone), state.clock, state.settings.upload_bytes)
        key = request.headers.get("Idempotency-Key") or (typed.once if typed else None)
        if key:
            sendings.take_sending(work, key)
        yield work
        session.commit()
    for farm_id in {farm_id for farm_id, _seq in work.told}:
        state.bus.publish(farm_id)


@contextmanager
def _alone(state: State) -> Iterator[Any]:
    """The one who may write. Whoever has to wait lets another request be worked on meanwhile, so that pages go on."""
    with ExitStack() as stack:
        try:
            session = stack.enter_context(state.database.writing_alone(wait_s=0))
        except DatabaseAway as busy:
            if not is_busy(busy):
                raise
            with place_lent():
                session = stack.enter_context(state.database.writing_alone())
        yield session


def is_busy(away: DatabaseAway) -> bool:
    """Whether somebody else is writing, in this process or in another: it may be over soon."""
    return isinstance(away.orig, TimeoutError) or getattr(away.orig, "sqlite_errorname", "").startswith("SQLITE_BUSY")


@contextmanager
def place_lent() -> Iterator[None]:
    """Raise the number of requests worked on at once by one while this one only waits."""
    try:
        from_thread.run_sync(_lend, 1)
    except RuntimeError:  # not one of the server's threads
        yield
        return
    try:
        yield
    finally:
        from_thread.run_sync(_lend, -1)


def _lend(places: int) -> None:
    to_thread.current_default_thread_limiter().total_tokens += places


def _actor(request: Request, session, anyone: bool) -> Actor:
    clock: Clock = request.app.state.clock
    actor = actor_by_cookie(session, request.cookies.get(cookie_name(request)), clock.now())
    if actor is NOBODY and not anyone:
        raise SignInNeeded()
    return actor
