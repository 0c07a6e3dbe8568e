"""The list of feeds over HTTP."""

from __future__ import annotations

HAY = {"name": "Alfalfa hay", "kind": "hay", "dm_frac": "87", "price_usd_kg_dm": "210"}


def root(site) -> str:
    return f"/farms/{site.farm_id}/feeds"


def test_a_feed_is_added_changed_removed_and_brought_back(site):
    owner = site.as_("owner")
    assert "No feeds yet" in owner.get(root(site)).text
    assert owner.post(f"{root(site)}/new", HAY).status_code == 303
    assert "87.0\u00a0%" in owner.get(root(site)).text
    seen = {f"was_{name}": value for name, value in HAY.items()}
    assert owner.post(f"{root(site)}/1", HAY | seen | {"dm_frac": "88"}).status_code == 303
    assert owner.post(f"{root(site)}/1", HAY | seen | {"dm_frac": "86"}).status_code == 409
    assert owner.post(f"{root(site)}/1/remove").status_code == 303
    assert "Undo" in owner.get(root(site)).text
    assert owner.post(f"{root(site)}/1/restore").status_code == 303


def test_what_cannot_be_comes_back_with_everything_typed(site):
    refused = site.as_("owner").post(f"{root(site)}/new", HAY | {"dm_frac": "870"})
    assert refused.status_code == 422
    assert 'value="Alfalfa hay"' in refused.text


def test_wrong_roles_and_strangers_are_turned_away(site):
    assert site.as_("crew").post(f"{root(site)}/new", HAY).status_code == 403
    assert site.as_("viewer").get(root(site)).status_code == 200
    assert site.as_("stranger").get(root(site)).status_code == 404
