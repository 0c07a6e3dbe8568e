"""Doses from the rate on the label. Figures derived from 100,000 cells per gram (Muck)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling import inoculation
from app.errors import OutOfRange
from app.units.quantities import KG_PER_SHORT_TON

US_GALLON_L = 3.785411784


def test_a_ton_needs_nine_times_ten_to_the_tenth_cells():
    assert inoculation.cells_needed(KG_PER_SHORT_TON) == pytest.approx(9.0718e10, abs=0.01e10)


def test_a_ton_needs_2_27_grams_and_1500_tons_3402():
    assert inoculation.product_mass(KG_PER_SHORT_TON, 4e10) * 1000 == pytest.approx(2.268, abs=0.002)
    assert inoculation.product_mass(1500 * KG_PER_SHORT_TON, 4e10) * 1000 == pytest.approx(3402, abs=1)


def test_a_hundred_tons_an_hour_flow_a_tenth_of_a_gallon_a_minute():
    dose_l_kg = 8 * US_GALLON_L / 128 / KG_PER_SHORT_TON
    flow = inoculation.liquid_flow(100 * KG_PER_SHORT_TON, dose_l_kg)
    assert flow / US_GALLON_L / 60 == pytest.approx(0.1042, abs=0.0002)


@given(mass=st.floats(1_000, 5e6), rate=st.floats(1e4, 1e6), label=st.floats(1e9, 1e12))
def test_the_product_needed_brings_the_rate_wanted(mass, rate, label):
    used = inoculation.product_mass(mass, label, rate)
    if used <= 10_000:
        assert inoculation.achieved_rate(used, label, mass) == pytest.approx(rate)


def test_a_dollar_a_ton_breaks_even_at_about_a_point_of_dry_matter():
    """1 usd/ton as fed at 38 % DM and 225 usd/ton DM: 1/0.38/225 (arithmetic)."""
    found = inoculation.break_even_saving(1 / KG_PER_SHORT_TON, 0.38, 225 / KG_PER_SHORT_TON)
    assert found == pytest.approx(1 / 0.38 / 225)


def test_the_figure_of_practice_is_never_the_default():
    low, likely, high = inoculation.SAVING_FRAC["homofermentative"]
    assert low < likely < high < inoculation.SAVING_PRACTICE_FRAC


def test_shape_and_nan_pass_and_the_impossible_is_refused():
    found = inoculation.product_mass(np.array([[1000.0, np.nan]]), 4e10)
    assert found.shape == (1, 2) and np.isnan(found[0, 1])
    for refused in (
        lambda: inoculation.cells_needed(-1),
        lambda: inoculation.product_mass(1000, 0),
        lambda: inoculation.achieved_rate(3, 4e10, 0),
        lambda: inoculation.liquid_flow(90_000, 8.0),
        lambda: inoculation.break_even_saving(0.001, 38, 0.25),
    ):
        with pytest.raises(OutOfRange, match="must lie within"):
            refused()
