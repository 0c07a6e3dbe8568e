"""Units are told from headers and figures, or left open."""

import numpy as np
import pytest

from app.weather.scales import guess_rain_unit, guess_temp_unit, to_celsius, to_mm
from tests.builders.real_weather import years


def test_units_become_celsius_and_millimetres():
    assert (to_celsius(41, "f"), to_celsius(183, "tenths_c"), to_celsius(5, "c")) == (5.0, 18.3, 5)
    assert (to_mm(1, "in"), to_mm(254, "tenths_mm"), to_mm(3, "mm")) == (25.4, 25.4, 3)


@pytest.mark.parametrize("name", ["champion", "brussels"])
def test_every_real_year_is_recognised_in_each_unit_it_may_come_in(name):
    for year in years(name).high_c:
        assert guess_temp_unit(year).unit == "c"
        assert guess_temp_unit(np.round(year * 10)).unit == "tenths_c"
        assert guess_temp_unit(np.round(year * 1.8 + 32)).unit == "f"


@pytest.mark.parametrize("name", ["champion", "brussels"])
def test_rain_of_every_real_year_is_recognised_in_each_unit(name):
    for year in years(name).precip_mm:
        assert guess_rain_unit(np.round(year, 1), "c").unit == "mm"
        assert guess_rain_unit(np.round(year / 25.4, 2), "f").unit == "in"
        assert guess_rain_unit(np.round(year * 10), "tenths_c").unit == "tenths_mm"


def test_an_empty_column_or_a_few_whole_numbers_give_no_guess():
    assert guess_temp_unit([]).unit is None and guess_temp_unit([40, 45]).unit is None
    assert guess_rain_unit([0, 0], "c").unit is None
