"""Scouting from a phone: big buttons, rows for spots, nothing lost when something is refused."""

import re

import pytest

from app.records.scoutings import Scouting
from tests.builders.crops import a_field, a_scouting

HEAD = {"scouted_on": "2027-05-10", "cutting": "1", "spots_count": "5"}
SPOTS = {"stage_1": "vegetative", "height_cm_1": "24", "stage_2": "bud", "height_cm_2": "25.5"}


@pytest.fixture
def field_id(site):
    return site.do(lambda work: a_field(work, site.farm_id).id)


def where(site, path):
    return f"/farms/{site.farm_id}{path}"


def scout(site, field_id):
    return where(site, f"/fields/{field_id}/scout")


def rows(site):
    return site.do(lambda work: work.session.query(Scouting).order_by(Scouting.id).all())


def test_the_form_offers_five_spots_and_names_the_number_for_its_size(site, field_id):
    page = site.as_("crew").get(scout(site, field_id)).text
    assert len(re.findall(r'<fieldset class="spot"', page)) == 5
    assert "11 spots are suggested" in page  # 88 ac: five to 30 ac, one for each further ten begun
    assert page.count('type="radio"') == 15 and 'value="2027-05-10"' in page


def test_a_walk_is_saved_without_javascript(site, field_id):
    answer = site.as_("crew").post(scout(site, field_id), HEAD | SPOTS | {"is_dry": "yes", "latitude_1": "43.07"})
    assert answer.status_code == 303 and answer.headers["location"].endswith(f"/fields/{field_id}")
    (row,) = rows(site)
    assert row.is_dry and not row.is_frosted
    page = site.as_("crew").get(where(site, f"/fields/{field_id}")).text
    assert "25.5" in page and "Short of water" in page and "Only 2 spots" in page


def test_one_more_spot_keeps_everything_and_saves_nothing(site, field_id):
    answer = site.as_("crew").post(scout(site, field_id), HEAD | SPOTS | {"more": "1", "note": "north gate"})
    assert answer.status_code == 200 and len(re.findall(r'<fieldset class="spot"', answer.text)) == 6
    assert 'value="25.5"' in answer.text and "north gate" in answer.text
    assert re.search(r'name="stage_2" value="bud" checked', answer.text)
    assert rows(site) == []


def test_a_refusal_names_the_spot_and_keeps_what_was_typed(site, field_id):
    answer = site.as_("crew").post(scout(site, field_id), HEAD | SPOTS | {"height_cm_3": "26", "is_lodged": "yes"})
    assert answer.status_code == 422 and "Spot 3" in answer.text
    assert all(f'value="{typed}"' in answer.text for typed in ("24", "25.5", "26"))
    assert re.search(r'name="is_lodged"[^>]* checked', answer.text)
    assert re.search(r'name="stage_2" value="bud" checked', answer.text)


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        ({"height_cm_1": "70"}, "Was it typed in cm"),
        ({"height_cm_1": "12"}, "is unusual"),
        ({"scouted_on": "2028-05-10"}, "Is the year right"),
        ({"scouted_on": "2026-05-10"}, "Is the year right"),
    ],
)
def test_what_is_unlikely_is_asked_about(site, field_id, typed, question):
    answer = site.as_("crew").post(scout(site, field_id), HEAD | SPOTS | typed)
    assert answer.status_code == 422 and question in answer.text and 'name="sure"' in answer.text
    assert rows(site) == []


def test_a_confirmed_short_stem_is_saved_and_leaves_the_field_incomplete(site, field_id):
    answer = site.as_("crew").post(scout(site, field_id), HEAD | SPOTS | {"height_cm_1": "12", "sure": "yes"})
    assert answer.status_code == 303
    page = site.as_("crew").get(where(site, f"/fields/{field_id}")).text
    assert "1 of 2 spots are below" in page and "so this scouting is incomplete." in page


def test_a_day_to_come_stays_refused(site, field_id):
    answer = site.as_("crew").post(scout(site, field_id), HEAD | SPOTS | {"scouted_on": "2027-06-01", "sure": "yes"})
    assert answer.status_code == 422 and rows(site) == []


def test_a_form_sent_twice_is_one_scouting(site, field_id):
    crew = site.as_("crew")
    form = HEAD | SPOTS | {"once": "0123456789abcdef0123456789abcdef"}
    assert [crew.post(scout(site, field_id), form).status_code for _ in range(2)] == [303, 303]
    assert len(rows(site)) == 1


def test_a_scouting_is_corrected_taken_back_and_brought_again(site, field_id):
    first = site.do(lambda work: a_scouting(work, site.farm_id, field_id, 24, 24, 24, 24).id)
    agronomist = site.as_("agronomist")
    page = agronomist.get(where(site, f"/scoutings/{first}/correct")).text
    assert page.count('value="24"') == 4 and 'name="was_cutting"' in page
    path = where(site, f"/scoutings/{first}")
    assert agronomist.post(f"{path}/correct", HEAD | SPOTS).status_code == 303
    shown = agronomist.get(where(site, f"/fields/{field_id}")).text
    assert "before:" in shown and "25.5" in shown
    assert agronomist.post(f"{path}/withdraw").status_code == 303
    assert "taken back by Agronomist" in agronomist.get(where(site, f"/fields/{field_id}")).text
    assert agronomist.post(f"{path}/restore").status_code == 303
    assert [row.is_withdrawn for row in rows(site)] == [False, False, True, False]


def test_two_people_correcting_the_same_thing_see_both_and_settle_it(site, field_id):
    first = site.do(lambda work: a_scouting(work, site.farm_id, field_id, 24, 24, 24, 24).id)
    path = where(site, f"/scoutings/{first}/correct")
    four = {f"stage_{n}": "vegetative" for n in range(1, 5)} | {f"height_cm_{n}": "24" for n in range(1, 5)}
    was = {"was_scouted_on": "2027-05-10", "was_cutting": "1", "was_grass_frac": ""}
    assert site.as_("owner").post(path, HEAD | four | was | {"cutting": "2"}).status_code == 303
    clash = site.as_("agronomist").post(path, HEAD | four | was | {"cutting": "3", "note": "by the gate"})
    assert clash.status_code == 409 and 'name="keep_cutting"' in clash.text and "by the gate" in clash.text
    action = re.search(r'action="([^"]+/correct)"', clash.text).group(1)
    settled = HEAD | four | {"was_cutting": "2", "cutting": "3", "keep_cutting": "theirs", "note": "by the gate"}
    assert site.as_("agronomist").post(action, settled).status_code == 303
    assert (rows(site)[-1].cutting, rows(site)[-1].note) == (2, "by the gate")


def test_two_people_changing_the_spots_see_both(site, field_id):
    first = site.do(lambda work: a_scouting(work, site.farm_id, field_id, 24, 24, 24, 24).id)
    path = where(site, f"/scoutings/{first}/correct")
    assert site.as_("owner").post(path, HEAD | SPOTS).status_code == 303
    clash = site.as_("agronomist").post(path, HEAD | SPOTS | {"height_cm_1": "29"})
    assert clash.status_code == 409 and 'name="keep_spots"' in clash.text
    action = re.search(r'action="([^"]+/correct)"', clash.text).group(1)
    assert (
        site.as_("agronomist").post(action, HEAD | SPOTS | {"height_cm_1": "29", "keep_spots": "mine"}).status_code
        == 303
    )
    assert "29.0" in site.as_("crew").get(where(site, f"/fields/{field_id}")).text


@pytest.mark.parametrize(("role", "status"), [("viewer", 403), ("stranger", 404)])
def test_who_may_not(site, field_id, role, status):
    row = site.do(lambda work: a_scouting(work, site.farm_id, field_id).id)
    browser = site.as_(role)
    assert browser.get(scout(site, field_id)).status_code == status
    paths = [
        scout(site, field_id),
        *(where(site, f"/scoutings/{row}/{verb}") for verb in ("correct", "withdraw", "restore")),
    ]
    assert {browser.post(path, HEAD | SPOTS).status_code for path in paths} == {status}
    assert len(rows(site)) == 1
