"""What the small client in the browser does when others change the page one is working on."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.small_page import SmallPage, serving

pytestmark = pytest.mark.browser


@pytest.fixture
def server():
    page = SmallPage()
    with serving(page) as running:
        page.address, page.stop = running.address, running.stop
        yield page


@pytest.fixture
def tab(chromium, server):
    context = chromium.new_context()
    tab = context.new_page()
    complaints: list[str] = []
    tab.on("console", lambda said: complaints.append(said.text) if "Security Policy" in said.text else None)
    tab.on("pageerror", lambda error: complaints.append(str(error)))
    tab.goto(server.address)
    expect(tab.locator("#layout-connection")).to_have_text("Live")
    yield tab
    context.close()
    assert complaints == []


def says(tab: Page, name: str):
    return tab.locator(f"#{name} .says")


def test_a_part_that_someone_changed_is_shown_without_a_reload(tab, server):
    tab.evaluate("window.same = true")
    server.change("one", "second", 8)
    expect(says(tab, "one")).to_have_text("second")
    expect(says(tab, "two")).to_have_text("first")
    assert tab.evaluate("window.same")


def test_the_focus_on_a_button_and_an_open_note_survive_a_change(tab, server):
    tab.locator("#one-more summary").click()
    tab.locator("#one-tick").focus()
    server.change("one", "second", 8)
    expect(says(tab, "one")).to_have_text("second")
    expect(tab.locator("#one-tick")).to_be_focused()
    expect(tab.locator("#one-more")).to_have_attribute("open", "")


def test_what_is_being_typed_is_never_swapped_away_and_the_other_is_named(tab, server):
    tab.locator("#one-note").fill("my own words")
    server.change("one", "second", 8, by="Tom")
    expect(tab.locator("#one .stale-note")).to_contain_text("Changed by Tom")
    expect(tab.locator("#one-note")).to_have_value("my own words")
    expect(says(tab, "one")).to_have_text("first")
    tab.locator("#two-tick").focus()
    expect(tab.locator("#one-note")).to_have_value("my own words")
    tab.locator("#one .stale-note button").click()
    expect(says(tab, "one")).to_have_text("second")


def test_a_field_left_unchanged_lets_the_change_in(tab, server):
    tab.locator("#one-note").focus()
    server.change("one", "second", 8)
    expect(tab.locator("#one")).to_have_class(re.compile("stale"))
    tab.locator("#height").focus()
    expect(says(tab, "one")).to_have_text("second")


def test_a_removed_part_goes_away(tab, server):
    server.gone.add("two")
    server.send("message", seq=8, by="Ana", parts=["two"])
    expect(tab.locator("#two")).to_have_count(0)


def test_a_change_seen_already_is_not_fetched_again(tab, server):
    tab.evaluate("document.querySelector('#one').dataset.seq = '9'")
    server.change("one", "second", 9)
    server.change("two", "second", 10)
    expect(says(tab, "two")).to_have_text("second")
    expect(says(tab, "one")).to_have_text("first")


def test_a_cut_stream_is_opened_again_from_the_last_change_seen(tab, server):
    assert server.seqs == ["7"]
    server.change("one", "second", 12)
    expect(says(tab, "one")).to_have_text("second")
    server.cut_streams()
    expect(tab.locator("#layout-connection")).to_have_text("Waiting for signal")
    expect(tab.locator("#layout-connection")).to_have_text("Live")
    assert server.seqs[-1] == "12"


def test_who_is_looking_is_named_and_no_longer_when_the_line_is_down(tab, server):
    server.send("presence", names=["Ana", "Tom"])
    expect(tab.locator("#layout-presence")).to_have_text(" · Ana, Tom here")
    tab.context.set_offline(True)
    tab.evaluate("dispatchEvent(new Event('offline'))")
    expect(tab.locator("#layout-connection")).to_have_text(re.compile(r"^Offline since \d+:\d\d"))
    expect(tab.locator("#layout-presence")).to_have_text("")
    tab.context.set_offline(False)
    expect(tab.locator("#layout-connection")).to_have_text("Live")


def test_the_light_changes_at_once_and_without_a_reload(tab, server):
    tab.evaluate("window.same = true")
    tab.get_by_role("button", name="Night").click()
    expect(tab.locator("html")).to_have_attribute("data-theme", "night")
    expect(tab.get_by_role("button", name="Night")).to_have_attribute("aria-pressed", "true")
    assert tab.evaluate("window.same")


def test_steps_stay_within_the_limits_of_the_field(tab, server):
    for _ in range(3):
        tab.get_by_role("button", name="+").click()
    expect(tab.locator("#height")).to_have_value("25")
    tab.get_by_role("button", name="-", exact=True).click()
    expect(tab.locator("#height")).to_have_value("24")


def test_a_refused_form_comes_back_with_what_was_typed_and_the_field_in_focus(tab, server):
    tab.locator("#area").fill("8800")
    tab.get_by_role("button", name="Save").click()
    expect(tab.locator("#save .error")).to_have_text("Too large")
    expect(tab.locator("#area")).to_have_value("8800")
    expect(tab.locator("#area")).to_be_focused()


def test_a_form_that_is_not_allowed_stays_and_says_why(tab, server):
    server.refuses = True
    tab.locator("#area").fill("62")
    tab.get_by_role("button", name="Save").click()
    expect(tab.locator("#layout-message")).to_have_text("Your role does not allow that.")
    expect(tab.locator("#area")).to_have_value("62")


def test_with_the_server_away_nothing_typed_is_lost(tab, server):
    tab.locator("#area").fill("62")
    server.stop()
    tab.get_by_role("button", name="Save").click()
    expect(tab.locator("#layout-message")).to_contain_text("Nothing was saved")
    expect(tab.locator("#area")).to_have_value("62")
    expect(tab.locator("#layout-connection")).to_have_text("Waiting for signal")


def test_leaving_with_unsaved_typing_asks_first(tab, server):
    asked: list[str] = []
    tab.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    tab.locator("#area").click()
    tab.keyboard.type("62")
    tab.evaluate("setTimeout(() => { location.href = '/?elsewhere' }, 0)")
    tab.wait_for_timeout(400)
    assert asked == ["beforeunload"]
    expect(tab.locator("#area")).to_have_value("62")
