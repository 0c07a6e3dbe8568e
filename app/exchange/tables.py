"""Any uploaded sheet as rows with their numbers: CSV, TSV, semicolon text or XLSX in; safe CSV out.

`read_tables` finds out encoding, delimiter, decimal mark and header row and says what it found in the `Table`, so that
a preview can show it. It decides nothing about meaning: cells stay text (or the spreadsheet's own number or date) until
`app.units.typed` reads them. A cell with a formula is refused by name: its last shown value may be stale.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from app.exchange.cells import Row, harmless
from app.exchange.limits import Limits, check_size, check_workbook, refused
from app.exchange.text_lines import decode, delimiter_of, text_lines
from app.exchange.workbook_lines import sheets
from app.units.findings import Problem
from app.units.sentences import Sentence
from app.units.typed import Cell, decimal_mark, is_blank, typed_date, typed_number

__all__ = ["Limits", "Problem", "Row", "Table", "decode", "read_tables", "write_csv"]

HEADER_WITHIN_ROWS = 30
DECIMAL_WITHIN_ROWS = 5_000


@dataclass(frozen=True)
class Table:
    """One sheet. `headed` is False where no header row was found; columns are then called Column 1, Column 2 ..."""

    sheet: str
    header: tuple[str, ...]
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...] = ()
    headed: bool = True
    encoding: str = ""
    delimiter: str = ""
    decimal: str | None = None

    def column(self, name: str) -> tuple[Cell, ...]:
        """All cells below one header."""
        place = self.header.index(name)
        return tuple(row.cells[place] for row in self.rows)

    def records(self) -> Iterator[tuple[int, dict[str, Cell]]]:
        """Each row as (row number, header -> cell)."""
        for row in self.rows:
            yield row.number, dict(zip(self.header, row.cells, strict=True))


def read_tables(
    content: bytes, name: str = "", *, limits: Limits = Limits(), header_row: int | None = None
) -> tuple[Table, ...]:
    """All sheets of an uploaded file; a text file has one, named after the file.

    Parameters
    ----------
    content : bytes
        The file as uploaded. Its kind is told from the content, never from the name.
    name : str
        Shown as the sheet of a text file.
    limits : Limits
        Bounds on size, rows and columns.
    header_row : int, optional
        Row number of the header where the person has chosen it; 0 for a file without one. Found out otherwise.

    Raises
    ------
    Invalid
        With field `file`: empty, too large, not text and not XLSX, or damaged. Smaller faults are in `Table.problems`.
    """
    check_size(content, limits)
    if content.startswith(b"PK\x03\x04"):
        check_workbook(content, limits)
        return tuple(_table(sheet, lines, found, header_row) for sheet, lines, found in sheets(content, limits))
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise refused(Sentence("This is an old or password-locked spreadsheet. Save it as XLSX without a password."))
    text, encoding = decode(content)
    delimiter = delimiter_of(text)
    lines, found = text_lines(text, delimiter, name, limits)
    return (replace(_table(name, lines, found, header_row), encoding=encoding, delimiter=delimiter),)


def _table(sheet: str, lines: list[Row], problems: list[Problem], header_row: int | None) -> Table:
    at = _header_at(lines, header_row)
    width = max((len(line.cells) for line in lines), default=0)
    names = lines[at].cells if at is not None else ()
    header, doubled = _names(names, width, sheet, lines[at].number if at is not None else 0)
    rows = tuple(
        Row(line.number, line.cells + (None,) * (width - len(line.cells)))
        for line in lines[0 if at is None else at + 1 :]
        if not all(cell is None or cell == "" for cell in line.cells)
    )
    named = tuple(replace(problem, column=_named(problem.column, header)) for problem in problems)
    decimal = decimal_mark(cell for row in rows[:DECIMAL_WITHIN_ROWS] for cell in row.cells)
    return Table(sheet, header, rows, named + doubled, at is not None, decimal=decimal)


def _named(column: str, header: Sequence[str]) -> str:
    return header[int(column[1:])] if column.startswith("#") and int(column[1:]) < len(header) else column


def _header_at(lines: Sequence[Row], header_row: int | None) -> int | None:
    """Index of the header: the first of the fuller rows near the top whose cells are mostly words."""
    if header_row is not None:
        return next((i for i, line in enumerate(lines) if line.number == header_row), None)
    near = lines[:HEADER_WITHIN_ROWS]
    filled = [sum(not is_blank(cell) for cell in line.cells) for line in near]
    for i, line in enumerate(near):
        if filled[i] and filled[i] >= 0.6 * max(filled):
            words = sum(isinstance(c, str) and not is_blank(c) and not _is_value(c) for c in line.cells)
            return i if words > 0.6 * filled[i] else None
    return None


def _is_value(cell: str) -> bool:
    number, day = typed_number(cell), typed_date(cell)
    return number.value is not None or number.other is not None or day.value is not None or day.other is not None


def _names(cells: Sequence[Cell], width: int, sheet: str, row: int) -> tuple[tuple[str, ...], tuple[Problem, ...]]:
    names: list[str] = []
    problems: list[Problem] = []
    for i in range(width):
        cell = cells[i] if i < len(cells) else None
        name = str(cell).strip() if cell is not None and str(cell).strip() else f"Column {i + 1}"
        if name in names:
            allowed = Sentence("Two columns have this name; the later one is called {name}.", name=f"{name} ({i + 1})")
            problems.append(Problem(sheet, row, name, name, allowed))
            name = f"{name} ({i + 1})"
        names.append(name)
    return tuple(names), tuple(problems)


def write_csv(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """CSV that spreadsheet programs open as data: comma, CRLF, UTF-8 with mark, ISO dates, point as decimal mark.

    Text that a spreadsheet would run as a formula gets an apostrophe in front; `read_tables` takes it off again.

    >>> write_csv(["name", "high"], [["=1+1", -2.5]]).decode("utf-8-sig")
    "name,high\\r\\n'=1+1,-2.5\\r\\n"
    """
    page = io.StringIO(newline="")
    writer = csv.writer(page, lineterminator="\r\n")
    for row in (header, *rows):
        writer.writerow([harmless(cell) for cell in row])
    return page.getvalue().encode("utf-8-sig")
