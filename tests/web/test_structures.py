"""Structures over HTTP."""

from __future__ import annotations

BUNKER = {
    "kind": "bunker",
    "name": "Bunker 2",
    "length_m": "100",
    "width_m": "40",
    "wall_height_m": "12",
    "ramps_count": "1",
    "end_slope": "3",
}


def root(site) -> str:
    return f"/farms/{site.farm_id}/structures"


def add(browser, site, **more):
    answer = browser.post(f"{root(site)}/new", BUNKER | more)
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def test_a_structure_is_added_without_javascript_and_says_what_it_holds(site):
    """39,360 cu ft at the default 15 lb: 295 t DM (exact solid, worked example)."""
    owner = site.as_("owner")
    assert "No structures yet" in owner.get(root(site)).text
    assert "Drive-over pile" in owner.get(f"{root(site)}/new").text
    form = owner.get(f"{root(site)}/new?kind=bunker").text
    assert 'name="wall_height_m"' in form
    assert 'name="bale_width_m"' not in form
    page = owner.get(add(owner, site)).text
    assert "295" in page
    assert "39,360" in page
    assert "The face can fall" in page


def test_with_javascript_the_browser_is_sent_on(site):
    answer = site.as_("owner").post(f"{root(site)}/new", BUNKER, htmx=True)
    assert answer.status_code == 204
    assert "/structures/" in answer.headers["HX-Redirect"]


def test_a_pile_too_high_for_its_base_comes_back_with_everything_typed(site):
    pile = {"kind": "pile", "name": "Pile", "length_m": "200", "width_m": "72", "peak_height_m": "13"}
    refused = site.as_("owner").post(f"{root(site)}/new", pile)
    assert refused.status_code == 422
    assert "too high for this base" in refused.text
    assert 'value="72"' in refused.text
    assert 'value="pile"' in refused.text
    assert "No structures yet" in site.as_("owner").get(root(site)).text


def test_metres_typed_for_feet_are_asked_about_and_taken_when_right(site):
    owner = site.as_("owner")
    asked = owner.post(f"{root(site)}/new", BUNKER | {"wall_height_m": "3.6"})
    assert asked.status_code == 422
    assert "Yes, this is right" in asked.text
    assert owner.post(f"{root(site)}/new", BUNKER | {"wall_height_m": "3.6", "sure": "yes"}).status_code == 303


def test_two_editors_merge_and_the_same_size_shows_both(site):
    owner, other = site.as_("owner"), site.as_("nutritionist")
    one = add(owner, site)
    form = {name: value for name, value in BUNKER.items() if name != "kind"}
    seen = {f"was_{name}": value for name, value in form.items()}
    assert owner.post(one, form | seen | {"length_m": "110"}).status_code == 303
    assert other.post(one, form | seen | {"width_m": "42"}).status_code == 303
    clash = other.post(one, form | seen | {"length_m": "120"})
    assert clash.status_code == 409
    assert "110" in clash.text
    assert "120" in clash.text


def test_a_structure_is_marked_for_the_coming_cutting_and_unmarked(site):
    owner = site.as_("owner")
    one = add(owner, site)
    assert owner.post(f"{one}/fills-next", {"fills_next": "yes"}).status_code == 303
    assert "Takes it" in owner.get(one).text
    owner.post(f"{one}/fills-next", {"fills_next": "no"})
    assert "Not meant for it" in owner.get(one).text


def test_removing_is_undone_not_confirmed(site):
    owner = site.as_("owner")
    one = add(owner, site)
    assert owner.post(f"{one}/remove").status_code == 303
    assert owner.get(one).status_code == 404
    assert "Undo" in owner.get(root(site)).text
    assert owner.post(f"{one}/restore").status_code == 303
    assert owner.get(one).status_code == 200


def test_an_overfilled_bunker_and_a_steep_pile_carry_their_cautions(site):
    owner = site.as_("owner")
    assert "licensed engineer" in owner.get(add(owner, site, peak_height_m="14")).text
    steep = {"kind": "pile", "name": "Pile", "length_m": "200", "width_m": "80", "peak_height_m": "10",
             "side_slope": "2", "end_slope": "3"}  # fmt: skip
    page = owner.get(owner.post(f"{root(site)}/new", steep).headers["location"]).text
    assert "too steep to drive" in page


def test_wrong_roles_and_strangers_are_turned_away(site):
    one = add(site.as_("owner"), site)
    assert site.as_("crew").post(one, BUNKER).status_code == 403
    assert site.as_("viewer").get(f"{root(site)}/new").status_code == 403
    assert site.as_("viewer").get(one).status_code == 200
    assert site.as_("stranger").get(one).status_code == 404
    assert site.as_("stranger").post(one, BUNKER).status_code == 404


def test_the_drawing_has_a_table_behind_it_and_speaks_spanish(site):
    owner = site.as_("owner")
    add(owner, site)
    assert "<svg" in owner.get(root(site)).text
    assert "<table" in owner.get(f"{root(site)}/_drawn").text
    owner.post("/account/choose", {"language": "es"})
    page = owner.get(root(site)).text
    assert "Estructuras" in page
    assert "Structures" not in page
