"""Daily-summaries CSV of the Global Historical Climatology Network: one row a day, one column an element.

The unit is not in the file: it depends on what was chosen when it was ordered. So it is asked, with a reasoned guess.
`<ELEMENT>_ATTRIBUTES` columns, where present, hold measurement, quality and source flag. [Menne2012]_
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from app.units.findings import Choice, Question
from app.units.sentences import Sentence
from app.units.typed import typed_number
from app.weather.columns import DayColumns, TableOfDays, TableRow, read_columns
from app.weather.reading import Reading
from app.weather.scales import guess_temp_unit

SYSTEMS = {"us": ("f", "in"), "metric": ("c", "mm"), "tenths": ("tenths_c", "tenths_mm")}
SYSTEM_OF = {"f": "us", "c": "metric", "tenths_c": "tenths"}


@dataclass(frozen=True)
class _Row:
    number: int
    cells: tuple[Any, ...]


@dataclass(frozen=True)
class _Table:
    sheet: str
    header: tuple[str, ...]
    rows: tuple[TableRow, ...]
    decimal: str | None = "."


def looks_like_summaries(header: tuple[str, ...]) -> bool:
    """Whether a header is that of a daily-summaries file."""
    names = {name.strip().upper() for name in header}
    return {"STATION", "DATE"} <= names and bool(names & {"TMAX", "TMIN", "PRCP"})


def read_summaries(
    table: TableOfDays,
    *,
    today: date | None = None,
    station: str | None = None,
    answers: Mapping[str, str] | None = None,
) -> Reading:
    """Read a daily-summaries sheet.

    Parameters
    ----------
    table : TableOfDays
        The sheet; STATION, DATE and at least one of TMAX, TMIN and PRCP.
    today : date, optional
        Days from here on are asked about.
    station : str, optional
        Which station to take where the file has several; the first one otherwise, the rest in `Reading.others`.
    answers : mapping, optional
        `units` is "us" (F, inches), "metric" (C, mm) or "tenths"; more as for `read_columns`.

    Returns
    -------
    Reading
        With question `units` until it is answered.
    """
    given = dict(answers or {})
    place = {name.strip().upper(): i for i, name in enumerate(table.header)}
    names = list(dict.fromkeys(str(row.cells[place["STATION"]] or "").strip() for row in table.rows))
    chosen = station if station is not None else (names[0] if names else "")
    question = _units_question(table, place)
    units = SYSTEMS[given.get("units") or question.guess or "us"]
    columns = DayColumns(
        day=("DATE",),
        high="TMAX" if "TMAX" in place else None,
        low="TMIN" if "TMIN" in place else None,
        rain="PRCP" if "PRCP" in place else None,
        temp_unit=units[0],
        rain_unit=units[1],
    )
    readings = {name: _one_station(table, place, name, columns, today, given) for name in (chosen, *names)}
    reading = readings.pop(chosen)
    asked = () if "units" in given else (question,)
    return replace(
        reading,
        questions=asked + reading.questions,
        others=tuple(other.series for other in readings.values() if len(other.series)),
    )


def _one_station(
    table: TableOfDays,
    place: dict[str, int],
    name: str,
    columns: DayColumns,
    today: date | None,
    given: dict[str, str],
) -> Reading:
    rejected: dict[str, int] = {}
    traces = 0
    rows = []
    for row in table.rows:
        if str(row.cells[place["STATION"]] or "").strip() != name:
            continue
        cells = list(row.cells)
        for element in ("TMAX", "TMIN", "PRCP"):
            measured, quality = _flags(row, place.get(f"{element}_ATTRIBUTES"))
            if quality and element in place and cells[place[element]] not in (None, ""):
                rejected[quality] = rejected.get(quality, 0) + 1
                cells[place[element]] = None
            elif element == "PRCP" and measured == "T":
                traces += 1
                cells[place[element]] = "0"
        rows.append(_Row(row.number, tuple(cells)))
    header = tuple(title.strip().upper() for title in table.header)
    reading = read_columns(_Table(table.sheet, header, tuple(rows)), columns, today=today, station=name, answers=given)
    return replace(
        reading,
        counts=replace(reading.counts, rejected={**reading.counts.rejected, **rejected}, trace_days=traces),
    )


def _flags(row: TableRow, place: int | None) -> tuple[str, str]:
    flags = str(row.cells[place] or "").split(",") if place is not None else []
    return (flags[0].strip() if flags else "", flags[1].strip() if len(flags) > 1 else "")


def _units_question(table: TableOfDays, place: dict[str, int]) -> Question:
    element = next((name for name in ("TMAX", "TMIN") if name in place), None)
    numbers = [typed_number(row.cells[place[element]], ".").value for row in table.rows] if element else []
    guess = guess_temp_unit(np.array([np.nan if number is None else number for number in numbers]))
    return Question(
        "units",
        Sentence("The file does not state its units. Which were chosen when it was ordered?"),
        (
            Choice("us", Sentence("standard: degrees Fahrenheit and inches")),
            Choice("metric", Sentence("metric: degrees Celsius and millimetres")),
            Choice("tenths", Sentence("none chosen: tenths of a degree Celsius and of a millimetre")),
        ),
        SYSTEM_OF.get(guess.unit or ""),
        guess.because,
    )
