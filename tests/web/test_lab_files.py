"""Lab files over HTTP: send or paste, look, answer, store; never half."""

import pytest

from app.services import samples
from tests.builders.lab import add_lots, lab_csv

ORIGIN = {"Origin": "http://swathboard.test"}
MIXED = (
    "Bunker 1,A1,2027-05-03,North,DM,42,%,AR,NIR,,",
    "Bunker 1,A1,2027-05-03,North,Crude protein,8.4,%,,NIR,,",
    "Bunker 1,A1,2027-05-03,North,ADF,30,%,DM,NIR,,",
    "Bunker 1,A1,2027-05-03,North,NDF,400,,,NIR,,",
)


@pytest.fixture
def lot(site):
    return site.do(lambda work: add_lots(work, site.farm_id, "Bunker 1", "Bag 2")[0])


@pytest.fixture
def base(site):
    return f"/farms/{site.farm_id}/lab-files"


@pytest.fixture
def browser(site):
    return site.as_("nutritionist")


def send(browser, base, *rows, body=None, **head):
    files = {"file": ("report.csv", lab_csv(*rows) if body is None else body)}
    return browser._call("POST", f"{base}/new", files=files, data=head, headers=ORIGIN)


def quality(site, lot):
    return site.do(lambda work: samples.lot_quality(work, site.farm_id)).get(lot)


def test_a_mixed_file_is_looked_at_and_then_stored(site, lot, base, browser):
    preview = send(browser, base, *MIXED).headers["location"]
    page = browser.get(preview).text
    assert ("divided by the sample" in page and "As g/kg it lies" in page) or "Usual as" in page
    assert "20.0\u00a0%" in page and quality(site, lot) is None
    stored = browser.post(f"{preview}/take")
    assert stored.status_code == 303 and stored.headers["location"] == f"/farms/{site.farm_id}/samples/lots/{lot}"
    found = quality(site, lot)
    assert (found.cp.mean, found.ndf.mean) == (pytest.approx(0.20), pytest.approx(0.40))
    assert browser.get(preview).status_code == 404


def test_a_guess_changed_while_storing_is_shown_before_it_is_stored(site, lot, base, browser):
    preview = send(browser, base, *MIXED).headers["location"]
    answer = browser.post(f"{preview}/take", {"basis_1": "DM", "sure": "yes"})
    assert answer.status_code == 303 and answer.headers["location"] == preview and quality(site, lot) is None
    assert "looks as received" in browser.get(preview).text
    assert browser.post(f"{preview}/take", {"basis_1": "DM"}).status_code == 422
    assert browser.post(f"{preview}/take", {"basis_1": "DM", "sure": "yes"}).status_code == 303
    assert quality(site, lot).cp.mean == pytest.approx(0.084)


def test_an_open_question_keeps_everything_out(site, lot, base, browser):
    preview = send(browser, base, *MIXED, "Bag 9,B1,2027-05-03,North,Wibble,3,,,,,").headers["location"]
    page = browser.get(preview).text
    assert 'name="place_1"' in page and 'name="name_0"' in page and "Store these results" not in page
    assert browser.post(f"{preview}/take").status_code == 422 and quality(site, lot) is None
    answers = {"place_1": f"lot-{lot + 1}", "name_0": "-", "remember_0": "no"}
    assert browser.post(preview, answers).status_code == 303
    assert browser.post(f"{preview}/take").status_code == 303 and quality(site, lot).samples_count == 1


def test_a_pasted_report_is_stored_after_the_look(site, lot, base, browser):
    form = {"of": f"lot-{lot}", "sampled_on": "2027-05-03", "text": "DM 42 % AR\nCP 20.5 % DM\nNDF 40 % DM"}
    preview = browser.post(f"{base}/paste", form).headers["location"]
    assert browser.post(f"{preview}/take").status_code == 303
    assert quality(site, lot).cp.mean == pytest.approx(0.205)


def test_a_refused_paste_keeps_what_was_typed(site, lot, base, browser):
    answer = browser.post(
        f"{base}/paste", {"of": f"lot-{lot}", "lab": "North lab", "sampled_on": "soon", "text": "CP 20"}
    )
    assert answer.status_code == 422 and "CP 20" in answer.text and 'value="North lab"' in answer.text
    assert f'<option value="lot-{lot}" selected>' in answer.text
    assert browser.post(f"{base}/paste", {"text": " "}).status_code == 422


@pytest.mark.parametrize("body", [b"", b"a,b\n1,2\n"])
def test_what_is_no_lab_table_is_refused_in_words(site, lot, base, browser, body):
    answer = send(browser, base, body=body)
    assert answer.status_code == 422 and 'role="alert"' in answer.text


def test_the_same_sending_twice_stores_once(site, lot, base, browser):
    preview = send(browser, base, *MIXED).headers["location"]
    for _ in range(2):
        browser.post(f"{preview}/take", {"once": "same-key"})
    assert quality(site, lot).samples_count == 1


@pytest.mark.parametrize(("who", "status"), [("viewer", 403), ("crew", 403), ("stranger", 404)])
def test_only_those_who_may_edit_samples_bring_in_files(site, lot, base, browser, who, status):
    preview = send(browser, base, *MIXED).headers["location"]
    other = site.as_(who)
    assert send(other, base, *MIXED).status_code == status
    for path, form in ((f"{base}/paste", {"text": "CP 20"}), (preview, {"basis_1": "DM"}), (f"{preview}/take", {})):
        assert other.post(path, form).status_code == status, path
    assert other.get(preview).status_code == status and quality(site, lot) is None
