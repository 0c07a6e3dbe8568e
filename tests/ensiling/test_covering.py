"""Sheets, liners and weights against worked geometry and rates."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling import covering
from app.errors import OutOfRange
from app.units.quantities import M2_PER_FT2, M_PER_FT, UM_PER_MIL
from tests.builders.published import published


def feet(*values):
    return tuple(value * M_PER_FT for value in values)


def test_a_bunker_sheet_follows_its_ramp_and_crown():
    """40 x 12 x 150 ft, one 3:1 ramp, 2 ft crown: 151.95 x 40.20 ft (geometry, derived)."""
    sheet = covering.bunker_sheet(*feet(40, 12, 150), crown_m=2 * M_PER_FT)
    assert sheet.length_m / M_PER_FT == pytest.approx(151.95, abs=0.01)
    assert sheet.width_m / M_PER_FT == pytest.approx(40.20, abs=0.01)
    assert sheet.area_m2 / M2_PER_FT2 == pytest.approx(6108, abs=1)


def test_a_pile_sheet_reaches_four_feet_out():
    """100 x 250 x 12 ft at 3:1: 111.9 x 261.9 ft, 29,305 ft2; its true surface 26,083 ft2 (geometry, derived)."""
    sheet = covering.pile_sheet(*feet(100, 250, 12))
    assert sheet.width_m / M_PER_FT == pytest.approx(111.9, abs=0.05)
    assert sheet.length_m / M_PER_FT == pytest.approx(261.9, abs=0.05)
    assert sheet.area_m2 / M2_PER_FT2 == pytest.approx(29_305, abs=2)
    assert covering.pile_surface(*feet(100, 250, 12)) / M2_PER_FT2 == pytest.approx(26_083, abs=2)


def test_six_strips_of_fifty_feet_cover_that_pile():
    sheet = covering.pile_sheet(*feet(100, 250, 12))
    assert covering.strips(sheet.length_m, 50 * M_PER_FT) == 6


def test_liners_for_two_walls_of_150_ft():
    """Floor tuck of Kung, fold of Cornell: 20.5 ft x 150 x 2."""
    assert covering.liner_area(*feet(12, 150)) / M2_PER_FT2 == pytest.approx(6150)


@pytest.mark.parametrize("row", published("ensiling", "tires"))
def test_tires_are_the_published_rates(row):
    if row["quantity"] == "count":
        found = covering.tires(row["area_ft2"] * M2_PER_FT2, row["rate_per_ft2"] / M2_PER_FT2)
    else:
        close = row["quantity"] == "close"
        found = covering.tire_rate(row["diameter_in"] * 0.0254, is_close_packed=close) * M2_PER_FT2
    assert found == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize(("mil", "um"), [(6, 152.4), (5, 127.0), (8, 203.2), (1.8, 45.7)])
def test_mils_are_not_millimetres(mil, um):
    """1 mil is 25.4 um exactly (international inch)."""
    assert mil * UM_PER_MIL == pytest.approx(um, abs=0.1)


@given(run=st.floats(1, 200), roll=st.floats(3, 20), lap=st.floats(0.3, 2))
def test_strips_cover_the_run_and_one_fewer_does_not(run, roll, lap):
    count = covering.strips(run, roll, lap)
    assert count * (roll - lap) + lap >= run - 1e-6
    assert count <= 0 or (count - 1) * (roll - lap) + lap <= run + 1e-6


@given(count=st.integers(1, 40), strip=st.floats(5, 60), spare=st.floats(0, 100))
def test_rolls_hold_every_strip_in_one_piece(count, strip, spare):
    found = covering.rolls(count, strip, strip + spare)
    assert found * np.floor((strip + spare) / strip) >= count
    assert found == int(found)


def test_gravel_bags_lie_end_to_end():
    """700 ft of edge in 4 ft bags (geometry)."""
    assert covering.gravel_bags(*feet(700, 4)) == 175


@pytest.mark.parametrize(
    ("refused", "name"),
    [
        (lambda: covering.bunker_sheet(12, 4, 10), "length_m"),
        (lambda: covering.pile_sheet(20, 60, 4), "height_m"),
        (lambda: covering.strips(60, 1.0, 1.2), "overlap_m"),
        (lambda: covering.rolls(3, 40, 30), "roll_length_m"),
        (lambda: covering.tires(-1), "area_m2"),
        (lambda: covering.tire_rate(24), "diameter_m"),
    ],
)
def test_the_impossible_is_refused_by_name(refused, name):
    with pytest.raises(OutOfRange, match=f"^{name} must"):
        refused()


def test_arrays_keep_their_shape_and_nan_passes():
    found = covering.pile_sheet(30.0, np.array([60.0, np.nan]), 3.0).area_m2
    assert found.shape == (2,) and np.isnan(found[1])
    assert covering.bunker_sheet(12.0, 3.0, np.array([[40.0]])).area_m2.shape == (1, 1)
