"""Any sheet of daily weather: columns proposed, faults named, doubts asked, nothing guessed in silence."""

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.exchange.tables import read_tables
from app.weather.columns import DayColumns, propose, read_columns
from tests.builders.real_weather import content, series

TODAY = date(2026, 6, 1)


def table(text):
    return read_tables(text.encode(), "weather.csv")[0]


def read(text, today=TODAY, answers=None, **columns):
    sheet = table(text)
    mapped = DayColumns(**{**propose(sheet).__dict__, **columns})
    return read_columns(sheet, mapped, today=today, answers=answers)


def asked(reading):
    return [question.key for question in reading.questions]


def test_the_columns_of_a_real_file_are_proposed_with_their_units():
    sheet = read_tables(content("champion"), "champion")[0]
    columns = propose(sheet)
    assert (columns.day, columns.high, columns.low, columns.rain) == (
        ("Year", "Month", "Day"), "Tmax(C)", "Tmin(C)", "Prcp(mm)",
    )  # fmt: skip
    assert (columns.temp_unit, columns.rain_unit) == ("c", "mm")


def test_the_first_row_of_champion_is_the_published_one():
    """aquacrop 3.1.0, champion_climate.txt, 1 January 1982."""
    first = series("champion")
    assert (first.low_c[0], first.high_c[0], first.precip_mm[0]) == (-21.11, 3.33, 0.0)


@pytest.mark.parametrize(
    "header",
    [
        "date,high,low,rain",
        "Fecha,Temp máxima,Temp mínima,lluvia",
        "day of record,TMAX,TMIN,PRCP",
        "when,max temp,min temp,precip",
    ],
)  # fmt: skip
def test_usual_headers_are_proposed(header):
    names = header.split(",")
    columns = propose(table(header + "\n2026-05-01,20,8,0\n"))
    assert [columns.day[0], columns.high, columns.low, columns.rain] == names


def test_units_are_asked_when_the_header_is_silent_and_the_answer_is_used():
    text = "date,high,low,rain\n2026-05-01,70,50,0.25\n2026-05-02,75,52,0\n"
    reading = read(text)
    assert asked(reading) == ["temp_unit", "rain_unit"] and not reading.ready
    assert [question.guess for question in reading.questions] == ["f", "in"]
    done = read(text, answers={"temp_unit": "f", "rain_unit": "in"})
    assert done.ready and done.series.high_c[0] == pytest.approx(38 / 1.8) and done.series.precip_mm[0] == 6.35


def test_a_unit_in_the_columns_name_is_not_asked_again():
    done = read("date,high °F,low °F,rain_mm\n2026-05-01,70,50,3\n", temp_unit=None, rain_unit=None)
    assert done.ready and done.series.high_c[0] == pytest.approx(38 / 1.8) and done.series.precip_mm[0] == 3


def test_fahrenheit_called_celsius_is_asked_about():
    text = "date,high (C),low (C)\n2026-05-01,72,50\n2026-05-02,75,52\n"
    assert asked(read(text)) == ["celsius"]
    assert read(text, answers={"celsius": "f"}).series.high_c[0] == pytest.approx(40 / 1.8)
    kept = read(text, answers={"celsius": "c"})
    assert len(kept.problems) == 2 and np.isnan(kept.series.high_c).all()


def test_exchanged_columns_are_asked_about_and_a_single_slip_is_named():
    text = "date,high (C),low (C)\n2026-05-01,8,20\n2026-05-02,9,22\n2026-05-03,7,19\n"
    assert asked(read(text)) == ["swapped"]
    assert read(text, answers={"swapped": "yes"}).series.high_c.tolist() == [20, 22, 19]
    slip = read("date,high (C),low (C)\n2026-05-01,20,8\n2026-05-02,9,22\n2026-05-03,19,7\n2026-05-04,19,7\n")
    assert slip.problems[0].row == 3 and np.isnan(slip.series.high_c[1]) and np.isnan(slip.series.low_c[1])


def test_a_jump_is_asked_about_and_left_out_unless_confirmed():
    text = "date,high (C),low (C)\n2026-05-01,20,8\n2026-05-02,48,9\n2026-05-03,19,7\n"
    assert asked(read(text)) == ["jumps"]
    assert np.isnan(read(text, answers={"jumps": "leave_out"}).series.high_c[1])
    assert read(text, answers={"jumps": "keep"}).series.high_c[1] == 48


def test_next_years_date_is_asked_about():
    text = "date,high (C),low (C)\n2027-05-01,20,8\n2027-05-02,21,9\n"
    reading = read(text)
    assert asked(reading) == ["next_year"]
    back = read(text, answers={"next_year": "back"})
    assert str(back.series.days[0]) == "2026-05-01" and back.ready
    assert len(read(text, answers={"next_year": "leave_out"}).series) == 0


def test_days_not_over_are_left_out_and_said():
    text = "date,high (C),low (C)\n2026-05-31,20,8\n2026-06-01,21,9\n2028-06-02,21,9\n"
    reading = read(text)
    assert asked(reading) == ["future"] and len(read(text, answers={"future": "leave_out"}).series) == 1


def test_dates_that_fit_two_orders_are_asked_and_a_run_of_days_suggests_one():
    text = "date,high (C),low (C)\n5/1/2026,20,8\n5/2/2026,21,9\n5/3/2026,21,9\n"
    reading = read(text)
    assert asked(reading) == ["order"] and reading.questions[0].guess == "mdy"
    assert str(read(text, answers={"order": "dmy"}).series.days[0]) == "2026-01-05"


def test_a_number_with_two_meanings_is_asked():
    text = "date;high (C);low (C);rain (mm)\n2026-05-01;20;8;1,500\n2026-05-02;20;8;0\n"
    assert asked(read(text)) == ["number"]
    assert read(text, answers={"number": ","}).series.precip_mm[0] == 1.5


def test_decimal_commas_and_traces_and_blanks_are_read():
    done = read("date;high (C);low (C);rain (mm)\n1.5.2026;20,5;8,0;T\n2.5.2026;;7,5;2,5\n")
    assert done.ready and done.series.high_c[0] == 20.5 and done.series.precip_mm.tolist() == [0.0, 2.5]
    assert done.counts.missing_days == 1


def test_unreadable_cells_and_dates_are_named_by_row_and_column():
    reading = read(
        "date,high (C),low (C)\n2026-05-01,hot,8\nsoon,20,8\n2026-05-03,20,-90\n2026-05-04,20,9\n",
        answers={"jumps": "keep"},
    )
    assert sorted((problem.row, problem.column) for problem in reading.problems) == [
        (2, "high (C)"), (3, "date"), (4, "low (C)"),
    ]  # fmt: skip


def test_a_doubled_day_is_named_once():
    reading = read("date,high (C),low (C)\n2026-05-01,20,8\n2026-05-01,25,8\n")
    assert reading.counts.doubled_days == 1 and reading.problems[0].row == 3 and reading.series.high_c.tolist() == [20]


def test_a_sheet_with_only_a_mean_is_asked_about():
    text = "date,mean temp\n2026-05-01,14.5\n2026-05-02,15.5\n"
    assert "mean_only" in asked(read(text))
    done = read(text, answers={"mean_only": "yes", "temp_unit": "c"})
    assert done.ready and done.series.high_c.tolist() == done.series.low_c.tolist() == [14.5, 15.5]


def test_a_wrong_mapping_is_refused_by_name():
    reading = read("date,high,low\n2026-05-01,20,8\n", high="maximum")
    assert reading.problems[0].got == "maximum" and "date, high, low" in str(reading.problems[0].sentence())
    assert not read("a,b\nx,y\n").ready


cells = st.one_of(
    st.sampled_from(
        ["2026-05-01", "5/6/2026", "13.5.2026", "20,5", "1,234", "-9999", "T", "1e400", "=x", "", "°", "99999"]
    ),
    st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=8),
)


@given(st.lists(st.tuples(cells, cells, cells, cells), max_size=8), st.sampled_from([",", ";"]))
def test_no_sheet_makes_the_reader_stumble(rows, mark):
    lines = ["date,high,low,rain".replace(",", mark)]
    lines += [mark.join(cell.replace(mark, " ").replace('"', " ").replace("\n", " ") for cell in row) for row in rows]
    sheet = read_tables("\n".join(lines).encode("utf-8", "replace"), "x", header_row=1)[0]
    if len(sheet.header) == 4:
        reading = read_columns(sheet, DayColumns(("date",), "high", "low", None, "rain"), today=TODAY)
        assert len(reading.series) == 0 or not np.isinf(reading.series.high_c).any()
        assert all(problem.sentence() for problem in reading.problems)
