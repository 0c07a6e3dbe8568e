"""Ask any route as any person of two farms, without leaving a trace."""

from __future__ import annotations

import asyncio
import logging
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import httpx
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from app.access.work import Clock, Work
from app.main import create_app
from app.records.accounts import Account, Membership
from app.records.base import Database
from app.records.migrating import migrate
from app.services import accounts, crew
from app.settings import Settings
from tests.builders.rows import add_rows
from tests.builders.site import Browser, Site
from tests.web.routes import HIDDEN, PARAMETER, ROLE, ROLES, SIGN_IN, YES

TABLES = {
    "token": "api_tokens",
    "membership": "memberships",
    "invitation": "invitations",
    "link": "crew_links",
    "phone": "sign_ins",
    "spot": "scouting_spots",
    "count": "stand_counts",
    "measurement": "lot_measurements",
    "feedout": "feedouts",
    "supply": "supplies",
    "delivery": "deliveries",
    "inclusion": "inclusions",
    "change": "head_changes",
}
"""Parameter (without `_id`) -> table, where the table is not simply its plural."""


class Quiet(Session):
    """A session whose commits undo, so that every request meets the same farms."""

    def commit(self) -> None:
        self.flush()
        self.rollback()


@dataclass
class Walker:
    app: FastAPI
    site: Site
    browsers: dict[str, Browser]
    tokens: dict[str, str]
    own: dict[str, int]
    foreign: dict[str, int]

    @classmethod
    def on_new_database(cls, path: Path) -> Walker:
        logging.getLogger("swathboard").setLevel(logging.CRITICAL)
        database = Database(f"sqlite:///{path}")
        migrate(database)
        database.close()
        app = create_app(Settings(database=f"sqlite:///{path}"), Clock(date(2027, 5, 10)))
        site = Site(app)
        people = site.team.people
        own = site.do(lambda work: add_rows(work.session, site.farm_id, people["owner"].id))
        foreign = site.do(lambda work: add_rows(work.session, site.other_id, people["stranger"].id))
        own["memberships"], foreign["memberships"] = site.do(lambda work: _memberships(work.session, site))
        browsers = {role: site.as_(role) for role in ROLES if role not in ("nobody", "phone")}
        browsers |= {"nobody": site.nobody(), "phone": Browser(app, {"sid": site.do(lambda work: _phone(work, site))})}
        tokens = {role: site.do(lambda work, role=role: _token(work, site, role)) for role in people}
        app.state.database._write.class_ = type("QuietSession", (Quiet, app.state.database._write.class_), {})
        return cls(app, site, browsers, tokens, own, foreign)

    def parameters(self, path: str) -> list[str]:
        return [name for name in PARAMETER.findall(path) if name != "farm_id"]

    def fill(self, path: str, farm_id: int, ids: dict[str, int]) -> str:
        """The path with the farm and, for each other id, that farm's row of the table the parameter names."""

        def value(found) -> str:
            name = found[1]
            if name == "farm_id":
                return str(farm_id)
            if not name.endswith("_id"):
                return "A" * 43
            return str(ids[self.table(name)])

        return PARAMETER.sub(value, path)

    def table(self, parameter: str) -> str:
        noun = parameter.removesuffix("_id")
        plurals = (noun + "s", noun)
        known = TABLES.get(noun) or next((name for name in self.own if name in plurals), None)
        known = known or next((name for name in self.own if name.endswith(f"_{noun}s")), None)
        assert known, f"{parameter}: which table? Say it in TABLES of tests/web/walker.py"
        return known

    def ask(self, method: str, path: str, role: str, **more) -> httpx.Response:
        if path.endswith("/stream"):
            return self._start_of_stream(path, role)
        browser = self.browsers[role]
        if path.startswith("/api/v") and role in self.tokens:
            return self.browsers["nobody"]._call(method, path, headers={"Authorization": f"Bearer {self.tokens[role]}"})
        cookies = dict(browser.cookies)
        answer = browser.post(path, {}, **more) if method == "POST" else browser._call(method, path, **more)
        browser.cookies = cookies
        return answer

    def _start_of_stream(self, path: str, role: str) -> httpx.Response:
        """Only the status of an answer that never ends."""
        cookie = "; ".join(f"{name}={value}" for name, value in self.browsers[role].cookies.items())
        scope = {
            "type": "http",
            "method": "GET",
            "path": path,
            "raw_path": path.encode(),
            "query_string": b"",
            "headers": [(b"host", b"swathboard.test"), (b"cookie", cookie.encode())],
            "scheme": "http",
            "http_version": "1.1",
            "root_path": "",
            "server": ("swathboard.test", 80),
            "client": ("127.0.0.1", 1),
        }

        async def start() -> httpx.Response:
            started = asyncio.get_running_loop().create_future()

            async def send(message: dict) -> None:
                if message["type"] == "http.response.start" and not started.done():
                    started.set_result(
                        httpx.Response(
                            message["status"], headers=message["headers"], request=httpx.Request("GET", path)
                        )
                    )

            bodies = [{"type": "http.request", "body": b"", "more_body": False}]

            async def receive() -> dict:
                return bodies.pop() if bodies else await asyncio.Future()

            answering = asyncio.create_task(self.app(scope, receive, send))
            answer = await asyncio.wait_for(started, 10)
            answering.cancel()
            with suppress(asyncio.CancelledError):
                await answering
            return answer

        return asyncio.run(start())

    def answer(self, method: str, path: str, role: str, ids: dict[str, int] | None = None) -> str:
        """How the app answers that person on farm one, as a word of the table."""
        return word(self.ask(method, self.fill(path, self.site.farm_id, ids or self.own), role))


def word(answer: httpx.Response) -> str:
    status = answer.status_code
    if status >= 500 or (answer.request.method == "GET" and status in (409, 422)):
        return f"error {status}"
    if status == 401 or (status == 303 and answer.headers["location"].startswith("/sign-in")):
        return SIGN_IN
    return {403: ROLE, 404: HIDDEN}.get(status, YES)


def _token(work: Work, site: Site, role: str) -> str:
    return accounts.add_api_token(work, work.session.get_one(Account, site.team.people[role].id), "walk")


def _phone(work: Work, site: Site) -> str:
    code = crew.make_link(work, site.farm_id, 7)
    return crew.come_in(work, code, "Rosa", "phone", "en")[0].token


def _memberships(session: Session, site: Site) -> tuple[int, int]:
    def of(farm_id: int, role: str) -> int:
        wanted = select(Membership.id).where(
            Membership.farm_id == farm_id, Membership.account_id == site.team.people[role].id
        )
        return session.scalars(wanted).one()

    return of(site.farm_id, "viewer"), of(site.other_id, "stranger")
