"""Forms of stands and counts, as browsers see them."""

import pytest

from app.records.fields import Stand, StandCount
from app.services import stands
from tests.builders.crops import COUNT, a_field, a_stand

STAND = {"seeded_on": "2024-04-20", "share_alfalfa": "70", "share_orchardgrass": "30", "season_yield_kg_ha": "4.6"}
TYPED = {"counted_on": "2027-04-20", "stems_per_m2": "48", "root_score": "1.5", "spots_count": "5", "note": ""}


@pytest.fixture
def ids(site):
    """A field with a stand and a count, as (field, stand, count)."""

    def fill(work):
        field = a_field(work, site.farm_id)
        stand = a_stand(work, site.farm_id, field.id)
        return field.id, stand.id, stands.add_count(work, site.farm_id, stand.id, COUNT).id

    return site.do(fill)


def where(site, path):
    return f"/farms/{site.farm_id}{path}"


def seen(form):
    return {f"was_{name}": text for name, text in form.items()}


def rows(site, table):
    return site.do(lambda work: work.session.query(table).order_by(table.id).all())


def test_a_stand_is_described_without_javascript(site):
    field_id = site.do(lambda work: a_field(work, site.farm_id).id)
    agronomist = site.as_("agronomist")
    assert 'value="100"' in agronomist.get(where(site, f"/fields/{field_id}/stands/new")).text
    assert agronomist.post(where(site, f"/fields/{field_id}/stands/new"), STAND).status_code == 303
    page = agronomist.get(where(site, f"/fields/{field_id}")).text
    assert "Alfalfa 70 %" in page and "orchardgrass 30 %" in page


def test_shares_that_miss_the_whole_are_refused_with_what_was_typed(site):
    field_id = site.do(lambda work: a_field(work, site.farm_id).id)
    answer = site.as_("agronomist").post(
        where(site, f"/fields/{field_id}/stands/new"), STAND | {"share_orchardgrass": "20"}
    )
    assert answer.status_code == 422
    assert "90" in answer.text and 'value="20"' in answer.text and 'value="2024-04-20"' in answer.text
    fraction = site.as_("agronomist").post(
        where(site, f"/fields/{field_id}/stands/new"), STAND | {"share_alfalfa": "170"}
    )
    assert fraction.status_code == 422


def test_a_seeding_day_to_come_is_asked_about(site):
    field_id = site.do(lambda work: a_field(work, site.farm_id).id)
    answer = site.as_("agronomist").post(
        where(site, f"/fields/{field_id}/stands/new"), STAND | {"seeded_on": "2028-04-20"}
    )
    assert answer.status_code == 422 and "Is the year right" in answer.text


def test_two_people_on_a_stand(site, ids):
    _field, stand_id, _count = ids
    path = where(site, f"/stands/{stand_id}/edit")
    before = {"seeded_on": "2024-04-20", "share_alfalfa": "100", "season_yield_kg_ha": "", "note": ""}
    assert site.as_("owner").post(path, before | seen(before) | {"season_yield_kg_ha": "4.6"}).status_code == 303
    both = site.as_("agronomist").post(path, before | seen(before) | {"note": "Thin on the hill."})
    assert both.status_code == 303
    (stand,) = rows(site, Stand)
    assert stand.note == "Thin on the hill." and stand.season_yield_kg_ha == pytest.approx(10312, abs=2)
    clash = site.as_("agronomist").post(path, before | seen(before) | {"season_yield_kg_ha": "5.2"})
    assert clash.status_code == 409 and "4.6" in clash.text and "5.2" in clash.text


def test_a_stand_ends_and_comes_back(site, ids):
    field_id, stand_id, _count = ids
    agronomist = site.as_("agronomist")
    assert agronomist.get(where(site, f"/stands/{stand_id}/end")).status_code == 200
    early = agronomist.post(where(site, f"/stands/{stand_id}/end"), {"ended_on": "2020-01-01"})
    assert early.status_code == 422 and 'value="2020-01-01"' in early.text
    assert agronomist.post(where(site, f"/stands/{stand_id}/end"), {"ended_on": "2026-09-01"}).status_code == 303
    again = agronomist.post(where(site, f"/stands/{stand_id}/end"), {"ended_on": "2026-09-02"})
    assert again.status_code == 409 and "2026-09-01" in again.text
    page = agronomist.get(where(site, f"/fields/{field_id}")).text
    assert "Start a new stand" in page and "Undo the end" in page
    assert agronomist.post(where(site, f"/stands/{stand_id}/resume")).status_code == 303
    assert rows(site, Stand)[0].ended_on is None


def test_counting_correcting_and_taking_back(site, ids):
    field_id, stand_id, count_id = ids
    agronomist = site.as_("agronomist")
    assert agronomist.get(where(site, f"/stands/{stand_id}/counts/new")).status_code == 200
    assert agronomist.post(where(site, f"/stands/{stand_id}/counts/new"), TYPED).status_code == 303
    assert agronomist.get(where(site, f"/counts/{count_id}/correct")).status_code == 200
    assert (
        agronomist.post(where(site, f"/counts/{count_id}/correct"), TYPED | {"stems_per_m2": "40"}).status_code == 303
    )
    assert agronomist.post(where(site, f"/counts/{count_id}/withdraw")).status_code == 303
    assert "taken back by Agronomist" in agronomist.get(where(site, f"/fields/{field_id}")).text
    assert agronomist.post(where(site, f"/counts/{count_id}/restore")).status_code == 303
    assert [row.corrects_id for row in rows(site, StandCount)][:2] == [None, None]
    assert len(rows(site, StandCount)) == 5


def test_a_refused_count_keeps_what_was_typed(site, ids):
    _field, stand_id, _count = ids
    path = where(site, f"/stands/{stand_id}/counts/new")
    agronomist = site.as_("agronomist")
    refused = agronomist.post(path, TYPED | {"root_score": "7", "note": "north end"})
    assert refused.status_code == 422 and "north end" in refused.text and 'value="48"' in refused.text
    per_metre = agronomist.post(path, TYPED | {"stems_per_m2": "500"})
    assert per_metre.status_code == 422 and "is outside" in per_metre.text and 'value="500"' in per_metre.text
    empty = agronomist.post(path, {"counted_on": "2027-04-20"})
    assert empty.status_code == 422 and "or both" in empty.text


def test_two_corrections_of_one_count(site, ids):
    _field, _stand, count_id = ids
    path = where(site, f"/counts/{count_id}/correct")
    page = site.as_("agronomist").get(path).text
    stems = page.split('name="was_stems_per_m2" value="')[1].split('"')[0]
    before = {"counted_on": "2027-04-20", "stems_per_m2": stems, "root_score": "1.5", "spots_count": "5", "note": ""}
    assert site.as_("owner").post(path, before | seen(before) | {"stems_per_m2": "44"}).status_code == 303
    clash = site.as_("agronomist").post(path, before | seen(before) | {"stems_per_m2": "41"})
    assert clash.status_code == 409 and "44" in clash.text and "41" in clash.text


@pytest.mark.parametrize(("role", "status"), [("crew", 403), ("viewer", 403), ("stranger", 404)])
def test_who_may_not(site, ids, role, status):
    field_id, stand_id, count_id = ids
    browser = site.as_(role)
    posts = {
        f"/fields/{field_id}/stands/new": STAND,
        f"/stands/{stand_id}/edit": STAND,
        f"/stands/{stand_id}/end": {"ended_on": "2026-09-01"},
        f"/stands/{stand_id}/resume": {},
        f"/stands/{stand_id}/counts/new": TYPED,
        f"/counts/{count_id}/correct": TYPED,
        f"/counts/{count_id}/withdraw": {},
        f"/counts/{count_id}/restore": {},
    }
    assert {path: browser.post(where(site, path), form).status_code for path, form in posts.items()} == dict.fromkeys(
        posts, status
    )
    assert len(rows(site, StandCount)) == 1
    gets = (f"/fields/{field_id}/stands/new", f"/stands/{stand_id}/edit", f"/counts/{count_id}/correct")
    assert {browser.get(where(site, path)).status_code for path in gets} == {status}
