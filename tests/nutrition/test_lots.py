"""What samples say of a lot, against published values."""

import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.nutrition import lots
from app.nutrition.lots import UseClass
from app.sources import SOURCES
from tests.builders.published import published, table
from tests.nutrition.called import called


@pytest.mark.parametrize("row", published("nutrition", "lots"))
def test_a_lot_figure_meets_its_published_value(row):
    assert called("nutrition", row) == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("nutrition", "nitrate"))
def test_nitrate_advice_is_that_of_the_published_table(row):
    band = lots.nitrate_band(row["nitrate_n_ppm"])
    share = band.pregnant_share_frac if row["pregnant"] else band.share_frac
    assert (-1 if share is None else share) == row["expected"]


def test_nitrate_on_an_edge_takes_the_stricter_band_and_no_result_gives_no_advice():
    assert str(lots.nitrate_band(4000.0).advice) == "Do not feed."
    with pytest.raises(OutOfRange, match="nitrate_n_ppm"):
        lots.nitrate_band(float("nan"))


@pytest.mark.parametrize("row", published("nutrition", "fermentation"))
def test_typical_fermentation_is_the_published_table(row):
    low, high = getattr(lots.FERMENTATION[row["silage"]], row["item"])
    scale = 1 if row["item"] == "ph_index" else 100
    assert (low * scale, high * scale) == pytest.approx((row["low"], row["expected"]), abs=row["tolerance"])


def test_every_source_is_listed():
    assert {r["source"] for name in ("lots", "nitrate", "fermentation") for r in table("nutrition", name)} <= set(
        SOURCES
    )


@given(st.lists(st.floats(0.2, 0.7), min_size=2, max_size=12))
def test_mean_and_spread_are_those_of_the_standard_library(values):
    # general library: Python's statistics module
    assert lots.sample_mean(values) == pytest.approx(statistics.fmean(values))
    assert lots.sample_spread(values) == pytest.approx(statistics.stdev(values), abs=1e-12)
    assert lots.standard_error(values) == pytest.approx(statistics.stdev(values) / len(values) ** 0.5, abs=1e-12)


def test_one_sample_has_a_mean_but_no_error_and_a_missing_value_is_left_out():
    assert lots.sample_mean([0.41]) == 0.41 and np.isnan(lots.standard_error([0.41]))
    assert lots.standard_error([0.40, np.nan, 0.42]) == pytest.approx(lots.standard_error([0.40, 0.42]))
    assert np.isnan(lots.sample_mean([np.nan]))
    with pytest.raises(OutOfRange, match="at least one sample"):
        lots.sample_mean([])


@given(st.lists(st.tuples(st.floats(0.2, 0.7), st.floats(1, 1e6)), min_size=1, max_size=8))
def test_a_mean_by_mass_lies_between_its_lots_and_holds_their_fibre(pairs):
    values, mass = np.array(pairs).T
    mean = lots.mean_by_mass(values, mass)
    assert values.min() - 1e-9 <= mean <= values.max() + 1e-9
    assert mean * mass.sum() == pytest.approx((values * mass).sum())


def test_a_lot_without_a_value_does_not_pull_the_mean():
    assert lots.mean_by_mass([0.36, np.nan], [100.0, 900.0]) == pytest.approx(0.36)
    assert np.isnan(lots.mean_by_mass([0.36], [0.0]))


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        (
            {"ndf_frac": 0.37, "protein_frac": 0.22, "ndfd30_frac": 0.48, "undigested_frac": 0.14, "ash_frac": 0.10},
            UseClass.TOP,
        ),
        ({"ndf_frac": 0.40, "protein_frac": 0.20}, UseClass.DAIRY),
        ({"ndf_frac": 0.44}, UseClass.GENERAL),
        ({"ndf_frac": 0.50}, UseClass.ROUGH),
        ({"ndf_frac": 0.37, "protein_frac": 0.18}, UseClass.DAIRY),
        ({"ndf_frac": 0.37, "ash_frac": 0.12}, UseClass.DAIRY),
        ({"ndf_frac": 0.40, "butyric_frac": 0.005}, UseClass.RESTRICTED),
        ({"ndf_frac": 0.40, "nitrate_n_ppm": 1001.0}, UseClass.RESTRICTED),
        ({"ndf_frac": 0.40, "ph_index": 5.3}, UseClass.RESTRICTED),
        ({"ndf_frac": 0.40, "ash_frac": 0.15}, UseClass.RESTRICTED),
        ({"ndf_frac": 0.40, "bound_protein_frac": 0.11}, UseClass.RESTRICTED),
        ({"ndf_frac": float("nan")}, None),
    ],
)
def test_a_lot_goes_to_the_class_its_values_fit(values, expected):
    # working classes of this app, not a published standard
    placed = lots.lot_use_class(**values)
    assert placed.use_class == expected and placed.reasons


def test_fibre_typed_in_per_cent_is_refused():
    with pytest.raises(OutOfRange, match="ndf_frac"):
        lots.lot_use_class(40.0)


def test_a_butyric_wet_lot_raises_the_clostridial_suspicion_and_a_good_one_nothing():
    said = lots.fermentation_flags(
        0.30, ph_index=5.4, lactic_frac=0.01, acetic_frac=0.04, butyric_frac=0.012, ammonia_n_frac=0.2
    )
    assert len(said) == 4 and "Clostridial" in str(said[0])
    good = lots.fermentation_flags(
        0.36, ph_index=4.5, lactic_frac=0.075, acetic_frac=0.025, butyric_frac=0.001, ammonia_n_frac=0.12
    )
    assert good == ()


@given(st.floats(0.0001, 0.05))
def test_a_cow_on_her_butyric_limit_gets_just_the_limit(share):
    assert lots.butyric_limit(share, most_kg_d=0.002) * share == pytest.approx(0.002)
