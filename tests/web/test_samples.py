"""Reports typed into a form: everything typed is kept, asked about where unlikely, and shown for the lot."""

import pytest

from app.services import samples
from tests.builders.lab import add_field, add_lots, head, lab_form, lines


@pytest.fixture
def lot(site):
    return site.do(lambda work: add_lots(work, site.farm_id, "Bunker 1", "Bag 2")[0])


@pytest.fixture
def base(site):
    return f"/farms/{site.farm_id}/samples"


@pytest.fixture
def browser(site):
    return site.as_("nutritionist")


def add(site, lot, **typed):
    return site.do(
        lambda work: samples.add_sample(work, site.farm_id, head(f"lot-{lot}"), lines(**typed), True).id, "nutritionist"
    )


def stored(site, lot):
    found = site.do(lambda work: samples.lot_quality(work, site.farm_id))
    return found.get(lot)


def seen(page_lines, **typed):
    """The form of a stored sample as it was opened, with what the person changed."""
    was = {f"was_value_{code}": line.written for code, line in page_lines.items()}
    now = {}
    for code, line in page_lines.items():
        now |= {f"value_{code}": line.text, f"unit_{code}": line.unit, f"basis_{code}": line.basis}
    return was | now | typed


def test_a_report_is_typed_and_shown_for_its_lot(site, lot, base, browser):
    """Rule 20-30-40 is relative feed value 152 by the published equation."""
    form = lab_form(f"lot-{lot}", value_DM="42", value_CP="8.4", basis_CP="AR", value_ADF="30", value_aNDF="40")
    answer = browser.post(f"{base}/new", form)
    assert answer.status_code == 303 and answer.headers["location"] == f"{base}/lots/{lot}"
    page = browser.get(f"{base}/lots/{lot}").text
    assert "20.0\u00a0%" in page and "152" in page and "One sample only" in page
    assert "20.0\u00a0%" in browser.get(base).text


def test_a_wrong_value_is_refused_with_everything_typed_kept(site, lot, base, browser):
    form = lab_form(
        f"lot-{lot}", value_CP="20.5", unit_CP="g/kg", value_aNDF="40", method_aNDF="NIR", note="face", lab="North"
    )
    answer = browser.post(f"{base}/new", form)
    assert answer.status_code == 422 and stored(site, lot) is None
    for kept in (
        'value="20.5"',
        '<option value="g/kg" selected>',
        '<option value="NIR" selected>',
        "face",
        'value="North"',
    ):
        assert kept in answer.text
    assert "As “%” it would be usual" in answer.text


def test_an_unlikely_value_is_asked_about_once(site, lot, base, browser):
    form = lab_form(f"lot-{lot}", value_DM="42", value_CP="8.4")
    asked = browser.post(f"{base}/new", form)
    assert asked.status_code == 422 and "looks as received" in asked.text and 'name="sure"' in asked.text
    assert browser.post(f"{base}/new", form | {"sure": "yes"}).status_code == 303


def test_a_day_to_come_and_a_missing_lot_are_refused(site, lot, base, browser):
    late = browser.post(f"{base}/new", lab_form(f"lot-{lot}", value_CP="20", sampled_on="2028-05-03"))
    assert late.status_code == 422 and "year right" in late.text
    assert browser.post(f"{base}/new", lab_form("", value_CP="20")).status_code == 422


def test_a_sample_of_a_standing_field_is_listed(site, base, browser):
    field = site.do(lambda work: add_field(work, site.farm_id, "North forty"))
    assert browser.post(f"{base}/new", lab_form(f"field-{field}", value_CP="20")).headers["location"] == base
    assert "Samples of standing crop" in browser.get(base).text


def test_two_editors_of_one_value_both_see_both(site, lot, base, browser):
    number = add(site, lot, DM="40 %", CP="20 % DM", aNDF="40 % DM")
    opened = site.do(lambda work: samples.sample_view(work, site.farm_id, number).lines)
    head_seen = {"of": f"lot-{lot}", "was_of": f"lot-{lot}", "sampled_on": "2027-05-03", "was_sampled_on": "2027-05-03"}
    assert browser.post(f"{base}/{number}", head_seen | seen(opened, value_CP="21")).status_code == 303
    other = site.as_("consultant")
    assert other.post(f"{base}/{number}", head_seen | seen(opened, value_aNDF="41")).status_code == 303
    lot_now = stored(site, lot)
    assert (lot_now.cp.mean, lot_now.ndf.mean) == (pytest.approx(0.21), pytest.approx(0.41))
    clash = other.post(f"{base}/{number}", head_seen | seen(opened, value_CP="19", value_aNDF="41"))
    assert clash.status_code == 409 and "21 % DM" in clash.text and "19 % DM" in clash.text
    again = head_seen | seen(opened, value_CP="19", value_aNDF="41", was_value_CP="21 % DM", was_value_aNDF="41 % DM")
    assert other.post(f"{base}/{number}", again | {"keep_value_CP": "theirs"}).status_code == 303
    assert stored(site, lot).cp.mean == pytest.approx(0.21)
    assert other.post(f"{base}/{number}", again | {"keep_value_CP": "mine"}).status_code == 303
    assert stored(site, lot).cp.mean == pytest.approx(0.19)


def test_the_form_of_a_sample_carries_what_was_seen(site, lot, base, browser):
    number = add(site, lot, CP="20 % DM")
    page = browser.get(f"{base}/{number}").text
    assert 'name="was_value_CP" value="20 % DM"' in page and f'name="was_of" value="lot-{lot}"' in page


def test_a_sample_moves_and_is_removed_and_comes_back(site, lot, base, browser):
    number = add(site, lot, CP="20 % DM")
    moved = lab_form(f"lot-{lot + 1}", value_CP="20")
    assert browser.post(f"{base}/{number}", moved).status_code == 303
    assert stored(site, lot) is None and stored(site, lot + 1).samples_count == 1
    assert browser.post(f"{base}/{number}", moved | {"of": "lot-99"}).status_code == 422
    assert browser.post(f"{base}/{number}/remove").status_code == 303
    assert "Undo" in browser.get(base).text and stored(site, lot + 1) is None
    part = browser.post(f"{base}/{number}/restore", htmx=True)
    assert part.status_code == 200 and part.text.lstrip().startswith('<div id="samples-list"')
    assert stored(site, lot + 1).samples_count == 1


def test_the_part_of_a_lot_is_one_element_named_like_its_event(site, lot, base, browser):
    add(site, lot, CP="20 % DM", NO3N="1600 ppm DM")
    part = browser.get(f"{base}/lots/{lot}/_of_lot").text.strip()
    assert part.startswith(f'<section id="samples-of_lot-{lot}" data-live="samples-of_lot-{lot}"')
    assert "veterinarian" in part


@pytest.mark.parametrize(("who", "status"), [("viewer", 403), ("crew", 403), ("agronomist", 403), ("stranger", 404)])
def test_only_those_who_may_edit_samples_do(site, lot, base, who, status):
    number = add(site, lot, CP="20 % DM")
    browser = site.as_(who)
    for path, form in (
        (f"{base}/new", lab_form(f"lot-{lot}", value_CP="20")),
        (f"{base}/{number}", lab_form(f"lot-{lot}", value_CP="21")),
        (f"{base}/{number}/remove", {}),
        (f"{base}/{number}/restore", {}),
    ):
        assert browser.post(path, form).status_code == status, path
    assert stored(site, lot).cp.mean == pytest.approx(0.20)
    assert browser.get(f"{base}/lots/{lot}").status_code == (404 if who == "stranger" else 200)


def test_a_viewer_reads_a_report_without_a_form(site, lot, base):
    number = add(site, lot, CP="20 % DM")
    page = site.as_("viewer").get(f"{base}/{number}").text
    assert "20 % DM" in page and 'name="value_CP"' not in page


def test_rows_of_another_farm_are_not_found(site, lot, base):
    theirs = site.do(lambda work: add_lots(work, site.other_id, "Theirs")[0])
    browser = site.as_("nutritionist")
    assert browser.get(f"{base}/lots/{theirs}").status_code == 404
    assert browser.post(f"{base}/new", lab_form(f"lot-{theirs}", value_CP="20")).status_code == 422


def test_the_list_asks_the_database_no_more_often_for_many_samples(site, lot, base, browser):
    from sqlalchemy import event

    counts = []
    engine = site.app.state.database.engine
    for _ in range(2):
        for _each in range(6):
            add(site, lot, DM="41 %", CP="20 % DM")
        asked = []
        listener = lambda *args, asked=asked: asked.append(args[2])
        event.listen(engine, "before_cursor_execute", listener)
        assert browser.get(base).status_code == 200 and browser.get(f"{base}/lots/{lot}").status_code == 200
        event.remove(engine, "before_cursor_execute", listener)
        counts.append(sum(1 for each in asked if each.lower().startswith("select")))
    assert counts[0] == counts[1] and counts[0] <= 30
