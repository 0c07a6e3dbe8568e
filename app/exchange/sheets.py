"""One sheet of typed rows: written with headings, keys and values that no program runs, and read back cell by cell."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from app.exchange.headings import Heading, Headings, Translate, heading, is_key_row, key_cell, read_headings
from app.exchange.tables import Table
from app.units.findings import Problem
from app.units.kinds import KINDS, System
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape, read
from app.units.typed import Cell, date_order, is_blank, typed_date, typed_number

YES = {"yes", "y", "true", "1", "on", "x", "sí", "si", "verdadero"}
NO = {"no", "n", "false", "0", "off", "falso"}
_ILLEGAL = dict.fromkeys((*range(9), 11, 12, *range(13, 32), 127, 0xFFFE, 0xFFFF))
"""Characters a workbook cannot hold; the carriage return is one, because programs read it back as a line feed."""


@dataclass(frozen=True)
class Written:
    """A sheet ready to be put into a workbook or a text file."""

    title: str
    noun: str
    shape: Shape
    header: tuple[str, ...]
    keys: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class ReadRow:
    """One row as it was understood: only columns the sheet has, in kept units."""

    number: int
    values: Mapping[str, Any]
    rows: list[int] = field(default_factory=list)
    """Numbers of every row that was put together into this one; empty: only its own."""


@dataclass
class ReadSheet:
    """A sheet as it was read: rows, what was refused, what is asked about, and headings nobody knows."""

    title: str
    rows: list[ReadRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    asks: list[Problem] = field(default_factory=list)
    ignored: list[str] = field(default_factory=list)
    headings: Mapping[str, str] = field(default_factory=dict)
    """Column name -> heading as it stands in the sheet."""
    unread: set[str] = field(default_factory=set)
    """Columns whose heading was refused, so that nothing is known of their cells."""
    header_row: int = 1
    cells: Mapping[int, Sequence[Cell]] = field(default_factory=dict)
    """Row number -> its cells as they stand in the file."""
    places: Mapping[str, int] = field(default_factory=dict)
    """Column name -> which cell of a row."""

    def problem(self, row: int | None, column: str, got: Any, allowed: Sentence) -> Problem:
        """Something wrong in this sheet, named by the heading the person sees and quoted as it stands there."""
        if row is not None and row in self.cells and column in self.places:
            got = self.cells[row][self.places[column]]
        return Problem(self.title, row, self.headings.get(column, column), said(got), allowed)


def write_sheet(
    title: str, shape: Shape, rows: Iterable[Mapping[str, Any]], system: System, translate: Translate = lambda t: t
) -> Written:
    """The rows as cells in the reader's units, under headings in the reader's language."""
    columns = shape.columns
    return Written(
        title,
        shape.noun,
        shape,
        tuple(heading(column, system, translate) for column in columns),
        tuple(key_cell(shape.noun, column, system) for column in columns),
        tuple(tuple(cell_of(column, row.get(column.name), system) for column in columns) for row in rows),
    )


def cell_of(column: Column, value: Any, system: System) -> Cell:
    """A kept value as a cell: numbers to fifteen digits, so that reading them again gives the same value."""
    if value is None or (isinstance(value, float) and value != value):
        return None
    if column.type == "tick":
        return "yes" if value else "no"
    if column.type == "whole" and column.kind is None:
        return int(value)
    if column.type in ("number", "whole"):
        number = float(f"{KINDS[column.kind].unit(system).shown(value) if column.kind else value:.15g}")
        return int(number) if number.is_integer() and abs(number) < 1e15 else number
    return value if isinstance(value, date) else clean(str(value))


def clean(text: str) -> str:
    """Text as every kind of file can hold it: no control characters, line feeds only, no space around it."""
    return text.replace("\r\n", "\n").translate(_ILLEGAL).encode("utf-8", "ignore").decode("utf-8").strip()


def said(cell: Any) -> str:
    """A cell as a problem quotes it."""
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return (cell.date() if cell.time() == datetime.min.time() else cell).isoformat()
    return cell.isoformat() if isinstance(cell, date) else str(cell)


def read_sheet(
    table: Table,
    shape: Shape,
    *,
    system: System,
    today: date | None = None,
    languages: Sequence[Translate] = (),
) -> ReadSheet:
    """Every row below the headings, read by the shape; faults and questions are named by row and heading."""
    at = next((place for place, row in enumerate(table.rows[:3]) if is_key_row(row.cells)), None)
    keys = table.rows[at].cells if at is not None else None
    body = [row for place, row in enumerate(table.rows) if place != at]
    header_row = max(1, min((row.number for row in table.rows), default=2) - 1)
    found = read_headings(table.sheet, shape, table.header, keys, header_row, system=system, languages=languages)
    filled = _filled(table, found, body)
    sheet = ReadSheet(table.sheet, problems=[*table.problems, *found.problems], asks=found.asks, ignored=filled)
    sheet.headings = {each.column.name: each.text or each.column.label for each in found.found}
    sheet.places = {each.column.name: each.place for each in found.found}
    sheet.cells = {row.number: row.cells for row in body}
    sheet.header_row, sheet.unread = header_row, found.unread
    own = "." if keys is not None and table.delimiter in ("", ",") else None  # what the app itself wrote
    reader = _Reader(own or table.decimal, sheet, found.found, body, today, languages)
    sheet.rows = [reader.row(row.number, row.cells) for row in body]
    reader.ask_fractions()
    return sheet


def _filled(table: Table, found: Headings, body: Sequence[Any]) -> list[str]:
    """Headings nobody knows below which something stands; a blank heading is called by its place."""
    places = [place for place, text in enumerate(table.header) if text in found.ignored]
    return [
        table.header[place]
        for place in places
        if not table.header[place].startswith("Column ") or any(row.cells[place] not in (None, "") for row in body)
    ]


class _Reader:
    """Reads the rows of one sheet; what a column shows of decimal marks and the order of dates holds for all of it."""

    def __init__(self, decimal, sheet: ReadSheet, headings: list[Heading], body, today, languages) -> None:
        self.sheet, self.headings, self.today = sheet, headings, today
        self.decimal = decimal
        self.order = {
            each.column.name: date_order(row.cells[each.place] for row in body)
            for each in headings
            if each.column.type == "day"
        }
        self.words = {each.column.name: _choice_words(each.column, languages) for each in headings}
        self.shapes = {each.column.name: Shape("", (each.column,)) for each in headings}
        self.shares: dict[str, list[float]] = {}

    def row(self, number: int, cells: Sequence[Cell]) -> ReadRow:
        values: dict[str, Any] = {}
        for each in self.headings:
            self._cell(number, each, cells[each.place], values)
        return ReadRow(number, values)

    def _cell(self, number: int, at: Heading, cell: Cell, values: dict[str, Any]) -> None:
        column = at.column
        if cell is None or cell == "":
            values[column.name] = False if column.type == "tick" else None
            return
        prepared = _PREPARE.get(column.type, _text)(self, at, cell)
        if isinstance(prepared, Sentence):
            self.sheet.problems.append(self.sheet.problem(number, column.name, cell, prepared))
            values[column.name] = None
            return
        if prepared is None or column.type == "tick":
            values[column.name] = prepared
            return
        found = read(self.shapes[column.name], {column.name: prepared}, at.system, self.today)
        for why in found.errors.values():
            self.sheet.problems.append(self.sheet.problem(number, column.name, cell, why))
        for why in found.asks.values():
            self.sheet.asks.append(self.sheet.problem(number, column.name, cell, why))
        values[column.name] = found.values.get(column.name)

    def ask_fractions(self) -> None:
        """A column of per cents where nothing is above one was probably typed as fractions."""
        for each in self.headings:
            column, seen = each.column, self.shares.get(each.column.name, [])
            asked = {problem.column for problem in self.sheet.asks}
            if seen and max(seen) <= 1 and each.text not in asked and (column.high is None or column.high > 0.01):
                why = Sentence("Nothing in this column is above 1 %. Were fractions typed, such as 0.7 for 70 %?")
                self.sheet.asks.append(self.sheet.problem(None, column.name, max(seen), why))


def _choice_words(column: Column, languages: Sequence[Translate]) -> dict[str, str]:
    if column.type != "choice":
        return {}
    words: dict[str, str] = {}
    for key, label in column.choices:
        for word in (key, label, *(translate(label) for translate in languages)):
            words.setdefault(_word(word), key)
    return words


def _word(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())


def _number(reader: _Reader, at: Heading, cell: Cell) -> Any:
    if isinstance(cell, bool | date):
        return Sentence("A number belongs here, such as {example}.", example=at.column.example or "12")
    bare = cell.strip().removesuffix("%").strip() if isinstance(cell, str) else cell
    number = typed_number(bare, reader.decimal)
    if number.other:
        one, two = (f"{value:g}" for value in number.other)
        return Sentence("This may be {one} or {two}. Type it without the mark for thousands.", one=one, two=two)
    if number.value is None:
        return Sentence(
            "This is no number. Type digits with a point, such as {example}.", example=at.column.example or "12.5"
        )
    if is_blank(bare):
        return None
    if at.column.kind and KINDS[at.column.kind].us.label.startswith("%") and number.value:
        reader.shares.setdefault(at.column.name, []).append(abs(number.value))
    return number.value


def _day(reader: _Reader, at: Heading, cell: Cell) -> Any:
    order = reader.order.get(at.column.name)
    day = typed_date(cell, order if order in ("mdy", "dmy") else None) if not isinstance(cell, bool | float) else None
    if day is None or (day.value is None and not day.other and not day.blank):
        return Sentence(
            "This is no day. Write year-month-day, such as {example}.", example=at.column.example or "2027-05-14"
        )
    if day.other:
        one, two = (each.isoformat() for each in day.other)
        return Sentence("This may be {one} or {two}. Write year-month-day.", one=one, two=two)
    return day.value


def _tick(reader: _Reader, at: Heading, cell: Cell) -> Any:
    word = str(int(cell) if isinstance(cell, bool | float | int) else cell).strip().casefold()
    if word in YES or word in NO:
        return word in YES
    return Sentence("Allowed: yes, no, or nothing.")


def _choice(reader: _Reader, at: Heading, cell: Cell) -> Any:
    found = reader.words[at.column.name].get(_word(str(cell)))
    if found is not None:
        return found
    return Sentence("Allowed: {allowed}.", allowed=", ".join(key for key, _label in at.column.choices))


def _text(reader: _Reader, at: Heading, cell: Cell) -> Any:
    if isinstance(cell, float) and cell.is_integer():
        cell = int(cell)
    return clean(said(cell)) or None


_PREPARE = {"number": _number, "whole": _number, "day": _day, "tick": _tick, "choice": _choice}
