"""Sheets as people have them: any common text form or XLSX, with each fault named by row and column."""

import contextlib
import io
import zipfile
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook

from app.errors import Invalid
from app.exchange.tables import Limits, read_tables, write_csv

PLAIN = "date,high,low\n2026-05-01,20.5,8\n2026-05-02,22,9.5\n"


def one(text, encoding="utf-8", **options):
    return read_tables(text.encode(encoding), "weather.csv", **options)[0]


def workbook(*rows, title="Weather"):
    book = Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_the_encoding_is_found(encoding):
    table = one("día;máxima °C\n2026-05-01;20,5\n", encoding)
    assert table.header == ("día", "máxima °C") and table.rows[0].cells == ("2026-05-01", "20,5")
    assert table.decimal == ","


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_the_delimiter_is_found(mark):
    table = one(PLAIN.replace(",", mark))
    assert table.delimiter == mark and table.header == ("date", "high", "low")


def test_semicolons_with_decimal_commas_are_not_split_at_the_commas():
    table = one("date;high;low\n1.5.2026;20,5;8,0\n2.5.2026;22,0;9,5\n")
    assert table.delimiter == ";" and table.decimal == ","
    assert table.column("high") == ("20,5", "22,0")


def test_quoted_cells_keep_their_delimiter_and_line_break_and_rows_keep_their_number():
    table = one('"NAME","DATE"\n"LINCOLN 11 SW, NE US","2016-01-01"\n"two\nlines","2016-01-02"\n\n"x","2016-01-03"\n')
    assert [row.number for row in table.rows] == [2, 3, 5]
    assert table.rows[0].cells[0] == "LINCOLN 11 SW, NE US"


def test_lines_above_the_header_are_passed_over():
    table = one("Station 12\n\nExported by hand\ndate,high,low\n2026-05-01,20,8\n")
    assert table.header == ("date", "high", "low") and table.rows[0].number == 5


def test_a_file_without_a_header_keeps_its_first_row():
    table = one("2026-05-01,20,8\n2026-05-02,21,9\n")
    assert not table.headed and table.header == ("Column 1", "Column 2", "Column 3") and len(table.rows) == 2


def test_the_person_can_choose_the_header_row():
    table = one("a,b\nc,d\n1,2\n", header_row=2)
    assert table.header == ("c", "d") and len(table.rows) == 1


def test_a_doubled_header_is_named_and_both_columns_kept():
    table = one("date,high,high\n2026-05-01,1,2\n")
    assert table.header == ("date", "high", "high (3)") and "Two columns" in str(table.problems[0].sentence())


def test_a_spreadsheets_own_separator_line_is_obeyed():
    table = one("sep=;\na;b\n1;2\n")
    assert table.header == ("a", "b") and table.rows[0].number == 3


def test_short_rows_are_filled_and_unmatched_quotes_do_not_crash():
    assert one("a,b,c\n1,2\n").rows[0].cells == ("1", "2", None)
    assert one('a,b\n"1,2\n3,4\n').header == ("a", "b")


def test_a_formula_in_a_text_file_is_refused_by_row_and_column():
    table = one('name,high\nx,"=HYPERLINK(""http://x"")"\n')
    assert table.rows[0].cells == ("x", None)
    assert (table.problems[0].row, table.problems[0].column) == (2, "high")


def test_a_workbook_gives_numbers_dates_and_row_numbers():
    table = read_tables(workbook(["date", "high"], [datetime(2026, 5, 1), 20.5], [], ["2.5.2026", "21,5"]))[0]
    assert table.sheet == "Weather" and table.rows[0].cells == (datetime(2026, 5, 1), 20.5)
    assert [row.number for row in table.rows] == [2, 4]


def test_a_formula_in_a_workbook_is_refused_by_sheet_row_and_column():
    table = read_tables(workbook(["date", "high"], ["2026-05-01", "=1+1"]))[0]
    problem = table.problems[0]
    assert (problem.sheet, problem.row, problem.column, problem.got) == ("Weather", 2, "high", "=1+1")


def test_every_sheet_of_a_workbook_is_read():
    book = Workbook()
    book.active.append(["a"])
    book.create_sheet("Second").append(["b"])
    packed = io.BytesIO()
    book.save(packed)
    assert [table.sheet for table in read_tables(packed.getvalue())] == ["Sheet", "Second"]


def packed(**parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, content in parts.items():
            bundle.writestr(name.replace("__", "/").replace("_xml", ".xml"), content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02binary\x00" * 50, "neither text"),
        (b"\xd0\xcf\x11\xe0" + b"x" * 100, "password"),
        (b"PK\x03\x04 broken", "damaged"),
        (packed(readme="x"), "not an XLSX"),
        (packed(xl__workbook_xml="<!DOCTYPE x [<!ENTITY a 'b'>]><x/>"), "entities"),
        (packed(xl__workbook_xml="<x/>"), "could not be read"),
        (packed(xl__workbook_xml="<x/>", xl__big_xml="0" * 3_000_000), "unpacks"),
        (b"a,b\n" + b"1,2\n" * 60, "more than"),
        (b"x" * 40_000, "at most"),
    ],
)
def test_a_file_that_cannot_be_taken_is_refused_with_the_reason(content, says):
    small = Limits(file_count_bytes=30_000, unpacked_count_bytes=2_000_000, row_count=50)
    with pytest.raises(Invalid, match=says):
        read_tables(content, "x", limits=small)


def test_a_workbook_with_too_many_rows_is_refused():
    with pytest.raises(Invalid, match="more than"):
        read_tables(workbook(["a"], *[[i] for i in range(20)]), limits=Limits(row_count=10))


def test_written_text_cannot_run_as_a_formula_and_comes_back_the_same():
    risky = ["=1+1", "+cmd", "-x", "@sum", "'=kept", "plain", "-5", "\tx=1"]
    content = write_csv(["text"], [[text] for text in risky])
    for line in content.decode("utf-8-sig").splitlines()[1:]:
        bare = line.strip('"')
        assert bare == "-5" or not bare.startswith(("=", "+", "-", "@", "\t"))
    assert read_tables(content, header_row=1)[0].column("text") == tuple(risky)


@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\r\n\t\x00", exclude_categories=["Cc", "Zs", "Zl", "Zp"]), min_size=1), min_size=1, max_size=6))  # fmt: skip  # noqa: E501
def test_any_text_written_is_read_back(texts):
    table = read_tables(write_csv(["a", "b"], [[text, "end"] for text in texts]), header_row=1)[0]
    assert table.column("a") == tuple(texts)


@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_in_words(content):
    with contextlib.suppress(Invalid):
        for table in read_tables(content, limits=Limits(row_count=50)):
            assert all(len(row.cells) == len(table.header) for row in table.rows)


@given(st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), min_size=1, max_size=5))
def test_a_workbook_damaged_anywhere_is_read_or_refused_in_words(damage):
    content = bytearray(workbook(["date", "high"], ["2026-05-01", 20.5]))
    for place, byte in damage:
        content[int(place * len(content))] = byte
    with contextlib.suppress(Invalid):
        read_tables(bytes(content))
