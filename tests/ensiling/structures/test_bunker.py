"""Bunkers against exact solids and a numerical sum."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling.structures import bunker
from app.errors import OutOfRange
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_SHORT_TON, M3_PER_FT3, M_PER_FT
from tests.builders.published import published


@pytest.mark.parametrize("row", published("ensiling", "bunkers"))
def test_bunker_volumes_are_the_worked_examples(row):
    found = bunker.bunker_volume(
        row["width_ft"] * M_PER_FT,
        row["height_ft"] * M_PER_FT,
        row["length_ft"] * M_PER_FT,
        top_width_m=row["top_ft"] * M_PER_FT,
        ramps_count=row["ramps"],
    )
    assert found / M3_PER_FT3 == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("ensiling", "tons"))
def test_volume_times_density_is_the_tons_of_the_examples(row):
    mass_kg = row["volume_ft3"] * M3_PER_FT3 * row["lb_ft3"] * KG_M3_PER_LB_FT3
    assert mass_kg / KG_PER_SHORT_TON == pytest.approx(row["expected"], abs=row["tolerance"])


@given(
    width=st.floats(4, 40), lean=st.floats(0, 3), height=st.floats(1, 6), ratio=st.floats(1, 6), ramps=st.integers(0, 2)
)
def test_the_closed_form_is_the_sum_of_thin_slices(width, lean, height, ratio, ramps):
    """Slices across the length, added up: integration is the check."""
    length_m = 2 * ratio * height + 20
    x = (np.arange(4000) + 0.5) / 4000 * length_m
    depth = np.full_like(x, height)
    if ramps >= 1:
        depth = np.minimum(depth, x / ratio)
    if ramps == 2:
        depth = np.minimum(depth, (length_m - x) / ratio)
    slices = width * depth + lean / (2 * height) * depth**2
    found = bunker.bunker_volume(width, height, length_m, top_width_m=width + lean, run_ratio=ratio, ramps_count=ramps)
    assert found == pytest.approx(slices.mean() * length_m, rel=1e-3)


def test_a_parabolic_crown_holds_a_third_more_than_a_ridge_and_is_twice_as_steep():
    triangle, parabola = (bunker.crown_area(12.0, 0.6, shape=shape) for shape in ("triangle", "parabola"))
    assert parabola / triangle == pytest.approx(4 / 3)
    assert bunker.crown_ratio(12.0, 0.6, shape="triangle") == pytest.approx(10.0)
    assert bunker.crown_ratio(12.0, 0.6) == pytest.approx(5.0)


def test_depth_is_half_of_wall_and_peak():
    """Muck and Holmes 2000, definition of D."""
    assert bunker.bunker_depth(3.0, 4.0) == 3.5


def test_arrays_keep_their_shape_and_nan_passes():
    found = bunker.bunker_volume(12.0, np.array([[3.0, np.nan, 0.0]]), 40.0)
    assert found.shape == (1, 3)
    assert np.isnan(found[0, 1]) and found[0, 2] == 0.0


@pytest.mark.parametrize(
    ("refused", "name"),
    [
        (lambda: bunker.bunker_volume(12, 4, 10), "length_m"),
        (lambda: bunker.bunker_volume(12, 4, 40, top_width_m=11), "top_width_m"),
        (lambda: bunker.bunker_volume(-1, 4, 40), "width_m"),
        (lambda: bunker.bunker_volume(12, 40, 400), "height_m"),
        (lambda: bunker.bunker_volume(12, 4, 40, ramps_count=3), "ramps_count"),
        (lambda: bunker.crown_area(12, 9), "crown_m"),
    ],
)
def test_sizes_that_cannot_be_are_refused_by_name(refused, name):
    with pytest.raises(OutOfRange, match=f"^{name} must"):
        refused()
