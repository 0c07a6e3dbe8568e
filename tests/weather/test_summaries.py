"""Daily-summaries CSV: a real export, and the flags and units other exports have."""

from datetime import date

import numpy as np
import pytest

from app.exchange.tables import read_tables
from app.weather.summaries import looks_like_summaries, read_summaries
from tests.builders.real_weather import content


def table(text):
    return read_tables(text.encode(), "summaries.csv")[0]


def lincoln():
    return read_tables(content("lincoln"), "lincoln_weather.csv")[0]


def test_a_real_export_is_recognised_and_its_unit_asked_with_a_reasoned_guess():
    assert looks_like_summaries(lincoln().header)
    reading = read_summaries(lincoln())
    (question,) = reading.questions
    assert question.key == "units" and question.guess == "us" and "99" in str(question.because)
    assert not reading.ready


def test_a_real_export_is_read_once_the_unit_is_answered_and_its_blank_day_is_missing():
    reading = read_summaries(lincoln(), answers={"units": "us"})
    assert reading.ready and not reading.problems
    assert reading.series.station == "USW00094996"
    assert reading.series.high_c[0] == pytest.approx((36 - 32) / 1.8) and reading.series.low_c[8] == pytest.approx(
        -33 / 1.8
    )
    assert (reading.counts.read_rows, reading.counts.new_days, reading.counts.missing_days) == (366, 365, 1)
    assert [str(gap.first_on) for gap in reading.series.gaps()] == ["2016-06-17"]


@pytest.mark.parametrize(
    ("high", "guess"), [("211,283", "tenths"), ("21.1,28.3", "metric"), ("70,83", "us"), ("40,45", None)]
)
def test_the_guess_follows_the_figures_and_stays_open_when_they_do_not_tell(high, guess):
    a, b = high.split(",")
    rows = f"STATION,DATE,TMAX,TMIN\nX,2026-05-01,{a},10\nX,2026-05-02,{b},12\n"
    assert read_summaries(table(rows)).questions[0].guess == guess


def test_flags_reject_a_value_and_a_trace_is_zero():
    text = (
        'STATION,NAME,DATE,PRCP,PRCP_ATTRIBUTES,TMAX,TMAX_ATTRIBUTES,TMIN\n'
        'X,"Y, US",2026-05-01,0,"T,,7",21.5,",,7",8\nX,"Y, US",2026-05-02,12.7,",,7",21.5,",I,7",8\n'
    )  # fmt: skip
    reading = read_summaries(table(text), answers={"units": "metric"})
    assert reading.series.precip_mm.tolist() == [0.0, 12.7] and np.isnan(reading.series.high_c[1])
    assert reading.counts.rejected == {"I": 1} and reading.counts.trace_days == 1


def test_two_stations_are_kept_apart():
    text = "STATION,DATE,TMAX,TMIN\nA,2026-05-01,20.5,8\nB,2026-05-01,30.5,9\n"
    reading = read_summaries(table(text), answers={"units": "metric"})
    assert reading.series.station == "A" and reading.others[0].high_c[0] == 30.5
    assert read_summaries(table(text), station="B", answers={"units": "metric"}).series.high_c[0] == 30.5


def test_future_days_are_asked_about():
    text = "STATION,DATE,TMAX,TMIN\nA,2027-05-01,20.5,8\n"
    reading = read_summaries(table(text), today=date(2026, 5, 10), answers={"units": "metric"})
    assert [question.key for question in reading.questions] == ["next_year"]
