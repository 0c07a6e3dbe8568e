"""The Fields page and the forms of fields, as browsers see them."""

import pytest

from app.records.accounts import Account
from app.records.fields import Field
from app.services import fields
from tests.builders.crops import FIELD, a_field, a_scouting, a_stand, a_station

TYPED = {"name": "Kiln", "area_ha": "62", "haul_km": "2.4", "drainage_note": "Wet corner."}


def where(site, path=""):
    return f"/farms/{site.farm_id}/fields{path}"


def with_field(site, **more):
    return site.do(lambda work: a_field(work, site.farm_id, **more).id)


def was(**typed):
    return {f"was_{name}": text for name, text in typed.items()}


def stored(site, field_id):
    return site.do(lambda work: work.session.get(Field, field_id))


def test_an_empty_farm_is_offered_its_first_field(site):
    page = site.as_("owner").get(where(site))
    assert page.status_code == 200 and "No fields yet" in page.text and where(site, "/new") in page.text
    assert where(site, "/new") not in site.as_("viewer").get(where(site)).text


def test_a_farm_without_weather_is_told_where_to_bring_it_in(site):
    with_field(site)
    page = site.as_("owner").get(where(site)).text
    assert "No weather yet" in page and f"/farms/{site.farm_id}/weather" in page


def test_the_page_shows_each_field_its_reading_and_its_dates(site):
    def fill(work):
        a_station(work, site.farm_id)
        field = a_field(work, site.farm_id)
        a_stand(work, site.farm_id, field.id)
        a_scouting(work, site.farm_id, field.id, 24, 24, 24, 24)
        return field.id

    field_id = site.do(fill)
    page = site.as_("viewer").get(where(site)).text
    assert "Long Acre" in page and "24.0" in page and "34.0" in page and "36.0" in page
    assert page.count("<svg") >= 2 and 'data-live="fields-table"' in page
    one = site.as_("viewer").get(where(site, f"/{field_id}")).text
    assert "If cut today, when fed" in one and "RFV 190" in one and "Score" not in one.split("Scoutings")[0]
    assert f'data-live="fields-field-{field_id}"' in one
    for part in ("/_table", f"/{field_id}/_part"):
        answer = site.as_("viewer").get(where(site, part), headers={"HX-Request": "true"})
        assert answer.status_code == 200 and "<html" not in answer.text


def test_pages_of_a_strangers_farm_are_not_found(site):
    field_id = with_field(site)
    stranger = site.as_("stranger")
    for path in ("", "/_table", "/new", f"/{field_id}", f"/{field_id}/_part", f"/{field_id}/edit"):
        assert stranger.get(where(site, path)).status_code == 404
        assert stranger.get(f"/farms/{site.other_id}/fields/{field_id}").status_code == 404


def test_a_field_is_added_without_javascript_and_its_stand_is_asked_for_next(site):
    answer = site.as_("agronomist").post(where(site, "/new"), TYPED)
    assert answer.status_code == 303 and answer.headers["location"].endswith("/stands/new")
    (field,) = site.do(lambda work: fields.list_fields(work, site.farm_id))
    assert field.area_ha == pytest.approx(62 * 0.40468564224)  # acre of the 1959 agreement
    htmx = site.as_("agronomist").post(where(site, "/new"), TYPED | {"name": "Sand Lot"}, htmx=True)
    assert htmx.status_code == 204 and htmx.headers["HX-Redirect"].endswith("/stands/new")


@pytest.mark.parametrize(("role", "status"), [("viewer", 403), ("crew", 403), ("nutritionist", 403), ("stranger", 404)])
def test_who_may_not_changes_nothing(site, role, status):
    field_id = with_field(site)
    browser = site.as_(role)
    posts = {"/new": TYPED, f"/{field_id}/edit": TYPED, f"/{field_id}/remove": {}, f"/{field_id}/restore": {},
             "/shares": {"share_1": "100"}}  # fmt: skip
    assert {path: browser.post(where(site, path), form).status_code for path, form in posts.items()} == dict.fromkeys(
        posts, status
    )
    assert stored(site, field_id).name == "Long Acre"


def test_a_refused_field_keeps_what_was_typed(site):
    answer = site.as_("agronomist").post(where(site, "/new"), TYPED | {"area_ha": "-3"})
    assert answer.status_code == 422
    assert 'value="-3"' in answer.text and "Wet corner." in answer.text and "is outside" in answer.text
    unlikely = site.as_("agronomist").post(where(site, "/new"), TYPED | {"area_ha": "900"})
    assert unlikely.status_code == 422 and 'name="sure"' in unlikely.text
    assert (
        site.as_("agronomist").post(where(site, "/new"), TYPED | {"area_ha": "900", "sure": "yes"}).status_code == 303
    )


def test_two_people_on_the_same_field_see_both_values(site):
    field_id = with_field(site)
    seen = was(name="Long Acre", area_ha="88", haul_km="1.2", drainage_note="")
    first = TYPED | seen | {"name": "Long Acre", "haul_km": "1.2", "area_ha": "90", "drainage_note": ""}
    assert site.as_("owner").post(where(site, f"/{field_id}/edit"), first).status_code == 303
    answer = site.as_("agronomist").post(where(site, f"/{field_id}/edit"), first | {"area_ha": "91"})
    assert answer.status_code == 409
    assert "90" in answer.text and "91" in answer.text and 'name="keep_area_ha"' in answer.text
    settled = first | was(area_ha="90") | {"area_ha": "91", "keep_area_ha": "mine"}
    assert site.as_("agronomist").post(where(site, f"/{field_id}/edit"), settled).status_code == 303
    assert stored(site, field_id).area_ha == pytest.approx(91 * 0.40468564224)


def test_a_removed_field_can_be_brought_back(site):
    field_id = with_field(site)
    owner = site.as_("owner")
    assert owner.post(where(site, f"/{field_id}/remove")).status_code == 303
    page = owner.get(where(site)).text
    assert "Removed" in page and where(site, f"/{field_id}/restore") in page
    assert owner.get(where(site, f"/{field_id}")).status_code == 404
    assert owner.post(where(site, f"/{field_id}/restore")).status_code == 303
    assert owner.get(where(site, f"/{field_id}")).status_code == 200


def test_own_shares_are_kept_or_refused_with_what_was_typed(site):
    with_field(site)
    owner = site.as_("owner")
    wrong = owner.post(where(site, "/shares"), {"share_1": "40", "share_2": "25", "share_3": "20", "share_4": "10"})
    assert wrong.status_code == 422 and "95" in wrong.text and 'value="40"' in wrong.text
    right = {"share_1": "40", "share_2": "25", "share_3": "20", "share_4": "15"}
    assert owner.post(where(site, "/shares"), right).status_code == 303
    assert "own shares are used" in owner.get(where(site)).text


def test_a_page_in_spanish_and_metric_units(site):
    def fill(work):
        a_station(work, site.farm_id)
        field = a_field(work, site.farm_id)
        a_stand(work, site.farm_id, field.id)
        a_scouting(work, site.farm_id, field.id, 24, 24, 24, 24)
        owner = work.session.get(Account, site.team.people["owner"].id)
        owner.language, owner.units = "es", "metric"
        return field.id

    field_id = site.do(fill)
    page = site.as_("owner").get(where(site, f"/{field_id}")).text
    assert "Ahora, en pie" in page and "61\xa0cm" in page and "Inspecciones" in page
    assert FIELD["name"] in page and "Now, standing" not in page
