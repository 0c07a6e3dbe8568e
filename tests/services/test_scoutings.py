"""Scoutings: what may be typed, and corrections that keep the first reading."""

from datetime import date

import pytest

from app.errors import Conflict, Invalid, NotAllowed, NotFound, Unsure
from app.records.scoutings import Scouting
from app.services import scoutings
from app.units.quantities import HA_PER_ACRE
from tests.builders.crops import WALK, a_field, a_scouting, spots

TODAY = date(2027, 5, 10)
HEAD = {"scouted_on": "2027-05-10", "cutting": "1"}


@pytest.fixture
def field(work, team):
    return a_field(work, team.farm.id)


def read(system="us", sure=False, count=5, **typed):
    return scoutings.read_scouting(HEAD | typed, count, system, TODAY, sure)


def test_rows_left_empty_are_left_out():
    values, rows = read(stage_1="bud", height_cm_1="28", stage_4="flower", height_cm_4="30.5")
    assert values["scouted_on"] == TODAY
    assert [(row["stage"], round(row["height_cm"] / 2.54, 6)) for row in rows] == [("bud", 28), ("flower", 30.5)]


def test_a_height_without_its_stage_is_named_with_its_spot():
    with pytest.raises(Invalid) as refused:
        read(height_cm_2="28", stage_3="bud")
    assert sorted(refused.value.fields) == ["height_cm_3", "stage_2"]


def test_no_spot_at_all_is_refused():
    with pytest.raises(Invalid) as refused:
        read()
    assert list(refused.value.fields) == ["stage_1"]


def test_a_height_in_centimetres_typed_as_inches_is_asked_about():
    with pytest.raises(Unsure) as asked:
        read(stage_1="bud", height_cm_1="70")
    assert asked.value.fields["height_cm_1"].figures["unit"].text == "cm"
    with pytest.raises(Unsure) as asked:
        read("metric", stage_1="bud", height_cm_1="28")
    assert asked.value.fields["height_cm_1"].figures["unit"].text == "in"
    assert read(sure=True, stage_1="bud", height_cm_1="70")[1][0]["height_cm"] == pytest.approx(177.8)


@pytest.mark.parametrize("inches", ["15", "41"])
def test_heights_outside_the_published_table_are_asked_about(inches):
    with pytest.raises(Unsure):
        read(stage_1="bud", height_cm_1=inches)


def test_a_height_no_stem_has_is_refused():
    with pytest.raises(Invalid):
        read(stage_1="bud", height_cm_1="120", sure=True)


@pytest.mark.parametrize("day", ["2028-05-10", "2026-05-10", "2027-05-11"])
def test_another_years_day_is_asked_about(day):
    with pytest.raises(Unsure) as asked:
        read(scouted_on=day, stage_1="bud", height_cm_1="28")
    assert "scouted_on" in asked.value.fields


def test_grass_typed_as_a_fraction_is_asked_about():
    with pytest.raises(Unsure) as asked:
        read(grass_ndf_frac="24", stage_1="bud", height_cm_1="28")
    assert "grass_ndf_frac" in asked.value.fields


def test_all_refusals_come_at_once():
    with pytest.raises(Invalid) as refused:
        read(scouted_on="soon", cutting="12", stage_1="bud", height_cm_1="tall")
    assert sorted(refused.value.fields) == ["cutting", "height_cm_1", "scouted_on"]


@pytest.mark.parametrize(("acres", "spots_count"), [(12, 5), (30, 5), (50, 7)])
def test_large_fields_take_more_spots(acres, spots_count):
    """Four or five, more above 30 ac [IowaState2006]; one for each further 10 ac is derived."""
    assert scoutings.spots_suggested(acres * HA_PER_ACRE) == spots_count


def test_a_day_to_come_is_refused_even_when_confirmed(work, team, field):
    with pytest.raises(Invalid):
        a_scouting(work, team.farm.id, field.id, scouted_on=date(2027, 5, 11))


def test_a_correction_is_a_new_row_and_the_first_is_kept(work, team, field):
    first = a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24)
    second = scoutings.correct_scouting(work, team.farm.id, first.id, WALK, spots(26, 26, 26, 26), WALK)
    rows = work.session.query(Scouting).order_by(Scouting.id).all()
    assert [(row.id, row.corrects_id) for row in rows] == [(first.id, None), (second.id, first.id)]
    assert scoutings.latest_reading(work, team.farm.id, first.id).id == second.id


def test_two_people_correcting_different_things_both_win(work, team, field):
    first = a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24)
    same = spots(24, 24, 24, 24)
    scoutings.correct_scouting(work, team.farm.id, first.id, WALK, spots(26, 26, 26, 26), WALK)
    last = scoutings.correct_scouting(work, team.farm.id, first.id, WALK | {"is_frosted": True}, same, WALK)
    assert last.is_frosted and [round(spot.height_cm / 2.54) for spot in last.spots] == [26] * 4


def test_two_people_correcting_the_same_thing_see_both(work, team, field):
    first = a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24)
    scoutings.correct_scouting(work, team.farm.id, first.id, WALK | {"cutting": 2}, spots(26, 26, 26, 26), WALK)
    with pytest.raises(Conflict) as conflict:
        scoutings.correct_scouting(work, team.farm.id, first.id, WALK | {"cutting": 3}, spots(26, 26, 26, 26), WALK)
    assert conflict.value.fields == {"cutting": (2, 3)}
    with pytest.raises(Conflict) as conflict:
        scoutings.correct_scouting(work, team.farm.id, first.id, WALK, spots(28, 28, 28, 28), WALK)
    assert "spots" in conflict.value.fields


def test_a_reading_taken_back_comes_again(work, team, field):
    first = a_scouting(work, team.farm.id, field.id)
    gone = scoutings.withdraw_scouting(work, team.farm.id, first.id)
    assert gone.is_withdrawn and gone.corrects_id == first.id
    assert scoutings.withdraw_scouting(work, team.farm.id, first.id).id == gone.id
    back = scoutings.withdraw_scouting(work, team.farm.id, first.id, withdrawn=False)
    assert not back.is_withdrawn and len(back.spots) == 5


def test_crew_may_scout_and_viewers_may_not(work, team, field):
    a_scouting(team.acts(work, "crew"), team.farm.id, field.id)
    with pytest.raises(NotAllowed):
        a_scouting(team.acts(work, "viewer"), team.farm.id, field.id)
    with pytest.raises(NotFound):
        a_scouting(team.acts(work, "stranger"), team.farm.id, field.id)
