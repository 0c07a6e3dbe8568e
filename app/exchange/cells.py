"""Single cells: what is refused in an upload, and what is made harmless in a download."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from app.exchange.limits import Limits
from app.units.findings import Problem
from app.units.sentences import Sentence
from app.units.typed import Cell, is_blank, typed_number

RISKY = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
"""First characters that make a spreadsheet program treat text as a formula."""


@dataclass(frozen=True)
class Row:
    """One row below the header: its number as the person's program shows it, and its cells padded to the header."""

    number: int
    cells: tuple[Cell, ...]


def text_cell(sheet: str, number: int, place: int, cell: str, problems: list[Problem], limits: Limits) -> Cell:
    if len(cell) > limits.cell_count_chars:
        problems.append(_too_long(sheet, number, place, cell, limits))
        return None
    bare = cell.strip()
    if bare[:1] == "'" and bare.lstrip("'").startswith(RISKY):
        return bare[1:]
    if bare.startswith("="):
        problems.append(formula_problem(sheet, number, place, bare))
        return None
    return bare


def _too_long(sheet: str, number: int, place: int, cell: str, limits: Limits) -> Problem:
    allowed = Sentence("A cell may hold at most {most} characters.", most=limits.cell_count_chars)
    return Problem(sheet, number, f"#{place}", cell[:60], allowed)


def formula_problem(sheet: str, number: int, place: int, got: str) -> Problem:
    return Problem(sheet, number, f"#{place}", got, Sentence("Formulas are not taken. Paste the value in its place."))


def harmless(cell: Cell) -> str:
    """A cell as text that no spreadsheet program runs; NaN and None become empty."""
    if cell is None or (isinstance(cell, float) and cell != cell):
        return ""
    if isinstance(cell, (date, datetime)):
        return cell.isoformat()
    if isinstance(cell, str) and cell.lstrip(" '").startswith(RISKY) and not _plain_number(cell):
        return "'" + cell
    return str(cell)


def _plain_number(text: str) -> bool:
    return not is_blank(text) and typed_number(text, ".").value is not None
