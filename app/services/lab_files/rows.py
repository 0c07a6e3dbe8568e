"""Rows of a lab file or of a pasted report, before anything is understood of them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from app.errors import Invalid
from app.exchange.tables import Table, read_tables
from app.exchange.text_lines import decode
from app.services.analyte_names import normal
from app.units.findings import Problem
from app.units.sentences import Sentence
from app.units.typed import Cell, is_blank

MOST_ROWS = 3000
COLUMNS: dict[str, str] = {
    "lot": "lot|lote|feed|sample of|alimento",
    "sample_id": "sample id|sample|sample no|sample number|report|reference|muestra|numero de muestra",
    "sampled_on": "sampled on|sampled|date|date sampled|sample date|fecha|fecha de muestra",
    "lab": "lab|laboratory|laboratorio",
    "analyte": "analyte|test|item|parameter|component|analito|analisis|parametro",
    "value": "value|result|valor|resultado",
    "unit": "unit|units|unidad|unidades",
    "basis": "basis|base",
    "method": "method|metodo",
    "hours": "hours|hour|h|horas",
    "note": "note|notes|comment|nota",
}
"""Column -> the headings it is known by."""
_HEADINGS = {heading: column for column, headings in COLUMNS.items() for heading in headings.split("|")}
_NUMBER = re.compile(r"(?<![\w.,])[<>]?[+-]?\d[\d.,]*(?=\s|%|$|[a-zA-Z(])")
_TIMED = re.compile(r"(?i)ndf|fdn|dig")
_HOURS_ONLY = re.compile(r"(6|12|24|30|48|72|96|120|240)")


@dataclass(frozen=True)
class Raw:
    """One value as it stands in the file: where, and its cells by column."""

    key: int
    sheet: str
    row: int
    cells: dict[str, Cell] = field(default_factory=dict)

    def text(self, column: str) -> str:
        cell = self.cells.get(column)
        if is_blank(cell):
            return ""
        return f"{cell:.12g}" if isinstance(cell, float) else str(cell).strip()

    def problem(self, column: str, allowed: Sentence) -> Problem:
        return Problem(self.sheet, self.row, column, self.text(column), allowed)


@dataclass(frozen=True)
class Rows:
    raws: tuple[Raw, ...]
    problems: tuple[Problem, ...] = ()
    decimal: str | None = None
    blank_count: int = 0
    """Rows with an analyte and no value: not measured."""


def read_rows(content: bytes, filename: str, pasted: bool) -> Rows:
    """The rows of a file, or of pasted lines; Invalid where it holds no table of lab values."""
    if pasted:
        return _pasted(decode(content)[0])
    tables = [(table, _columns(table)) for table in read_tables(content, filename)]
    usable = [(table, found) for table, found in tables if {"analyte", "value"} <= set(found)]
    if not usable:
        raise Invalid({"file": _no_columns([table for table, _found in tables])})
    rows = sum(len(table.rows) for table, _found in usable)
    if rows > MOST_ROWS:
        raise Invalid(
            {"file": Sentence("The file has {got} rows; at most {most} are taken.", got=rows, most=MOST_ROWS)}
        )
    return _joined(usable)


def _no_columns(tables: list[Table]) -> Sentence:
    seen = ", ".join(dict.fromkeys(name for table in tables for name in table.header))[:200]
    return Sentence(
        "No columns analyte and value were found (found: {seen}). Needed is one row for each value, with the columns "
        "{columns}; or paste the report as lines.",
        seen=seen or "–", columns=", ".join(COLUMNS),
    )  # fmt: skip


def _columns(table: Table) -> dict[str, str]:
    """Column -> header of the sheet."""
    found: dict[str, str] = {}
    for header in table.header:
        column = _HEADINGS.get(normal(header))
        if column:
            found.setdefault(column, header)
    return found


def _joined(usable: list[tuple[Table, dict[str, str]]]) -> Rows:
    raws: list[Raw] = []
    problems: list[Any] = []
    blank, decimal = 0, None
    for table, found in usable:
        problems += table.problems
        decimal = decimal or table.decimal
        for number, record in table.records():
            cells = {column: record[header] for column, header in found.items()}
            if is_blank(cells["value"]) or is_blank(cells["analyte"]):
                blank += 1
                continue
            raws.append(Raw(len(raws), table.sheet, number, cells))
    return Rows(tuple(raws), tuple(problems), decimal, blank)


def _pasted(text: str) -> Rows:
    raws: list[Raw] = []
    problems: list[Any] = []
    blank = 0
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        found = _split(line)
        if isinstance(found, Sentence):
            problems.append(Problem("", number, "", line.strip(), found))
        elif found is None:
            blank += 1
        else:
            name, value, measure = found
            raws.append(Raw(len(raws), "", number, {"analyte": name, "value": value, "measure": measure}))
    return Rows(tuple(raws), tuple(problems), None, blank)


def _split(line: str) -> tuple[str, str, str] | Sentence | None:
    """Name, value and what follows it; None for a line without a value (a heading), a Sentence for two values."""
    numbers = list(_NUMBER.finditer(line))
    numbers = [each for each in numbers if line[: each.start()].strip(" :=\t")]
    if not numbers:
        return None
    last = numbers[-1]
    name = line[: last.start()]
    if len(numbers) > 1 and not _is_hours(name, numbers[-2]):
        return Sentence("Two numbers stand in this line. Keep one value, such as: Crude protein 20.5 % DM")
    return name.strip(" :=\t,;"), last[0], line[last.end() :].strip(" \t")


def _is_hours(name: str, number: re.Match[str]) -> bool:
    """Whether a number before the value is the hours of a digestibility."""
    return bool(_TIMED.search(name) and _HOURS_ONLY.fullmatch(number[0].rstrip(",.")))


def distinct(texts: Iterable[str]) -> Iterator[str]:
    return iter(dict.fromkeys(texts))
