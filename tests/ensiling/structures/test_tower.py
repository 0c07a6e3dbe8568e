"""Towers against every printed cell of the table."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling.structures import tower
from app.errors import OutOfRange
from app.units.quantities import KG_PER_SHORT_TON, M_PER_FT
from tests.builders.published import published, table

CELLS = table("ensiling", "tower_table")


def tons(diameter_ft, depth_ft, formula=tower.tower_dm):
    return formula(diameter_ft * M_PER_FT, depth_ft * M_PER_FT) / KG_PER_SHORT_TON


@pytest.mark.parametrize("row", published("ensiling", "tower_table"))
def test_every_cell_of_the_table_is_read_back(row):
    assert tons(row["diameter_ft"], row["depth_ft"]) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_every_printed_cell_is_checked():
    assert len(CELLS) == 13 * 8 - 1


def test_between_34_and_36_ft_lies_the_mean():
    assert tons(20, 35) == pytest.approx(74, abs=0.1)


def test_the_curve_stays_within_3_2_per_cent_of_the_larger_cells():
    assert tons(20, 40, tower.tower_dm_fit) == pytest.approx(89.2, abs=0.3)
    used = [row for row in CELLS if row["expected"] >= 10 and 10 <= row["depth_ft"] <= 44]
    assert len(used) > 60
    for row in used:
        assert tons(row["diameter_ft"], row["depth_ft"], tower.tower_dm_fit) == pytest.approx(
            row["expected"], rel=0.0325
        )


def test_the_table_is_as_dense_as_it_implies():
    """10.5 and 14.2 lb DM/ft3 at 20 and 40 ft in a 20 ft tower (derived)."""
    for depth, expected in ((20, 10.5), (40, 14.2)):
        assert tons(20, depth) * 2000 / (np.pi * 100 * depth) == pytest.approx(expected, abs=0.05)


def test_half_fed_from_the_top_leaves_the_denser_half():
    left = tower.tower_remaining(20 * M_PER_FT, 40 * M_PER_FT, 20 * M_PER_FT) / KG_PER_SHORT_TON
    assert left == pytest.approx(89 - 33)
    assert left > 89 / 2


def test_an_untouched_tower_is_whole_and_an_empty_one_is_empty():
    d, h = 18 * M_PER_FT, 30 * M_PER_FT
    assert tower.tower_remaining(d, h, 0.0) == pytest.approx(tower.tower_dm(d, h))
    assert tower.tower_remaining(d, h, h) == pytest.approx(0.0)


@given(diameter=st.floats(10, 24), depth=st.floats(0, 43))
def test_deeper_and_wider_never_hold_less(diameter, depth):
    assert tons(diameter, depth + 1) >= tons(diameter, depth)
    assert tons(24, depth) >= tons(diameter, depth) - 1e-9


@pytest.mark.parametrize(
    ("diameter_ft", "depth_ft", "name"),
    [(30, 40, "diameter_m"), (9, 40, "diameter_m"), (20, 47, "depth_m"), (24, 46, "depth_m")],
)
def test_nothing_is_read_beyond_the_table(diameter_ft, depth_ft, name):
    with pytest.raises(OutOfRange, match=f"^{name} must lie within"):
        tons(diameter_ft, depth_ft)


def test_more_fed_than_there_was_is_refused():
    with pytest.raises(OutOfRange, match="removed_depth_m"):
        tower.tower_remaining(6.0, 10.0, 11.0)


def test_arrays_keep_their_shape_and_nan_passes():
    found = tower.tower_dm(np.array([[6.0], [np.nan]]), np.array([5.0, 10.0, np.nan]))
    assert found.shape == (2, 3)
    assert np.isfinite(found[0, :2]).all() and np.isnan(found[1]).all() and np.isnan(found[0, 2])
