"""The whole app on a free port of this machine, and browsers signed in as its people."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from app.access.work import Clock
from app.main import create_app
from app.settings import Settings
from tests.browser.running import CHROMIUM, DESK, FLAGS, PHONE, running
from tests.builders import every_page as every
from tests.builders.site import Site

__all__ = ["DESK", "PHONE", "Served", "SignIn"]

TODAY = date(2027, 5, 10)


@dataclass
class Served:
    """The app as it runs, with its two farms and their people."""

    site: Site
    address: str

    @property
    def farm(self) -> str:
        return f"{self.address}/farms/{self.site.farm_id}"


@pytest.fixture
def served(sqlite_master: Path, tmp_path: Path) -> Iterator[Served]:
    """A real server on a copy of the migrated database."""
    (tmp_path / "farm.sqlite").write_bytes(sqlite_master.read_bytes())
    app = create_app(Settings(database=f"sqlite:///{tmp_path / 'farm.sqlite'}"), Clock(TODAY))
    site = Site(app)
    with running(app) as address:
        yield Served(site, address)


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """One Chromium for the tests of this folder; its event loop must end before tests that run their own."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="package")
def every_page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[every.Site, str]]:
    """A farm with something on every page, and where it is served; for tests that only look."""
    site = every.build(tmp_path_factory.mktemp("every") / "farm.sqlite")
    with running(site.app) as address:
        yield site, address


SignIn = Callable[..., Page]


@pytest.fixture
def sign_in(served: Served, chromium: Browser) -> Iterator[SignIn]:
    """`sign_in(role, **context)` opens a browser of its own, signed in as that person, with a blank page."""
    opened: list[BrowserContext] = []

    def start(role: str, **context: object) -> Page:
        new = chromium.new_context(**{"viewport": PHONE, **context})  # type: ignore[arg-type]
        opened.append(new)
        new.add_cookies([{"name": "sid", "value": served.site.as_(role).cookies["sid"], "url": served.address}])
        return new.new_page()

    yield start
    for context in opened:
        context.close()
