"""A farm with something on every page, and the address of every page of the app, read off the table of routes."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from unittest.mock import patch

from fastapi import FastAPI
from sqlalchemy import Table, select
from sqlalchemy.orm import Session

from app.access.sessions import actor_of
from app.access.work import SYSTEM, Clock, Work
from app.main import create_app
from app.records.accounts import Account, Membership
from app.records.base import Database
from app.records.migrating import migrate
from app.records.tables import Row
from app.services import accounts, crew, invitations
from app.settings import Settings
from seed_demo import seeding
from tests.builders.site import Browser
from tests.web.routes import HIDDEN, PARAMETER, YES, read_table
from tests.web.walker import TABLES

TODAY = date(2027, 5, 10)
NO_PAGE = re.compile(
    r"/_|/stream$|/home$|/static/|/api/|\.(?:xlsx|zip|json|csv|ics|pdf|svg|png|js)$|^/sw\.js|^/metrics"
)
"""Parts of pages, files, and addresses that only lead on."""
UPLOADS = {"lab-files": "lab", "weather": "weather", "workbook": "workbook"}
ORIGIN = {"Origin": "http://swathboard.test"}
NOBODY, SPANISH = "nobody", "spanish"


@dataclass(frozen=True)
class Page:
    """One page: its route as the table writes it, an address that exists, and who opens it."""

    route: str
    path: str
    by: str


@dataclass
class Site:
    """The app on the seeded farm; `cookies` are sign-ins by role, `spanish` an adviser who reads Spanish and metric."""

    app: FastAPI
    farm_id: int
    cookies: dict[str, str]
    words: dict[str, str] = field(default_factory=dict)
    """What stands in an address in place of an opaque code, by the first folder of the address."""

    def pages(self) -> list[Page]:
        return [self.page(route) for route in page_routes()]

    def page(self, route: str) -> Page:
        by = "owner" if read_table()["GET", route]["owner"] == YES or "{farm_id" in route else NOBODY
        return Page(route, PARAMETER.sub(lambda found: self._value(found[1], route), route), by)

    def _value(self, name: str, route: str) -> str:
        if name == "farm_id":
            return str(self.farm_id)
        if not name.endswith("_id"):
            return self.words[route.split("/")[1]]
        with self.app.state.database.reading() as session:
            found = _newest(session, self.farm_id, name, route)
        assert found, f"{route}: the seeded farm has no row for {name}"
        return str(found)


def page_routes() -> list[str]:
    """Every GET route that is a page; hidden ones too, where only the walker lacks a row for them."""
    return [
        path for (method, path), row in read_table().items()
        if method == "GET" and not NO_PAGE.search(path) and (row["owner"] in (YES, HIDDEN))
    ]  # fmt: skip


def _newest(session: Session, farm_id: int, name: str, route: str) -> int | None:
    """The row made last: it is the one with the most around it."""
    noun = name.removesuffix("_id")
    known = Row.metadata.tables
    table: Table = known[TABLES.get(noun) or next(t for t in known if t == f"{noun}s" or t.endswith(f"_{noun}s"))]
    wanted = select(table.c.id).where(table.c.farm_id == farm_id).order_by(table.c.id.desc())
    if "removed_at" in table.c:
        wanted = wanted.where(table.c.removed_at.is_(None))
    if noun == "upload":
        purpose = next(purpose for folder, purpose in UPLOADS.items() if f"/{folder}/" in route)
        wanted = wanted.where(table.c.purpose == purpose, table.c.taken_at.is_(None))
    return session.scalars(wanted).first()


def build(path: Path, today: date = TODAY, farms_count: int = 1) -> Site:
    """Seed the demo's first farm, bring three files as far as their previews, and sign its people in."""
    database = Database(f"sqlite:///{path}")
    migrate(database)
    with patch.object(seeding, "FARMS", seeding.FARMS[:farms_count]):
        seeding.seed(database, Clock(today))
    database.close()
    app = create_app(Settings(database=f"sqlite:///{path}"), Clock(today))
    state = app.state
    with state.database.lock, state.database.writing() as session:
        work = Work(session, SYSTEM, state.clock)
        site = _signed_in(work, app)
        session.commit()
    with ThreadPoolExecutor(1) as apart:  # a browser's event loop may be running in this thread
        apart.submit(_send_files, site).result()
    return site


def _signed_in(work: Work, app: FastAPI) -> Site:
    """Cookies of the first farm's people, and links that let others in."""
    farm_id = work.session.scalars(select(Membership.farm_id).order_by(Membership.farm_id)).first()
    assert farm_id
    viewer = accounts.add_account(work, "Vera Lindqvist", "vera@example.org", None)
    work.session.add(Membership(farm_id=farm_id, account_id=viewer.id, role="viewer", created_at=work.now()))
    work.session.flush()
    site = Site(app, farm_id, {})
    members = select(Account, Membership.role).join(Membership, Membership.account_id == Account.id)
    for person, role in work.session.execute(members.where(Membership.farm_id == farm_id).order_by(Account.id)).all():
        key = "phone" if person.email is None else SPANISH if role == "consultant" else role
        person.language, person.units = ("es", "metric") if key == SPANISH else ("en", "us")
        site.cookies[key] = accounts.start_sign_in(work, person, "test", 1, farm_id if key == "phone" else None).token
        if role == "owner":
            acting = replace(work, actor=actor_of(work.session, person))
    site.words["set-up"] = accounts.make_setup_link(work)
    site.words["crew"] = crew.make_link(acting, farm_id, 7)
    site.words["invitations"] = invitations.invite(acting, farm_id, {"email": "nell@example.org", "role": "viewer"})
    return site


def _send_files(site: Site) -> None:
    """Three files that wait to be looked at, a name for a lab's word, a token, and a delivery that is due."""
    owner, farm = Browser(site.app, {"sid": site.cookies["owner"]}), f"/farms/{site.farm_id}"
    with site.app.state.database.reading() as session:
        lot = _newest(session, site.farm_id, "lot_id", "")
        station = _newest(session, site.farm_id, "station_id", "")
        supply = _newest(session, site.farm_id, "supply_id", "")
    report = "Dry matter 41.2 % AR\nCrude protein 205 g/kg DM\nSoft fibre 30 %\nNDF 42 %"
    owner.post(f"{farm}/lab-files/paste", {"of": f"lot-{lot}", "sampled_on": "2027-05-03", "text": report})
    days = "Date,High,Low,Rain\n2027-05-08,70,50,0.1\n2027-05-09,72,51,\n2027-05-10,40,51,0.2\n"
    sent = {"file": ("days.csv", days.encode())}
    owner._call("POST", f"{farm}/weather/stations/{station}/files", files=sent, headers=ORIGIN)
    book = owner.get(f"{farm}/workbook/farm.xlsx").content
    owner._call("POST", f"{farm}/workbook", files={"file": ("farm.xlsx", book)}, headers=ORIGIN)
    owner.post(f"{farm}/analyte-names", {"name": "Sol. Prot.", "analyte": "SP"})
    owner.post("/account/tokens", {"name": "round sheet"})
    owner.post(f"{farm}/supplies/{supply}/deliveries", {"due_on": "2027-05-20", "mass_af_kg": "24"})
