"""Field capacity and haul units against published formulas and worked cycles."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.planning import logistics
from app.units.quantities import (
    HA_PER_ACRE,
    KG_HA_PER_TON_ACRE,
    KG_M3_PER_LB_FT3,
    KG_PER_LB,
    KG_PER_SHORT_TON,
    KM_PER_MILE,
    M_PER_FT,
)
from tests.builders.published import published


@pytest.mark.parametrize("row", published("planning", "field_capacity"))
def test_field_capacity_is_mph_times_feet_over_8_25(row):
    found = logistics.field_capacity(row["mph"] * KM_PER_MILE, row["width_ft"] * M_PER_FT, row["efficiency"])
    assert found / HA_PER_ACRE == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("planning", "logistics"))
def test_haul_units_are_the_worked_cycles(row):
    need = logistics.haul_need(
        row["payload_ton"] * KG_PER_SHORT_TON,
        row["c_ton_h"] * KG_PER_SHORT_TON,
        row["miles"] * KM_PER_MILE,
        row["mph"] * KM_PER_MILE,
    )
    assert need.cycle_h * 60 == pytest.approx(row["cycle_min"], abs=row["tolerance"])
    assert need.ratio_count == pytest.approx(row["ratio"], abs=0.01)
    assert need.units_count == row["expected"]
    assert need.rate_one_fewer_af_kg_h / KG_PER_SHORT_TON == pytest.approx(row["fewer_ton_h"], abs=row["tolerance"])
    assert need.rate_af_kg_h / KG_PER_SHORT_TON == pytest.approx(row["c_ton_h"])


def test_a_hundred_tons_an_hour_gather_43_5_ft():
    """1.8 ton DM/ac at 38 % DM is 4.737 ton/ac; AEN-73 solved for the width (derived)."""
    crop = 4.737 * KG_HA_PER_TON_ACRE
    found = logistics.merge_width(100 * KG_PER_SHORT_TON, 4 * KM_PER_MILE, crop)
    assert found / M_PER_FT == pytest.approx(43.5, abs=0.1)
    assert logistics.material_capacity(4 * KM_PER_MILE, found, crop) / KG_PER_SHORT_TON == pytest.approx(100)


def test_a_nine_foot_rotary_is_too_little_for_a_large_chopper():
    """100 ton/h uses 21.1 ac/h; 8.73 ac/h a machine makes 2.4 machines (derived)."""
    assert logistics.machines_needed(21.1 * HA_PER_ACRE, 8.727 * HA_PER_ACRE) == pytest.approx(2.4, abs=0.05)


def test_a_box_of_768_cubic_feet_holds_3840_lb():
    """Trade press example on the 5 lb DM/ft3 of Wiersma and Holmes."""
    dry, wet = logistics.wagon_load(16 * M_PER_FT, 8 * M_PER_FT, 6 * M_PER_FT, 5 * KG_M3_PER_LB_FT3, 0.40)
    assert dry / KG_PER_LB == pytest.approx(3840)
    assert wet / KG_PER_LB == pytest.approx(9600)


def test_boxes_are_as_dense_as_measured():
    """Wiersma and Holmes: 5.7, 5.0, 5.1 and 5.0 lb DM/ft3 by cutting."""
    found = [logistics.BOX_DENSITY_DM_KG_M3[cutting] / KG_M3_PER_LB_FT3 for cutting in (1, 2, 3, 4)]
    assert found == pytest.approx([5.7, 5.0, 5.1, 5.0])


@given(
    payload=st.floats(2_000, 25_000), rate=st.floats(10_000, 150_000), km=st.floats(0.1, 40), speed=st.floats(10, 60)
)
def test_the_units_needed_feed_the_chopper_and_one_fewer_does_not(payload, rate, km, speed):
    need = logistics.haul_need(payload, rate, km, speed)
    assert need.rate_af_kg_h == pytest.approx(rate)
    assert need.rate_one_fewer_af_kg_h <= rate * (1 + 1e-9)


def test_the_smallest_known_rate_is_the_limiting_link():
    nan = float("nan")
    assert logistics.limiting_link({"mowing": 90.0, "hauling": 60.0, "packing": 75.0, "merging": nan}) == "hauling"
    assert logistics.limiting_link({"mowing": nan}) is None


def test_machine_practice_is_ordered_and_marked_as_recalled():
    for practice in logistics.MACHINES.values():
        assert list(practice.efficiency_frac) == sorted(practice.efficiency_frac)
        assert list(practice.speed_km_h) == sorted(practice.speed_km_h)
        assert practice.mark == "memory"


def test_shape_and_nan_pass_and_the_impossible_is_refused():
    found = logistics.system_rate(np.array([[3, np.nan]]), 10_000, 90_000, 0.5)
    assert found.shape == (1, 2) and np.isnan(found[0, 1])
    for refused in (
        lambda: logistics.field_capacity(10, 3, 80),
        lambda: logistics.merge_width(90_000, 0, 10_000),
        lambda: logistics.haul_cycle(10_000, 90_000, 5, 0),
        lambda: logistics.fill_time(0, 90_000),
    ):
        with pytest.raises(OutOfRange, match="must lie within"):
            refused()
