"""What looks wrong is asked about; real weather is not."""

import numpy as np
import pytest

from app.weather.plausibility import SPIKE_C, spikes
from tests.builders.real_weather import series


@pytest.mark.parametrize("name", ["champion", "brussels"])
def test_real_weather_is_hardly_ever_taken_for_a_slip(name):
    one = series(name)
    assert spikes(one.high_c, SPIKE_C).mean() < 0.002 and spikes(one.low_c, SPIKE_C).mean() < 0.002


def test_a_digit_too_many_sticks_out_and_a_cold_front_does_not():
    assert spikes(np.array([20.0, 200.0, 21.0]), SPIKE_C).tolist() == [False, True, False]
    assert not spikes(np.array([30.0, 29.0, 5.0, 4.0]), SPIKE_C).any()
    assert not spikes(np.array([20.0, np.nan, 21.0]), SPIKE_C).any() and len(spikes(np.array([1.0]), SPIKE_C)) == 1
