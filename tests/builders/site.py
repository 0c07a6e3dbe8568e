"""The app as browsers see it, over HTTP without a server."""

from __future__ import annotations

import asyncio
import uuid
from collections.abc import Callable
from typing import Any

import httpx
from fastapi import FastAPI

from app.access.work import SYSTEM, Work
from app.services import accounts
from tests.builders.people import Team, make_team


class Browser:
    """One signed-in (or signed-out) browser; calls are plain functions that return the httpx answer."""

    def __init__(self, app: FastAPI, cookies: dict[str, str] | None = None) -> None:
        self._app, self.cookies = app, dict(cookies or {})

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self._call("GET", path, **more)

    def post(
        self, path: str, form: dict[str, Any] | None = None, *, htmx: bool = False, once: bool = True, **more: Any
    ) -> httpx.Response:
        """Send a form as a page would: with its once-only key and the page's own Origin."""
        data = dict(form or {})
        if once:
            data.setdefault("once", uuid.uuid4().hex)
        headers = {
            "Origin": "http://swathboard.test",
            **({"HX-Request": "true"} if htmx else {}),
            **more.pop("headers", {}),
        }
        return self._call("POST", path, data=data, headers=headers, **more)

    def _call(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(app=self._app, raise_app_exceptions=False)
            async with httpx.AsyncClient(
                transport=transport, base_url="http://swathboard.test", cookies=self.cookies
            ) as client:
                answer = await client.request(method, path, **more)
                self.cookies = dict(client.cookies)
                return answer

        return asyncio.run(ask())


class Site:
    """The app with two farms and their people."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app
        with app.state.database.lock, app.state.database.writing() as session:
            self.team: Team = make_team(Work(session, SYSTEM, app.state.clock))
            session.commit()
        self.farm_id, self.other_id = self.team.farm.id, self.team.other.id

    def do(self, act: Callable[[Work], Any], role: str | None = None) -> Any:
        """Run services directly in one committed transaction, as the machine or as the person with that role."""
        state = self.app.state
        with state.database.lock, state.database.writing() as session:
            work = Work(session, SYSTEM, state.clock)
            result = act(self.team.acts(work, role) if role else work)
            session.commit()
            return result

    def as_(self, role: str) -> Browser:
        """A browser signed in as the person with that role (`stranger` included)."""
        new = self.do(lambda work: accounts.start_sign_in(work, self.team.people[role], "test", 1))
        return Browser(self.app, {"sid": new.token})

    def nobody(self) -> Browser:
        return Browser(self.app)
