"""Numbers and dates typed by people are read once, in one way, or not at all."""

import math
from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.units.typed import date_order, decimal_mark, is_blank, typed_date, typed_number


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12.0),
        ("-3.5", -3.5),
        ("+4", 4.0),
        ("\u22127", -7.0),
        (".5", 0.5),
        ("1,5", 1.5),
        ("0,125", 0.125),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1\u00a0234,5", 1234.5),
        ("1'234.5", 1234.5),
        ("1,234,567", 1234567.0),
        ("2e3", 2000.0),
        (38, 38.0),
    ],
)
def test_a_number_with_one_meaning_is_read(text, value):
    assert typed_number(text).value == value


@pytest.mark.parametrize("text", ["1,234", "1.234", "-12,500"])
def test_a_number_with_two_meanings_is_not_guessed(text):
    read = typed_number(text)
    assert read.value is None and read.other is not None
    assert abs(read.other[0]) == 1000 * abs(read.other[1])


@pytest.mark.parametrize("text", ["12 cm", "1,23,4", "inf", "1.2.3", "abc", "12,34.5,6", True, date(2026, 5, 1), "٣"])
def test_what_is_no_number_is_not_read(text):
    assert typed_number(text).value is None


@pytest.mark.parametrize("text", ["", "  ", "-", "n/a", "NA", None, "\u00a0"])
def test_an_empty_cell_is_missing_and_not_zero(text):
    assert is_blank(text) and math.isnan(typed_number(text).value)


def test_the_columns_own_mark_settles_the_two_meanings():
    column = ["1,234", "12,5", "7"]
    assert decimal_mark(column) == ","
    assert typed_number(column[0], ",").value == 1.234
    assert typed_number("12.5", ",").value is None, "a point in a file with decimal commas is not silently a comma"


@given(st.floats(-1e6, 1e6))
def test_what_python_writes_is_read_back(value):
    assert typed_number(repr(value), ".").value == value


@pytest.mark.parametrize(
    "text",
    ["2026-05-14", "2026/5/14", "20260514", "14.05.2026", "5/14/2026", "14/5/26", "2026-05-14T07:30:00Z",
     "14 May 2026", "May 14, 2026", "14 de mayo de 2026", datetime(2026, 5, 14, 6), date(2026, 5, 14)],
)  # fmt: skip
def test_a_date_with_one_meaning_is_read(text):
    assert typed_date(text).value == date(2026, 5, 14)


def test_a_date_with_two_meanings_is_asked_unless_the_column_shows_the_order():
    assert typed_date("5/6/2026").other == (date(2026, 5, 6), date(2026, 6, 5))
    order = date_order(["5/6/2026", "5/20/2026"])
    assert order == "mdy" and typed_date("5/6/2026", order).value == date(2026, 5, 6)
    assert typed_date("5/5/2026").value == date(2026, 5, 5)


@pytest.mark.parametrize("text", ["2026-02-30", "31.2.2026", "14 Floréal 2026", "45000", "soon", "13/13/2026"])
def test_an_impossible_date_is_not_read(text):
    assert typed_date(text).value is None and not typed_date(text).blank


@given(st.dates(date(1970, 1, 1), date(2068, 12, 31)))
def test_an_iso_date_is_read_back(day):
    assert typed_date(day.isoformat()).value == day
    assert typed_date(f"{day.day}.{day.month}.{day.year}").value == day
