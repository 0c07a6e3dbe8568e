"""Losses against Ruppel's table, the film trials and the handling allowances."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling import losses
from app.errors import OutOfRange
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_SHORT_TON, M_PER_FT
from tests.builders.published import published


@pytest.mark.parametrize("row", published("ensiling", "ruppel"))
def test_the_line_meets_ruppels_table(row):
    found = losses.ruppel_loss(row["density_lb_ft3"] * KG_M3_PER_LB_FT3)
    assert found * 100 == pytest.approx(row["expected"], abs=row["tolerance"])
    assert losses.ruppel_covers(row["density_lb_ft3"] * KG_M3_PER_LB_FT3)


def test_three_pounds_more_save_two_and_a_half_points():
    saved = losses.ruppel_loss(14 * KG_M3_PER_LB_FT3) - losses.ruppel_loss(17 * KG_M3_PER_LB_FT3)
    assert saved * 100 == pytest.approx(2.55, abs=0.01)


def test_beyond_the_table_the_end_stands_and_says_so():
    for lb_ft3, end in ((8, 10), (26, 22)):
        assert losses.ruppel_loss(lb_ft3 * KG_M3_PER_LB_FT3) == losses.ruppel_loss(end * KG_M3_PER_LB_FT3)
        assert not losses.ruppel_covers(lb_ft3 * KG_M3_PER_LB_FT3)


@pytest.mark.parametrize("row", published("ensiling", "film"))
def test_film_losses_are_the_trial_of_bernardes(row):
    assert losses.film_loss(row["oxygen_rate"]) * 1000 == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("ensiling", "shrink"))
def test_shrink_ranges_are_the_planning_ranges(row):
    """From memory; a farm's own shrink replaces them."""
    found = losses.SHRINK_RANGES[row["kind"]]
    assert (found.low_frac, found.likely_frac, found.high_frac) == pytest.approx(
        (row["low"] / 100, row["likely"] / 100, row["high"] / 100)
    )
    assert found.mark == row["mark"]


def test_barrier_film_cuts_two_fifths_of_the_top_layer_and_of_bales():
    """Wilkinson and Fenlon 2014: 195 against 114 and 76.8 against 45.6 g/kg."""
    top, bale = losses.TOP_LAYER_LOSS_FRAC, losses.BALE_LOSS_FRAC
    assert (top["polyethylene"] - top["oxygen barrier"]) * 1000 == pytest.approx(81, abs=0.1)
    assert losses.relative_saving(top["polyethylene"], top["oxygen barrier"]) == pytest.approx(0.415, abs=0.001)
    assert losses.relative_saving(bale["polyethylene"], bale["oxygen barrier"]) == pytest.approx(0.406, abs=0.001)


def test_barrier_film_saves_little_of_a_whole_bunker():
    saved = losses.whole_silo_saving(2 * M_PER_FT, 12 * M_PER_FT, 0.195, 0.114)
    assert saved * 100 == pytest.approx(1.35, abs=0.01)


def test_the_top_three_feet_hold_672_tons():
    """Michigan State University Extension: 80 x 140 ft at 40 lb/ft3; 30 % of it is 201.6 tons."""
    mass = losses.top_layer_mass(140 * M_PER_FT, 80 * M_PER_FT, 3 * M_PER_FT, 40 * KG_M3_PER_LB_FT3)
    assert mass / KG_PER_SHORT_TON == pytest.approx(672, abs=0.1)
    assert 0.30 * mass / KG_PER_SHORT_TON == pytest.approx(201.6, abs=0.1)


def test_fifteen_and_ten_per_cent_ask_for_1_307():
    """MWPS-7, handling allowances."""
    assert losses.handling_allowance(0.15, 0.10) == pytest.approx(1.307, abs=0.001)


@given(first=st.floats(0, 0.5), second=st.floats(0, 0.5))
def test_what_is_cut_less_both_losses_is_what_is_fed(first, second):
    assert losses.handling_allowance(first, second) * (1 - first) * (1 - second) == pytest.approx(1)


@given(density=st.floats(20, 890))
def test_denser_never_loses_more(density):
    assert losses.ruppel_loss(density + 10) <= losses.ruppel_loss(density)


def test_shape_and_nan_pass():
    found = losses.ruppel_loss(np.array([[200.0], [np.nan]]))
    assert found.shape == (2, 1) and np.isnan(found[1, 0])
    assert not losses.ruppel_covers(float("nan"))
    assert np.isnan(losses.film_loss(float("nan")))


@pytest.mark.parametrize(
    "refused",
    [
        lambda: losses.ruppel_loss(2.0),
        lambda: losses.film_loss(1811.0),
        lambda: losses.whole_silo_saving(4.0, 3.0, 0.2, 0.1),
        lambda: losses.handling_allowance(15, 0.1),
        lambda: losses.relative_saving(0.0, 0.0),
        lambda: losses.top_layer_mass(40, 20, -1, 700),
    ],
)
def test_the_impossible_is_refused(refused):
    with pytest.raises(OutOfRange, match="must lie within"):
        refused()
