"""The guard of every formula."""

import numpy as np
import pytest

from app.ensiling import limits
from app.errors import OutOfRange


def test_the_message_names_what_the_range_an_example_and_what_was_found():
    with pytest.raises(
        OutOfRange, match=r"^dm_frac must lie within 0\.05 and 0\.95 \(for example 0\.38\); found 38\.$"
    ):
        limits.dry_matter([0.4, 38.0])


def test_infinity_is_refused_and_nan_passes():
    with pytest.raises(OutOfRange):
        limits.within("depth_m", float("inf"), 0, 10, 3)
    assert np.isnan(limits.within("depth_m", float("nan"), 0, 10, 3))


def test_one_figure_stays_a_float_and_several_an_array():
    assert type(limits.within("depth_m", 3, 0, 10, 3)) is float
    assert limits.within("depth_m", [[3, 4]], 0, 10, 3).shape == (1, 2)
