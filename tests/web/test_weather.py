"""Weather files come in through a preview: nothing is guessed silently, nothing is half stored."""

import numpy as np
import pytest
from sqlalchemy import func, select

from app.records.stations import Day

HEADER = "Date,High,Low,Rain"


@pytest.fixture
def station(site):
    answer = site.as_("agronomist").post(
        f"/farms/{site.farm_id}/weather/stations/new", {"name": "Home", "source": "own gauge"}
    )
    assert answer.status_code == 303
    return f"/farms/{site.farm_id}/weather/stations/1"


def send(browser, station, text, name="days.csv"):
    return browser._call(
        "POST", f"{station}/files", files={"file": (name, text.encode())}, headers={"Origin": "http://swathboard.test"}
    )


def rows(first="2027-03-01", n=60, high=60, low=40):
    days = np.arange(np.datetime64(first), np.datetime64(first) + n)
    return "\n".join([HEADER, *(f"{day},{high},{low},0.10" for day in days)])


def stored(site):
    return site.do(lambda work: work.session.scalar(select(func.count()).select_from(Day)))


def test_a_table_without_units_is_asked_about_before_anything_is_stored(site, station):
    browser = site.as_("agronomist")
    preview = send(browser, station, rows()).headers["location"]
    page = browser.get(preview)
    assert page.status_code == 200 and 'name="temp_unit"' in page.text and stored(site) == 0
    refused = browser.post(f"{preview}/take")
    assert refused.status_code == 422 and stored(site) == 0


def test_after_the_answers_the_days_are_stored_and_the_heat_follows(site, station):
    browser = site.as_("agronomist")
    preview = send(browser, station, rows()).headers["location"]
    assert browser.post(preview, {"temp_unit": "f", "rain_unit": "in"}).status_code == 303
    assert browser.post(f"{preview}/take").status_code == 303
    assert stored(site) == 60
    # 60/40 F is 9 degree-days above 41 F by the mean method (Michigan State University Extension 2013): 60 days from
    # 1 March, counting from the fifth warm day, are 56 x 9 = 504.
    assert "504" in browser.get(f"/farms/{site.farm_id}/weather").text


def test_the_same_file_twice_adds_nothing(site, station):
    browser = site.as_("agronomist")
    for _ in range(2):
        preview = send(browser, station, rows()).headers["location"]
        browser.post(preview, {"temp_unit": "f", "rain_unit": "in"})
        browser.post(f"{preview}/take")
    assert stored(site) == 60


def test_changed_days_are_kept_unless_the_person_takes_the_new_values(site, station):
    browser = site.as_("agronomist")
    for high, answer in ((60, "keep"), (62, "keep"), (62, "replace")):
        preview = send(browser, station, rows(high=high)).headers["location"]
        browser.post(preview, {"temp_unit": "f", "rain_unit": "in", "changed": answer})
        browser.post(f"{preview}/take")
        highs = site.do(lambda work: set(work.session.scalars(select(Day.high_c))))
        assert {round(c * 1.8 + 32) for c in highs} == ({62} if answer == "replace" else {60})


def test_a_file_that_is_no_table_is_refused_in_words(site, station):
    browser = site.as_("agronomist")
    answer = send(browser, station, "")
    assert answer.status_code == 422 and "empty" in answer.text and stored(site) == 0


def test_a_viewer_may_look_but_not_bring_in_files(site, station):
    assert send(site.as_("viewer"), station, rows()).status_code == 403
    assert site.as_("viewer").get(f"/farms/{site.farm_id}/weather").status_code == 200
    assert send(site.as_("stranger"), station, rows()).status_code == 404


def test_a_station_form_keeps_what_was_typed_when_refused(site):
    answer = site.as_("owner").post(f"/farms/{site.farm_id}/weather/stations/new", {"name": "Ridge", "latitude": "143"})
    assert answer.status_code == 422 and 'value="Ridge"' in answer.text and "outside" in answer.text


def test_two_people_on_the_same_field_of_a_station_both_see_both_values(site, station):
    one, two = site.as_("owner"), site.as_("agronomist")
    seen = {"was_name": "Home", "was_source": "own gauge", "source": "own gauge"}
    assert one.post(station, {**seen, "name": "Home farm"}).status_code == 303
    clash = two.post(station, {**seen, "name": "Headquarters"})
    assert clash.status_code == 409 and "Home farm" in clash.text and "Headquarters" in clash.text


def test_a_removed_station_comes_back_with_its_days(site, station):
    browser = site.as_("owner")
    assert browser.post(f"{station}/remove").status_code == 303
    page = browser.get(f"/farms/{site.farm_id}/weather").text
    assert "No weather yet" in page and "/restore" in page
    assert browser.post(f"{station}/restore").status_code == 303
    assert "No weather yet" not in browser.get(f"/farms/{site.farm_id}/weather").text
