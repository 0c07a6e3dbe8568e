"""A strip refuses series that do not fit its days."""

import pytest

from app.charts.strip import Row
from app.errors import OutOfRange
from tests.charts.strip.season import DAYS, TODAY, season


def test_a_series_of_the_wrong_length_is_named():
    with pytest.raises(OutOfRange, match=r"ndf_frac of Kiln.*36 days, not 2"):
        season(rows=(Row("Kiln", ndf_frac=(0.3, 0.4)),))


def test_one_day_is_no_season():
    with pytest.raises(OutOfRange, match="at least two days"):
        season(days=DAYS[:1], today=TODAY, dry_frac=(0.5,), weather=("observed",), rows=())
