"""Machines over HTTP."""

from __future__ import annotations

GREEN = {"name": "Green", "kind": "packing_tractor", "weight_kg": "40000", "share_frac": "75"}


def root(site) -> str:
    return f"/farms/{site.farm_id}/machines"


def first(site) -> int:
    from app.services import machines

    return site.do(lambda work: machines.list_machines(work, site.farm_id)[0].id)


def test_a_machine_is_added_changed_taken_off_and_put_back(site):
    owner = site.as_("owner")
    assert "No machines yet" in owner.get(root(site)).text
    assert owner.post(root(site), GREEN).status_code == 303
    assert "40,000\u00a0lb" in owner.get(root(site)).text
    one = f"{root(site)}/{first(site)}"
    seen = {f"was_{name}": value for name, value in GREEN.items()}
    assert owner.post(one, GREEN | seen | {"weight_kg": "42000"}).status_code == 303
    assert "42,000\u00a0lb" in owner.get(root(site)).text
    assert owner.post(f"{one}/remove").status_code == 303
    assert "Put back" in owner.get(root(site)).text
    assert owner.post(f"{one}/restore").status_code == 303
    assert "Green" in owner.get(f"{root(site)}/_table").text


def test_the_second_editor_of_a_machine_sees_both_values(site):
    owner = site.as_("owner")
    owner.post(root(site), GREEN)
    one = f"{root(site)}/{first(site)}"
    seen = {f"was_{name}": value for name, value in GREEN.items()}
    owner.post(one, GREEN | seen | {"weight_kg": "42000"})
    clash = site.as_("consultant").post(one, GREEN | seen | {"weight_kg": "44000"})
    assert clash.status_code == 409
    assert "42000" in clash.text
    assert "44000" in clash.text


def test_an_unlikely_weight_is_asked_about_and_taken_when_it_is_right(site):
    owner = site.as_("owner")
    asked = owner.post(root(site), GREEN | {"weight_kg": "90000"})
    assert asked.status_code == 422
    assert "Is it right?" in asked.text
    assert 'value="90000"' in asked.text
    assert owner.post(root(site), GREEN | {"weight_kg": "90000", "sure": "yes"}).status_code == 303


def test_a_packing_tractor_without_its_weight_is_refused_with_the_rest_kept(site):
    refused = site.as_("owner").post(root(site), GREEN | {"weight_kg": ""})
    assert refused.status_code == 422
    assert "needs its weight" in refused.text
    assert 'value="Green"' in refused.text


def test_crew_looks_and_strangers_do_not(site):
    site.as_("owner").post(root(site), GREEN)
    one = f"{root(site)}/{first(site)}"
    crew, stranger = site.as_("crew"), site.as_("stranger")
    assert "Green" in crew.get(root(site)).text
    assert crew.post(root(site), GREEN).status_code == 403
    for path in (one, f"{one}/remove", f"{one}/restore"):
        assert crew.post(path, GREEN).status_code == 403
        assert stranger.post(path, GREEN).status_code == 404
    assert stranger.get(root(site)).status_code == 404
