"""What presses on a farm: each reason, when it begins to press, and when it does not."""

from datetime import date, timedelta

import pytest

from app.access.work import Clock, Work
from app.records.stations import Station
from app.services import board, checklists, decisions, fields
from app.services.attention import PRESSES, attention
from app.services.weather_files import store_days
from tests.builders.crops import a_field, a_scouting, a_stand
from tests.builders.herd import REFERENCE_DAY
from tests.builders.large_farm import plain_weather
from tests.builders.whole_board import STARTS_ON, fill_board


def on(work, day):
    return Work(work.session, work.actor, Clock(day))


def presses(work, farm_id):
    """Key -> (weight, sentence) of what presses today."""
    found = list(attention(board.board_page(work, farm_id), work.today("America/Chicago")))
    assert {each.key for each in found} <= PRESSES.keys()
    return {each.key: (each.weight, str(each.says)) for each in found}


@pytest.fixture
def spring(work, team):
    """1 May 2026: scouted two days ago, weather to yesterday, start agreed, list drawn, a question open."""
    then = on(work, REFERENCE_DAY)
    fill_board(then, team.farm.id)
    return then


def test_of_a_farm_on_its_way_only_the_question_presses(spring, team):
    assert presses(spring, team.farm.id) == {"questions": (2.0, "Questions to decide: 1.")}
    (asked,) = decisions.list_decisions(spring, team.farm.id).open
    decisions.remove_decision(spring, team.farm.id, asked.id)
    assert presses(spring, team.farm.id) == {}


def test_feed_presses_by_the_days_it_is_short(spring, team):
    """Sealed twenty days later than in the worked example: 15 days of carry-over become 5 days short."""
    checklists.agree_start(spring, team.farm.id, {"starts_on": STARTS_ON + timedelta(days=20)})
    weight, says = presses(spring, team.farm.id)["feed"]
    assert says == "Feed runs out 5 days before the new crop can be fed."
    assert weight == pytest.approx(25, abs=0.1)
    checklists.agree_start(spring, team.farm.id, {"starts_on": STARTS_ON + timedelta(days=16)})
    assert presses(spring, team.farm.id)["feed"][1] == "Feed runs out one day before the new crop can be fed."
    checklists.agree_start(spring, team.farm.id, {"starts_on": STARTS_ON + timedelta(days=15)})
    assert "feed" not in presses(spring, team.farm.id)


def test_a_feed_that_runs_out_sooner_presses_more(spring, team):
    weights = []
    for days in (18, 25, 40):
        checklists.agree_start(spring, team.farm.id, {"starts_on": STARTS_ON + timedelta(days=days)})
        weights.append(presses(spring, team.farm.id)["feed"][0])
    assert weights == sorted(weights) and len(set(weights)) == 3


def test_fields_past_their_target_press_and_the_longest_is_named(spring, team):
    """Forty inches in bloom are far past any target."""
    for name, inches in (("Second", 34), ("First", 40)):
        field = a_field(spring, team.farm.id, name=name)
        a_stand(spring, team.farm.id, field.id, seeded_on=date(2022, 4, 1))
        a_scouting(spring, team.farm.id, field.id, *(inches,) * 4, stage="flower", scouted_on=REFERENCE_DAY)
        if name == "Second":
            assert presses(spring, team.farm.id)["crop"] == (35.0, "Second is past its target.")
    weight, says = presses(spring, team.farm.id)["crop"]
    assert weight == 40.0 and says.startswith("2 fields are past their target; ")


@pytest.mark.parametrize(("days", "when"), [(0, "today"), (1, "tomorrow"), (21, "in 21 days"), (22, "")])
def test_a_missing_list_presses_from_three_weeks_before_the_start(work, team, days, when):
    then = on(work, REFERENCE_DAY)
    checklists.agree_start(then, team.farm.id, {"starts_on": REFERENCE_DAY + timedelta(days=days)})
    found = presses(then, team.farm.id).get("yard")
    assert found == ((25.0 - days, f"Cutting starts {when} and no list is drawn up.") if when else None)


def test_what_is_late_or_short_in_the_yard_presses_near_the_start(spring, team):
    """The yard of the worked example is short of packing weight; what is due a week before is late by then."""
    checklists.agree_start(spring, team.farm.id, {"starts_on": REFERENCE_DAY + timedelta(days=2)})
    yard = board.board_page(spring, team.farm.id).yard
    assert yard.late > 0 and yard.short > 0
    weight, says = presses(spring, team.farm.id)["yard"]
    assert says == f"Cutting starts in 2 days; items late: {yard.late}, items short: {yard.short}."
    assert weight == 23 + yard.late + 2 * yard.short


def test_a_start_that_is_over_presses_no_longer(spring, team):
    checklists.agree_start(spring, team.farm.id, {"starts_on": REFERENCE_DAY - timedelta(days=1)})
    assert not {"yard", "scouting"} & presses(spring, team.farm.id).keys()


def test_missing_weather_presses(work, team):
    assert presses(work, team.farm.id) == {"weather": (6.0, "No weather is on file.")}


@pytest.mark.parametrize(("old", "pressing"), [(4, False), (5, True)])
def test_weather_older_than_four_days_presses(work, team, old, pressing):
    today = date(2027, 5, 10)
    station = Station(farm_id=team.farm.id, name="Home", source="made up")
    work.session.add(station)
    work.session.flush()
    days = plain_weather(date(2025, 1, 1), today - timedelta(days=old))
    store_days(work, station, days, days)
    wanted = {"weather": (8.0, "The newest weather is 5 days old.")} if pressing else {}
    assert presses(work, team.farm.id) == wanted


def test_fields_not_scouted_press_two_weeks_before_the_start(spring, team):
    field = a_field(spring, team.farm.id, name="Unseen")
    checklists.agree_start(spring, team.farm.id, {"starts_on": REFERENCE_DAY + timedelta(days=15)})
    assert "scouting" not in presses(spring, team.farm.id)
    checklists.agree_start(spring, team.farm.id, {"starts_on": REFERENCE_DAY + timedelta(days=14)})
    assert presses(spring, team.farm.id)["scouting"] == (11.0, "1 of 4 fields have no scouting in ten days.")
    fields.remove_field(spring, team.farm.id, field.id)
    assert "scouting" not in presses(spring, team.farm.id)
    later = on(spring, REFERENCE_DAY + timedelta(days=9))
    assert presses(later, team.farm.id)["scouting"][1] == "3 of 3 fields have no scouting in ten days."
