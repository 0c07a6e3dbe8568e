"""Numbers and dates as people and programs write them, read without guessing between two meanings."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

Cell = str | int | float | bool | date | datetime | None
"""What a cell of an uploaded sheet may hold: text files give str, spreadsheets also numbers and dates."""

MISSING_WORDS = frozenset({"", "-", "--", "na", "n/a", "nan", "null", "none", "missing", "."})
_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2212": "-"})
_PLAIN = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?")
_GROUPED = re.compile(r"\d{1,3}(?P<mark>[ '.,])\d{3}((?P=mark)\d{3})*")
_YMD = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_PARTS = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})")
_TIME = re.compile(r"[T ]\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?( ?[AaPp][Mm])?(Z|[+-]\d{2}:?\d{2})?$")
_NAMED = re.compile(r"(\d{1,2})\.?[ -](?:de )?([^\W\d]{3,10})\.?,?[ -](?:de )?(\d{4})")
_NAMED_US = re.compile(r"([^\W\d]{3,10})\.? (\d{1,2}),? (\d{4})")
_MONTHS = {
    name: number
    for names in (
        "jan feb mar apr may jun jul aug sep oct nov dec",
        "january february march april may june july august september october november december",
        "ene feb mar abr may jun jul ago sep oct nov dic",
        "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre",
    )
    for number, name in enumerate(names.split(), start=1)
}


@dataclass(frozen=True)
class TypedNumber:
    """A number as read: `value` NaN for an empty cell, None for text that is no number.

    `other` is the second possible meaning of something like 1,234; `value` is then None, for it must be asked.
    """

    value: float | None
    other: tuple[float, float] | None = None


@dataclass(frozen=True)
class TypedDate:
    """A date as read: `value` None when empty (`blank`), unreadable, or of two meanings (`other`: m/d/y, d/m/y)."""

    value: date | None
    other: tuple[date, date] | None = None
    blank: bool = False


def is_blank(cell: Any) -> bool:
    """Whether a cell says that nothing was measured: empty, a dash, n/a and the like."""
    return cell is None or (isinstance(cell, str) and cell.translate(_SPACES).strip().lower() in MISSING_WORDS)


def typed_number(cell: Cell, decimal: str | None = None) -> TypedNumber:
    """A number from a cell; `decimal` is "." or "," where the file's decimal mark is known.

    >>> typed_number("1,5").value, typed_number("1 234,5").value, typed_number("1,234.5").value
    (1.5, 1234.5, 1234.5)
    >>> typed_number("1,234").other
    (1234.0, 1.234)
    >>> typed_number("1,234", ".").value, typed_number("1,234", ",").value
    (1234.0, 1.234)
    """
    if isinstance(cell, (bool, date)):
        return TypedNumber(None)
    if isinstance(cell, (int, float)):
        return TypedNumber(float(cell) if math.isfinite(cell) else None)
    if is_blank(cell):
        return TypedNumber(math.nan)
    text = str(cell).translate(_SPACES).strip()
    sign = -1.0 if text[0] == "-" else 1.0
    body = text[1:].lstrip() if text[0] in "+-" else text
    value, other = _unsigned(body, decimal)
    return TypedNumber(
        None if value is None else sign * value, None if other is None else (sign * other[0], sign * other[1])
    )


def _unsigned(body: str, decimal: str | None) -> tuple[float | None, tuple[float, float] | None]:
    marks = [mark for mark in ".," if mark in body]
    if len(marks) == 2:
        last = "." if body.rfind(".") > body.rfind(",") else ","
        return (_with_marks(body, last) if decimal in (None, last) else None), None
    if not marks or " " in body or "'" in body:
        mark = marks[0] if marks else "."
        return (_with_marks(body, mark) if decimal in (None, mark) or not marks else None), None
    mark = marks[0]
    as_decimal, as_group = _with_marks(body, mark), _grouped(body)
    if decimal is not None:
        return (as_decimal if mark == decimal else as_group), None
    if as_decimal is not None and as_group is not None and not body.startswith("0"):
        return None, (as_group, as_decimal)
    return (as_decimal if as_decimal is not None else as_group), None


def _with_marks(body: str, decimal: str) -> float | None:
    whole, mark, rest = body.partition(decimal)
    if not whole.isdigit() and _GROUPED.fullmatch(whole):
        whole = re.sub(r"[ '.,]", "", whole)
    plain = whole + ("." if mark else "") + rest
    return float(plain) if _PLAIN.fullmatch(plain) and plain.isascii() else None


def _grouped(body: str) -> float | None:
    return float(re.sub(r"[.,]", "", body)) if _GROUPED.fullmatch(body) and body.isascii() else None


def decimal_mark(cells: Iterable[Cell]) -> str | None:
    """The decimal mark that the numbers of a column agree on, or None where none of them shows it or they disagree.

    >>> decimal_mark(["12,5", "1.234"]), decimal_mark(["1,234", "2,500"]), decimal_mark(["3", "12.5"])
    (',', None, '.')
    """
    seen: set[str] = set()
    for cell in cells:
        if not isinstance(cell, str) or ("." not in cell and "," not in cell):
            continue
        fits = {mark for mark in ".," if typed_number(cell, mark).value is not None}
        if len(fits) == 1:
            seen |= fits
    return seen.pop() if len(seen) == 1 else None


def typed_date(cell: Cell, order: str | None = None) -> TypedDate:
    """A date from a cell; `order` is "mdy" or "dmy" where the file's order is known.

    Year first (with -, / or . or without marks), day.month.year with dots and months by name have one meaning. With
    slashes or dashes and both parts up to 12 there are two. A two-digit year is 1969 to 2068, as the POSIX rule has it.

    >>> typed_date("2026-05-14").value, typed_date("14.5.2026").value, typed_date("5/14/2026").value
    (datetime.date(2026, 5, 14), datetime.date(2026, 5, 14), datetime.date(2026, 5, 14))
    >>> typed_date("5/6/2026").other
    (datetime.date(2026, 5, 6), datetime.date(2026, 6, 5))
    >>> typed_date("5/6/2026", "dmy").value
    datetime.date(2026, 6, 5)
    """
    if isinstance(cell, datetime):
        return TypedDate(cell.date())
    if isinstance(cell, date):
        return TypedDate(cell)
    if is_blank(cell):
        return TypedDate(None, blank=True)
    text = _TIME.sub("", str(cell).translate(_SPACES).strip())
    if found := _YMD.fullmatch(text):
        return TypedDate(_day(found[1], found[3], found[4]))
    if found := _COMPACT.fullmatch(text):
        return TypedDate(_day(found[1], found[2], found[3]))
    if found := _PARTS.fullmatch(text):
        return _from_parts(found[1], found[3], _year(found[4]), "dmy" if found[2] == "." else order)
    if found := _NAMED.fullmatch(text):
        return TypedDate(_day(found[3], _MONTHS.get(found[2].lower(), 0), found[1]))
    if found := _NAMED_US.fullmatch(text):
        return TypedDate(_day(found[3], _MONTHS.get(found[1].lower(), 0), found[2]))
    return TypedDate(None)


def _from_parts(first: str, second: str, year: int, order: str | None) -> TypedDate:
    month_first, day_first = _day(year, first, second), _day(year, second, first)
    if order is not None:
        return TypedDate(month_first if order == "mdy" else day_first)
    if month_first and day_first and month_first != day_first:
        return TypedDate(None, other=(month_first, day_first))
    return TypedDate(month_first or day_first)


def _year(text: str) -> int:
    year = int(text)
    return year if len(text) == 4 else year + (2000 if year <= 68 else 1900)


def _day(year: str | int, month: str | int, day: str | int) -> date | None:
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None


def date_order(cells: Iterable[Cell]) -> str | None:
    """The order "mdy" or "dmy" where the dates of a column show it; "clash" where they show both; None where open.

    >>> date_order(["5/6/2026", "5/14/2026"]), date_order(["5/6/2026"]), date_order(["13/6/2026", "6/13/2026"])
    ('mdy', None, 'clash')
    """
    fits: set[str] = set()
    for cell in cells:
        found = _PARTS.fullmatch(_TIME.sub("", cell.strip())) if isinstance(cell, str) else None
        if found and found[2] != ".":
            first, second = int(found[1]), int(found[3])
            if first > 12 >= second:
                fits.add("dmy")
            elif second > 12 >= first:
                fits.add("mdy")
    return "clash" if len(fits) == 2 else (fits.pop() if fits else None)
