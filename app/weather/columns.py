"""Daily weather from any sheet: the person says which column is what; a mapping is proposed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

import numpy as np

from app.units.findings import Choice, Question
from app.units.sentences import Sentence
from app.units.typed import TypedDate, date_order, is_blank, typed_date, typed_number
from app.weather.mapping import DayColumns, TableOfDays, TableRow, propose
from app.weather.plausibility import question_days, question_temperatures
from app.weather.reading import DayBook, Reading
from app.weather.scales import (
    RAIN_UNITS,
    TEMP_UNITS,
    Guess,
    guess_rain_unit,
    guess_temp_unit,
    to_celsius,
    to_mm,
    unit_in_header,
    unit_question,
)


def read_columns(
    table: TableOfDays,
    columns: DayColumns,
    *,
    today: date | None = None,
    station: str = "",
    answers: Mapping[str, str] | None = None,
) -> Reading:
    """Read daily weather from a sheet with mapped columns.

    Parameters
    ----------
    table : TableOfDays
        The sheet: header, rows with numbers, decimal mark found.
    columns : DayColumns
        Which column holds what, and the units where known.
    today : date, optional
        Days from here on cannot have been observed and are asked about.
    station : str
        What the person calls the station.
    answers : mapping, optional
        Answers to the questions of an earlier reading: temp_unit, rain_unit, order, number, next_year, future, swapped,
        jumps, celsius, mean_only.

    Returns
    -------
    Reading
        With problems by row and column, and questions for what the sheet leaves open.
    """
    given = dict(answers or {})
    return _Sheet(table, columns, given).reading(today, station)


__all__ = ["DayColumns", "TableOfDays", "TableRow", "propose", "read_columns"]


class _Sheet:
    """One pass over a sheet: cells to numbers, then units, then days."""

    def __init__(self, table: TableOfDays, columns: DayColumns, given: dict[str, str]) -> None:
        self.table, self.columns, self.given = table, columns, given
        self.book = DayBook(table.sheet)
        self.questions: list[Question] = []
        self.decimal = given.get("number") or table.decimal
        self.place = {name: i for i, name in enumerate(table.header)}

    def reading(self, today: date | None, station: str) -> Reading:
        missing = self._missing_columns()
        days = [] if missing else list(self._days(today))
        values = {part: self._numbers(part) for part in ("high", "low", "mean", "rain")}
        units = self._units(values)
        high, low = self._high_low(values)
        high, low = question_temperatures(self, days, high, low, units[0])
        for i, row in enumerate(self.table.rows if days else ()):
            if (day := days[i]) is not None:
                self._put(row, day, units, high[i], low[i], values["rain"][i])
        series = self.book.series(station)
        return Reading(
            series,
            tuple(self.book.problems),
            tuple(self.questions),
            self.book.counts(series, len(self.table.rows)),
        )

    def ask(self, question: Question) -> str | None:
        """The answer given to a question, else its guess, with the question left open."""
        if question.key in self.given:
            return self.given[question.key]
        if all(question.key != other.key for other in self.questions):
            self.questions.append(question)
        return question.guess

    def _missing_columns(self) -> bool:
        wanted = [*self.columns.day, self.columns.high, self.columns.low, self.columns.mean, self.columns.rain]
        unknown = [name for name in wanted if name is not None and name not in self.place]
        for name in unknown:
            self.book.refuse(
                None, name, name, Sentence("There is no such column. There are: {names}.", names=", ".join(self.place))
            )
        if not self.columns.day:
            self.book.refuse(None, "date", "", Sentence("Choose the column that holds the date."))
        if not ((self.columns.high and self.columns.low) or self.columns.mean):
            self.book.refuse(None, "high, low", "", Sentence("Choose the columns of the daily high and low."))
        return bool(unknown) or not self.columns.day

    def _days(self, today: date | None) -> Iterator[date | None]:
        if len(self.columns.day) == 3:
            read = [self._three_parts(row) for row in self.table.rows]
        else:
            place = self.place[self.columns.day[0]]
            cells = [row.cells[place] for row in self.table.rows]
            order = self._order(cells)
            read = [self._one_cell(row, cell, order) for row, cell in zip(self.table.rows, cells, strict=True)]
        return iter(question_days(self, read, today))

    def _order(self, cells: list[Any]) -> str | None:
        order = self.columns.order or date_order(cells)
        if order in ("mdy", "dmy"):
            return order
        first = next((one for one in map(typed_date, cells) if one.other), None)
        if first is None or first.other is None:
            return None
        return self.ask(
            Question(
                "order",
                Sentence("Is the month or the day first in the dates?"),
                (
                    Choice("mdy", Sentence("month first: {day}", day=first.other[0])),
                    Choice("dmy", Sentence("day first: {day}", day=first.other[1])),
                ),
                self._order_guess(cells),
                Sentence("The dates fit both; days that follow one another suggest an order where one is marked."),
            )
        )

    def _order_guess(self, cells: list[Any]) -> str | None:
        """The order in which the rows run day by day."""
        steps = {}
        for order in ("mdy", "dmy"):
            days = [one.value.toordinal() for cell in cells if (one := typed_date(cell, order)).value]
            steps[order] = float(np.mean(np.abs(np.diff(days)) == 1)) if len(days) > 1 else 0.0
        best = max(steps, key=lambda order: steps[order])
        return best if steps[best] > 0.8 and steps[best] > min(steps.values()) else None

    def _one_cell(self, row: TableRow, cell: Any, order: str | None) -> date | None:
        read: TypedDate = typed_date(cell, order)
        if read.value is None and read.other is None and any(not is_blank(one) for one in row.cells):
            self.book.refuse(
                row.number,
                self.columns.day[0],
                "" if cell is None else cell,
                Sentence("Write a date as year-month-day, such as {example}.", example="2026-05-14"),
            )
        return read.value

    def _three_parts(self, row: TableRow) -> date | None:
        cells = [row.cells[self.place[name]] for name in self.columns.day]
        parts = [typed_number(cell, ".").value for cell in cells]
        try:
            return date(*(int(part) for part in parts))  # type: ignore[arg-type]
        except (TypeError, ValueError):
            shown = "-".join(str(cell) for cell in cells)
            self.book.refuse(
                row.number, ", ".join(self.columns.day), shown, Sentence("Year, month and day must make a date.")
            )
            return None

    def _numbers(self, part: str) -> np.ndarray:
        name = getattr(self.columns, part)
        out = np.full(len(self.table.rows), np.nan)
        if name is None or name not in self.place:
            return out
        for i, row in enumerate(self.table.rows):
            out[i] = self._number(row, name, row.cells[self.place[name]], part)
        return out

    def _number(self, row: TableRow, name: str, cell: Any, part: str) -> float:
        if part == "rain" and isinstance(cell, str) and cell.strip().upper() in ("T", "TRACE"):
            return 0.0
        read = typed_number(cell, self.decimal)
        if read.other is not None:
            mark = self.ask(_decimal_question(str(cell), read.other))
            read = typed_number(cell, mark) if mark else read
        if read.value is None:
            allowed = Sentence("Type a number such as {example}, or leave the cell empty.", example=21.5)
            self.book.refuse(row.number, name, cell, allowed)
            return float("nan")
        return read.value

    def _units(self, values: dict[str, np.ndarray]) -> tuple[str, str]:
        highs = values["high"] if self.columns.high else values["mean"]
        temp = self.given.get("temp_unit") or self.columns.temp_unit or self._unit_said("high", "low", "mean")
        if temp is None:
            asked = Sentence("In which unit are the temperatures?")
            temp = self.ask(unit_question("temp_unit", asked, TEMP_UNITS, guess_temp_unit(highs)))
        rain = self.given.get("rain_unit") or self.columns.rain_unit or self._unit_said("rain")
        if rain is None and self.columns.rain:
            guess: Guess = guess_rain_unit(values["rain"], temp)
            if np.nansum(values["rain"]) > 0:
                rain = self.ask(unit_question("rain_unit", Sentence("In which unit is the rain?"), RAIN_UNITS, guess))
        return temp or "c", rain or "mm"

    def _unit_said(self, *parts: str) -> str | None:
        """The unit that a mapped column's own name states."""
        names = (getattr(self.columns, part) or "" for part in parts)
        return next((unit for name in names if (unit := unit_in_header(name))), None)

    def _high_low(self, values: dict[str, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        if self.columns.high and self.columns.low:
            return values["high"], values["low"]
        if not self.columns.mean:
            return values["high"], values["low"]
        self.ask(
            Question(
                "mean_only",
                Sentence("There is only a mean temperature. Take it for both high and low?"),
                (Choice("yes", Sentence("yes, with the average method the heat is the same")),),
                "yes",
                Sentence("Start rules that look at the high, and methods other than the average, will be off."),
            )
        )
        return values["mean"], values["mean"]

    def _put(self, row: TableRow, day: date, units: tuple[str, str], high: float, low: float, rain: float) -> None:
        columns, put = self.columns, self.book.put
        put(row.number, day, "high_c", to_celsius(high, units[0]), f"{high:g}", columns.high or columns.mean)
        put(row.number, day, "low_c", to_celsius(low, units[0]), f"{low:g}", columns.low or columns.mean)
        put(row.number, day, "precip_mm", to_mm(rain, units[1]), f"{rain:g}", columns.rain)


def _decimal_question(cell: str, other: tuple[float, float]) -> Question:
    as_group, as_decimal = other
    point = "." in cell
    return Question(
        "number",
        Sentence("What does {cell} mean?", cell=cell),
        (
            Choice("," if point else ".", Sentence("{value} (the mark groups thousands)", value=as_group)),
            Choice("." if point else ",", Sentence("{value} (the mark is the decimal mark)", value=as_decimal)),
        ),
        ("." if point else ","),
        Sentence("A day's temperature or rain is rarely a thousand or more."),
    )
