"""Need, losses and prices against published values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.nutrition import demand
from app.nutrition.demand import Convention
from app.sources import SOURCES
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON
from tests.builders.published import published, table
from tests.nutrition.called import called

LOSSES = st.floats(0, 0.6)


@pytest.mark.parametrize("row", published("nutrition", "demand"))
def test_need_loss_or_price_meets_its_published_value(row):
    assert called("nutrition", row) == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("nutrition", "forage_per_cow"))
def test_the_printed_table_of_forage_per_cow_is_met_in_all_its_cells(row):
    stored = demand.yearly_forage_per_cow(row["intake_lb"] * KG_PER_LB, row["inclusion_pct"] / 100, 0.10)
    assert stored / KG_PER_SHORT_TON == pytest.approx(row["expected"], abs=row["tolerance"])


def test_the_printed_table_has_its_24_cells_and_every_source_is_listed():
    assert len(table("nutrition", "forage_per_cow")) == 24
    assert {r["source"] for r in table("nutrition", "demand")} <= set(SOURCES)


def test_the_ten_day_blend_gives_four_and_a_half_days_of_old_feed():
    shares = demand.old_share_in_blend(np.arange(1, 11), 10)
    assert shares.sum() == pytest.approx(demand.old_feed_in_blend(10))
    assert np.all(np.diff(shares) < 0) and shares[-1] == 0


def test_the_penn_state_herd_counts_as_2174_cow_equivalents():
    # Ishler2020: 1,215 cows, 135 dry, 250 calves, 722 and 632 heifers; the source rounds every factor to two figures
    factors = [1.0, *demand.cow_equivalents(1, np.array([1500, 350, 650, 850]) * KG_PER_LB)]
    assert np.dot([1215, 135, 250, 722, 632], np.round(factors, 2)) == pytest.approx(2174, abs=2)


def test_a_load_that_nobody_eats_never_ends_and_a_stock_nobody_needs_lasts():
    assert demand.load_use_time(25_000.0, 0, 9.0) == np.inf
    assert demand.days_of_cover(1000.0, 0.0) == np.inf


@pytest.mark.parametrize(
    ("formula", "inputs", "named"),
    [
        (demand.loss_multiplier, (10.0, 0.03, 0.03), "storage_frac"),
        (demand.mass_needed, (-1.0, 0.1, 0.03, 0.03), "eaten_kg"),
        (demand.group_need, (100.0, 24.0, 40.0), "inclusion_frac"),
        (demand.mass_as_fed, (100.0, 0.0), "dm_frac"),
        (demand.rfv_price_slope, (0.2, 110.0, 0.1, 130.0), "better_rfv_index"),
        (demand.measured_shrink, (0.0, 10.0), "into_storage_kg"),
    ],
)
def test_a_loss_or_price_that_cannot_be_is_refused_by_name(formula, inputs, named):
    with pytest.raises(OutOfRange, match=named):
        formula(*inputs)


def test_what_is_not_measured_stays_unknown():
    assert np.isnan(demand.mass_needed(np.nan, 0.1, 0.03, 0.03))
    assert np.isnan(demand.days_of_cover(np.nan, 4.0))
    assert np.isnan(demand.old_share_in_blend(np.nan, 10))


@given(st.floats(0, 1e7), LOSSES, LOSSES, LOSSES, st.floats(0, 0.3), st.sampled_from(list(Convention)))
def test_more_shrink_never_lowers_the_need(eaten, storage, feedout, refusal, more, convention):
    before = demand.mass_needed(eaten, storage, feedout, refusal, convention=convention)
    for worse in (
        (storage + more, feedout, refusal),
        (storage, feedout + more, refusal),
        (storage, feedout, refusal + more),
    ):
        assert demand.mass_needed(eaten, *worse, convention=convention) >= before * (1 - 1e-12)


@given(st.floats(0, 1e7), LOSSES, LOSSES, LOSSES, st.sampled_from(list(Convention)))
def test_what_is_drawn_for_a_need_gives_that_need(eaten, storage, feedout, refusal, convention):
    drawn = demand.mass_needed(eaten, storage, feedout, refusal, convention=convention)
    assert demand.mass_eaten(drawn, storage, feedout, refusal, convention=convention) == pytest.approx(eaten)


@given(LOSSES, LOSSES, LOSSES)
def test_dividing_never_asks_for_less_than_multiplying(storage, feedout, refusal):
    multiplied = demand.loss_multiplier(storage, feedout, refusal, convention=Convention.MULTIPLY)
    assert demand.loss_multiplier(storage, feedout, refusal) >= multiplied * (1 - 1e-12)
