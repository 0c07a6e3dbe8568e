"""On a desk a chart is drawn again by the plotting library: late, under the page's own policy, and telling nobody."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page as Tab

from tests.browser.looking import Seen, context_for, listen
from tests.browser.running import DESK, PHONE

pytestmark = pytest.mark.browser
CHARTS = ("/feed", "/weather", "/fields/{field}")
COLOUR = """() => {
  const lines = [...document.querySelectorAll(".plot .js-line")].map(each => getComputedStyle(each).stroke);
  return [getComputedStyle(document.querySelector(".plot .xtick text")).fill, lines];
}"""
TOKEN = "name => getComputedStyle(document.body).getPropertyValue(name).trim()"


@pytest.fixture
def desk(every_page, chromium):
    """`desk(path, size)` opens a page of the farm and gives the tab and what the browser said."""
    site, address = every_page
    field = site.page("/farms/{farm_id}/fields/{field_id}").path.rsplit("/", 1)[1]
    contexts = []

    def open_page(path: str, size=DESK) -> tuple[Tab, Seen]:
        context = context_for(chromium, address, site.cookies["owner"], "day", size)
        contexts.append(context)
        tab, seen = context.new_page(), Seen()
        listen(tab, seen, address)
        tab.goto(f"{address}/farms/{site.farm_id}{path.format(field=field)}")
        return tab, seen

    yield open_page
    for context in contexts:
        context.close()


def drawn(tab: Tab) -> None:
    tab.locator("[data-chart]").first.scroll_into_view_if_needed()
    tab.wait_for_selector("[data-chart].drawn .plot .main-svg", timeout=30_000)


@pytest.mark.parametrize("path", CHARTS)
def test_charts_are_drawn_without_a_refusal_or_a_word_to_anybody(desk, path):
    tab, seen = desk(path)
    drawn(tab)
    assert seen.complaints == [] and seen.elsewhere == []
    assert len([url for url in seen.asked_for if "plotly" in url]) == 1
    buttons = tab.evaluate("() => [...document.querySelectorAll('.modebar-btn')].map(each => each.dataset.title || '')")
    assert buttons and [title for title in buttons if re.search("share|cloud|edit|produced", title, re.I)] == []
    assert tab.locator("[data-chart].drawn .drawing > svg").first.is_hidden()


def test_the_library_comes_only_when_a_chart_comes_into_sight(desk):
    tab, seen = desk("/fields/{field}", {"width": 1200, "height": 260})
    tab.wait_for_timeout(300)
    assert [url for url in seen.asked_for if "plotly" in url] == []
    drawn(tab)
    assert [url for url in seen.asked_for if "plotly" in url]


def test_a_narrow_window_keeps_the_drawing_of_the_server(desk):
    tab, seen = desk("/weather", PHONE)
    tab.locator("[data-chart]").first.scroll_into_view_if_needed()
    tab.wait_for_timeout(300)
    assert tab.locator("[data-chart] svg").first.is_visible() and tab.locator(".plot").count() == 0
    assert [url for url in seen.asked_for if "plotly" in url] == []


def test_charts_take_the_colours_of_the_night(desk):
    tab, seen = desk("/feed")
    drawn(tab)
    by_day = tab.evaluate(COLOUR)
    tab.locator("details.person > summary").click()
    tab.locator("details.person button[value=night]").click()
    tab.wait_for_selector("html[data-theme=night]")
    tab.wait_for_selector("[data-chart].drawn .plot .main-svg", timeout=30_000)
    for _try in range(40):
        by_night = tab.evaluate(COLOUR)
        if by_night[0] != by_day[0]:
            break
        tab.wait_for_timeout(50)
    assert by_night[0] == rgb(tab.evaluate(TOKEN, "--ink"))
    assert rgb(tab.evaluate(TOKEN, "--s0")) in by_night[1] and not set(by_day[1]) & set(by_night[1])
    assert seen.complaints == []


def rgb(colour: str) -> str:
    """`#rrggbb` as a browser computes it."""
    return "rgb({}, {}, {})".format(*(int(colour[at : at + 2], 16) for at in (1, 3, 5)))
