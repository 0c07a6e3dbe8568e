"""Running down stocks in stretches gives what a plain loop over days gives."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.planning.depletion import Stock, deplete
from app.planning.feeding import USE_CLASSES

STOCKS = st.lists(
    st.builds(
        Stock,
        name=st.just("lot"),
        usable_kg=st.floats(0, 500),
        per_eaten=st.floats(1, 1.4),
        use_classes=st.sets(st.sampled_from(USE_CLASSES), min_size=1).map(tuple),
        first_d=st.integers(0, 20).map(float),
        last_d=st.sampled_from([3.0, 7.5, 15.0, math.inf]),
    ),
    max_size=6,
)


def day_by_day(need, stocks):
    """The definition, one day, one class, one stock at a time."""
    left = [s.usable_kg for s in stocks]
    eaten = np.zeros_like(need)
    for day in range(need.shape[1]):
        for c, name in enumerate(USE_CLASSES):
            missing = need[c, day]
            for i, s in enumerate(stocks):
                if name in s.use_classes and s.first_d <= day < s.last_d:
                    part = min(missing, left[i])
                    left[i] -= part
                    eaten[c, day] += part
                    missing -= part
    return eaten


@settings(deadline=None, max_examples=150)
@given(STOCKS, st.lists(st.lists(st.integers(0, 40), min_size=30, max_size=30), min_size=3, max_size=3))
def test_stretches_of_days_give_what_single_days_give(stocks, wanted):
    need = np.array(wanted, dtype=float)
    walk = deplete(need, stocks, USE_CLASSES)
    # the two may share the last kilogram of a day differently by rounding only
    assert walk.eaten == pytest.approx(day_by_day(need, stocks), abs=1e-5)


def test_without_stocks_nothing_is_eaten():
    walk = deplete(np.ones((3, 5)), [], USE_CLASSES)
    assert walk.eaten.sum() == 0 and walk.stock.shape == (0, 6)
