"""Dry matter intake against published values."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.nutrition import intake
from app.sources import SOURCES
from tests.builders.published import published, table
from tests.nutrition.called import called


@pytest.mark.parametrize("row", published("nutrition", "intake"))
def test_intake_meets_its_published_value(row):
    assert called("nutrition", row) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_every_row_names_a_listed_source():
    assert {r["source"] for r in table("nutrition", "intake")} <= set(SOURCES)


def test_a_group_of_arrays_keeps_its_shape_and_what_is_not_measured_stays_so():
    got = intake.lactating_intake([25.0, np.nan], 650.0, 100.0, 0.5, 3.5)
    assert got.shape == (2,) and np.isnan(got[1]) and got[0] == pytest.approx(22.759, abs=5e-4)
    assert np.isnan(intake.heifer_intake_by_diet(np.nan, 0.45))


@pytest.mark.parametrize(
    ("formula", "inputs", "named"),
    [
        (intake.milk_energy, (140.0, 0.04, 0.03, 0.05), "milk_kg_d"),
        (intake.milk_energy, (40.0, 3.8, 0.03, 0.05), "fat_frac"),
        (intake.lactating_intake, (25.0, 65.0, 100.0, 0.5, 3.5), "weight_kg"),
        (intake.lactating_intake, (25.0, 650.0, 100.0, 0.5, 7.0), "condition_index"),
        (intake.lactating_intake_by_diet, (35.0, 30.0, 0.75, 0.5), "forage_ndf_frac"),
        (intake.dry_cow_intake, (725.0, -3.0, 0.45), "to_calving_d"),
        (intake.heifer_ndf_cap, (450.0, 0.0), "diet_ndf_frac"),
        (intake.heifer_intake_by_diet, (30.0, 0.95), "diet_ndf_frac"),
    ],
)
def test_an_animal_that_cannot_be_is_refused_by_name(formula, inputs, named):
    with pytest.raises(OutOfRange, match=named):
        formula(*inputs)


def test_equation_2_2_says_when_a_group_lies_outside_its_data():
    said = intake.LACTATING_BY_DIET_TESTED.outside({"milk_kg_d": 55.0, "in_milk_d": 120.0, "diet_ndf_frac": 0.30})
    assert [str(s) for s in said] == [
        "Milk yield of 55 is outside 20.3 to 51.1, the range this equation was tested on."
    ]


def test_two_independent_equations_agree_within_a_tenth_for_an_ordinary_cow():
    # Lee2021: group equations miss by about a tenth
    energy = intake.milk_energy(36.0, 0.038, 0.031, 0.0485)
    first = intake.lactating_intake(energy, 680.0, 150.0, 0.65, 3.0)
    second = intake.lactating_intake_korean(intake.fat_corrected_milk(36.0, 0.038), 680.0, 0.30)
    assert first == pytest.approx(second, rel=0.10)


def test_the_dry_cow_equations_agree_over_the_last_three_weeks():
    # NASEM2021 (recalled) against Hayirli2003: means over weeks -3 to 0 within 1 per cent
    days = np.arange(0.0, 22.0)
    ours = intake.dry_cow_intake(700.0, days, 0.40).mean()
    assert ours == pytest.approx(intake.close_up_intake(700.0, 280 - days).mean(), rel=0.015)


@given(st.floats(0, 70), st.floats(0, 70))
def test_a_cow_that_milks_more_is_never_said_to_eat_less(one, other):
    low, high = sorted((one, other))
    for said in (
        lambda milk: intake.lactating_intake(intake.milk_energy(milk, 0.04, 0.031, 0.048), 680.0, 100.0, 1.0, 3.0),
        lambda milk: intake.lactating_intake_2001(milk, 680.0, 100.0),
        intake.holstein_planning_intake,
    ):
        assert said(low) <= said(high)


@given(st.floats(60, 690))
def test_a_heavier_heifer_eats_more_but_less_for_her_weight(weight):
    assert intake.heifer_intake(weight + 5) > intake.heifer_intake(weight)
    assert intake.heifer_intake(weight + 5) / (weight + 5) < intake.heifer_intake(weight) / weight
