"""Refusing the impossible by name."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.units.ranges import fraction, within


def test_a_refusal_says_what_was_wrong_what_is_allowed_and_an_example():
    with pytest.raises(OutOfRange) as refused:
        within("height_cm", [70.0, 450.0], (0, 200), "cm")
    assert str(refused.value) == "height_cm must lie within 0 to 200 cm, for example 100; it was 450"


def test_a_percentage_typed_as_a_fraction_is_explained():
    with pytest.raises(OutOfRange, match=r"40 % is 0\.40"):
        fraction("ndf_frac", 40.0)


def test_missing_values_pass_and_infinite_ones_do_not():
    assert np.isnan(within("heat_c_d", np.nan, (0, 10)))
    with pytest.raises(OutOfRange):
        within("heat_c_d", np.inf, (0, 10))


@given(st.lists(st.floats(0, 1), max_size=9))
def test_possible_values_come_back_unchanged(values):
    assert fraction("dm_frac", values).tolist() == values
