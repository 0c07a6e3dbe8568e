"""Groups, their head and their shares over time."""

from datetime import date

import pytest

from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.services import farms, herds
from app.units.quantities import KG_PER_LB
from tests.builders.herd import add_feed, add_group, group_values

TODAY = date(2027, 5, 10)


@pytest.fixture
def farm_id(team):
    return team.farm.id


def line(work, farm_id, place=0):
    values = farms.values_of(work, farm_id)
    return herds.line_of(herds.list_groups(work, farm_id)[place], herds.feed_names(work, farm_id), values, TODAY)


def test_a_group_shows_its_head_and_share_of_today_and_what_changes(work, farm_id):
    feed = add_feed(work, farm_id)
    group = add_group(work, farm_id, feed, 0.25)
    herds.add_head_change(work, farm_id, group.id, {"from_on": date(2027, 5, 1), "head_count": 190})
    herds.add_head_change(work, farm_id, group.id, {"from_on": date(2027, 6, 1), "head_count": 170})
    herds.add_inclusion(work, farm_id, group.id, {"feed_id": feed.id, "from_on": date(2027, 6, 1), "share_frac": 0.2})
    found = line(work, farm_id)
    assert (found.head, found.fed) == (190, (("Haylage", 0.25),))
    assert [step.value for step in found.heads] == [190, 170]
    assert [(step.value, step.in_force) for step in found.shares["Haylage"]] == [(0.25, True), (0.2, False)]
    assert found.intake.eaten.value == pytest.approx(50 * KG_PER_LB)


def test_an_intake_by_equation_needs_its_inputs_and_a_fitting_class(work, farm_id):
    with pytest.raises(Invalid) as refused:
        herds.add_group(work, farm_id, group_values(intake_method="nasem_cow", milk_kg=40.0))
    wanted = {"body_weight_kg", "fat_frac", "protein_frac", "days_in_milk_d", "multiparous_frac"}
    assert set(refused.value.fields) == wanted
    with pytest.raises(Invalid) as refused:
        herds.add_group(work, farm_id, group_values(use_class="dry", intake_method="milk_holstein", milk_kg=40.0))
    assert "Dry cows" in str(refused.value.fields["intake_method"])


def test_shares_of_a_group_never_make_more_than_the_diet_on_any_day(work, farm_id):
    haylage, corn = add_feed(work, farm_id), add_feed(work, farm_id, "Corn silage", "corn_silage")
    group = add_group(work, farm_id, haylage, 0.6, from_on=date(2027, 1, 1))
    with pytest.raises(Invalid) as refused:
        step = {"feed_id": corn.id, "from_on": date(2026, 6, 1), "share_frac": 0.5}
        herds.add_inclusion(work, farm_id, group.id, step)
    assert "1.1" in str(refused.value.fields["share_frac"])


def test_one_day_has_one_line(work, farm_id):
    feed = add_feed(work, farm_id)
    group = add_group(work, farm_id, feed, 0.25)
    with pytest.raises(Invalid) as refused:
        step = {"feed_id": feed.id, "from_on": date(2026, 1, 1), "share_frac": 0.3}
        herds.add_inclusion(work, farm_id, group.id, step)
    assert "from_on" in refused.value.fields


def test_a_feed_of_another_farm_cannot_be_fed(work, team, farm_id):
    theirs = add_feed(work, team.other.id)
    group = add_group(work, farm_id)
    with pytest.raises(Invalid):
        step = {"feed_id": theirs.id, "from_on": TODAY, "share_frac": 0.2}
        herds.add_inclusion(work, farm_id, group.id, step)


def test_two_people_on_different_fields_both_win_and_on_the_same_field_see_both(work, farm_id):
    group = add_group(work, farm_id)
    was = {"head_count": 200, "milk_kg": None}
    herds.edit_group(work, farm_id, group.id, {"head_count": 210, "milk_kg": None}, was)
    herds.edit_group(work, farm_id, group.id, {"head_count": 200, "milk_kg": 30.0}, was)
    assert (group.head_count, group.milk_kg) == (210, 30.0)
    with pytest.raises(Conflict) as both:
        herds.edit_group(work, farm_id, group.id, {"head_count": 190}, was)
    assert both.value.fields["head_count"] == (210, 190)


def test_what_is_taken_off_can_be_put_back(work, farm_id):
    feed = add_feed(work, farm_id)
    group = add_group(work, farm_id, feed, 0.25)
    step = line(work, farm_id).shares["Haylage"][0]
    herds.remove_inclusion(work, farm_id, step.id)
    assert line(work, farm_id).fed == ()
    values = farms.values_of(work, farm_id)
    (gone,) = herds.group_page(work, farm_id, group.id, values, TODAY).removed
    assert (gone.feed, gone.value, gone.from_on) == ("Haylage", 0.25, date(2026, 1, 1))
    herds.put_back(work, farm_id, group.id, gone.seq)
    assert line(work, farm_id).fed == (("Haylage", 0.25),)
    assert herds.group_page(work, farm_id, group.id, values, TODAY).removed == ()
    herds.remove_group(work, farm_id, group.id)
    assert herds.list_groups(work, farm_id) == []
    herds.restore_group(work, farm_id, group.id)
    assert line(work, farm_id).fed == (("Haylage", 0.25),)


def test_head_counts_can_be_changed_taken_off_and_put_back(work, farm_id):
    group = add_group(work, farm_id)
    row = herds.add_head_change(work, farm_id, group.id, {"from_on": TODAY, "head_count": 150})
    herds.edit_head_change(work, farm_id, row.id, {"head_count": 160}, {"head_count": 150})
    assert line(work, farm_id).head == 160
    herds.remove_head_change(work, farm_id, row.id)
    assert line(work, farm_id).head == 200
    (gone,) = herds.group_page(work, farm_id, group.id, farms.values_of(work, farm_id), TODAY).removed
    herds.put_back(work, farm_id, group.id, gone.seq)
    assert line(work, farm_id).head == 160


def test_strangers_find_nothing_and_the_crew_may_not_change_the_herd(work, team, farm_id):
    group = add_group(work, farm_id)
    with pytest.raises(NotFound):
        herds.edit_group(team.acts(work, "stranger"), farm_id, group.id, {"head_count": 1})
    for role in ("crew", "viewer", "agronomist"):
        with pytest.raises(NotAllowed):
            herds.edit_group(team.acts(work, role), farm_id, group.id, {"head_count": 1})
    with pytest.raises(NotFound):
        herds.put_back(work, farm_id, group.id, 999)
