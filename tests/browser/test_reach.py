"""Reached with the keyboard alone, seen where one is, still for whom motion troubles, large enough in the yard."""

from __future__ import annotations

import pytest

from tests.browser.looking import context_for
from tests.browser.running import DESK, PHONE

pytestmark = pytest.mark.browser
PAGES = ("", "/fields", "/checklists", "/weather")
STOPS = """() => [...document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")]
  .filter(each => each.checkVisibility({visibilityProperty: true}) && !each.disabled && each.tabIndex >= 0).length"""
HERE = """() => {
  const here = document.activeElement, marks = window.marks ||= new Map();
  if (!here || here === document.body) return null;
  if (!marks.has(here)) marks.set(here, marks.size);
  const rings = [here, here.nextElementSibling, here.parentElement, ...here.querySelectorAll("text")].filter(Boolean);
  const ringed = look => look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2;
  return [marks.get(here), rings.some(each => ringed(getComputedStyle(each))), here.outerHTML.slice(0, 100)];
}"""
MOVES = """() => {
  document.querySelectorAll("main *").forEach(each => each.classList.add("arrived"));
  const moves = look => look.animationName !== "none" || parseFloat(look.transitionDuration) > 0;
  return [...document.querySelectorAll("*")].filter(each => moves(getComputedStyle(each))).length;
}"""


@pytest.fixture
def opened(every_page, chromium):
    """`opened(path, **context)` is a tab of the owner's browser on that page of the farm."""
    site, address = every_page
    contexts = []

    def open_page(path: str, size: dict[str, int] = PHONE, **more: object):
        context = context_for(chromium, address, site.cookies["owner"], "day", size, **more)
        contexts.append(context)
        tab = context.new_page()
        tab.goto(f"{address}/farms/{site.farm_id}{path}")
        return tab

    yield open_page
    for context in contexts:
        context.close()


@pytest.mark.parametrize("path", PAGES)
def test_the_keyboard_reaches_everything_and_shows_where_it_is(opened, path):
    tab = opened(path, DESK)
    wanted, reached, unseen = tab.evaluate(STOPS), set(), []
    for _press in range(wanted + 40):
        tab.keyboard.press("Tab")
        here = tab.evaluate(HERE)
        if here is None or (here[0] in reached and here[0] == 0):
            break
        reached.add(here[0])
        unseen += [] if here[1] else [here[2]]
    assert unseen == []
    assert len(reached) >= wanted > 10


def test_the_first_stop_leads_past_the_head_of_the_page(opened):
    tab = opened("", DESK)
    tab.keyboard.press("Tab")
    skip = tab.locator(":focus")
    assert skip.get_attribute("href") == "#main" and skip.bounding_box()["y"] >= 0
    tab.keyboard.press("Enter")
    assert tab.evaluate("() => document.activeElement.id") == "main"


def test_the_menu_opens_and_the_theme_changes_without_a_mouse(opened):
    tab = opened("", DESK)
    tab.locator("details.person > summary").focus()
    tab.keyboard.press("Enter")
    tab.locator("details.person button[value=night]").focus()
    tab.keyboard.press("Enter")
    tab.wait_for_selector("html[data-theme=night]")


@pytest.mark.parametrize("path", ("", "/checklists"))
def test_nothing_moves_for_who_asked_for_stillness(opened, path):
    assert opened(path, reduced_motion="reduce").evaluate(MOVES) == 0
    assert opened(path, reduced_motion="no-preference").evaluate(MOVES) > 0


def test_rows_of_the_yard_list_are_64_high_and_its_main_action_110(opened):
    tab = opened("/checklists")
    heights = tab.evaluate(
        "() => [...document.querySelectorAll('.item')].map(each => each.getBoundingClientRect().height)"
    )
    assert len(heights) > 20 and min(heights) >= 64
    action = tab.locator(".action .button, .action button").first.bounding_box()
    assert action["height"] >= 110 and action["width"] == PHONE["width"]
    ticks = tab.evaluate(
        "() => [...document.querySelectorAll('.tick')].map(each => each.getBoundingClientRect().height)"
    )
    assert ticks and min(ticks) >= 48
