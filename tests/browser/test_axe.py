"""Every page of the app, found from the table of routes: usable by everybody, on a small phone, with nothing broken."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.browser.looking import Seen, context_for, look
from tests.builders.every_page import NOBODY, SPANISH, Site, page_routes

pytestmark = pytest.mark.browser
ROUTES = page_routes()
Look = Callable[[str], Seen]


@pytest.fixture(scope="module")
def seen(every_page: tuple[Site, str], chromium) -> Look:
    """Each page is opened once; theme and language go round."""
    site, address = every_page
    kept: dict[str, Seen] = {}

    def visit(route: str) -> Seen:
        if route not in kept:
            turn = ROUTES.index(route)
            page, theme = site.page(route), ("sun", "night", "day")[turn % 3]
            reader = NOBODY if page.by == NOBODY else SPANISH if turn % 2 else page.by
            context = context_for(chromium, address, site.cookies.get(reader), theme)
            try:
                kept[route] = look(context, address + page.path, address, theme=theme)
            finally:
                context.close()
        return kept[route]

    return visit


@pytest.mark.parametrize("route", ROUTES)
def test_nothing_stands_in_the_way_of_anybody(seen: Look, route: str):
    """axe-core, WCAG 2.2 A and AA."""
    assert seen(route).violations == []


@pytest.mark.parametrize("route", ROUTES)
def test_text_in_the_day_theme_stands_out_seven_to_one(seen: Look, route: str):
    """WCAG 2.2 success criterion 1.4.6, as axe-core's color-contrast-enhanced."""
    assert seen(route).pale == []


@pytest.mark.parametrize("route", ROUTES)
def test_a_page_320_wide_scrolls_only_down(seen: Look, route: str):
    assert seen(route).too_wide == []


@pytest.mark.parametrize("route", ROUTES)
def test_a_thumb_hits_what_it_aims_at(seen: Look, route: str):
    assert seen(route).small == []


@pytest.mark.parametrize("route", ROUTES)
def test_the_browser_has_nothing_to_complain_of(seen: Look, route: str):
    """No error of a script, no refusal by the content security policy, nothing missing."""
    assert seen(route).complaints == []


@pytest.mark.parametrize("route", ROUTES)
def test_a_phone_asks_this_host_alone_and_fetches_no_plotting_library(seen: Look, route: str):
    assert seen(route).elsewhere == []
    assert [url for url in seen(route).asked_for if "plotly" in url] == []
