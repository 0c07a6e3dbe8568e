"""A series has every day once; what is missing stays missing and is named."""

import numpy as np
import pytest

from app.errors import OutOfRange
from app.weather.series import (
    Kind,
    calendar_view,
    complete_years,
    empty_series,
    fill_short_gaps,
    is_leap_day,
    merge,
    season_columns,
    series_of,
)
from tests.builders.real_weather import series as real


def days(first, n):
    return np.arange(np.datetime64(first), np.datetime64(first) + n)


def steady(first, n, high=20.0, kind=Kind.OBSERVED):
    return series_of("A", days(first, n), np.full(n, high), np.full(n, high - 10), np.zeros(n), kind)


def without(series, *places):
    keep = np.setdiff1d(np.arange(len(series)), places)
    return series_of("A", series.days[keep], series.high_c[keep], series.low_c[keep], series.precip_mm[keep])


def test_days_in_any_order_become_a_series_with_its_gap_named():
    one = series_of("A", ["2026-05-04", "2026-05-01"], [22, 20], [9, 8], [0, 1])
    assert str(one.days[0]) == "2026-05-01" and len(one) == 4
    assert np.isnan(one.high_c[1:3]).all() and one.kind.tolist() == [1, 0, 0, 1]
    (gap,) = one.gaps()
    assert (str(gap.first_on), str(gap.last_on), gap.length_d) == ("2026-05-02", "2026-05-03", 2)


def test_a_day_given_twice_is_refused():
    with pytest.raises(OutOfRange, match="once"):
        series_of("A", ["2026-05-01", "2026-05-01"], [1, 2], [0, 0], [0, 0])


def test_days_outside_a_series_are_missing_and_not_zero():
    part = steady("2026-05-01", 3).between(np.datetime64("2026-04-30"), np.datetime64("2026-05-05"))
    assert np.isnan(part.high_c).tolist() == [True, False, False, False, True, True]
    assert np.isnan(empty_series("A").between(np.datetime64("2026-01-01"), np.datetime64("2026-01-02")).low_c).all()


def test_new_days_are_added_and_the_same_days_counted():
    merged = merge(steady("2026-05-01", 5), steady("2026-05-04", 5), replace_changed=False)
    assert (len(merged.series), merged.new_d, merged.same_d, merged.changed_on) == (8, 3, 2, ())


@pytest.mark.parametrize(("replace", "expected"), [(False, 20.0), (True, 25.0)])
def test_a_changed_value_is_named_and_replaced_only_if_asked(replace, expected):
    merged = merge(steady("2026-05-01", 3), steady("2026-05-02", 1, high=25.0), replace_changed=replace)
    assert [str(day) for day in merged.changed_on] == ["2026-05-02"]
    assert merged.series.high_c[1] == expected


def test_a_missing_value_never_replaces_a_measured_one():
    hole = series_of("A", ["2026-05-01", "2026-05-02"], [np.nan, 21], [np.nan, 11], [np.nan, 0])
    assert merge(steady("2026-05-01", 1), hole, replace_changed=True).series.high_c.tolist() == [20, 21]


def test_an_observation_takes_the_place_of_a_forecast_and_never_the_other_way():
    seen, said = steady("2026-05-01", 2), steady("2026-05-01", 2, high=30.0, kind=Kind.FORECAST)
    assert merge(seen, said, replace_changed=True).series.high_c.tolist() == [20, 20]
    became = merge(said, seen, replace_changed=False)
    assert became.series.high_c.tolist() == [20, 20] and became.series.kind.tolist() == [1, 1]
    assert became.changed_on == ()


def test_short_gaps_are_drawn_straight_and_marked_and_rain_is_not():
    ramp = series_of("A", days("2026-05-01", 5), np.arange(5.0) + 20, np.arange(5.0) + 10, np.ones(5))
    filled = fill_short_gaps(without(ramp, 2), longest_d=3)
    assert filled.high_c.tolist() == [20, 21, 22, 23, 24] and filled.kind[2] == Kind.FILLED
    assert np.isnan(filled.precip_mm[2])


def test_long_gaps_stay_missing():
    assert np.isnan(fill_short_gaps(without(steady("2026-05-01", 9), 3, 4, 5, 6), longest_d=3).high_c).sum() == 4


def test_a_year_with_a_long_gap_is_not_complete():
    two = steady("2023-01-01", 365 + 366)
    assert complete_years(two).years.tolist() == [2023, 2024]
    assert complete_years(without(two, *range(100, 105))).years.tolist() == [2024]
    assert complete_years(without(two, 100, 101)).years.tolist() == [2023, 2024]


def test_the_calendar_leaves_out_29_february_and_forecasts():
    view = calendar_view(steady("2024-01-01", 366))
    assert view.high_c.shape == (1, 365)
    assert np.isnan(calendar_view(steady("2024-01-01", 366, kind=Kind.FORECAST)).high_c).all()
    assert is_leap_day(days("2024-02-28", 3)).tolist() == [False, True, False]


def test_a_season_takes_its_forecast_along_and_leaves_the_rest_open():
    both = merge(steady("2028-01-01", 60), steady("2028-03-01", 7, kind=Kind.FORECAST), replace_changed=False).series
    high, low = season_columns(both, 2028)
    assert len(high) == 365 and np.isfinite(high).sum() == 59 + 7 and np.isnan(low[66:]).all()


def test_champion_is_37_whole_years_and_the_calendar_finds_its_days():
    champion = real("champion")
    view = complete_years(champion)
    assert len(champion) == 13514 and champion.gaps() == () and len(view) == 37
    first_of_june_1984 = np.flatnonzero(champion.days == np.datetime64("1984-06-01"))[0]
    assert view.high_c[2, 151] == champion.high_c[first_of_june_1984]
