"""Byproducts and bought feed: on hand, due, keeping, and whether the herd eats a load in time."""

import math
from datetime import date

import pytest

from app.errors import Invalid, NotAllowed, NotFound, Unsure
from app.services import supplies
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON
from tests.builders.feed import add_feed

TON = KG_PER_SHORT_TON
TODAY = date(2027, 5, 10)


@pytest.fixture
def grains(work, team):
    feed = add_feed(work, team.farm.id, "Wet distillers grains", "byproduct", dm_frac=0.33)
    values = {"name": "Grains", "feed_id": feed.id, "on_hand_af_kg": 24 * TON, "counted_on": TODAY}
    return supplies.add_supply(work, team.farm.id, values)


def only(work, team, **more):
    (supply,) = supplies.list_supplies_on_hand(work, team.farm.id, **more)
    return supply


def deliver(work, team, supply, due_on, tons=25.0, **more):
    values = {"due_on": due_on, "mass_af_kg": tons * TON, **more}
    return supplies.add_delivery(work, team.farm.id, supply.id, values, sure=True)


def test_on_hand_and_due_are_counted_apart(work, team, grains):
    deliver(work, team, grains, date(2027, 5, 20))
    deliver(work, team, grains, date(2027, 5, 27))
    found = only(work, team)
    assert found.on_hand_af.value / TON == pytest.approx(24)
    assert found.on_hand_dm.value / TON == pytest.approx(24 * 0.33)
    assert found.due_af_kg / TON == pytest.approx(50)
    assert found.next_due.on == date(2027, 5, 20)


def test_a_received_delivery_is_on_hand_and_can_be_expected_again(work, team, grains):
    row = deliver(work, team, grains, TODAY)
    supplies.edit_supply(work, team.farm.id, grains.id, {"counted_on": date(2027, 5, 9)})
    supplies.receive_delivery(team.acts(work, "crew"), team.farm.id, row.id)
    assert only(work, team).on_hand_af.value / TON == pytest.approx(49)
    supplies.expect_again(work, team.farm.id, row.id)
    assert only(work, team).on_hand_af.value / TON == pytest.approx(24)


def test_a_count_holds_the_deliveries_before_it(work, team, grains):
    """Counted on the day it came: the count has it already, nothing is added twice."""
    row = deliver(work, team, grains, TODAY)
    supplies.receive_delivery(work, team.farm.id, row.id, TODAY)
    assert only(work, team).on_hand_af.value / TON == pytest.approx(24)


def test_wet_feed_past_its_days_is_named_and_not_counted(work, team, grains):
    """Five days is the farm's default within the published 5 to 10 cool ([Chase2026]_)."""
    supplies.edit_supply(work, team.farm.id, grains.id, {"counted_on": date(2027, 5, 5)})
    found = only(work, team)
    assert found.life_d == 5
    assert found.on_hand_af.value == 0
    assert found.batches[0].keeps_until == date(2027, 5, 9)
    assert "not counted on" in str(found.notes[0])


def test_dry_feed_keeps(work, team):
    feed = add_feed(work, team.farm.id, "Hulls", "byproduct", dm_frac=0.90)
    values = {"name": "Hulls", "feed_id": feed.id, "on_hand_af_kg": 24 * TON, "counted_on": date(2026, 12, 1)}
    supplies.add_supply(work, team.farm.id, values)
    found = only(work, team)
    assert math.isinf(found.life_d)
    assert found.on_hand_af.value / TON == pytest.approx(24)


def test_a_late_delivery_is_named(work, team, grains):
    deliver(work, team, grains, date(2027, 5, 3))
    assert any("not noted as received" in str(each) for each in only(work, team).notes)


def test_a_load_the_herd_eats_too_slowly_names_the_herd_it_takes(work, team, grains):
    """25 t for 200 cows at 20 lb last 12.5 days; at five days it takes 500 cows (derived from [Chase2026]_)."""
    check = supplies.check_load(only(work, team), 25 * TON, 200, 20 * KG_PER_LB)
    assert check.is_short
    assert check.lasts_d == pytest.approx(12.5)
    assert check.herd_needed == pytest.approx(500)


def test_a_load_the_herd_eats_in_time_is_fine(work, team, grains):
    assert not supplies.check_load(only(work, team), 25 * TON, 600, 20 * KG_PER_LB).is_short


def test_what_the_herd_eats_is_held_against_every_load(work, team, grains):
    feed_id = grains.feed_id
    slow = only(work, team, fed_dm_kg_d={feed_id: 24 * TON * 0.33 / 12})
    assert any("too slow" in str(each) for each in slow.notes)
    fast = only(work, team, fed_dm_kg_d={feed_id: 24 * TON * 0.33 / 4})
    assert not any("too slow" in str(each) for each in fast.notes)


def test_an_amount_typed_anew_was_counted_today(work, team, grains):
    supplies.edit_supply(work, team.farm.id, grains.id, {"counted_on": date(2027, 5, 1)})
    was = {"on_hand_af_kg": 24 * TON, "counted_on": date(2027, 5, 1)}
    typed = {"on_hand_af_kg": 10 * TON, "counted_on": date(2027, 5, 1)}
    supplies.edit_supply(work, team.farm.id, grains.id, typed, was)
    assert grains.counted_on == TODAY


def test_a_delivery_taken_off_can_be_put_back(work, team, grains):
    row = deliver(work, team, grains, date(2027, 5, 20))
    supply_id, kept = supplies.remove_delivery(work, team.farm.id, row.id)
    assert only(work, team).due_af_kg == 0
    supplies.add_delivery(work, team.farm.id, supply_id, kept, sure=True)
    assert only(work, team).due_af_kg == pytest.approx(25 * TON)


def test_pounds_moisture_and_a_past_day_are_asked_about(work, team, grains):
    farm_id = team.farm.id
    for values, column in (
        ({"due_on": date(2027, 6, 1), "mass_af_kg": 50_000 * TON}, "mass_af_kg"),
        ({"due_on": date(2027, 5, 1), "mass_af_kg": 25 * TON}, "due_on"),
    ):
        with pytest.raises(Unsure) as question:
            supplies.add_delivery(work, farm_id, grains.id, values)
        assert list(question.value.fields) == [column]


def test_shares_that_make_more_than_the_whole_are_refused(work, team, grains):
    with pytest.raises(Invalid):
        supplies.edit_supply(work, team.farm.id, grains.id, {"ndf_frac": 0.7, "cp_frac": 0.4})


def test_removing_is_undone(work, team, grains):
    supplies.remove_supply(work, team.farm.id, grains.id)
    assert supplies.list_supplies_on_hand(work, team.farm.id) == ()
    supplies.restore_supply(work, team.farm.id, grains.id)
    assert only(work, team).name == "Grains"


def test_strangers_and_crew_change_no_contract(work, team, grains):
    with pytest.raises(NotAllowed):
        deliver(team.acts(work, "crew"), team, grains, TODAY)
    with pytest.raises(NotFound):
        supplies.list_supplies_on_hand(team.acts(work, "stranger"), team.farm.id)
