"""axe-core (WCAG 2.2 A and AA) on every page, in both languages, three themes, on a phone and on a desk.

`python -m tests.bench.accessible [PART OF A ROUTE]` prints a table and every finding; ends with 1 when there is one.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.bench.serving import met, table
from tests.browser.looking import THEMES, Seen, context_for, listen, violations
from tests.browser.running import CHROMIUM, DESK, FLAGS, PHONE, running
from tests.builders.every_page import NOBODY, SPANISH, Page, Site, build, page_routes

READERS = {"English": "owner", "Spanish": SPANISH}
SIZES = {"phone": PHONE, "desk": DESK}


def main() -> int:
    part = sys.argv[1] if len(sys.argv) > 1 else ""
    rows, findings, began = [], [], time.monotonic()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        site = build(Path(folder) / "farm.sqlite")
        pages = [site.page(route) for route in page_routes() if part in route]
        with running(site.app) as address:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            for language, reader in READERS.items():
                for theme in THEMES:
                    for name, size in SIZES.items():
                        found = _look(browser, site, address, pages, reader, theme, size)
                        findings += [f"{language}, {theme}, {name}: {each}" for each in found]
                        label = f"{len(pages)} pages in {language}, {theme}, {name}"
                        rows.append((label, "0 findings", f"{len(found)}", met(not found)))
            browser.close()
    print("\n".join(findings))
    table(f"Accessibility: axe-core in {time.monotonic() - began:.0f} s", rows)
    return 1 if findings else 0


def _look(
    browser: Browser, site: Site, address: str, pages: list[Page], reader: str, theme: str, size: dict[str, int]
) -> list[str]:
    """Every page once for this reader; findings, with complaints of the browser among them."""
    found = []
    contexts = {by: context_for(browser, address, site.cookies.get(by), theme, size) for by in (reader, NOBODY)}
    for page in pages:
        tab, seen = contexts[NOBODY if page.by == NOBODY else reader].new_page(), Seen()
        listen(tab, seen, address)
        tab.goto(address + page.path)
        tab.evaluate("() => document.querySelectorAll('main details').forEach(each => { each.open = true; })")
        found += [f"{page.route}: {each}" for each in (*violations(tab), *seen.complaints, *seen.elsewhere)]
        tab.close()
    for context in contexts.values():
        context.close()
    return found


if __name__ == "__main__":
    sys.exit(main())
