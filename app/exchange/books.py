"""Many sheets in one file: an XLSX workbook or a ZIP of CSV, written and read."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Sequence
from pathlib import PurePosixPath

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from app.exchange.cells import harmless
from app.exchange.limits import Limits, check_size, check_workbook, refused
from app.exchange.sheets import Written
from app.exchange.tables import Table, read_tables, write_csv
from app.units.kinds import KINDS
from app.units.sentences import Sentence
from app.units.shapes import Column
from app.units.typed import Cell

LIST_MOST = 250
"""Letters a list of allowed words may have inside a cell's rule."""
CHOICE_ROWS = 2_000
_HEAD = PatternFill("solid", fgColor="DDE6DA")
_GREY = Font(color="777777", size=8)


def write_workbook(sheets: Sequence[Written], notes: Sequence[Sequence[Cell]], notes_title: str) -> bytes:
    """An XLSX with the notes first, then one sheet per noun; allowed words can be picked from a list."""
    book = Workbook(write_only=True)
    _write_notes(book.create_sheet(notes_title), notes)
    for sheet in sheets:
        _write_sheet(book.create_sheet(sheet.title), sheet)
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def _write_notes(page, notes: Sequence[Sequence[Cell]]) -> None:
    for letter, width in zip("ABCDEFG", (22, 34, 16, 12, 60, 24, 60), strict=True):
        page.column_dimensions[letter].width = width
    for line in notes:
        page.append([_text_cell(page, cell) for cell in line])


def _write_sheet(page, sheet: Written) -> None:
    page.freeze_panes = "B3"
    for place, text in enumerate(sheet.header, start=1):
        page.column_dimensions[get_column_letter(place)].width = max(12, min(34, len(text) + 2))
    page.append([_head_cell(page, text) for text in sheet.header])
    page.append([_key_cell(page, text) for text in sheet.keys])
    formats = [_format(column) for column in sheet.shape.columns]
    for row in sheet.rows:
        page.append([_body_cell(page, cell, shown) for cell, shown in zip(row, formats, strict=True)])
    for place, column in enumerate(sheet.shape.columns, start=1):
        words = ",".join(key for key, _label in column.choices) if column.type == "choice" else ""
        words = "yes,no" if column.type == "tick" else words
        if words and len(words) <= LIST_MOST and not set('"') & set(words):
            rule = DataValidation(type="list", formula1=f'"{words}"', allow_blank=True)
            letter = get_column_letter(place)
            rule.add(f"{letter}3:{letter}{max(CHOICE_ROWS, len(sheet.rows) + 2)}")
            page.data_validations.append(rule)


def _format(column: Column) -> str:
    """How many decimals are shown; the cell itself keeps the whole number."""
    if column.type != "number":
        return ""
    return "0.0" + "#" * (max(KINDS[column.kind].us.digits, 1) if column.kind else 2)


def _body_cell(page, cell: Cell, shown: str) -> Cell | WriteOnlyCell:
    if isinstance(cell, str):
        return _text_cell(page, cell)
    if shown and isinstance(cell, float):
        made = WriteOnlyCell(page, value=cell)
        made.number_format = shown
        return made
    return cell


def _head_cell(page, text: str) -> WriteOnlyCell:
    cell = _text_cell(page, text)
    cell.font, cell.fill, cell.alignment = Font(bold=True), _HEAD, Alignment(wrap_text=True, vertical="top")
    return cell


def _key_cell(page, text: str) -> WriteOnlyCell:
    cell = _text_cell(page, text)
    cell.font = _GREY
    return cell


def _text_cell(page, cell: Cell) -> WriteOnlyCell:
    """Text that stays text, whatever a spreadsheet program would make of it."""
    made = WriteOnlyCell(page, value=harmless(cell))
    made.data_type = "s"
    return made


def write_text_files(sheets: Sequence[Written], notes: Sequence[Sequence[Cell]], notes_title: str) -> bytes:
    """A ZIP of CSV: one file per sheet, with the same headings and keys."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr(f"{notes_title}.csv", write_csv((), notes))
        for sheet in sheets:
            bundle.writestr(f"{sheet.noun}.csv", write_csv(sheet.header, (sheet.keys, *sheet.rows)))
    return packed.getvalue()


def read_book(content: bytes, name: str = "", limits: Limits = Limits()) -> tuple[Table, ...]:
    """The sheets of an XLSX, of a ZIP of CSV, or of one text file named after its sheet.

    Raises
    ------
    Invalid
        With field `file`, where the file cannot be taken at all.
    """
    check_size(content, limits)
    if not content.startswith(b"PK\x03\x04"):
        return read_tables(content, PurePosixPath(name).stem, limits=limits, header_row=1)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if "xl/workbook.xml" in packed.namelist():
                return _of_workbook(content, name, limits)
            return _of_text_files(packed, limits)
    except (zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError, EOFError, OSError, zlib.error) as broken:
        raise refused(Sentence("The file is damaged or locked with a password. Save it again without one.")) from broken


def _of_workbook(content: bytes, name: str, limits: Limits) -> tuple[Table, ...]:
    check_workbook(content, limits)
    return read_tables(content, name, limits=limits)


def _of_text_files(packed: zipfile.ZipFile, limits: Limits) -> tuple[Table, ...]:
    members = [each for each in packed.infolist() if _is_sheet(each.filename)]
    if not members:
        raise refused(Sentence("The ZIP holds no CSV file. Take an XLSX workbook or a ZIP of CSV files."))
    if len(members) > limits.part_count or sum(each.file_size for each in members) > limits.unpacked_count_bytes:
        raise refused(
            Sentence(
                "The ZIP unpacks to more than {most} MB or {parts} files and was not opened.",
                most=round(limits.unpacked_count_bytes / 1e6),
                parts=limits.part_count,
            )
        )
    tables: list[Table] = []
    for each in members:
        content = packed.read(each)
        if content.strip():
            tables.extend(read_tables(content, PurePosixPath(each.filename).stem, limits=limits))
    return tuple(tables)


def _is_sheet(name: str) -> bool:
    path = PurePosixPath(name)
    return path.suffix.lower() in (".csv", ".tsv", ".txt") and not path.name.startswith(".") and "__MACOSX" not in name
