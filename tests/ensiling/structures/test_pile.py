"""Piles against exact solids and a numerical sum."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling.structures import pile
from app.errors import OutOfRange
from app.units.quantities import M3_PER_FT3, M_PER_FT
from tests.builders.published import published


@pytest.mark.parametrize("row", published("ensiling", "piles"))
def test_pile_volumes_and_tops_are_the_worked_examples(row):
    sizes = (row["base_ft"] * M_PER_FT, row["length_ft"] * M_PER_FT, row["height_ft"] * M_PER_FT)
    assert pile.pile_volume(*sizes) / M3_PER_FT3 == pytest.approx(row["expected"], abs=row["tolerance"])
    top = pile.pile_top(*sizes)
    assert top.width_m / M_PER_FT == pytest.approx(row["top_width_ft"], abs=1e-9)
    assert top.length_m / M_PER_FT == pytest.approx(row["top_length_ft"], abs=1e-9)


def test_a_top_of_negative_width_is_refused():
    with pytest.raises(OutOfRange, match=r"height_m must lie within .* -1\.83 m wide"):
        pile.pile_volume(72 * M_PER_FT, 200 * M_PER_FT, 13 * M_PER_FT)


def test_a_top_of_negative_length_is_refused():
    with pytest.raises(OutOfRange, match="long"):
        pile.pile_volume(30.0, 15.0, 4.0)


def test_mean_depth_is_section_over_base():
    assert pile.pile_depth(100 * M_PER_FT, 12 * M_PER_FT) / M_PER_FT == pytest.approx(7.68, abs=0.001)


def test_a_dome_is_lower_than_a_flat_topped_pile():
    assert pile.dome_height_ceiling(100 * M_PER_FT) / M_PER_FT == pytest.approx(8.33, abs=0.01)
    with pytest.raises(OutOfRange, match="base_width_m / "):
        pile.dome_area(100 * M_PER_FT, 9 * M_PER_FT)


@given(base=st.floats(15, 40), share=st.floats(0.1, 1.0), ratio=st.floats(1.5, 5))
def test_the_dome_is_the_sum_of_thin_slices(base, share, ratio):
    """Slices along the length: under the parabola and under the end slopes."""
    height = share * pile.dome_height_ceiling(base)
    length_m = 2 * ratio * height + 10
    x = (np.arange(400) + 0.5) / 400 * length_m
    ends = np.minimum(x, length_m - x) / ratio
    y = (np.arange(400) + 0.5) / 400 * base - base / 2
    depth = np.minimum(height * (1 - (2 * y / base) ** 2)[None, :], ends[:, None])
    found = pile.dome_volume(base, length_m, height, end_ratio=ratio)
    assert found == pytest.approx(depth.mean() * length_m * base, rel=2e-3)


@given(base=st.floats(15, 60), share=st.floats(0.1, 1.0))
def test_the_greatest_height_leaves_the_top_asked_for(base, share):
    height = pile.pile_height_ceiling(base, 3.0, share * base)
    assert pile.pile_top(base, 500.0, min(height, 15.0)).width_m >= share * base - 1e-6


def test_arrays_keep_their_shape_and_nan_passes():
    found = pile.pile_volume(30.0, np.array([60.0, np.nan]), 3.0)
    assert found.shape == (2,) and np.isnan(found[1])
    assert np.isnan(pile.dome_volume(30.0, 60.0, float("nan")))
