"""Stubble, autumn rest, intervals and spraying."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.agronomy.cutting import (
    REST_RULES,
    SYSTEMS,
    YIELD_SLOPE_KG_HA_CM,
    YIELD_SLOPES_MEASURED_KG_HA_CM,
    AutumnRest,
    autumn_rest,
    earliest_cut_on,
    fungicide_break_even,
    interval_is_kept,
    latest_spray_heat,
    ndf_change_of_stubble,
    rfv_change_of_stubble,
    stubble_advised,
    stubble_floor,
    yield_change_of_stubble,
    yield_change_of_stubble_practice,
)
from app.errors import OutOfRange
from app.sources import SOURCES
from app.units.quantities import CM_PER_IN, F_D_PER_C_D, HA_PER_ACRE, KG_HA_PER_TON_ACRE, KG_PER_SHORT_TON
from tests.builders.published import published

STUBBLE = st.floats(2 * CM_PER_IN, 8 * CM_PER_IN)


def effect(row):
    low, high = row["from_in"] * CM_PER_IN, row["to_in"] * CM_PER_IN
    if row["quantity"] == "rfv":
        return rfv_change_of_stubble(high, low)
    if row["quantity"] == "ndf_pct":
        return ndf_change_of_stubble(high, low) * 100
    slope = -float(row["quantity"].rpartition("_")[2]) * KG_HA_PER_TON_ACRE / CM_PER_IN
    return yield_change_of_stubble(high, low, slope_kg_ha_cm=slope) / KG_HA_PER_TON_ACRE


@pytest.mark.parametrize("row", published("agronomy", "stubble"))
def test_stubble_changes_yield_and_quality_as_measured(row):
    assert effect(row) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_the_slope_used_lies_between_the_two_measured():
    low, high = sorted(YIELD_SLOPES_MEASURED_KG_HA_CM)
    assert low < YIELD_SLOPE_KG_HA_CM < high


def test_the_rule_of_practice_takes_four_per_cent_of_the_season_an_inch():
    # common practice, no source
    assert yield_change_of_stubble_practice(4 * CM_PER_IN, 12_000.0) == pytest.approx(-960.0)


@given(STUBBLE, STUBBLE, STUBBLE)
def test_raising_in_two_steps_is_raising_at_once(one, two, three):
    steps = yield_change_of_stubble(two, one) + yield_change_of_stubble(three, two)
    assert float(steps) == pytest.approx(float(yield_change_of_stubble(three, one)), abs=1e-6)


@pytest.mark.parametrize(
    ("given_", "inches"),
    [
        ({}, 2), ({"grass_frac": 0.10}, 2), ({"grass_frac": 0.11}, 3), ({"stressed": True}, 4),
        ({"shoots_cm": 5 * CM_PER_IN}, 5), ({"last_cut_month": 9}, 4), ({"last_cut_month": 11}, 6),
        ({"grass_frac": 0.5, "stressed": True}, 5),
    ],
)  # fmt: skip
def test_no_stand_is_cut_below_its_floor(given_, inches):
    # Wiersma2026 (alfalfa 2 in, last cut 4), Thomas2009 (grass 3), Sheaffer2026 (November 6); stress derived
    assert stubble_floor(**given_) / CM_PER_IN == pytest.approx(inches)


@given(st.floats(0, 1))
def test_the_advised_stubble_is_never_below_the_floor_of_a_healthy_stand(grass):
    assert stubble_advised(grass) >= stubble_floor(grass)


@pytest.mark.parametrize("row", published("agronomy", "autumn_rest"))
def test_late_cuttings_are_judged_by_both_published_rules(row):
    rule = REST_RULES[row["rule"]]
    got = autumn_rest(row["heat_f_d"] / F_D_PER_C_D, enough_c_d=rule.enough_c_d, little_c_d=rule.little_c_d)
    assert AutumnRest(int(got)).name == row["expected"]


def test_the_two_rules_are_one_rule_read_in_two_units():
    # Wisconsin2026: 500 and 200 degree-days C are 900 and 360 degree-days F
    assert REST_RULES["current"].enough_c_d == pytest.approx(500)
    assert REST_RULES["current"].little_c_d == pytest.approx(200)
    assert {rule.source for rule in REST_RULES.values()} <= set(SOURCES)


def test_exactly_enough_is_still_a_risk():
    assert autumn_rest([500.0, 200.0, 500.1, 199.9]).tolist() == [1, 1, 0, 0]


@pytest.mark.parametrize(("cost", "value", "tons"), [(30, 200, 0.15), (20, 250, 0.08)])
def test_a_fungicide_pays_from_the_worked_gain_on(cost, value, tons):
    # derived: cost per acre over worth per ton
    got = fungicide_break_even(cost / HA_PER_ACRE, value / KG_PER_SHORT_TON) / KG_HA_PER_TON_ACRE
    assert got == pytest.approx(tons)


def test_a_sprayed_stand_waits_for_its_label():
    # Fungicide2018: 14 days for the products then labelled
    assert earliest_cut_on(date(2026, 5, 20), 14) == date(2026, 6, 3)
    assert latest_spray_heat(750 / F_D_PER_C_D, 22 / F_D_PER_C_D, 14) * F_D_PER_C_D == pytest.approx(442)


def test_intervals_are_held_against_a_system():
    assert interval_is_kept([27.0, 28.0, np.nan], 28).tolist() == [False, True, False]
    for system in SYSTEMS.values():
        shortest, longest = system.interval_d
        assert 0 < shortest < longest and (system.source in SOURCES or system.source == "from memory")


SHAPED = [
    (yield_change_of_stubble, (10.0,)),
    (yield_change_of_stubble_practice, (10.0, 12_000.0)),
    (ndf_change_of_stubble, (10.0,)),
    (rfv_change_of_stubble, (10.0,)),
    (stubble_floor, (0.3,)),
    (stubble_advised, (0.3,)),
    (autumn_rest, (300.0,)),
    (fungicide_break_even, (75.0, 0.2)),
    (latest_spray_heat, (400.0, 12.0, 14.0)),
]


@pytest.mark.parametrize(("formula", "usual"), SHAPED, ids=lambda thing: getattr(thing, "__name__", ""))
def test_every_relation_keeps_shape_and_missing_values(formula, usual):
    first, *rest = usual
    got = formula(np.array([first, np.nan]), *rest)
    assert got.shape == (2,) and np.isnan(got[1])
    assert got[0] == formula(*usual)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: yield_change_of_stubble(75.0), "stubble_cm must lie within"),
        (lambda: yield_change_of_stubble(7.0, slope_kg_ha_cm=100.0), "slope_kg_ha_cm must lie within"),
        (lambda: stubble_floor(30.0), "grass_frac must lie within"),
        (lambda: stubble_floor(last_cut_month=13), "last_cut_month must lie within"),
        (lambda: autumn_rest(-5.0), "heat_c_d must lie within"),
        (lambda: autumn_rest(5.0, enough_c_d=100.0, little_c_d=200.0), "little_c_d must not lie above"),
        (lambda: fungicide_break_even(75.0, 0.0), "value_usd_kg must lie within"),
        (lambda: earliest_cut_on(date(2026, 5, 1), -3), "interval_d must lie within"),
    ],
)
def test_impossible_values_are_refused_by_name(wrong, words):
    with pytest.raises(OutOfRange, match=words):
        wrong()
