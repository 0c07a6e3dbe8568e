"""Ticks are round and cover the values; labels keep apart."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.charts.axes import Linear, extent, round_ticks, spread

FINITE = st.floats(-1e6, 1e6)


@given(FINITE, FINITE)
def test_ticks_cover_the_values_in_even_steps(one, other):
    low, high = sorted((one, other))
    ticks = round_ticks(low, high)
    step = ticks[1] - ticks[0]
    assert ticks[0] <= low + 1e-6 * step and ticks[-1] >= high - 1e-6 * step
    assert 2 <= len(ticks) <= 8
    assert all(math.isclose(b - a, step, rel_tol=1e-6) for a, b in pairwise(ticks))


def test_nothing_known_still_has_an_axis():
    assert round_ticks(math.nan, math.nan) == [0.0, 1.0]


def test_extent_leaves_out_what_is_not_known():
    assert extent([(1.0, math.nan), (3.0,)]) == (1.0, 3.0)
    assert all(map(math.isnan, extent([(math.nan,)])))


@given(st.lists(FINITE, max_size=6))
def test_labels_end_up_apart_and_never_above_where_they_were_wanted(wanted):
    placed = spread(wanted, 16)
    assert all(put >= want for put, want in zip(placed, wanted, strict=True))
    assert all(b - a >= 16 - 1e-6 for a, b in pairwise(sorted(placed)))


def test_an_axis_maps_its_ends_to_its_ends():
    up = Linear(0, 50, 200, 20)
    assert up.at(0) == 200 and up.at(50) == 20 and up.at(25) == pytest.approx(110)
