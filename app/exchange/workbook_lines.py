"""The lines of an XLSX workbook, read cell by cell without ever computing a formula."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime

from openpyxl import load_workbook
from openpyxl.cell.read_only import EMPTY_CELL

from app.errors import Invalid
from app.exchange.cells import Row, formula_problem, text_cell
from app.exchange.limits import Limits, check_extent, refused
from app.units.findings import Problem
from app.units.sentences import Sentence
from app.units.typed import Cell

DAMAGE = (
    ArithmeticError, AttributeError, EOFError, LookupError, NotImplementedError, OSError, SyntaxError, TypeError,
    ValueError, struct.error, zipfile.BadZipFile, zlib.error,
)  # fmt: skip
"""What the library raises on damaged parts; broken XML is a SyntaxError."""


def sheets(content: bytes, limits: Limits) -> Iterator[tuple[str, list[Row], list[Problem]]]:
    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=False)
    except DAMAGE as broken:
        raise refused(Sentence("The workbook could not be read. Open it, save it again as XLSX and retry.")) from broken
    try:
        for sheet in book.worksheets:
            sheet.reset_dimensions()
            yield sheet.title, *_sheet_lines(sheet, limits)
    finally:
        book.close()


def _sheet_lines(sheet, limits: Limits) -> tuple[list[Row], list[Problem]]:
    lines: list[Row] = []
    problems: list[Problem] = []
    try:
        for number, cells in enumerate(sheet.iter_rows(max_col=limits.column_count + 1), start=1):
            last = next((i for i in range(len(cells) - 1, -1, -1) if cells[i] is not EMPTY_CELL), -1)
            filled = enumerate(cells[: last + 1])
            taken = tuple(_sheet_cell(sheet.title, number, i, cell, problems, limits) for i, cell in filled)
            if any(cell is not None for cell in taken):
                width = max(i for i, cell in enumerate(taken) if cell is not None) + 1
                check_extent(sheet.title, len(lines), width, limits)
                lines.append(Row(number, taken[:width]))
    except Invalid:
        raise
    except DAMAGE as broken:
        raise refused(
            Sentence("Sheet {sheet} could not be read. Save the workbook again and retry.", sheet=sheet.title)
        ) from broken
    return lines, problems


def _sheet_cell(sheet: str, number: int, place: int, cell, problems: list[Problem], limits: Limits) -> Cell:
    value = cell.value
    if cell.data_type == "f" or (isinstance(value, str) and value.startswith("=")):
        problems.append(formula_problem(sheet, number, place, str(getattr(value, "text", value))))
        return None
    if cell.data_type == "e":
        allowed = Sentence("The cell shows an error. Type the value or leave the cell empty.")
        problems.append(Problem(sheet, number, f"#{place}", str(value), allowed))
        return None
    if isinstance(value, str):
        return text_cell(sheet, number, place, value, problems, limits) or None
    if isinstance(value, (int, float)) and not isinstance(value, bool) and "%" in (cell.number_format or ""):
        return round(value * 100, 12)  # the program keeps 0.7 where the person typed and sees 70 %
    return value if isinstance(value, (int, float, date, datetime)) else (None if value is None else str(value))
