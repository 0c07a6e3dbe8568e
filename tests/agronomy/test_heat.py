"""Heat of a day, the start of counting, and totals."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.agronomy.heat import (
    NEVER,
    Method,
    accumulated_heat,
    degree_days,
    degree_days_average,
    degree_days_horizontal_cap,
    degree_days_sine,
    degree_days_sine_vertical_cap,
    degree_days_three_case,
    index_of_total,
    start_after_hard_freeze,
    start_after_warm_highs,
    start_after_warm_means,
    start_on,
    start_on_first_of_march,
)
from app.errors import OutOfRange
from app.units.quantities import F_D_PER_C_D, celsius
from tests.builders.published import published, table

AIR = st.floats(-40, 50)


def heat_f(row):
    cap = row["cap_f"]
    return F_D_PER_C_D * degree_days(
        celsius(row["high_f"]),
        celsius(row["low_f"]),
        Method(row["method"]),
        base_c=celsius(row["base_f"]),
        cap_c=None if cap == "" else celsius(cap),
    )


@pytest.mark.parametrize("row", published("agronomy", "heat_of_day"))
def test_heat_of_a_day_meets_the_published_and_worked_values(row):
    assert heat_f(row) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_celsius_days_meet_the_worked_values():
    # derived by hand: (35 + 20) / 2 - 5, and with the high cut to 32
    assert degree_days_average(35.0, 20.0) == pytest.approx(22.5)
    assert degree_days_horizontal_cap(35.0, 20.0, cap_c=32.0) == pytest.approx(21.0)
    assert degree_days_average(35.0, 20.0) * F_D_PER_C_D == pytest.approx(40.5)


def test_the_mean_of_heat_is_more_than_the_heat_of_the_mean():
    # derived: means of 36 and 50 F give 0 and 9; their mean 43 F gives 2
    means = celsius(np.array([36.0, 50.0]))
    assert degree_days_average(means, means).mean() * F_D_PER_C_D == pytest.approx(4.5)
    assert degree_days_average(means.mean(), means.mean()) * F_D_PER_C_D == pytest.approx(2.0)


def test_ten_days_add_up_to_the_worked_totals():
    rows = table("agronomy", "heat_of_ten_days")
    days = degree_days_average(
        celsius(np.array([r["high_f"] for r in rows])), celsius(np.array([r["low_f"] for r in rows]))
    )
    assert accumulated_heat(days) * F_D_PER_C_D == pytest.approx([r["expected"] for r in rows], abs=1e-9)


def curve(high, low):
    """A day of temperatures on a sine curve, finely cut."""
    turn = (np.arange(20_000) + 0.5) / 20_000 * 2 * np.pi
    return (high + low) / 2 + (high - low) / 2 * np.sin(turn)


@pytest.mark.parametrize(("high", "low"), [(15.0, 4.0), (10.0, -1.0), (35.0, 18.0), (5.0, -5.0), (31.0, 31.0)])
def test_sine_methods_agree_with_adding_up_a_finely_cut_curve(high, low):
    temps = curve(high, low)
    above = np.maximum(temps - 5, 0)
    assert degree_days_sine(high, low) == pytest.approx(above.mean(), abs=1e-4)
    level = degree_days(high, low, Method.SINE_HORIZONTAL_CAP, cap_c=30.0)
    assert level == pytest.approx(np.minimum(above, 25).mean(), abs=1e-4)
    stopped = degree_days_sine_vertical_cap(high, low, cap_c=30.0)
    assert stopped == pytest.approx(np.where(temps > 30, 0, above).mean(), abs=2e-3)


@given(AIR, AIR)
def test_a_day_never_takes_heat_away_and_methods_agree_on_warm_days(one, other):
    high, low = max(one, other), min(one, other)
    average = float(degree_days_average(high, low))
    sine = float(degree_days_sine(high, low))
    raised = float(degree_days(high, low, Method.RAISED))
    three = float(degree_days_three_case(high, low))
    assert 0 <= average <= sine + 1e-9 <= raised + 2e-9
    assert average <= three + 1e-9
    if low >= 5:
        assert sine == pytest.approx(average) == pytest.approx(three) == pytest.approx(raised)


@pytest.mark.parametrize("method", list(Method))
def test_every_method_keeps_shape_and_missing_days(method):
    cap = 30.0 if "cap" in method.value else None
    got = degree_days(
        [[15.0, np.nan, 35.0], [1.0, 12.0, 20.0]], [[4.0, 2.0, 20.0], [-3.0, np.nan, 20.0]], method, cap_c=cap
    )
    assert got.shape == (2, 3)
    assert np.isnan(got).tolist() == [[False, True, False], [False, True, False]]
    assert float(degree_days(15.0, 5.0, method, cap_c=cap)) == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: degree_days_average(75.0, 40.0), "temp_max_c must lie within"),
        (lambda: degree_days_average(5.0, 9.0), "temp_min_c must not lie above temp_max_c"),
        (lambda: degree_days_average(15.0, 5.0, base_c=41.0), "base_c must lie within"),
        (lambda: degree_days_horizontal_cap(15.0, 5.0, cap_c=86.0), "cap_c must lie within"),
        (lambda: degree_days_horizontal_cap(15.0, 5.0, base_c=18.0, cap_c=16.0), "cap_c must lie above base_c"),
        (lambda: degree_days(15.0, 5.0, Method.HORIZONTAL_CAP), "cap_c must be given"),
        (lambda: degree_days(15.0, 5.0, Method.AVERAGE, cap_c=30.0), "cap_c has no place"),
        (lambda: accumulated_heat([1.0, -2.0]), "heat_c_d must lie within"),
        (lambda: index_of_total([1.0], -5.0), "target_c_d must lie within"),
        (lambda: start_on(date(2026, 3, 5), date(2026, 3, 1)), "starts_on must not lie before"),
        (lambda: start_after_warm_highs([6.0] * 9, run_d=0), "run_d must be at least"),
    ],
)
def test_impossible_days_are_refused_by_name(wrong, words):
    with pytest.raises(OutOfRange, match=words):
        wrong()


def test_first_of_march_is_found_in_common_and_leap_years():
    assert start_on_first_of_march(date(2027, 1, 1)) == 59
    assert start_on_first_of_march(date(2028, 1, 1)) == 60
    assert start_on(date(2027, 1, 1), date(2027, 4, 15)) == 104


def test_the_fifth_warm_day_is_the_first_counted():
    highs = np.full(90, 2.0)
    highs[10:14] = 12.0  # four days only
    highs[40:45] = [5.0, 8.0, 5.0, 9.0, 6.0]  # at the base counts
    assert start_after_warm_highs(highs) == 44


def test_a_missing_day_breaks_a_warm_run():
    highs = np.array([6.0, 6.0, 6.0, np.nan, 6.0, 6.0, 6.0, 6.0, 6.0])
    assert start_after_warm_highs(highs) == 8
    assert start_after_warm_highs(highs[:5]) == NEVER


def test_warm_means_must_pass_the_base_and_start_later_than_warm_highs():
    highs, lows = np.full(30, 10.0), np.full(30, 0.0)
    assert start_after_warm_highs(highs) == 4
    assert start_after_warm_means(highs, lows) == NEVER  # mean is the base itself
    assert start_after_warm_means(highs, lows + np.where(np.arange(30) >= 20, 1.0, 0.0)) == 24


def test_starts_are_found_for_many_years_at_once():
    highs = np.stack([np.full(60, 1.0), np.full(60, 9.0)])
    assert start_after_warm_highs(highs).tolist() == [NEVER, 4]


def test_counting_begins_after_the_last_hard_freeze_of_spring_and_ignores_autumn():
    lows = np.full(365, 5.0)
    lows[[20, 100, 330]] = celsius(27.0)
    assert start_after_hard_freeze(lows) == 101
    assert start_after_hard_freeze(np.full(365, 3.0)) == 0
    assert start_after_hard_freeze(np.array([1.0, celsius(27.1)])) == 0


def test_totals_wait_for_the_start_and_stop_at_a_missing_day():
    heat = np.array([[4.0, 5.0, 6.0, 7.0], [4.0, 5.0, np.nan, 7.0], [1.0, 1.0, 1.0, 1.0]])
    total = accumulated_heat(heat, [1, 0, NEVER])
    assert total[0].tolist() == [0, 5, 11, 18]
    assert total[1][:2].tolist() == [4, 9] and np.isnan(total[1][2:]).all()
    assert total[2].tolist() == [0, 0, 0, 0]
    assert index_of_total(total, 9.0).tolist() == [2, 1, NEVER]


def test_a_total_met_exactly_counts_on_its_own_day():
    # derived: 75 days of 10 F d meet 750 F d at the end of the 75th, whatever the rounding of the conversion
    days = np.full(80, 10 / F_D_PER_C_D)
    assert index_of_total(accumulated_heat(days), 750 / F_D_PER_C_D) == 74


@given(st.lists(st.floats(0, 30), min_size=1, max_size=120), st.floats(0.1, 900))
def test_the_date_of_a_total_is_the_first_day_at_or_above_it(heat, target):
    total = accumulated_heat(heat)
    at = int(index_of_total(total, target))
    if at == NEVER:
        assert total[-1] < target
    else:
        assert total[at] >= target * (1 - 1e-8) and (at == 0 or total[at - 1] < target)
