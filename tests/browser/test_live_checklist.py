"""Two people work through one list at the same time, each in a browser of their own."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import Page, expect

from app.services import checklists, machines
from tests.browser.conftest import Served, SignIn

pytestmark = pytest.mark.browser
SECOND = 1000


@pytest.fixture
def listed(served: Served) -> Served:
    """A farm with machines and its list drawn."""

    def prepare(work) -> None:
        farm_id = served.site.farm_id
        machines.add_machine(work, farm_id, {"name": "Chopper", "kind": "chopper", "rate_kg_h": 70_000.0})
        machines.add_machine(work, farm_id, {"name": "Loader", "kind": "packing_tractor", "weight_kg": 15_000.0})
        checklist = checklists.draw_list(work, farm_id)
        for title in ("Loader greased", "Gate wide open"):
            checklists.add_item(work, farm_id, checklist.id, {"title": title, "days_before": 2, "place": "yard"})

    served.site.do(prepare)
    return served


def row(page: Page, title: str):
    return page.locator(".item", has_text=title)


def opened(page: Page, listed: Served) -> Page:
    page.goto(f"{listed.farm}/checklists")
    expect(page.locator("#layout-connection")).to_have_text("Live")
    return page


def open_note(page: Page, title: str):
    row(page, title).locator("summary").click()
    return row(page, title).locator("textarea")


def test_a_tick_shows_on_the_other_phone_within_a_second_and_without_reload(listed: Served, sign_in: SignIn):
    ana, luis = opened(sign_in("owner"), listed), opened(sign_in("crew"), listed)
    luis.evaluate("window.sameDocument = true")
    left = luis.locator(".due", has_text="2 days before").locator("span")
    before = int(left.inner_text().split()[0])
    start = time.monotonic()
    row(ana, "Loader greased").locator(".tick").click()
    expect(row(luis, "Loader greased")).to_have_class(re.compile("done"), timeout=SECOND)
    assert time.monotonic() - start < 1.0
    expect(row(luis, "Loader greased")).to_contain_text("Owner")
    expect(left).to_have_text(f"{before - 1} left", timeout=SECOND)
    expect(luis.locator(".ready-line")).to_contain_text("1 of", timeout=SECOND)
    assert luis.evaluate("window.sameDocument") is True


def test_typing_and_focus_stay_while_others_change_the_same_item(listed: Served, sign_in: SignIn):
    ana, luis = opened(sign_in("owner"), listed), opened(sign_in("crew"), listed)
    note = open_note(luis, "Loader greased")
    note.click()
    note.type("gun is in the sh")
    row(ana, "Loader greased").locator(".tick").click()
    expect(row(luis, "Loader greased")).to_have_class(re.compile("stale"), timeout=SECOND)
    luis.keyboard.type("op")
    expect(note).to_have_value("gun is in the shop")
    expect(note).to_be_focused()
    row(luis, "Loader greased").get_by_role("button", name="Save").click()
    done = row(luis, "Loader greased")
    expect(done).to_contain_text("gun is in the shop")
    expect(done).to_have_class(re.compile("done"))  # both won: the tick and the note
    expect(row(ana, "Loader greased")).to_contain_text("gun is in the shop", timeout=SECOND)


def test_typing_stays_when_the_list_around_it_changes(listed: Served, sign_in: SignIn):
    ana, luis = opened(sign_in("owner"), listed), opened(sign_in("crew"), listed)
    note = open_note(luis, "Loader greased")
    note.click()
    note.type("half a sen")
    open_note(ana, "Gate wide open")
    row(ana, "Gate wide open").get_by_role("button", name="Take off").click()
    expect(row(ana, "Gate wide open")).to_have_count(0)
    whole = luis.locator("[id^=checklists-list-]")
    expect(whole).to_have_class(re.compile("stale"), timeout=SECOND)
    expect(note).to_be_focused()
    whole.locator(":scope > .stale-note button").click()
    expect(row(luis, "Gate wide open")).to_have_count(0)
    expect(row(luis, "Loader greased").locator("textarea")).to_have_value("half a sen")
    ana.get_by_role("button", name="Undo").click()
    expect(row(ana, "Gate wide open")).to_have_count(1)


def test_the_same_field_shows_the_second_person_both_values(listed: Served, sign_in: SignIn):
    ana, luis = opened(sign_in("owner"), listed), opened(sign_in("crew"), listed)
    note = open_note(luis, "Loader greased")
    note.fill("from Luis")
    open_note(ana, "Loader greased").fill("from Ana")
    row(ana, "Loader greased").get_by_role("button", name="Save").click()
    expect(row(luis, "Loader greased")).to_have_class(re.compile("stale"), timeout=SECOND)
    row(luis, "Loader greased").get_by_role("button", name="Save").click()
    both = row(luis, "Loader greased").locator(".conflict")
    expect(both).to_contain_text("from Ana")
    expect(both).to_contain_text("from Luis")
    both.get_by_text("You typed:").click()
    row(luis, "Loader greased").get_by_role("button", name="Save").click()
    expect(row(ana, "Loader greased").locator(".said")).to_have_text("from Luis", timeout=SECOND)


def test_typed_text_outlives_ones_own_tick(listed: Served, sign_in: SignIn):
    luis = opened(sign_in("crew"), listed)
    open_note(luis, "Loader greased").fill("not saved yet")
    row(luis, "Loader greased").locator(".tick").click()
    expect(row(luis, "Loader greased")).to_have_class(re.compile("done"))
    expect(row(luis, "Loader greased").locator("textarea")).to_have_value("not saved yet")


def test_the_order_moves_by_keyboard_and_keeps_the_focus(listed: Served, sign_in: SignIn):
    ana, luis = opened(sign_in("owner"), listed), opened(sign_in("crew"), listed)
    titles = [luis.locator(".item b", has_text=each) for each in ("Loader greased", "Gate wide open")]
    assert titles[0].bounding_box()["y"] < titles[1].bounding_box()["y"]
    open_note(ana, "Gate wide open")
    row(ana, "Gate wide open").get_by_role("button", name="Up").focus()
    ana.keyboard.press("Enter")
    expect(luis.locator(".item", has_text="Gate wide open").locator("xpath=following-sibling::li")).to_contain_text(
        ["Loader greased"], timeout=SECOND
    )
    expect(row(ana, "Gate wide open").get_by_role("button", name="Up")).to_be_focused()


def test_everything_works_without_javascript(listed: Served, sign_in: SignIn):
    luis = sign_in("crew", java_script_enabled=False)
    luis.goto(f"{listed.farm}/checklists")
    row(luis, "Loader greased").locator(".tick").click()
    expect(row(luis, "Loader greased")).to_have_class(re.compile("done"))
    open_note(luis, "Loader greased").fill("written without script")
    row(luis, "Loader greased").get_by_role("button", name="Save").click()
    expect(row(luis, "Loader greased")).to_contain_text("written without script")
    luis.get_by_role("link", name="Add a note").click()
    luis.get_by_label("What it is about").select_option(label="Gate wide open")
    luis.get_by_label("Note").fill("chain is gone")
    luis.get_by_role("button", name="Save the note").click()
    expect(row(luis, "Gate wide open")).to_contain_text("chain is gone")


def test_the_phone_page_is_light_and_fits_a_thumb(listed: Served, sign_in: SignIn):
    luis = sign_in("crew")
    sizes: dict[str, int] = {}
    session = luis.context.new_cdp_session(luis)
    kinds: dict[str, str] = {}
    session.send("Network.enable")
    session.on("Network.responseReceived", lambda event: kinds.update({event["requestId"]: event["type"]}))
    session.on(
        "Network.loadingFinished", lambda event: sizes.update({event["requestId"]: int(event["encodedDataLength"])})
    )
    opened(luis, listed)
    assert sum(sizes.values()) <= 100 * 1024, sizes
    assert sum(size for key, size in sizes.items() if kinds.get(key) == "Script") <= 40 * 1024
    for tick in luis.locator(".tick").all()[:5]:
        assert tick.bounding_box()["height"] >= 64
    assert luis.locator(".action .main").bounding_box()["height"] >= 110
    assert luis.evaluate("document.documentElement.scrollWidth") <= 390
