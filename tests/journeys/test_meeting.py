"""A meeting over the board: two people in browsers of their own, one on a phone, and a server that is restarted."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from app.access.work import Clock
from app.main import create_app
from app.services import decisions
from app.settings import Settings
from tests.browser.running import CHROMIUM, DESK, FLAGS, PHONE, running
from tests.builders.crops import a_field, a_stand
from tests.builders.large_farm import fill_farm
from tests.builders.site import Site

pytestmark = pytest.mark.browser
TODAY = date(2027, 5, 10)
SOON = 3_000
"""Milliseconds within which the other browser shows a change."""


@pytest.fixture
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def url(sqlite_master: Path, tmp_path: Path) -> str:
    (tmp_path / "farm.sqlite").write_bytes(sqlite_master.read_bytes())
    return f"sqlite:///{tmp_path / 'farm.sqlite'}"


@pytest.fixture
def site(url: str) -> Site:
    """A farm with weather, one field read two days ago and one that nobody has walked yet."""
    site = Site(create_app(Settings(database=url), Clock(TODAY)))

    def prepare(work) -> None:
        fill_farm(work, site.farm_id, 1, TODAY)
        field = a_field(work, site.farm_id, name="Long Acre")
        a_stand(work, site.farm_id, field.id, seeded_on=date(2024, 4, 20))

    site.do(prepare)
    return site


Join = Callable[..., Page]


@pytest.fixture
def join(chromium: Browser, site: Site) -> Iterator[Join]:
    """`join(address, role)` opens a browser of that person on the board or on another page of the farm."""
    opened: list[BrowserContext] = []

    def start(address: str, role: str, path: str = "", size: dict[str, int] = DESK) -> Page:
        context = chromium.new_context(viewport=size)  # type: ignore[arg-type]
        opened.append(context)
        context.add_cookies([{"name": "sid", "value": site.as_(role).cookies["sid"], "url": address}])
        page = context.new_page()
        page.goto(f"{address}/farms/{site.farm_id}{path}")
        return page

    yield start
    for context in opened:
        context.close()


def live(page: Page) -> Page:
    """The page once its stream is open, marked so that a reload would be noticed."""
    expect(page.locator("#layout-connection")).to_have_text("Live", timeout=10_000)
    page.evaluate("window.sameDocument = true")
    return page


def figure(board: Page, title: str):
    return board.locator(".four > li", has_text=title)


def test_a_scouting_from_the_field_changes_the_board_in_the_office(site: Site, join: Join):
    with running(site.app) as address:
        board = live(join(address, "owner"))
        phone = join(address, "agronomist", "/fields", PHONE)
        expect(board.locator("#layout-presence")).to_contain_text("Agronomist", timeout=SOON)
        expect(figure(board, "When it is ready")).to_contain_text("1 of 2 fields rest on heat alone.")
        before = board.locator("svg text", has_text="Long Acre").count()
        assert before
        walk(phone)
        expect(board.locator("[data-live=board-figures]")).to_contain_text("Scouting Long Acre", timeout=SOON)
        expect(figure(board, "When it is ready")).not_to_contain_text("rest on heat alone")
        expect(figure(board, "When it is ready")).to_contain_text("1 of 2 fields are at their target or past it")
        assert board.evaluate("window.sameDocument") is True


def walk(phone: Page) -> None:
    """Four spots of thirty inches, typed on the phone page of the field: 38.2 % NDF standing [WisconsinTable2021].

    When fed that is two points more, and past the 40 % that the farm wants.
    """
    phone.get_by_role("link", name="Long Acre").first.click()
    phone.goto(re.sub(r"[?#].*", "", phone.url) + "/scout")
    for number in range(1, 5):
        phone.locator(f"#scoutings-spot-{number} .bigs label").first.click()
        phone.locator(f"[name=height_cm_{number}]").fill("30")
    phone.locator("button.main").click()
    phone.wait_for_url(re.compile(r"/fields/\d+$"))


def test_who_is_here_is_named_until_they_leave(site: Site, join: Join):
    with running(site.app) as address:
        board = live(join(address, "owner"))
        other = live(join(address, "nutritionist"))
        expect(board.locator("#layout-presence")).to_contain_text("Nutritionist", timeout=SOON)
        expect(other.locator("#layout-presence")).to_contain_text("Owner", timeout=SOON)
        other.goto("about:blank")
        expect(board.locator("#layout-presence")).not_to_contain_text("Nutritionist", timeout=20_000)


def test_an_agreement_written_on_one_board_leaves_the_other(site: Site, join: Join):
    site.do(lambda work: decisions.ask_decision(work, site.farm_id, {"question": "Cut on Thursday?"}))
    with running(site.app) as address:
        board, other = live(join(address, "owner")), live(join(address, "consultant"))
        expect(other.locator("main")).to_contain_text("Cut on Thursday?")
        board.get_by_role("link", name="Write down what was agreed: Cut on Thursday?").click()
        board.locator("[name=answer]").fill("Yes")
        board.locator("main form button").first.click()
        expect(other.locator("[id^=decisions-open]")).not_to_contain_text("Cut on Thursday?", timeout=SOON)
        assert other.evaluate("window.sameDocument") is True


def test_after_the_server_was_restarted_the_board_catches_up_by_itself(site: Site, url: str, join: Join):
    with running(site.app) as address:
        board = live(join(address, "owner"))
        port = int(address.rsplit(":", 1)[1])
    expect(board.locator("#layout-connection")).not_to_have_text("Live", timeout=10_000)
    site.do(lambda work: decisions.ask_decision(work, site.farm_id, {"question": "Asked while it was away?"}))
    with running(create_app(Settings(database=url), Clock(TODAY)), port):
        expect(board.locator("main")).to_contain_text("Asked while it was away?", timeout=30_000)
        expect(board.locator("#layout-connection")).to_have_text("Live", timeout=10_000)
        assert board.evaluate("window.sameDocument") is True
