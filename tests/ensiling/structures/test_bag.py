"""Bags as full circles."""

import numpy as np
import pytest

from app.ensiling.structures import bag
from app.errors import OutOfRange
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_LB, M_PER_FT
from tests.builders.published import published


@pytest.mark.parametrize("row", published("ensiling", "bags"))
def test_a_foot_of_bag_holds_what_the_circle_says(row):
    found = bag.bag_mass_per_length(row["diameter_ft"] * M_PER_FT, row["density_lb_ft3"] * KG_M3_PER_LB_FT3)
    assert found * M_PER_FT / KG_PER_LB == pytest.approx(row["expected"], abs=row["tolerance"])


def test_the_tied_ends_do_not_count():
    assert bag.bag_usable_length(60.0, 2.7) == pytest.approx(54.6)
    with pytest.raises(OutOfRange, match="filled_length_m must be longer"):
        bag.bag_usable_length(5.0, 2.7)


def test_twice_as_wide_holds_four_times_as_much():
    found = bag.bag_volume(10.0, np.array([2.0, 4.0, np.nan]))
    assert found[1] / found[0] == pytest.approx(4.0)
    assert np.isnan(found[2])


def test_a_diameter_in_feet_is_refused():
    with pytest.raises(OutOfRange, match=r"diameter_m must lie within 1 and 5 \(for example 2\.7\); found 9"):
        bag.bag_volume(10.0, 9)
