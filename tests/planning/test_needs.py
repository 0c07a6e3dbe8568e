"""Needs of the yard against worked examples of the sources behind them."""

import math
from dataclasses import replace

import pytest

from app.planning import needs
from app.planning.yard import FillStructure, PackingTractor, YardInputs
from app.units.kinds import KINDS
from app.units.quantities import (
    CM_PER_IN,
    KG_M3_PER_LB_FT3,
    KG_PER_LB,
    KG_PER_SHORT_TON,
    KM_PER_MILE,
    M2_PER_FT2,
    M_PER_FT,
)

BUNKER = FillStructure("North", "bunker", 150 * M_PER_FT, 40 * M_PER_FT, 12 * M_PER_FT, 14 * M_PER_FT)
PILE = FillStructure("Pad", "pile", 250 * M_PER_FT, 100 * M_PER_FT, peak_height_m=12 * M_PER_FT)
YARD = YardInputs(
    delivery_af_kg_h=50 * KG_PER_SHORT_TON,
    expected_af_kg=1500 * KG_PER_SHORT_TON,
    dm_frac=0.38,
    structures=(BUNKER,),
    packing_tractors=(PackingTractor(22_000 * KG_PER_LB),),
    layer_cm=6 * CM_PER_IN,
)


def test_fifty_tons_an_hour_ask_for_40000_lb_and_22000_is_18000_short():
    """Kaatz 2009."""
    need = needs.packing_weight(YARD)
    assert need.need / KG_PER_LB == pytest.approx(40_000)
    assert need.short / KG_PER_LB == pytest.approx(18_000)
    assert need.is_met is False


def test_exactly_enough_weight_is_enough():
    need = needs.packing_weight(replace(YARD, packing_tractors=(PackingTractor(40_000 * KG_PER_LB),)))
    assert need.is_met is True and need.short == pytest.approx(0, abs=1e-6)


def test_the_rule_can_be_met_and_the_density_not():
    """Two 20,000 lb tractors at 50 ton/h: 38.4 lb/ft3 by the equation (coefficients from memory), against 44."""
    light = (PackingTractor(20_000 * KG_PER_LB),) * 2
    yard = replace(YARD, packing_tractors=light, structures=(replace(BUNKER, peak_height_m=12 * M_PER_FT),))
    assert needs.packing_weight(yard).is_met
    density = needs.packed_density(yard)
    assert density.have / KG_M3_PER_LB_FT3 == pytest.approx(38.4, abs=0.05)
    assert density.is_met is False


def test_sheet_and_tires_of_the_worked_bunker():
    """40 x 12 x 150 ft with a 2 ft crown: 6,108 ft2 a layer (geometry), 1,527 tires at 0.25 per ft2."""
    assert needs.sheet_area(YARD).need / M2_PER_FT2 == pytest.approx(2 * 6108, abs=2)
    assert needs.sheet_area(replace(YARD, sheet_layers_count=1)).need / M2_PER_FT2 == pytest.approx(6108, abs=1)
    assert needs.tires_needed(YARD).need == pytest.approx(1527, abs=1)
    assert needs.liners(YARD).need / M2_PER_FT2 == pytest.approx(6150)


def test_sheets_of_several_structures_add_up():
    both = needs.sheet_area(replace(YARD, structures=(BUNKER, PILE))).need / M2_PER_FT2
    assert both == pytest.approx(2 * (6108 + 29_305), abs=5)


def test_rolls_of_the_worked_pile():
    """Six strips of 111.9 ft from 50 ft rolls (geometry): two to a 250 ft roll, in two layers."""
    yard = replace(YARD, structures=(PILE,), roll_width_m=50 * M_PER_FT, roll_length_m=250 * M_PER_FT, rolls_count=5)
    need = needs.sheet_rolls(yard)
    assert (need.need, need.have, need.short) == (6, 5, 1)


def test_inoculant_is_counted_in_doses_or_else_in_tons():
    dose = replace(YARD, dose_treats_af_kg=100 * KG_PER_SHORT_TON, inoculant_doses_count=12)
    assert (needs.inoculant(dose).need, needs.inoculant(dose).short) == (15, 3)
    tons = needs.inoculant(YARD)
    assert (tons.need, tons.kind) == (1500 * KG_PER_SHORT_TON, "mass_af") and tons.reason


def test_haul_units_by_the_cycle():
    """Harrigan's 7.5 minutes; 100 ton/h, 12 tons, 4 miles at 25 mph asks for five."""
    yard = replace(
        YARD,
        delivery_af_kg_h=100 * KG_PER_SHORT_TON,
        payload_af_kg=12 * KG_PER_SHORT_TON,
        distance_km=4 * KM_PER_MILE,
        road_speed_km_h=25 * KM_PER_MILE,
        trucks_count=4,
    )
    assert (needs.haul_units(yard).need, needs.haul_units(yard).short) == (5, 1)
    assert needs.people(yard).need == 3 + 4 + 1
    assert needs.people(replace(yard, working_day_h=20, shift_h=10)).need == 16
    assert needs.radios(yard).need == 9


def test_swath_bags_signs_samples_and_label():
    yard = replace(
        YARD,
        mower_width_m=9.0,
        swath_width_m=6.0,
        structures=(BUNKER, FillStructure("B", "bag")),
        bags_count=0,
        signs_count=2,
        sample_bags_count=10,
        fungicide_interval_d=14,
        days_since_spray_d=10,
    )
    assert needs.swath_width(yard).short == pytest.approx(1.2)
    assert needs.bags(yard).short == 1
    assert needs.gas_signs(yard).is_met
    assert needs.sample_bags(yard).is_met
    assert needs.spray_interval(yard).short == 4


def test_frames_and_belts_count_only_when_every_tractor_was_asked():
    asked = (PackingTractor(9_000, has_frame_and_belt=True), PackingTractor(9_000, has_frame_and_belt=False))
    assert needs.frames_and_belts(replace(YARD, packing_tractors=asked)).short == 1
    assert needs.frames_and_belts(YARD).have is None
    assert needs.frames_and_belts(YARD).is_met is None


COUNTED = [
    needs.packing_weight,
    needs.packed_density,
    needs.sheet_area,
    needs.tires_needed,
    needs.sheet_rolls,
    needs.liners,
    needs.bags,
    needs.inoculant,
    needs.haul_units,
    needs.swath_width,
    needs.sample_bags,
    needs.people,
    needs.radios,
    needs.frames_and_belts,
    needs.gas_signs,
    needs.spray_interval,
]


@pytest.mark.parametrize("count", COUNTED, ids=lambda count: count.__name__)
def test_an_empty_yard_gets_reasons_and_no_invented_figure(count):
    need = count(YardInputs())
    assert need.kind in KINDS
    assert need.have is None or need.have == 0
    assert not need.need > 0 or need.reason
    if math.isnan(need.need):
        assert need.reason and need.is_met is None


@pytest.mark.parametrize("count", COUNTED, ids=lambda count: count.__name__)
def test_structures_without_sizes_get_a_reason_with_their_name(count):
    need = count(replace(YARD, structures=(FillStructure("West wall", "bunker"),), roll_width_m=15, roll_length_m=90))
    if count in (needs.sheet_area, needs.tires_needed, needs.sheet_rolls, needs.liners, needs.packed_density):
        assert "West wall" in str(need.reason)
        assert need.is_met is None


@pytest.mark.parametrize("count", [needs.sheet_area, needs.tires_needed], ids=lambda count: count.__name__)
def test_sizes_that_do_not_fit_are_named_instead_of_failing(count):
    need = count(replace(YARD, structures=(replace(PILE, peak_height_m=14.0, width_m=10.0),)))
    assert math.isnan(need.need) and "Pad" in str(need.reason)
