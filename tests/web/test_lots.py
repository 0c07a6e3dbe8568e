"""Lots over HTTP: entries, corrections, questions."""

from __future__ import annotations

from sqlalchemy import event

from app.records.feeds import Feed
from app.services import lots
from tests.builders.feed import BUNKER, add_lot

WEIGHED = {"method": "weight", "measured_on": "2027-04-10", "mass_af_kg": "300", "dm_frac": "38"}
FED = {"from_on": "2027-04-20", "to_on": "2027-04-29", "mass_af_kg": "50", "thrown_af_kg": "2"}


def root(site) -> str:
    return f"/farms/{site.farm_id}/lots"


def a_lot(site, store=None) -> str:
    return f"{root(site)}/{site.do(lambda work: add_lot(work, site.farm_id, store)[0].id)}"


def now(site):
    return site.do(lambda work: lots.list_lots_on_hand(work, site.farm_id))[0]


def test_a_lot_is_added_measured_and_fed_out_without_javascript(site):
    owner = site.as_("owner")
    assert "No lots on hand" in owner.get(root(site)).text
    owner.post(f"/farms/{site.farm_id}/feeds/new", {"name": "Haylage", "kind": "haylage"})
    lot = owner.post(f"{root(site)}/new", {"name": "Old pile", "feed_id": "1", "dm_frac": "38"})
    assert lot.status_code == 303
    one = lot.headers["location"]
    assert "Nothing was measured or weighed yet" in owner.get(one).text
    assert owner.post(f"{one}/measurements", WEIGHED).status_code == 303
    assert owner.post(f"{one}/feedouts", FED).status_code == 303
    page = owner.get(one).text
    assert "250" in page  # 300 t weighed less 50 t fed since
    assert "4.0\u00a0%" in page  # 2 of 50 t thrown away
    assert "250\u00a0t as fed" in owner.get(f"{root(site)}/_table").text


def test_sizes_are_asked_for_by_the_structures_kind(site):
    crew = site.as_("crew")
    one = a_lot(site, BUNKER)
    page = crew.get(one).text
    assert "Length left, face to the far end" in page
    assert 'name="bales_count"' not in page
    assert 'name="bales_count"' not in crew.get(f"{one}?by=weight").text
    sizes = {"method": "sizes", "measured_on": "2027-05-09", "length_m": "100", "height_m": "12", "density_kg_m3": "15"}
    assert crew.post(f"{one}/measurements", sizes).status_code == 303
    assert round(now(site).mass_dm.value / 907.18474, 1) == 295.2  # exact solid at 15 lb, worked example
    assert "295" in crew.get(f"{one}/_figures").text


def test_sizes_that_cannot_be_come_back_with_what_was_typed(site):
    one = a_lot(site, BUNKER)
    sizes = {"method": "sizes", "measured_on": "2027-05-09", "length_m": "20", "height_m": "12", "note": "by tape"}
    refused = site.as_("crew").post(f"{one}/measurements", sizes)
    assert refused.status_code == 422
    assert "too short" in refused.text
    assert "by tape" in refused.text
    assert not now(site).mass_dm.known


def test_moisture_and_fractions_are_asked_about_and_taken_when_right(site):
    owner, one = site.as_("owner"), a_lot(site)
    asked = owner.post(f"{one}/measurements", WEIGHED | {"dm_frac": "62"})
    assert asked.status_code == 422
    assert "looks like moisture" in asked.text
    fraction = owner.post(f"{one}/measurements", WEIGHED | {"dm_frac": "0.38"})
    assert "meant as a fraction" in fraction.text
    assert owner.post(f"{one}/measurements", WEIGHED | {"dm_frac": "62", "sure": "yes"}).status_code == 303


def test_pounds_for_tons_and_days_ahead_are_caught(site):
    crew, one = site.as_("crew"), a_lot(site)
    pounds = crew.post(f"{one}/loads", {"loaded_on": "2026-05-27", "mass_af_kg": "24800"})
    assert pounds.status_code == 422
    assert "Was it typed in lb?" in pounds.text
    ahead = crew.post(f"{one}/loads", {"loaded_on": "2027-05-27", "mass_af_kg": "12", "sure": "yes"})
    assert ahead.status_code == 422
    assert "still to come" in ahead.text


def test_a_reading_is_corrected_taken_back_and_put_back(site):
    crew, one = site.as_("crew"), a_lot(site)
    crew.post(f"{one}/measurements", WEIGHED)
    entry = f"{root(site)}/measurements/1"
    assert 'value="300"' in crew.get(entry).text
    form = {name: value for name, value in WEIGHED.items() if name != "method"}
    seen = {f"was_{name}": value for name, value in form.items()}
    assert crew.post(entry, form | seen | {"mass_af_kg": "280"}).status_code == 303
    assert "corrected" in crew.get(one).text
    clash = site.as_("owner").post(entry, form | seen | {"mass_af_kg": "290"})
    assert clash.status_code == 409
    assert "280" in clash.text
    assert "290" in clash.text
    assert crew.post(f"{entry}/withdraw").status_code == 303
    assert "was taken back" in crew.get(one).text
    assert crew.post(f"{entry}/restore").status_code == 303
    assert round(now(site).mass_af.value / 907.18474) == 280


def test_the_same_form_sent_twice_counts_once(site):
    crew, one = site.as_("crew"), a_lot(site)
    crew.post(f"{one}/measurements", WEIGHED)
    for _again in range(2):
        crew.post(f"{one}/feedouts", FED | {"once": "one-sending"})
    assert round(now(site).mass_af.value / 907.18474) == 250


def test_loads_and_feed_out_are_corrected_and_taken_back_too(site):
    crew, one = site.as_("crew"), a_lot(site)
    crew.post(f"{one}/loads", {"loaded_on": "2026-05-27", "mass_af_kg": "100"})
    assert "100.0" in crew.get(one).text
    assert crew.get(f"{root(site)}/loads/1").status_code == 200
    fixed = crew.post(f"{root(site)}/loads/1", {"loaded_on": "2026-05-27", "mass_af_kg": "120", "sure": "yes"})
    assert fixed.status_code == 303
    crew.post(f"{one}/feedouts", FED | {"mass_af_kg": "10"})
    assert crew.get(f"{root(site)}/feedouts/1").status_code == 200
    assert crew.post(f"{root(site)}/feedouts/1/withdraw").status_code == 303
    assert crew.post(f"{root(site)}/feedouts/1/restore").status_code == 303
    assert crew.post(f"{root(site)}/loads/1/withdraw").status_code == 303
    assert crew.post(f"{root(site)}/loads/1/restore").status_code == 303


def test_a_lot_is_changed_removed_and_brought_back(site):
    owner, one = site.as_("owner"), a_lot(site)
    form = {"name": "Lot in the yard", "feed_id": "1", "dm_frac": "38", "sealed_on": "2026-05-28"}
    seen = {f"was_{name}": value for name, value in form.items()}
    assert owner.post(f"{one}/edit", form | seen | {"use_class": "dry"}).status_code == 303
    clash = owner.post(f"{one}/edit", form | seen | {"was_use_class": "", "use_class": "milking"})
    assert clash.status_code == 409
    wrong = owner.post(f"{one}/edit", form | {"opened_on": "2026-05-01"})
    assert wrong.status_code == 422
    assert "before it was sealed" in wrong.text
    assert owner.post(f"{one}/remove").status_code == 303
    assert owner.get(one).status_code == 404
    assert owner.post(f"{one}/restore").status_code == 303
    assert owner.get(one).status_code == 200


def test_wrong_roles_and_strangers_are_turned_away(site):
    one = a_lot(site)
    site.as_("crew").post(f"{one}/measurements", WEIGHED)
    assert site.as_("viewer").post(f"{one}/measurements", WEIGHED).status_code == 403
    assert site.as_("crew").get(f"{one}/edit").status_code == 403
    assert site.as_("stranger").get(one).status_code == 404
    assert site.as_("stranger").post(f"{root(site)}/measurements/1/withdraw").status_code == 404
    other = f"/farms/{site.other_id}/lots/measurements/1"
    assert site.as_("stranger").get(other).status_code == 404
    assert "Note what is left" not in site.as_("viewer").get(one).text


def test_pages_of_lots_speak_spanish(site):
    owner, one = site.as_("owner"), a_lot(site, BUNKER)
    owner.post("/account/choose", {"language": "es"})
    page = owner.get(one).text
    assert "Anotar lo que queda" in page
    assert "if known" not in page


def test_pages_of_feed_in_store_ask_the_database_no_oftener_for_more_lots(site):
    """Fifteen reads at most, whether there is one lot or a dozen."""
    owner, counts = site.as_("owner"), []
    first = a_lot(site, BUNKER)
    for number in range(11):
        store = {**BUNKER, "name": f"Bunker {number + 10}"}
        site.do(lambda work, store=store: add_lot(work, site.farm_id, store, work.session.get(Feed, 1)))
    engine, farm = site.app.state.database.engine, f"/farms/{site.farm_id}"
    event.listen(engine, "before_cursor_execute", lambda *call: counts.append(call[2]))
    for path in (root(site), first, f"{farm}/structures", f"{farm}/structures/1", f"{farm}/supplies"):
        counts.clear()
        assert owner.get(path).status_code == 200
        reads = [sql for sql in counts if sql.lstrip().upper().startswith(("SELECT", "WITH"))]
        assert len(reads) <= 15, path
