"""Porosity, targets, defaults and cores."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ensiling import density
from app.errors import OutOfRange
from app.units.quantities import KG_M3_PER_LB_FT3
from tests.builders.published import published

QUANTITIES = {
    "porosity": lambda row: density.porosity(row["bulk_lb_ft3"] * KG_M3_PER_LB_FT3, row["dm"]),
    "bulk": lambda row: density.bulk_density_at_porosity(row["phi"], row["dm"]) / KG_M3_PER_LB_FT3,
    "gas entry": lambda row: density.relative_gas_entry(row["phi"]),
}


@pytest.mark.parametrize("row", published("ensiling", "porosity"))
def test_porosity_agrees_with_what_is_published(row):
    assert QUANTITIES[row["quantity"]](row) == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("ensiling", "dry_matter_factor"))
def test_the_wet_mass_factor_is_the_table(row):
    assert density.wet_mass_factor(row["moisture_pct"] / 100) == pytest.approx(row["expected"], abs=row["tolerance"])


@given(gas=st.floats(0, 0.8), dm=st.floats(0.15, 0.7), ash=st.floats(0.05, 0.2))
def test_density_and_porosity_undo_each_other(gas, dm, ash):
    bulk = density.bulk_density_at_porosity(gas, dm, ash)
    assert density.porosity(bulk, dm, ash) == pytest.approx(gas, abs=1e-9)


def test_more_than_the_volume_can_hold_is_refused():
    with pytest.raises(OutOfRange, match="density_af_kg_m3 must leave room"):
        density.porosity(1300.0, 0.38)


def test_trade_densities_convert_exactly():
    """241 kg/m3 is 15.05 lb/ft3; 15 and 44 lb/ft3 are 240.3 and 704.8 kg/m3 (international pound and foot)."""
    assert pytest.approx(15.05, abs=0.05) == 241 / KG_M3_PER_LB_FT3
    assert pytest.approx(240.3, abs=0.05) == density.DM_DENSITY_TARGET_KG_M3
    assert pytest.approx(704.8, abs=0.05) == density.BULK_DENSITY_TARGET_KG_M3


def test_dry_haylage_at_15_lb_falls_short_of_its_targets():
    """Undersander 2009: dry-matter density alone is not enough above 38 % DM."""
    bulk = density.bulk_density(15 * KG_M3_PER_LB_FT3, 0.40)
    assert density.packing_verdict(bulk, density.porosity(bulk, 0.40)) == "short"


def test_verdicts_go_from_doubtful_to_short_and_know_nothing_of_nan():
    bulk = np.array([900.0, 720.0, 660.0, 600.0, np.nan])
    gas = np.array([0.25, 0.39, 0.44, 0.50, 0.40])
    assert list(density.packing_verdict(bulk, gas)) == ["doubtful", "met", "near", "short", "unknown"]
    assert density.packing_verdict(720.0, 0.15) == "doubtful"


def test_a_face_core_is_corrected_for_the_loose_layer():
    """D'Amours and Savoie 2005: outer 180 mm 15 % less dense."""
    assert density.depth_density(200.0) == pytest.approx(235.3, abs=0.1)


def test_cores_give_mean_and_standard_error_and_lost_ones_do_not_count():
    found = density.mean_of_cores([220.0, np.nan, 260.0, 240.0])
    assert (found.mean_kg_m3, found.cores_count) == (240.0, 3)
    assert found.standard_error_kg_m3 == pytest.approx(20 / 3**0.5)


@pytest.mark.parametrize("cores", [[240.0], [240.0, np.nan]])
def test_one_core_is_not_the_silo(cores):
    with pytest.raises(OutOfRange, match="at least 2"):
        density.mean_of_cores(cores)


def test_every_kind_of_structure_has_an_ordered_default():
    assert set(density.DM_DENSITY_DEFAULTS) == {"bunker", "pile", "bag", "tower", "stack"}
    for found in density.DM_DENSITY_DEFAULTS.values():
        assert found.low_kg_m3 < found.likely_kg_m3 < found.high_kg_m3


def test_shape_and_nan_pass_and_percent_is_refused():
    found = density.porosity(np.array([[700.0, np.nan]]), 0.38)
    assert found.shape == (1, 2) and np.isnan(found[0, 1])
    with pytest.raises(OutOfRange, match=r"dm_frac must lie within 0\.05 and 0\.95 \(for example 0\.38\); found 38"):
        density.porosity(700.0, 38)
