"""Feed-out against Holmes's examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling import feedout
from app.errors import OutOfRange
from app.units.quantities import (
    CM_PER_IN,
    KG_M3_PER_LB_FT3,
    KG_PER_LB,
    KG_PER_SHORT_TON,
    M2_PER_FT2,
    M3_PER_FT3,
    M_PER_FT,
)
from tests.builders.published import published


def volume(row):
    return feedout.feedout_volume(row["lb_dm_d"] * KG_PER_LB, row["rho_lb_ft3"] * KG_M3_PER_LB_FT3)


def rate(row):
    return row["rate_in_d"] * CM_PER_IN


QUANTITIES = {
    "volume": lambda row: volume(row) / M3_PER_FT3,
    "width": lambda row: feedout.face_width_ceiling(volume(row), row["size_ft"] * M_PER_FT, rate(row)) / M_PER_FT,
    "area": lambda row: feedout.face_area_ceiling(volume(row), rate(row)) / M2_PER_FT2,
    "rate": lambda row: feedout.face_rate(volume(row), row["size_ft"] * M2_PER_FT2) / CM_PER_IN,
    "overfilled": lambda row: (
        feedout.overfilled_rate(rate(row), row["size_ft"] * M_PER_FT, 2 * row["size_ft"] * M_PER_FT) / CM_PER_IN
    ),
    "exposure": lambda row: feedout.exposure(row["size_ft"] * M_PER_FT, rate(row)),
}


@pytest.mark.parametrize("row", published("ensiling", "feedout"))
def test_feedout_agrees_with_what_is_published(row):
    assert QUANTITIES[row["quantity"]](row) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_500_cows_at_12_lb_eat_1095_tons_a_year():
    assert feedout.yearly_need(500, 12 * KG_PER_LB) / KG_PER_SHORT_TON == pytest.approx(1095, abs=0.1)


@given(dm=st.floats(100, 50_000), area=st.floats(5, 400))
def test_the_largest_face_at_a_rate_is_taken_at_that_rate(dm, area):
    found = feedout.feedout_volume(dm, 240.0)
    speed = feedout.face_rate(found, area)
    if 1 <= speed <= 500:
        assert feedout.face_area_ceiling(found, speed) == pytest.approx(area)


def test_the_same_rate_is_good_in_winter_and_slow_in_summer():
    """Holmes: design 12 in and never under 4; 6 in in winter from memory."""
    inches = np.array([13, 8, 5, 3, np.nan]) * CM_PER_IN
    assert list(feedout.face_verdict(inches, 0.0)) == ["good", "good", "slow", "too slow", "unknown"]
    assert list(feedout.face_verdict(inches, 20.0)) == ["good", "slow", "slow", "too slow", "unknown"]
    assert feedout.face_verdict(12 * CM_PER_IN, 20.0) == "good"


def test_days_times_rate_is_the_length_fed():
    assert feedout.length_used(90, 30.0) == pytest.approx(27.0)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: feedout.feedout_volume(-1, 240),
        lambda: feedout.face_rate(10, 0),
        lambda: feedout.overfilled_rate(15, 4, 3),
        lambda: feedout.exposure(0.9, 0),
        lambda: feedout.yearly_need(-5, 5),
        lambda: feedout.face_verdict(30, 99),
    ],
)
def test_the_impossible_is_refused(refused):
    with pytest.raises(OutOfRange, match="must lie"):
        refused()


def test_arrays_keep_their_shape_and_nan_passes():
    found = feedout.face_rate(feedout.feedout_volume(np.array([[3000.0, np.nan]]), 240.0), 40.0)
    assert found.shape == (1, 2) and np.isnan(found[0, 1])
