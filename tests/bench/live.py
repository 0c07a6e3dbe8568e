"""From a tick in one browser to the change in another, both unthrottled."""

from __future__ import annotations

import statistics

from playwright.sync_api import Page, sync_playwright

from tests.bench.serving import Server, met, serving, table
from tests.browser.conftest import CHROMIUM, DESK, FLAGS

TICKS = 60
CLICK = """id => {
  const at = performance.timeOrigin + performance.now();
  document.getElementById(id).click();
  return at;
}"""
WATCH = """id => new Promise(done => {
  const now = () => performance.timeOrigin + performance.now();
  const pressed = () => document.getElementById(id)?.getAttribute("aria-pressed");
  const was = pressed();
  const watch = new MutationObserver(() => { if (pressed() !== was) { watch.disconnect(); done(now()); } });
  watch.observe(document.body, { childList: true, subtree: true, attributes: true });
  setTimeout(() => { watch.disconnect(); done(-1); }, 5000);
})"""
BUTTONS = "() => [...document.querySelectorAll('button.tick')].map(button => button.id)"


def main() -> None:
    with serving(6) as server, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        times = _ticks(_open(browser, server, "owner"), _open(browser, server, "crew"))
        browser.close()
    median, p95 = statistics.median(times), statistics.quantiles(times, n=20)[-1]
    table(
        "A tick seen in another browser",
        [
            (f"median of {len(times)}", "<= 12 ms", f"{median:.1f} ms", met(median <= 12)),
            ("p95", "<= 30 ms", f"{p95:.1f} ms", met(p95 <= 30)),
        ],
    )


def _open(browser, server: Server, role: str) -> Page:
    context = browser.new_context(viewport=DESK)
    context.add_cookies([{"name": "sid", "value": server.cookies[role], "url": server.address}])
    page = context.new_page()
    page.goto(f"{server.farm}/checklists")
    page.wait_for_timeout(800)
    return page


def _ticks(here: Page, there: Page) -> list[float]:
    """Milliseconds from each click to the change on the other page; a change that never came is an error."""
    buttons, times = here.evaluate(BUTTONS), []
    for number in range(TICKS):
        button = buttons[number % len(buttons)]
        there.evaluate(f"() => {{ window.seen = ({WATCH})('{button}'); }}")
        began = here.evaluate(CLICK, button)
        seen = there.evaluate("() => window.seen")
        if seen < 0:
            raise RuntimeError(f"{button} did not change on the other page within 5 s")
        times.append(seen - began)
        here.wait_for_timeout(200)  # a person does not tick faster; the page is at rest again
    return times


if __name__ == "__main__":
    main()
