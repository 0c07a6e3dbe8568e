"""Every default, its range and its source."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.agronomy.heat import Method, Start
from app.errors import Invalid
from app.nutrition.demand import Convention
from app.planning.assumptions import ASSUMPTIONS, GROUPS, JUDGEMENT, PRACTICE, resolve
from app.sources import SOURCES
from app.units import quantities as q
from app.units.kinds import KINDS
from tests.builders.published import published

NUMBERS = [a for a in ASSUMPTIONS.values() if not a.choices]
CHOICES = [a for a in ASSUMPTIONS.values() if a.choices]


@pytest.mark.parametrize("assumption", NUMBERS, ids=lambda a: a.key)
def test_a_number_has_a_unit_and_lies_within_its_range(assumption):
    assert assumption.kind in KINDS
    assert assumption.low < assumption.high and assumption.low <= assumption.default <= assumption.high


@pytest.mark.parametrize("assumption", CHOICES, ids=lambda a: a.key)
def test_a_choice_starts_with_one_of_its_choices(assumption):
    assert assumption.default in assumption.choices and len(set(assumption.choices)) == len(assumption.choices) > 1


@pytest.mark.parametrize("assumption", ASSUMPTIONS.values(), ids=lambda a: a.key)
def test_every_assumption_names_its_source_or_says_that_it_has_none(assumption):
    assert assumption.source in {PRACTICE, JUDGEMENT} or assumption.source in SOURCES
    assert str(assumption.label)


@pytest.mark.parametrize("row", published("planning", "defaults"))
def test_a_default_is_the_published_figure(row):
    shown = KINDS[row["kind"]].us.shown(ASSUMPTIONS[row["key"]].default)
    assert ASSUMPTIONS[row["key"]].kind == row["kind"]
    assert shown == pytest.approx(row["expected"], abs=row["tolerance"])


def test_choices_are_those_the_formulas_know():
    assert set(ASSUMPTIONS["heat_start_rule"].choices) == {s.value for s in Start}
    assert set(ASSUMPTIONS["heat_method"].choices) == {m.value for m in Method}
    assert set(ASSUMPTIONS["shrink_convention"].choices) == {c.value for c in Convention}
    assert set(ASSUMPTIONS["stubble_rule"].choices) == {"measured", "practice"}


def test_every_assumption_stands_in_one_section():
    assert sorted(key for keys in GROUPS.values() for key in keys) == sorted(ASSUMPTIONS)


def test_without_own_values_the_defaults_hold_and_own_values_replace_them():
    assert resolve({}) == {key: a.default for key, a in ASSUMPTIONS.items()}
    taken = resolve({"carry_over_d": "45", "shrink_convention": "multiply"})
    assert taken["carry_over_d"] == 45.0 and taken["shrink_convention"] == "multiply"
    assert taken["blend_d"] == ASSUMPTIONS["blend_d"].default


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("feedout_loss_frac", 3.0, "from 0 to 0.25, for example 0.03"),
        ("feedout_loss_frac", math.nan, "must be a number"),
        ("feedout_loss_frac", "a few", "must be a number"),
        ("heat_method", "guess", "none of: average"),
        ("moon_phase", 1.0, "no assumption"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_its_range_and_an_example(key, value, said):
    with pytest.raises(Invalid) as refused:
        resolve({key: value})
    assert said in str(refused.value.fields[key])


def test_all_refused_values_are_named_at_once():
    with pytest.raises(Invalid) as refused:
        resolve({"feedout_loss_frac": 3.0, "refusal_frac": -1.0, "blend_d": 7})
    assert set(refused.value.fields) == {"feedout_loss_frac", "refusal_frac"}


def test_degree_day_totals_must_rise():
    with pytest.raises(Invalid, match="must be less than"):
        resolve({"ndf40_heat_c_d": 640 / q.F_D_PER_C_D})


@given(st.sampled_from(NUMBERS), st.floats(0, 1))
def test_a_value_within_its_range_is_taken_unless_totals_no_longer_rise(assumption, share):
    value = assumption.low + share * (assumption.high - assumption.low)
    try:
        assert resolve({assumption.key: value})[assumption.key] == value
    except Invalid as refused:
        assert "heat" in assumption.key and "must be less" in str(refused)
