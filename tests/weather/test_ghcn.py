"""The network's fixed-width and by-year files, flags and all; form as described beside the data [Menne2012]."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.weather.ghcn import looks_like_by_year, looks_like_dly, read_by_year, read_dly
from tests.builders.real_weather import series as real
from tests.builders.weather_files import by_year_csv, dly, dly_line

STATION = "USW00014933"


def test_a_line_has_269_characters_and_a_value_is_in_tenths():
    line = dly_line(STATION, 2026, 5, "TMAX", {1: "  183  7"})
    assert len(line) == 269 and line[21:26] == "  183"
    reading = read_dly(line)
    assert reading.series.station == STATION and reading.series.high_c[0] == 18.3


@pytest.mark.parametrize("value", ["-9999   ", "  183 I7", "  183 X ", " -50 D7 "])
def test_a_missing_or_flagged_value_is_missing(value):
    reading = read_dly(dly_line(STATION, 2026, 5, "TMAX", {1: value, 2: "  200  7"}))
    assert np.isnan(reading.series.high_c[0]) and reading.series.high_c[1] == 20.0


def test_rejected_values_are_counted_by_flag_and_missing_ones_are_not():
    reading = read_dly(dly_line(STATION, 2026, 5, "TMAX", {1: "  183 I7", 2: "  190 I7", 3: "  190 S7", 4: "-9999 I "}))
    assert dict(reading.counts.rejected) == {"I": 2, "S": 1}


def test_a_trace_of_rain_is_zero_and_counted_and_missing_presumed_zero_is_zero():
    reading = read_dly(dly_line(STATION, 2026, 5, "PRCP", {1: "    0T 7", 2: "    0P 7", 3: "  254  7"}))
    assert reading.series.precip_mm[:3].tolist() == [0, 0, 25.4] and reading.counts.trace_days == 1


def test_a_line_of_wrong_length_is_named_and_the_rest_is_read():
    good = dly_line(STATION, 2026, 5, "TMIN", {1: "  -50  7"})
    reading = read_dly(good[:100] + "\n" + good)
    assert reading.problems[0].row == 1 and "269" in str(reading.problems[0].sentence())
    assert reading.series.low_c[0] == -5.0


def test_days_a_month_does_not_have_are_named_when_they_hold_a_value():
    reading = read_dly(dly_line(STATION, 2026, 2, "TMAX", {28: "   50  7", 30: "   60  7"}))
    assert [problem.column for problem in reading.problems] == ["TMAX 30"]
    assert len(reading.series) == 28


def test_letters_among_the_figures_and_other_elements_do_no_harm():
    text = dly_line(STATION, 2026, 5, "TMAX", {1: "  1x3  7", 2: "  183  7"}) + "\n"
    text += dly_line(STATION, 2026, 5, "SNWD", {1: "  100  7"}) + "\n"
    reading = read_dly(text)
    assert reading.problems[0].column == "TMAX 1" and len(reading.problems) == 1


def test_a_second_different_value_of_a_day_is_named_and_the_first_kept():
    text = "\n".join(dly_line(STATION, 2026, 5, "TMAX", {1: f"  {v}  7"}) for v in (183, 183, 199))
    reading = read_dly(text)
    assert reading.counts.doubled_days == 1 and len(reading.problems) == 1 and reading.problems[0].row == 3
    assert reading.series.high_c[0] == 18.3


def test_several_stations_in_a_file_are_kept_apart():
    text = dly_line("AAA", 2026, 5, "TMAX", {1: "  100  7"}) + "\n" + dly_line("BBB", 2026, 5, "TMAX", {1: "  200  7"})
    assert [read_dly(text).series.station, read_dly(text).others[0].station] == ["AAA", "BBB"]
    assert read_dly(text, station="BBB").series.high_c[0] == 20.0
    assert read_dly(text, station="CCC").problems[0].got == "CCC"


def test_real_days_written_in_the_fixed_width_form_are_read_back():
    """A round trip: real values of Brussels 1976-2005, the form written by our own test builder."""
    brussels = real("brussels")
    text = dly(brussels)
    assert looks_like_dly(text) and not looks_like_by_year(text)
    back = read_dly(text)
    assert not back.problems and (back.series.days == brussels.days).all()
    assert np.allclose(back.series.high_c, brussels.high_c, atol=0.0501)
    assert np.allclose(back.series.precip_mm, brussels.precip_mm, atol=0.0501)


def test_real_days_written_in_the_by_year_form_are_read_back():
    """A round trip: real values of Brussels 2003, the form written by our own test builder."""
    year = real("brussels").between(np.datetime64("2003-01-01"), np.datetime64("2003-12-31"))
    text = by_year_csv(year)
    assert looks_like_by_year(text) and not looks_like_dly(text)
    back = read_by_year(text)
    assert not back.problems and np.allclose(back.series.low_c, year.low_c, atol=0.0501)


def test_faulty_by_year_lines_are_named():
    text = f"{STATION},20260501,TMAX,183,,,S\nbad\n{STATION},2026-05-02,TMAX,183,,,S\n{STATION},20260503,TMAX,hot,,,S\n"
    text += f"{STATION},20260504,TMAX,183,,I,S,0700\n"
    reading = read_by_year(text)
    assert [problem.row for problem in reading.problems] == [2, 3, 4]
    assert reading.counts.rejected["I"] == 1


def test_an_empty_file_gives_an_empty_reading():
    assert not read_dly("").ready and not read_by_year("\n").ready


@given(st.text(max_size=300), st.integers(0, 268), st.text(max_size=3))
def test_no_file_makes_the_readers_stumble(text, place, put):
    line = dly_line(STATION, 2026, 5, "TMAX", {1: "  183  7"})
    for content in (text, line[:place] + put + line[place + len(put) :]):
        for reading in (read_dly(content), read_by_year(content)):
            assert all(problem.sentence() for problem in reading.problems)
