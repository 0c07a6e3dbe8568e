"""Unit systems: exact factors of the 1959 international agreement and the SI brochure."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.units.kinds import KINDS, kept, shown

# National Institute of Standards and Technology, Special Publication 811, appendix B.8 (exact, or rounded as printed).
PRINTED = [
    ("area", 1.0, 0.40468564, 1e-7),
    ("weight", 1.0, 0.45359237, 0),
    ("mass_dm", 1.0, 907.18474, 1e-5),
    ("length", 1.0, 0.3048, 0),
    ("height", 1.0, 2.54, 1e-12),
    ("rain", 1.0, 25.4, 1e-12),
    ("speed", 1.0, 1.609344, 0),
    ("density_dm", 1.0, 16.01846, 1e-5),
    ("volume", 1.0, 0.02831685, 1e-8),
    ("temp", 41.0, 5.0, 1e-9),
    ("temp", 212.0, 100.0, 1e-9),
]


@pytest.mark.parametrize(("kind", "typed", "inside", "tolerance"), PRINTED)
def test_a_typed_figure_is_kept_by_the_printed_factor(kind, typed, inside, tolerance):
    assert kept(typed, kind, "us") == pytest.approx(inside, abs=tolerance or 1e-15)


def test_seven_hundred_degree_days_fahrenheit_are_kept_as_389_celsius():
    assert kept(700, "heat", "us") == pytest.approx(700 / 1.8)


def test_fifty_five_stems_per_square_foot_are_592_per_square_metre():
    assert kept(55, "stems", "us") == pytest.approx(592.015, abs=0.001)


@given(st.sampled_from(sorted(KINDS)), st.sampled_from(["us", "metric"]), st.floats(-1e6, 1e6))
def test_reading_back_what_was_shown_gives_the_same_figure(kind, system, value):
    assert kept(shown(value, kind, system), kind, system) == pytest.approx(value, rel=1e-12, abs=1e-9)
