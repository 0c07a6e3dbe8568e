"""Open a page once and write down everything that is wrong with it for somebody."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import axe_playwright_python
from playwright.sync_api import Browser, BrowserContext
from playwright.sync_api import Page as Tab

from tests.browser.running import PHONE

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text()
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
THEMES = ("day", "sun", "night")
NARROW = {"width": 320, "height": 700}
RUN = "async ([root, options]) => (await axe.run(root, options)).violations"
ALL = {"runOnly": {"type": "tag", "values": LEVELS}, "resultTypes": ["violations"]}
STRONG = {"runOnly": {"type": "rule", "values": ["color-contrast-enhanced"]}, "resultTypes": ["violations"]}
WIDE = "() => document.documentElement.scrollWidth"
WIDEST = """() => [...document.querySelectorAll("main *, header *")].filter(each => {
  const box = each.getBoundingClientRect();
  return box.width && box.right > innerWidth + 1 && !each.closest(".scroll, .strip-ones, .unheard, svg");
}).slice(0, 3).map(each => each.outerHTML.slice(0, 120))"""
SMALL = """least => {
  const pads = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary")];
  const shown = pads.filter(each => each.checkVisibility({visibilityProperty: true})
    && !each.closest("svg, .unheard, .skip"));
  return shown.map(each => {
    const label = each.matches("[type=checkbox], [type=radio]") ? each.closest("label") : null;
    const pad = label || each;
    if (pad.matches("a") && getComputedStyle(pad).display === "inline") {
      const block = pad.closest("p, li, td, th, dd, dt, small, h1, h2, h3");
      const around = block ? block.innerText.replace(pad.innerText, "").trim() : "";
      if (around.replace(/[·.,:;()]/g, "").trim()) return null;  // a word inside a sentence
    }
    const box = pad.getBoundingClientRect();
    return box.height && (box.height < least - 0.5 || box.width < Math.min(least, 24))
      ? `${Math.round(box.width)} x ${Math.round(box.height)} ${pad.outerHTML.slice(0, 110)}` : null;
  }).filter(Boolean);
}"""
"""Links inside a sentence are exempt, as in WCAG 2.2 success criterion 2.5.8."""


@dataclass
class Seen:
    """What one visit found; every list is empty on a page that is right."""

    violations: list[str] = field(default_factory=list)
    pale: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)
    elsewhere: list[str] = field(default_factory=list)
    too_wide: list[str] = field(default_factory=list)
    small: list[str] = field(default_factory=list)
    asked_for: list[str] = field(default_factory=list)


def context_for(
    browser: Browser, address: str, cookie: str | None, theme: str, size: Any = PHONE, **more: Any
) -> BrowserContext:
    """A browser of its own, signed in (or not), with its theme."""
    context = browser.new_context(viewport=size, **more)
    cookies = {"theme": theme} | ({"sid": cookie} if cookie else {})
    context.add_cookies([{"name": name, "value": value, "url": address} for name, value in cookies.items()])
    return context


def listen(tab: Tab, seen: Seen, address: str) -> None:
    """Write down what the browser complains of, and whom the page asks."""
    tab.on("console", lambda said: seen.complaints.append(said.text) if said.type in ("error", "warning") else None)
    tab.on("pageerror", lambda error: seen.complaints.append(str(error)))

    def asks(request: Any) -> None:
        seen.asked_for.append(request.url)
        if not request.url.startswith(("data:", "blob:")) and urlsplit(request.url).netloc != urlsplit(address).netloc:
            seen.elsewhere.append(request.url)

    tab.on("request", asks)


def violations(tab: Tab, options: dict[str, Any] = ALL) -> list[str]:
    """What axe-core finds: rule, place and reason. Animations and charts being drawn are let end first."""
    if not tab.evaluate("() => 'axe' in window"):
        tab.evaluate(AXE)
    found = tab.evaluate(RUN, [{"include": ["html"]}, options])
    return [
        f"{rule['id']}: {node['html'][:140]} {node.get('failureSummary', '')[:240]}".replace("\n", " ")
        for rule in found
        for node in rule["nodes"]
    ]


def look(context: BrowserContext, url: str, address: str, *, theme: str) -> Seen:
    """One visit of a page on a phone: axe-core, then colours by day, then its targets, then 320 px wide."""
    seen, tab = Seen(), context.new_page()
    listen(tab, seen, address)
    answer = tab.goto(url)
    assert answer and answer.status == 200, f"{url} answered {answer and answer.status}"
    tab.evaluate("() => document.querySelectorAll('main details').forEach(each => { each.open = true; })")
    seen.violations = violations(tab)
    tab.evaluate("() => { document.documentElement.dataset.theme = 'day'; }")
    seen.pale = violations(tab, STRONG)
    tab.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
    seen.small = tab.evaluate(SMALL, 48)
    tab.set_viewport_size(NARROW)
    if (wide := tab.evaluate(WIDE)) > NARROW["width"]:
        seen.too_wide = [f"{wide} px", *tab.evaluate(WIDEST)]
    tab.close()
    return seen
