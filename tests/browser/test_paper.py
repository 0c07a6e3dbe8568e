"""The board on paper: one page, black on white, readable without colour."""

from __future__ import annotations

import re

import pytest

from tests.browser.looking import context_for
from tests.browser.running import DESK

pytestmark = pytest.mark.browser
GREYS = """() => [...document.querySelectorAll(".strip-wide [class*=n]")]
  .map(each => [(each.getAttribute("class").match(/\\bn[0-5]\\b/) || [])[0], getComputedStyle(each).fill])
  .filter(([tint]) => tint)"""


@pytest.mark.parametrize("reader", ("owner", "spanish"))
@pytest.mark.parametrize("paper", ("A4", "Letter"))
def test_the_board_prints_on_one_page(every_page, chromium, reader, paper):
    site, address = every_page
    context = context_for(chromium, address, site.cookies[reader], "day", DESK)
    tab = context.new_page()
    tab.goto(f"{address}/farms/{site.farm_id}")
    printed = tab.pdf(format=paper, landscape=True, margin=dict.fromkeys(("top", "right", "bottom", "left"), "9mm"))
    context.close()
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", printed)) == 1


@pytest.mark.parametrize("theme", ("day", "night"))
def test_printed_tints_are_greys_that_fade_in_order(every_page, chromium, theme):
    site, address = every_page
    context = context_for(chromium, address, site.cookies["owner"], theme, DESK)
    tab = context.new_page()
    tab.goto(f"{address}/farms/{site.farm_id}")
    tab.emulate_media(media="print")
    shown = dict(tab.evaluate(GREYS))
    ground = tab.evaluate("() => getComputedStyle(document.body).backgroundColor")
    context.close()
    levels = [tuple(map(int, re.findall(r"\d+", shown[key])[:3])) for key in sorted(shown)]
    assert len(levels) == 6 and all(red == green == blue for red, green, blue in levels)
    assert [red for red, *_ in levels] == sorted({red for red, *_ in levels}) and ground == "rgb(255, 255, 255)"
