"""The readiness page and the board on a slow phone: 150 ms round trip, 1.6 Mbit/s, a processor four times slower."""

from __future__ import annotations

import statistics

from playwright.sync_api import Browser, BrowserContext, CDPSession, Page, sync_playwright

from tests.bench.serving import Server, met, serving, table
from tests.browser.conftest import CHROMIUM, FLAGS, PHONE

SLOW = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 1.6e6 / 8}
RUNS = 5
WATCH = """() => {
  window.seen = { lcp: 0, shift: 0, inp: 0 };
  const on = (type, then, more = {}) => new PerformanceObserver(list => list.getEntries().forEach(then))
    .observe({ type, buffered: true, ...more });
  on("largest-contentful-paint", entry => { seen.lcp = entry.startTime; });
  on("layout-shift", entry => { if (!entry.hadRecentInput) seen.shift += entry.value; });
  on("event", entry => { seen.inp = Math.max(seen.inp, entry.duration); }, { durationThreshold: 16 });
}"""


def main() -> None:
    with serving(6) as server, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        runs = [_run(browser, server) for _ in range(RUNS)]
        browser.close()
    row = {name: statistics.median(run[name] for run in runs) for name in runs[0]}
    table(
        f"A slow phone, median of {RUNS} cold starts",
        [
            _line("largest paint, readiness", row["lcp"], 1200, "ms"),
            _line("layout shift, readiness", row["shift"], 0, ""),
            _line("interaction (a tick) to next paint", row["inp"], 200, "ms"),
            _line("first load", row["first_kib"], 100, "KiB"),
            _line("of it scripts", row["script_kib"], 40, "KiB"),
            _line("repeat load", row["repeat_kib"], 20, "KiB"),
            _line("one tick, there and back", row["swap_kib"], 8, "KiB"),
            _line("item tickable", row["tickable"], 600, "ms"),
            _line("tick saved, after the press", row["saved"], 800, "ms"),
            _line("board readable", row["board"], 1000, "ms"),
        ],
    )


def _line(what: str, value: float, target: float, unit: str) -> tuple[str, str, str, str]:
    return (
        what,
        f"<= {target:g} {unit}".strip(),
        f"{value:.1f} {unit}" if unit else f"{value:.4f}",
        met(value <= target + 1e-9),
    )


def _run(browser: Browser, server: Server) -> dict[str, float]:
    context = browser.new_context(viewport=PHONE, device_scale_factor=2, is_mobile=True, has_touch=True)
    context.add_cookies([{"name": "sid", "value": server.cookies["crew"], "url": server.address}])
    found: dict[str, float] = {}
    page, _session, weights = _slow_page(context)
    page.add_init_script(f"({WATCH})()")
    page.goto(f"{server.farm}/checklists", wait_until="commit")
    found["tickable"] = _since_start(page, "button.tick")
    page.wait_for_timeout(2500)
    found["first_kib"], found["script_kib"] = sum(weights.values()) / 1024, weights.get("Script", 0) / 1024
    weights.clear()
    found["saved"] = _tick(page)
    page.wait_for_timeout(1000)
    found["swap_kib"] = (weights.get("XHR", 0) + weights.get("Fetch", 0)) / 1024
    seen = page.evaluate("() => window.seen")
    found |= {"lcp": seen["lcp"], "shift": seen["shift"], "inp": seen["inp"]}
    weights.clear()
    page.reload(wait_until="load")
    page.wait_for_timeout(1000)
    found["repeat_kib"] = sum(weights.values()) / 1024
    context.close()
    found["board"] = _board(browser, server)
    return found


def _board(browser: Browser, server: Server) -> float:
    context = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True)
    context.add_cookies([{"name": "sid", "value": server.cookies["owner"], "url": server.address}])
    page, _session, _weights = _slow_page(context)
    page.goto(server.farm, wait_until="commit")
    readable = _since_start(page, ".four .fig")
    context.close()
    return readable


def _slow_page(context: BrowserContext) -> tuple[Page, CDPSession, dict[str, float]]:
    """A page on a slow network and processor, and the bytes that came in by kind of resource."""
    page = context.new_page()
    session = context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", SLOW)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    kinds: dict[str, str] = {}
    weights: dict[str, float] = {}
    session.on("Network.responseReceived", lambda event: kinds.__setitem__(event["requestId"], event["type"]))

    def finished(event: dict) -> None:
        kind = kinds.get(event["requestId"], "Other")
        weights[kind] = weights.get(kind, 0) + event["encodedDataLength"]

    session.on("Network.loadingFinished", finished)
    return page, session, weights


def _since_start(page: Page, selector: str) -> float:
    """Milliseconds from the start of the navigation until the element is painted."""
    page.wait_for_selector(selector, state="visible")
    return page.evaluate("() => new Promise(done => requestAnimationFrame(() => done(performance.now())))")


def _tick(page: Page) -> float:
    """Milliseconds from a finger's press until the row stands there as saved."""
    watch = """() => {
      const button = document.querySelector("button.tick"), id = button.id;
      const was = button.getAttribute("aria-pressed");
      window.saved = new Promise(done => {
        let at = 0;
        button.addEventListener("pointerdown", () => { at = performance.now(); }, { once: true });
        const watch = new MutationObserver(() => {
          if (document.getElementById(id)?.getAttribute("aria-pressed") === was) return;
          watch.disconnect();
          done(performance.now() - at);
        });
        watch.observe(document.body, { childList: true, subtree: true, attributes: true });
      });
    }"""
    page.evaluate(watch)
    page.locator("button.tick").first.tap()
    return page.evaluate("() => window.saved")


if __name__ == "__main__":
    main()
