"""Slopes as angles, and which are too steep."""

import numpy as np
import pytest

from app.ensiling.structures import slopes
from app.errors import OutOfRange
from tests.builders.published import published


@pytest.mark.parametrize("row", published("ensiling", "slopes"))
def test_slopes_are_the_published_angles(row):
    assert slopes.slope_angle(row["run"]) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_a_3_to_1_side_may_be_driven_up_but_not_along():
    """Bolsen: 3:1 up and down; Carrabba: 6:1 across."""
    assert not slopes.is_too_steep(3.0, drives_across=False)
    assert slopes.is_too_steep(2.9, drives_across=False)
    assert list(slopes.is_too_steep(np.array([3.0, 5.9, 6.0]), drives_across=True)) == [True, True, False]


def test_a_slope_of_nothing_is_refused_and_nan_passes():
    with pytest.raises(OutOfRange, match="run_ratio must lie within"):
        slopes.slope_angle(0.0)
    assert np.isnan(slopes.slope_angle(np.array([3.0, np.nan]))[1])
