"""Where days, tints and labels of the strip lie."""

import math

import pytest

from app.charts.strip import Due, marks
from app.charts.strip.inputs import CLASS_EDGES
from app.charts.strip.marks import Scale
from tests.charts.strip.season import DAYS, FIRST

SCALE = Scale(FIRST, 36, 100, 460)


@pytest.mark.parametrize(("ndf_frac", "tint"), [(0.30, 0), (0.36, 1), (0.3999, 2), (0.40, 3), (0.44, 4), (0.45, 5)])
def test_a_value_on_an_edge_belongs_to_the_poorer_tint(ndf_frac, tint):
    assert marks.class_of(ndf_frac) == tint


def test_an_unknown_value_has_no_tint_and_leaves_a_gap():
    assert marks.class_of(math.nan) == -1
    assert list(marks.runs([0.30, 0.31, math.nan, 0.47])) == [(0, 0, 2), (5, 3, 1)]


def test_tints_are_as_many_as_the_edges_and_one():
    assert {marks.class_of(edge) for edge in (0.0, *CLASS_EDGES)} == set(range(6))


def test_a_day_has_its_place_and_days_outside_lie_on_the_edge():
    assert SCALE.at(FIRST) == 100
    assert SCALE.at(DAYS[1]) - SCALE.at(FIRST) == pytest.approx(10)
    assert SCALE.at(FIRST.replace(month=1)) == 100
    assert SCALE.at(FIRST.replace(month=12)) == 460


def test_what_is_past_is_drawn_half_as_high():
    (band,) = marks.tints(SCALE, [0.30] * 36, y=10, height=20, past=4)
    assert 'd="M100 20h40v10h-40zM140 10h320v20h-320z"' in band


def test_due_dates_close_together_stand_on_lines_of_their_own():
    dues = [Due(DAYS[0], "Film and sheet"), Due(DAYS[1], "Tractors"), Due(DAYS[30], "Floor")]
    assert [level for _due, level in marks.levels(SCALE, dues, 13)] == [0, 1, 0]


def test_a_range_wholly_outside_the_season_is_left_out():
    assert marks.bracket(SCALE, (FIRST.replace(month=1), FIRST.replace(month=2)), 5) == ""
    assert marks.bracket(SCALE, (FIRST.replace(month=8), FIRST.replace(month=9)), 5) == ""
    assert marks.bracket(SCALE, None, 5) == ""
