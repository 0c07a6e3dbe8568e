"""The workbook on its page: out as a file, in through a look at what it would do."""

import io
import re

import openpyxl
import pytest
from sqlalchemy import func, select

from app.records.farms import Farm
from app.records.fields import Field
from app.records.history import Upload
from tests.builders import whole_farm
from tests.services.workbook.test_importing import BY_HAND, FARM, book

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
GOOD = book(fields=[["Name of the field", "Area (ac)"], ["Creek", 40], ["Hill", 30]])
UNUSUAL = book(fields=[["Name of the field", "Area (ac)"], ["Creek", 700]])
WRONG = book(fields=[["Name of the field", "Area (ac)"], ["Creek", 40], ["Hill", "forty"]])


@pytest.fixture
def page(site):
    return f"/farms/{site.farm_id}/workbook"


def send(browser, path, content, name="farm.xlsx", **form):
    headers = {"Origin": "http://swathboard.test"}
    return browser._call("POST", path, files={"file": (name, content, XLSX)}, data=form, headers=headers)


def count(site, table=Field):
    return site.do(lambda work: work.session.scalar(select(func.count()).select_from(table)))


def test_the_page_offers_everything_to_those_who_may(site, page):
    owner, agronomist = site.as_("owner").get(page), site.as_("agronomist").get(page)
    assert owner.status_code == agronomist.status_code == 200
    assert 'type="file"' in owner.text and 'type="file"' not in agronomist.text
    assert site.as_("viewer").get(page).status_code == 403
    assert site.as_("stranger").get(page).status_code == 404


@pytest.mark.parametrize(("file", "head"), [("farm.xlsx", b"PK"), ("farm.zip", b"PK")])
def test_a_farm_is_downloaded_under_its_name_and_kept_by_no_cache(site, page, file, head):
    site.do(lambda work: whole_farm.fill(work, site.farm_id))
    answer = site.as_("nutritionist").get(f"{page}/{file}")
    assert answer.status_code == 200 and answer.content.startswith(head)
    assert "Marl-Hollow-2027-05-10" in answer.headers["content-disposition"]
    assert answer.headers["cache-control"] == "private, no-store"
    assert site.as_("crew").get(f"{page}/{file}").status_code == 403
    assert site.as_("stranger").get(f"{page}/{file}").status_code == 404


def test_the_empty_workbook_is_there_for_anyone_signed_in(site):
    answer = site.as_("viewer").get("/farms/new/workbook/empty.xlsx")
    assert "Notes" in openpyxl.load_workbook(io.BytesIO(answer.content)).sheetnames
    assert site.nobody().get("/farms/new/workbook/empty.xlsx").status_code == 303


def test_a_workbook_is_looked_at_before_it_is_taken(site, page):
    owner = site.as_("owner")
    preview = send(owner, page, GOOD).headers["location"]
    shown = owner.get(preview)
    assert shown.status_code == 200 and re.search(r"Fields</th><td>2</td><td>0</td><td>0</td>", shown.text)
    assert count(site) == 0
    taken = owner.post(f"{preview}/take", {"into": "this"})
    assert taken.status_code == 303 and taken.headers["location"].startswith(f"/farms/{site.farm_id}")
    assert count(site) == 2
    assert site.do(lambda work: work.session.scalar(select(func.length(Upload.body)))) == 0
    assert owner.get(preview).status_code == 404, "it cannot be taken twice"


def test_faults_are_shown_by_place_and_nothing_can_be_taken(site, page):
    owner = site.as_("owner")
    preview = send(owner, page, WRONG).headers["location"]
    text = owner.get(preview).text
    assert "forty" in text and "Area (ac)" in text and "Take all of it" not in text
    answer = owner.post(f"{preview}/take", {"into": "this", "sure": "yes"})
    assert answer.status_code == 422 and "forty" in answer.text and count(site) == 0


def test_unusual_values_need_one_yes_for_the_whole_file(site, page):
    owner = site.as_("owner")
    preview = send(owner, page, UNUSUAL).headers["location"]
    assert "unusual" in owner.get(preview).text
    answer = owner.post(f"{preview}/take", {"into": "this"})
    assert answer.status_code == 422 and count(site) == 0
    assert owner.post(f"{preview}/take", {"into": "this", "sure": "yes"}).status_code == 303 and count(site) == 1


def test_the_same_file_can_become_a_new_farm_of_its_sender(site, page):
    owner = site.as_("owner")
    export = owner.get(f"{page}/farm.xlsx").content
    preview = send(owner, page, export).headers["location"]
    assert "stands on the farm already" in owner.get(preview).text
    assert "as a new farm, Marl Hollow" in owner.get(f"{preview}?into=new").text
    taken = owner.post(f"{preview}/take", {"into": "new"})
    made = int(re.search(r"/farms/(\d+)", taken.headers["location"])[1])
    assert made not in (site.farm_id, site.other_id) and owner.get(f"/farms/{made}/workbook").status_code == 200
    assert site.as_("consultant").get(f"/farms/{made}/workbook").status_code == 404


def test_a_file_that_is_no_workbook_is_refused_in_words(site, page):
    owner = site.as_("owner")
    assert send(owner, page, b"").status_code == 422
    preview = send(owner, page, b"PK\x03\x04 broken").headers["location"]
    answer = owner.get(preview)
    assert answer.status_code == 422 and "damaged" in answer.text
    assert send(owner, page, b"x" * 8_000_001).status_code == 422


@pytest.mark.parametrize(("role", "status"), [("agronomist", 403), ("crew", 403), ("viewer", 403), ("stranger", 404)])
def test_who_may_not_bring_a_workbook_in(site, page, role, status):
    preview = send(site.as_("owner"), page, GOOD).headers["location"]
    browser = site.as_(role)
    assert send(browser, page, GOOD).status_code == status
    assert browser.get(preview).status_code == status
    assert browser.post(f"{preview}/take", {"into": "this"}).status_code == status
    assert count(site) == 0


def test_a_consultant_brings_a_workbook_in(site, page):
    consultant = site.as_("consultant")
    preview = send(consultant, page, GOOD).headers["location"]
    assert consultant.post(f"{preview}/take", {"into": "this"}).status_code == 303 and count(site) == 2


def test_a_workbook_written_by_hand_fills_the_pages_of_a_new_farm(site):
    stranger = site.as_("stranger")
    made = send(stranger, "/farms/new/workbook", book(**BY_HAND), "hand.xlsx")
    assert made.status_code == 303
    farm = re.search(r"/farms/(\d+)", made.headers["location"])[0]
    shown = stranger.get(f"{farm}/fields").text
    assert "Long Acre" in shown and "62" in shown and "Creek" in shown
    # 61/41 F is 10 degree-days above 41 F by the mean method (Michigan State University Extension 2013): 30 days of
    # April, counting from the fifth warm day on, are 26 x 10 = 260.
    assert "260" in stranger.get(f"{farm}/weather").text
    assert site.as_("owner").get(f"{farm}/fields").status_code == 404


def test_a_new_farm_with_faults_or_questions_is_not_made(site):
    browser = site.as_("viewer")
    before = count(site, Farm)
    wrong = send(
        browser, "/farms/new/workbook", book(farm=FARM, fields=[["Name of the field", "Area (ac)"], ["A", "?"]])
    )
    assert wrong.status_code == 422 and "row 2, Area (ac)" in wrong.text
    unusual = book(farm=FARM, fields=[["Name of the field", "Area (ac)"], ["A", 700]])
    asked = send(browser, "/farms/new/workbook", unusual)
    assert asked.status_code == 422 and 'name="sure"' in asked.text and count(site, Farm) == before
    assert send(browser, "/farms/new/workbook", unusual, sure="yes").status_code == 303
    assert count(site, Farm) == before + 1


def test_the_same_sending_makes_one_farm(site):
    browser = site.as_("owner")
    for _ in range(2):
        send(browser, "/farms/new/workbook", book(**BY_HAND), once="abc")
    assert count(site, Farm) == 3


def test_a_workbook_page_speaks_spanish(site, page):
    site.do(lambda work: setattr(work.session.merge(site.team.people["owner"]), "language", "es"))
    text = site.as_("owner").get(page).text
    assert "Libro del establo" in text and "Farm workbook" not in text
