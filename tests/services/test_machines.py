"""Machines feed the packing weight of the list."""

from __future__ import annotations

import pytest

from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.services import checklists, machines
from app.units.quantities import KG_PER_LB
from app.units.shapes import read
from tests.builders.yard import drawn_yard

TRACTOR = {"name": "Green", "kind": "packing_tractor", "weight_kg": 20_000 * KG_PER_LB, "share_frac": 0.5}


def packing(work, farm_id):
    return next(line for line in checklists.list_page(work, farm_id).lines if line.row.key == "packing-weight")


def test_a_packing_tractor_counts_for_the_hours_it_packs(work, team):
    drawn_yard(work, team.farm.id)
    green = machines.add_machine(work, team.farm.id, TRACTOR)
    assert packing(work, team.farm.id).have == pytest.approx(40_000 * KG_PER_LB)
    assert packing(work, team.farm.id).status == "open"
    machines.remove_machine(work, team.farm.id, green.id)
    assert packing(work, team.farm.id).have == pytest.approx(30_000 * KG_PER_LB)
    machines.restore_machine(work, team.farm.id, green.id)
    assert packing(work, team.farm.id).have == pytest.approx(40_000 * KG_PER_LB)


def test_a_packing_tractor_without_weight_is_refused(work, team):
    with pytest.raises(Invalid):
        machines.add_machine(work, team.farm.id, {"name": "Green", "kind": "packing_tractor"})


def test_a_weight_typed_in_tons_is_asked_about():
    asked = read(machines.MACHINE_SHAPE, {"name": "Green", "kind": "packing_tractor", "weight_kg": "900"}, "us")
    assert "weight_kg" in asked.asks
    refused = read(machines.MACHINE_SHAPE, {"name": "Green", "kind": "packing_tractor", "weight_kg": "18"}, "us")
    assert "weight_kg" in refused.errors


def test_two_people_on_one_machine(work, team):
    green = machines.add_machine(work, team.farm.id, TRACTOR)
    machines.edit_machine(work, team.farm.id, green.id, {"name": "Green one"}, {"name": "Green"})
    machines.edit_machine(work, team.farm.id, green.id, {"name": "Green", "share_frac": 0.75}, TRACTOR)
    assert (green.name, green.share_frac) == ("Green one", 0.75)
    with pytest.raises(Conflict):
        machines.edit_machine(work, team.farm.id, green.id, {"name": "Greener"}, {"name": "Green"})


def test_crew_sees_machines_and_strangers_do_not(work, team):
    green = machines.add_machine(work, team.farm.id, TRACTOR)
    assert [row.name for row in machines.list_machines(team.acts(work, "crew"), team.farm.id)] == ["Green"]
    with pytest.raises(NotAllowed):
        machines.edit_machine(team.acts(work, "crew"), team.farm.id, green.id, {"name": "x"})
    with pytest.raises(NotFound):
        machines.list_machines(team.acts(work, "stranger"), team.farm.id)
    with pytest.raises(NotFound):
        machines.restore_machine(team.acts(work, "stranger"), team.other.id, green.id)


def test_trucks_are_counted_by_what_one_brings_in_an_hour(work, team):
    """50 tons an hour from the chopper and trucks that bring 15 each: four, by plain division."""
    drawn_yard(work, team.farm.id)
    for name in ("One", "Two"):
        truck = {"name": name, "kind": "truck", "rate_kg_h": 15 * 907.18474}
        machines.add_machine(work, team.farm.id, truck)
    line = next(line for line in checklists.list_page(work, team.farm.id).lines if line.row.key == "haul-units")
    assert (line.need, line.have, line.short) == (4.0, 2.0, 2.0)
