"""A reading that was wrong is corrected by a later one; the first is kept, and two who correct it see each other."""

from datetime import date

import pytest

from app.errors import Conflict
from app.events.corrections import append_reading, corrected_fields, current_rows, last_rows, latest_of, merged
from app.records.fields import StandCount
from tests.builders.crops import a_field, a_stand


@pytest.fixture
def place(work, team):
    stand = a_stand(work, team.farm.id, a_field(work, team.farm.id).id)
    return {"farm_id": team.farm.id, "stand_id": stand.id, "counted_on": date(2027, 4, 20)}


def test_the_last_correction_stands_for_the_whole_chain_and_nothing_is_lost(work, place):
    first = append_reading(work, StandCount, {**place, "stems_per_m2": 400.0})
    second = append_reading(work, StandCount, {**place, "stems_per_m2": 420.0}, first)
    third = append_reading(work, StandCount, {**place, "stems_per_m2": 430.0}, second)
    rows = [first, second, third]
    assert all(latest_of(work, StandCount, row) is third for row in rows)
    assert current_rows(rows) == [third] and first.stems_per_m2 == 400.0
    assert first.noted_at <= third.noted_at <= work.now() and third.account_id == work.actor.account_id


def test_a_reading_taken_back_counts_no_more_and_comes_back_with_one_more_row(work, place):
    first = append_reading(work, StandCount, {**place, "stems_per_m2": 400.0})
    gone = append_reading(work, StandCount, {**place, "stems_per_m2": 400.0}, first, gone=True)
    assert current_rows([first, gone]) == [] and last_rows([first, gone]) == [gone]
    back = append_reading(work, StandCount, {**place, "stems_per_m2": 400.0}, gone)
    assert current_rows([first, gone, back]) == [back]


def test_a_correction_says_only_what_it_changes(work, place):
    first = append_reading(work, StandCount, {**place, "stems_per_m2": 400.0, "root_score": 1.5})
    assert corrected_fields(first, {"stems_per_m2": 420.0, "root_score": 1.5}) == {"stems_per_m2": (400.0, 420.0)}
    assert corrected_fields(None, {"stems_per_m2": 420.0}) == {}


def test_two_who_correct_different_figures_both_win_and_of_the_same_figure_both_are_shown():
    now, was = {"stems": 420.0, "score": 1.5}, {"stems": 400.0, "score": 1.5}
    assert merged(now, {"stems": 400.0, "score": 2.0}, was) == {"stems": 420.0, "score": 2.0}
    with pytest.raises(Conflict) as clash:
        merged(now, {"stems": 430.0, "score": 1.5}, was)
    assert clash.value.fields == {"stems": (420.0, 430.0)}
