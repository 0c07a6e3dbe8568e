"""Many sheets in one file: nothing in them runs, and what cannot be taken is refused before it is unpacked."""

import io
import zipfile

import openpyxl
import pytest

from app.errors import Invalid
from app.exchange.books import read_book, write_text_files, write_workbook
from app.exchange.limits import Limits
from app.exchange.sheets import write_sheet
from app.units.shapes import Column, Shape

SHAPE = Shape("fields", (Column("name", "Name"), Column("is_wet", "Wet", "tick"),
                         Column("kind", "Kind", "choice", choices=(("a", "A"), ("b", "B")))))  # fmt: skip
NASTY = ["=1+1", "+SUM(A1)", "-cmd|x", "@x", "#N/A", "\t=1", "＝1", "'=1"]


def written(names):
    return write_sheet("Fields", SHAPE, [{"name": name, "is_wet": True, "kind": "a"} for name in names], "us")


@pytest.mark.parametrize("write", [write_workbook, write_text_files])
def test_names_that_look_like_formulas_come_back_as_names(write):
    content = write([written(NASTY)], [["Notes"]], "Notes")
    table = next(each for each in read_book(content) if each.sheet.lower() == "fields")
    assert table.problems == () and [row.cells[0] for row in table.rows[1:]] == [name.strip() for name in NASTY]


def test_no_cell_runs_when_a_program_opens_it():
    book = openpyxl.load_workbook(io.BytesIO(write_workbook([written(NASTY)], [["=1"]], "Notes")))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} == {"s"}
    assert not any(str(cell.value)[0] in "=+-@" for cell in cells)


def test_allowed_words_can_be_picked_from_a_list():
    book = openpyxl.load_workbook(io.BytesIO(write_workbook([written(["x"])], [], "Notes")))
    rules = {str(rule.sqref): rule.formula1 for rule in book["Fields"].data_validations.dataValidation}
    assert set(rules.values()) == {'"yes,no"', '"a,b"'} and all(place.split(":")[0][1:] == "3" for place in rules)


def test_other_files_in_a_zip_are_passed_over():
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as bundle:
        for name in (
            "farm/fields.csv",
            "__MACOSX/._fields.csv",
            "farm/photo.jpg",
            "farm/.hidden.csv",
            "farm/empty.csv",
        ):
            bundle.writestr(name, b"" if "empty" in name else b"Name\nx\n")
    assert [table.sheet for table in read_book(packed.getvalue())] == ["fields"]


def test_limits_hold_before_anything_is_unpacked():
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as bundle:
        for n in range(4):
            bundle.writestr(f"s{n}.csv", b"Name\n" + b"x\n" * 400)
    for limits in (Limits(part_count=3), Limits(unpacked_count_bytes=1_000), Limits(file_count_bytes=100)):
        with pytest.raises(Invalid):
            read_book(packed.getvalue(), limits=limits)
    assert len(read_book(packed.getvalue())) == 4
