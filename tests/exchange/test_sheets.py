"""A sheet is read cell by cell: exact values come back, and every fault is named where it stands."""

from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.exchange.sheets import cell_of, clean, read_sheet, said, write_sheet
from app.exchange.tables import read_tables, write_csv
from app.units.kinds import KINDS
from app.units.shapes import Column, Shape

SHAPE = Shape(
    "machines",
    (
        Column("name", "Name", required=True, longest=80),
        Column("weight_kg", "Weight", "number", "weight", low=0, high=60_000, likely_high=32_000, example="36000"),
        Column("share_frac", "Share", "number", "percent", low=0, high=1),
        Column("bought_on", "Bought on", "day"),
        Column("kind", "Kind", "choice", choices=(("packing_tractor", "Packing tractor"), ("mower", "Mower"))),
        Column("is_custom", "Hired", "tick"),
        Column("count", "Count", "whole", low=0),
    ),
)


def sheet(text, system="us", **more):
    return read_sheet(read_tables(text.encode(), "machines")[0], SHAPE, system=system, **more)


@given(value=st.floats(0, 60_000), share=st.floats(0.011, 1), system=st.sampled_from(["us", "metric"]))
def test_numbers_come_back_to_nine_figures_in_either_system(value, share, system):
    written = write_sheet("Machines", SHAPE, [{"name": "A", "weight_kg": value, "share_frac": share}], system)
    packed = write_csv(written.header, (written.keys, *written.rows))
    found = read_sheet(read_tables(packed, "machines")[0], SHAPE, system="us")
    assert found.problems == []
    assert found.rows[0].values["weight_kg"] == pytest.approx(value, rel=1e-9, abs=1e-9)
    assert found.rows[0].values["share_frac"] == pytest.approx(share, rel=1e-9)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_small_figures_of_every_kind_keep_their_digits(kind):
    column = Column("x", "X", "number", kind)
    for system in ("us", "metric"):
        cell = cell_of(column, 0.000123456789, system)
        assert KINDS[kind].unit(system).kept(cell) == pytest.approx(0.000123456789, rel=1e-9, abs=1e-12)


def test_every_type_of_cell_is_read():
    found = sheet('Name,Weight (lb),Share (%),Bought on,Kind,Hired,Count\nA,"36,000.5",75%,14.5.2024,mower,X,3\n')
    assert found.problems == [] and found.asks == []
    values = found.rows[0].values
    assert values["weight_kg"] == pytest.approx(36_000.5 * 0.45359237) and values["share_frac"] == 0.75
    assert (values["bought_on"], values["kind"], values["is_custom"], values["count"]) == (
        date(2024, 5, 14),
        "mower",
        True,
        3,
    )


def test_empty_cells_and_dashes_are_nothing_but_names_stay_names():
    found = sheet("Name,Weight (lb),Hired\nNA,-,\n-,n/a,no\n")
    assert [row.values["name"] for row in found.rows] == ["NA", "-"]
    assert [row.values["weight_kg"] for row in found.rows] == [None, None]
    assert [row.values["is_custom"] for row in found.rows] == [False, False]


@pytest.mark.parametrize(
    ("heads", "cells", "column"),
    [("Weight (lb)", "heavy", "Weight (lb)"), ("Weight (lb)", "999999999", "Weight (lb)"),
     ("Weight (lb)", "-5", "Weight (lb)"), ("Count", "1.5", "Count"), ("Bought on", "2024-13-01", "Bought on"),
     ("Kind", "rocket", "Kind"), ("Hired", "perhaps", "Hired")],
)  # fmt: skip
def test_a_fault_names_row_and_heading_and_quotes_the_cell(heads, cells, column):
    (problem,) = sheet(f"Name,{heads}\nA,{cells}\n").problems
    assert (problem.sheet, problem.row, problem.column, problem.got) == ("machines", 2, column, cells)


def test_a_name_too_long_is_refused_with_the_number_of_letters():
    (problem,) = sheet(f"Name,Count\n{'a' * 81},1\n").problems
    assert problem.allowed.figures["most"] == 80


def test_the_order_of_dates_is_taken_from_the_whole_column():
    found = sheet("Name,Bought on\nA,5/6/2024\nB,14/6/2024\n")
    assert [row.values["bought_on"] for row in found.rows] == [date(2024, 6, 5), date(2024, 6, 14)]


def test_a_column_of_fractions_is_asked_about_once_and_one_of_per_cents_is_not():
    assert [each.row for each in sheet("Name,Share (%)\nA,0.7\nB,0.3\n").asks] == [None]
    assert sheet("Name,Share (%)\nA,70\nB,0.5\n").asks == []


def test_unknown_headings_with_nothing_below_and_no_name_are_passed_over():
    assert sheet("Name,,Colour\nA,,red\n").ignored == ["Colour"]
    assert sheet("Name,Count,\nA,5,7\n").ignored == ["Column 3"]


def test_text_is_kept_as_every_file_can_hold_it():
    assert clean(" a\r\nb\x00\x1f\ud800 ") == "a\nb"
    assert said(datetime(2024, 5, 1)) == "2024-05-01" and said(None) == ""


def test_a_row_of_keys_is_no_row():
    found = sheet("Name,Weight (lb)\nmachines.name,machines.weight_kg [lb]\nA,100\n")
    assert [row.number for row in found.rows] == [3]
