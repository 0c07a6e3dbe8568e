"""The whole app on a free port of this machine, and browsers signed in as its people."""

from __future__ import annotations

import os
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from app.access.work import Clock
from app.main import create_app
from app.settings import Settings
from tests.builders.site import Site

CHROMIUM = os.environ.get("SWATHBOARD_TEST_CHROMIUM", "/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TODAY = date(2027, 5, 10)
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}


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
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = uvicorn.Server(
        uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error", timeout_graceful_shutdown=2)
    )
    site = Site(app)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started:
        assert time.monotonic() < deadline, "the server did not start"
        time.sleep(0.01)
    yield Served(site, f"http://127.0.0.1:{port}")
    app.state.bus.close()
    server.should_exit = True
    thread.join(6)


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """One Chromium for the tests of this folder; its event loop must end before tests that run their own."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


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
