"""Packing against its paper, its metric twin and the trade's rule."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling import packing
from app.errors import OutOfRange
from app.units.quantities import CM_PER_IN, KG_M3_PER_LB_FT3, KG_PER_LB, KG_PER_SHORT_TON, M_PER_FT
from tests.builders.published import published


def setting(row):
    return (
        row["w_lb"] * KG_PER_LB,
        row["l_in"] * CM_PER_IN,
        row["n"],
        row["dm"],
        row["c_ton_h"] * KG_PER_SHORT_TON,
    )


QUANTITIES = {
    "factor": lambda row: packing.packing_factor(*setting(row)),
    "density": lambda row: (
        packing.dm_density(packing.packing_factor(*setting(row)), row["d_ft"] * M_PER_FT) / KG_M3_PER_LB_FT3
    ),
    "factor needed": lambda row: packing.packing_factor_needed(15 * KG_M3_PER_LB_FT3, row["d_ft"] * M_PER_FT),
    "minutes per ton": lambda row: (
        packing.packing_time(row["n"], row["c_ton_h"] * KG_PER_SHORT_TON) * 60 * KG_PER_SHORT_TON
    ),
    "rule": lambda row: packing.packing_mass_needed(row["c_ton_h"] * KG_PER_SHORT_TON) / KG_PER_LB,
    "rule inverse": lambda row: packing.delivery_allowed(row["w_lb"] * KG_PER_LB) / KG_PER_SHORT_TON,
    "rule tons": lambda row: packing.packing_mass_needed(row["c_ton_h"] * KG_PER_SHORT_TON) / KG_PER_SHORT_TON,
}


@pytest.mark.parametrize("row", published("ensiling", "packing"))
def test_packing_agrees_with_what_is_published(row):
    assert QUANTITIES[row["quantity"]](row) == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", [p for p in published("ensiling", "packing") if p.values[0]["quantity"] == "density"])
def test_the_metric_printing_gives_the_same_density(row):
    ours = packing.dm_density(packing.packing_factor(*setting(row)), row["d_ft"] * M_PER_FT)
    assert packing.dm_density_metric_form(*setting(row), row["d_ft"] * M_PER_FT) == pytest.approx(ours, rel=0.005)


def test_the_two_recalled_slopes_are_one_number():
    """0.0155 lb/ft3 per (lb/in, ton/h, decimal DM) is 0.0419 kg/m3 per (kg/cm, Mg/h, g/kg DM); 0.042 is recalled."""
    per_factor = (KG_PER_LB / CM_PER_IN) * (1000 / (KG_PER_SHORT_TON / 1000)) ** 0.5
    assert 0.0155 * KG_M3_PER_LB_FT3 / per_factor == pytest.approx(0.0419, abs=0.0002)


def test_a_blade_tractor_counts_for_the_time_it_packs():
    fleet = packing.packing_fleet(np.array([40_000, 30_000]) * KG_PER_LB, [1.0, 0.5])
    assert fleet.mass_kg / KG_PER_LB == pytest.approx(36_666.7, abs=0.1)
    assert fleet.equivalents_count == 1.5


def test_nobody_packing_has_no_weight():
    assert np.isnan(packing.packing_fleet([], []).mass_kg)


@given(
    mass=st.floats(5_000, 30_000),
    layer=st.floats(8, 40),
    n=st.floats(0.5, 6),
    dm=st.floats(0.25, 0.6),
    delivery=st.floats(20_000, 200_000),
)
def test_tractors_and_delivery_are_the_factor_read_backwards(mass, layer, n, dm, delivery):
    factor = packing.packing_factor(mass, layer, n, dm, delivery)
    assert packing.equivalents_needed(factor, mass, layer, dm, delivery) == pytest.approx(n)
    assert packing.delivery_ceiling(factor, mass, layer, n, dm) == pytest.approx(delivery)


@given(density=st.floats(160, 400), depth=st.floats(1, 8))
def test_the_factor_needed_brings_the_density_or_more(density, depth):
    factor = packing.packing_factor_needed(density, depth)
    assert packing.dm_density(factor, depth) >= density * (1 - 1e-9)


def test_thinner_layers_and_slower_delivery_pack_denser():
    usual = packing.packing_factor(18_000, 15, 2, 0.38, 90_000)
    assert packing.packing_factor(18_000, 30, 2, 0.38, 90_000) == pytest.approx(usual / 2)
    assert packing.packing_factor(18_000, 15, 2, 0.38, 45_000) > usual


def test_arrays_keep_their_shape_and_nan_passes():
    layers = np.array([[10.0, 15.0], [np.nan, 30.0]])
    found = packing.dm_density(packing.packing_factor(18_000, layers, 2, 0.38, 90_000), 3.0)
    assert found.shape == layers.shape
    assert np.isnan(found[1, 0]) and np.isfinite(found[0]).all()
    assert np.isnan(packing.packing_factor_needed(float("nan"), 3.0))


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"tractor_mass_kg": -1}, "tractor_mass_kg"),
        ({"layer_cm": 0}, "layer_cm"),
        ({"equivalents_count": 41}, "equivalents_count"),
        ({"dm_frac": 38}, "dm_frac"),
        ({"delivery_af_kg_h": 0}, "delivery_af_kg_h"),
    ],
)
def test_the_impossible_is_refused_by_name(change, name):
    usual = {
        "tractor_mass_kg": 18_000,
        "layer_cm": 15,
        "equivalents_count": 2,
        "dm_frac": 0.38,
        "delivery_af_kg_h": 90_000,
    }
    with pytest.raises(OutOfRange, match=rf"{name} must lie within .*for example"):
        packing.packing_factor(**usual | change)
