"""The two files of the Global Historical Climatology Network, daily: fixed-width `.dly` and by-year CSV.

Both give temperatures in tenths of a degree Celsius and rain in tenths of a millimetre, each value with three flags.
A value whose quality flag is set failed a check of the network and is left out and counted; a trace of rain is 0.
[Menne2012]_ and the format description published with the data.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from app.units.sentences import Sentence
from app.weather.reading import DayBook, Reading
from app.weather.series import empty_series

LINE_LENGTH = 269
MISSING = -9999
ELEMENTS = {"TMAX": "high_c", "TMIN": "low_c", "PRCP": "precip_mm"}
TRACE = "T"


def looks_like_dly(text: str) -> bool:
    """Whether the first line has the shape of a `.dly` file."""
    line = text.split("\n", 1)[0].rstrip("\r")
    return len(line) > 21 and line[11:17].isdigit() and line[17:21].isalnum() and "," not in line[:21]


def read_dly(text: str, *, station: str | None = None, sheet: str = "") -> Reading:
    """Read a `.dly` file: one line is a station, a month and an element with 31 values.

    Parameters
    ----------
    text : str
        The file.
    station : str, optional
        Which station to take where the file has several; the first one otherwise, the rest in `Reading.others`.
    sheet : str
        Name of the file for problems.

    Returns
    -------
    Reading
        Lines of a wrong length or with letters among the figures are named; elements other than TMAX, TMIN and PRCP are
        passed over.
    """
    books: dict[str, DayBook] = {}
    faults = DayBook(sheet)
    count = 0
    for number, line in enumerate(text.splitlines(), start=1):
        line = line.rstrip("\r\n")
        if not line.strip():
            continue
        count += 1
        if len(line) != LINE_LENGTH:
            faults.refuse(
                number,
                "",
                line[:40],
                Sentence("A line has {want} characters; this one has {got}.", want=LINE_LENGTH, got=len(line)),
            )
            continue
        head = _head(line)
        if head is None:
            faults.refuse(number, "", line[:21], Sentence("A line begins like {example}.", example=EXAMPLE_HEAD))
            continue
        name, year, month, element = head
        book = books.setdefault(name, DayBook(sheet))
        if element in ELEMENTS:
            _month_of_values(book, number, line, year, month, element)
    return _reading(books, faults, station, count)


EXAMPLE_HEAD = "USC00000000202605TMAX"


def _head(line: str) -> tuple[str, int, int, str] | None:
    if not (line[11:17].isdigit() and 1 <= int(line[15:17]) <= 12 and int(line[11:15]) >= 1700):
        return None
    return line[:11].strip(), int(line[11:15]), int(line[15:17]), line[17:21]


def _month_of_values(book: DayBook, number: int, line: str, year: int, month: int, element: str) -> None:
    for day, text, measured, quality in _days(line):
        try:
            value = int(text)
        except ValueError:
            book.refuse(
                number, f"{element} {day}", text, Sentence("A value is a whole number of five places or {missing}.",
                                                           missing=MISSING)
            )  # fmt: skip
            continue
        on = _date(year, month, day)
        if on is None:
            if value != MISSING:
                book.refuse(number, f"{element} {day}", text, Sentence("This month has no such day."))
            continue
        _take(book, number, on, element, value, measured, quality)


def _days(line: str) -> Iterator[tuple[int, str, str, str]]:
    for day in range(31):
        at = 21 + 8 * day
        yield day + 1, line[at : at + 5], line[at + 5], line[at + 6]


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _take(book: DayBook, row: int, on: date, element: str, value: int, measured: str, quality: str) -> None:
    tenths = float("nan")
    if quality.strip():
        book.rejected[quality] += value != MISSING
    elif value != MISSING:
        tenths = value / 10
        if element == "PRCP" and measured == TRACE:
            book.trace.add(on)
            tenths = 0.0
    book.put(row, on, ELEMENTS[element], tenths, value, element)


def looks_like_by_year(text: str) -> bool:
    """Whether the first line has the shape of a by-year CSV: station, yyyymmdd, element, value and flags."""
    cells = text.split("\n", 1)[0].split(",")
    return len(cells) >= 7 and len(cells[1]) == 8 and cells[1].isdigit() and len(cells[2]) == 4


def read_by_year(text: str, *, station: str | None = None, sheet: str = "") -> Reading:
    """Read a by-year CSV: station, date, element, value, measurement, quality and source flag, time of observation."""
    books: dict[str, DayBook] = {}
    faults = DayBook(sheet)
    count = 0
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        count += 1
        cells = [cell.strip().strip('"') for cell in line.split(",")]
        if len(cells) not in (7, 8):
            faults.refuse(
                number, "", line[:60], Sentence("A line has 7 or 8 values; this one has {got}.", got=len(cells))
            )
            continue
        name, day, element, text_value, measured, quality = cells[:6]
        on = _date(int(day[:4]), int(day[4:6]), int(day[6:])) if len(day) == 8 and day.isdigit() else None
        if on is None:
            faults.refuse(
                number, "date", day, Sentence("A date is written yyyymmdd, such as {example}.", example="20260514")
            )
            continue
        book = books.setdefault(name, DayBook(sheet))
        if element not in ELEMENTS:
            continue
        try:
            _take(book, number, on, element, int(text_value), measured, quality)
        except ValueError:
            book.refuse(number, element, text_value, Sentence("A value is a whole number of tenths."))
    return _reading(books, faults, station, count)


def _reading(books: dict[str, DayBook], faults: DayBook, station: str | None, read_rows: int) -> Reading:
    series = {name: book.series(name) for name, book in books.items()}
    chosen = station if station is not None else next(iter(series), None)
    if chosen is None or chosen not in series:
        if chosen is not None:
            faults.refuse(None, "station", chosen, Sentence("The file has no such station."))
        return Reading(
            empty_series(chosen or ""), tuple(faults.problems), counts=faults.counts(empty_series(""), read_rows)
        )
    book = books[chosen]
    book.rejected += faults.rejected
    others = tuple(one for name, one in series.items() if name != chosen and len(one))
    problems = tuple(faults.problems + book.problems)
    return Reading(series[chosen], problems, (), book.counts(series[chosen], read_rows), others)
