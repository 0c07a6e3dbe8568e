"""What is typed: refused with a reason, asked about, or kept; and written so that it reads back the same."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import Invalid, Unsure
from app.units.shapes import Column, Shape, parse_number, read, write

SHAPE = Shape(
    "things",
    (
        Column("name", "Name", required=True, longest=5),
        Column("dm_frac", "Dry matter", "number", "percent", low=0.1, high=0.95, likely_low=0.25, likely_high=0.7),
        Column("height_cm", "Height", "number", "height", low=0, high=200, likely_low=20, likely_high=110),
        Column("high_c", "High", "number", "temp", low=-60, high=57, likely_low=-30, likely_high=45),
        Column("head", "Head", "whole", low=0, high=9999),
        Column("on", "Day", "day", ask_if="past_only"),
        Column("kind", "Kind", "choice", choices=(("bunker", "Bunker"), ("bag", "Bag"))),
        Column("wet", "Wet", "tick"),
    ),
)
TODAY = date(2027, 5, 10)


def typed(**values):
    return read(SHAPE, {"name": "A", **values}, "us", TODAY)


def test_a_missing_name_is_asked_for_by_its_label():
    assert str(read(SHAPE, {}, "us").errors["name"]) == "Please fill in Name."


@pytest.mark.parametrize("text", ["12,5,3", "twelve", "1.2.3", "--4", "nan", "inf"])
def test_what_is_not_a_number_is_refused_and_shown(text):
    assert f"“{text}” is not a number" in str(typed(dm_frac=text).errors["dm_frac"])


@pytest.mark.parametrize(
    ("text", "number"), [("1,250", 1250), ("1,250.5", 1250.5), ("40 %", 40), ("-3", -3), (" 7 ", 7), ("−2", -2)]
)
def test_numbers_are_read_as_people_type_them(text, number):
    assert parse_number(text) == number


def test_a_number_that_can_be_read_in_two_ways_is_not_guessed():
    assert parse_number("1,25") is None


def test_a_figure_outside_its_range_names_the_range():
    reason = typed(dm_frac="97").errors["dm_frac"]
    assert reason.figures["low"].value == 0.1 and reason.figures["high"].value == 0.95


def test_centimetres_typed_for_inches_are_asked_about():
    assert "Was it typed in" in typed(height_cm="70").asks["height_cm"].text


def test_fahrenheit_typed_for_celsius_is_asked_about():
    asked = read(SHAPE, {"name": "A", "high_c": "55"}, "metric", TODAY).asks["high_c"]
    assert "Was it typed in" in asked.text and asked.figures["unit"].text == "°F"


def test_a_day_in_the_future_is_asked_about():
    assert "future" in typed(on="2028-05-01").asks["on"].text


def test_an_unlikely_figure_is_taken_once_someone_says_it_is_right():
    result = typed(height_cm="70")
    with pytest.raises(Unsure):
        result.checked()
    assert result.checked(sure=True)["height_cm"] == pytest.approx(177.8)


def test_refusals_come_before_questions_and_nothing_is_taken():
    with pytest.raises(Invalid):
        typed(height_cm="70", kind="barn").checked(sure=True)


def test_a_choice_is_read_by_key_or_by_label():
    assert typed(kind="Bunker").values["kind"] == "bunker" and typed(kind="BAG").values["kind"] == "bag"


@given(st.floats(0.1, 0.95), st.integers(0, 9999), st.sampled_from(["us", "metric"]), st.booleans())
def test_what_is_written_reads_back_the_same(dm_frac, head, system, wet):
    row = {"name": "A", "dm_frac": dm_frac, "head": head, "on": TODAY, "kind": "bag", "wet": wet, "height_cm": 63.5}
    back = read(SHAPE, write(SHAPE, row, system), system, TODAY).values
    assert back["dm_frac"] == pytest.approx(dm_frac, abs=1e-10) and back["head"] == head
    assert (back["on"], back["kind"], back["wet"]) == (TODAY, "bag", wet)


def test_a_fraction_typed_for_per_cent_is_asked_about():
    loose = Shape(
        "things", (Column("ndf", "NDF", "number", "ndf", low=0.001, high=0.95, likely_low=0.25, likely_high=0.7),)
    )
    asked = read(loose, {"ndf": "0.4"}, "us").asks["ndf"]
    assert "fraction" in asked.text and asked.figures["meant"].value == pytest.approx(0.4)
