"""The farm's own list of names on reports."""

import pytest


@pytest.fixture
def base(site):
    return f"/farms/{site.farm_id}/analyte-names"


@pytest.fixture
def browser(site):
    return site.as_("nutritionist")


@pytest.fixture
def name(base, browser):
    assert browser.post(base, {"name": "Sol. Prot. X", "analyte": "SP", "unit": "%", "basis": "CP"}).status_code == 303
    return f"{base}/1"


def test_a_name_is_added_changed_removed_and_brought_back(base, browser, name):
    assert "sol prot x" in browser.get(base).text
    form = {"name": "sol prot y", "analyte": "SP", "unit": "", "basis": ""}
    assert browser.post(name, form).status_code == 303 and "sol prot y" in browser.get(base).text
    assert browser.post(f"{name}/remove").status_code == 303 and "was removed" in browser.get(base).text
    assert browser.post(f"{name}/restore").status_code == 303 and "was removed" not in browser.get(base).text


def test_a_unit_the_analyte_cannot_have_is_refused_with_what_was_typed(base, browser):
    answer = browser.post(base, {"name": "Prot Z", "analyte": "CP", "unit": "Mcal/kg"})
    assert answer.status_code == 422 and 'value="Prot Z"' in answer.text and "Allowed: %" in answer.text


def test_a_name_known_already_is_refused(base, browser, name):
    assert browser.post(base, {"name": "sol prot x", "analyte": "CP"}).status_code == 422


def test_two_editors_of_one_name_both_see_both(base, browser, name):
    seen = {"was_name": "sol prot x", "was_analyte": "SP", "was_unit": "%", "was_basis": "CP"}
    form = {"name": "sol prot x", "analyte": "SP", "unit": "%", "basis": "CP"}
    assert browser.post(name, seen | form | {"basis": "DM"}).status_code == 303
    assert browser.post(name, seen | form | {"analyte": "CP", "basis": ""}).status_code == 409


@pytest.mark.parametrize(("who", "status"), [("viewer", 403), ("crew", 403), ("stranger", 404)])
def test_only_those_who_may_edit_samples_teach_names(site, base, name, who, status):
    other = site.as_(who)
    form = {"name": "other", "analyte": "CP"}
    for path in (base, name, f"{name}/remove", f"{name}/restore"):
        assert other.post(path, form).status_code == status, path
