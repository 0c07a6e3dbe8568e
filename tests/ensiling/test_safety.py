"""Figures of the caution cards against who publishes them."""

from datetime import date

import numpy as np
import pytest

from app.ensiling import safety
from app.errors import OutOfRange
from app.units.quantities import M_PER_FT


@pytest.mark.parametrize(("dm_frac", "ph"), [(0.25, 4.40), (0.30, 4.70), (0.35, 5.00)])
def test_the_drier_the_silage_the_less_acid_stops_clostridia(dm_frac, ph):
    """McCary 2023 at 25 and 35 % DM, Muck at 30 %."""
    assert safety.critical_ph(dm_frac) == pytest.approx(ph, abs=0.01)


def test_outside_the_published_dry_matters_no_critical_ph_is_given():
    assert np.isnan(safety.critical_ph(np.array([0.20, 0.42, np.nan]))).all()
    with pytest.raises(OutOfRange, match="dm_frac"):
        safety.critical_ph(35)


def test_silo_gas_limits_are_the_published_ones():
    """OSHA ceiling 5 ppm, NIOSH short-term 1 ppm, IDLH 13 ppm since 2017."""
    limits = (safety.NO2_CEILING_OSHA_PPM, safety.NO2_SHORT_TERM_NIOSH_PPM, safety.NO2_DANGER_PPM)
    assert limits == (5, 1, 13)


def test_filled_on_1_june_is_kept_clear_through_22_june():
    assert safety.keep_out_until(date(2026, 6, 1)) == date(2026, 6, 22)


def test_nobody_can_shorten_the_keep_out():
    with pytest.raises(OutOfRange, match="keep_out_d must lie within 21"):
        safety.keep_out_until(date(2026, 6, 1), 14)


def test_a_14_ft_face_is_given_42_ft():
    """Carrabba: three times the height."""
    assert safety.standoff(14 * M_PER_FT) == pytest.approx(42 * M_PER_FT)
    assert safety.standoff(np.array([[3.0, np.nan]])).shape == (1, 2)


def test_a_shaft_takes_five_feet_before_a_person_reacts():
    """University of Missouri: 7 ft/s for 0.75 s."""
    assert safety.shaft_pull(0.75) == pytest.approx(5.25 * M_PER_FT)


def test_new_people_reach_a_full_shift_on_the_fifth_day():
    """The rule of 20 % a day."""
    assert safety.heat_share(np.array([1, 2, 4, 5, 6])) == pytest.approx([0.2, 0.4, 0.8, 1.0, 1.0])
