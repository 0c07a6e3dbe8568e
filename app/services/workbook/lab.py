"""Sheets of the lab: samples with a row for every value, and what the farm's labs call each analyte."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.exchange.sheets import ReadRow, ReadSheet
from app.nutrition.lab import ANALYTES
from app.records.samples import AnalyteName, Sample
from app.services.analyte_names import NAME_SHAPE, checked
from app.services.samples import edits
from app.services.samples.values import Line as LabLine
from app.services.samples.values import mend
from app.services.workbook.book import Book, Line, Stored, fold
from app.services.workbook.sheets import Sheet, named
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape
from app.units.typed import typed_number

ANALYTE_NAMES = tuple((code, analyte.name.text) for code, analyte in ANALYTES.items())
BASES = (
    ("AR", "as received"),
    ("DM", "of dry matter"),
    ("NDF", "of NDF"),
    ("CP", "of protein"),
    ("N", "of total nitrogen"),
)
METHODS = (("WET", "Wet chemistry"), ("NIR", "Near infrared"), ("CALC", "Worked out"))
TYPED = ("text", "unit", "basis", "method")


class SampleSheet(Sheet):
    """A row for every value; rows of one place, day and sample belong together."""

    key, title, table = "samples", "Samples", Sample
    parts = ("board-figures", "samples-list")
    identity, refs = ("lot", "field", "sampled_on", "sample"), {"lot": "lots", "field": "fields"}
    is_named = False
    head = ("lot", "field", "sampled_on", "sample", "received_on", "lab", "lab_ref", "note")
    shape = Shape(
        "samples",
        (
            named("lot", "Lot", "Bunker 2, first cutting", required=False),
            named("field", "Field", "Long Acre", required=False),
            edits.SAMPLE_SHAPE.column("sampled_on"),
            Column("sample", "Sample of that day", "whole", low=1, high=99, example="1"),
            Column("analyte", "Analyte", "choice", required=True, choices=ANALYTE_NAMES, example="DM"),
            Column("value", "Value", required=True, longest=40, example="38.5"),
            Column("unit", "Unit", longest=16, example="%"),
            Column("basis", "Basis", "choice", choices=BASES),
            Column("method", "Method", "choice", choices=METHODS),
            *edits.SAMPLE_SHAPE.only("received_on", "lab", "lab_ref", "note").columns,
        ),
    )

    def select(self, book: Book) -> Any:
        return super().select(book).options(selectinload(Sample.values))

    def load(self, book: Book) -> list[Stored]:
        self._counts: dict[Any, int] = defaultdict(int)
        return [each for each in super().load(book) if each.values["lot"] or each.values["field"]]

    def values_of(self, book: Book, row: Sample) -> dict[str, Any]:
        place = (row.lot_id, row.field_id, row.sampled_on)
        self._counts[place] += 1
        head = {name: self.value_of(book, row, name) for name in self.head if name != "sample"}
        return {**head, "sample": self._counts[place], "lines": {each.analyte: _kept(each) for each in row.values
                                                                          if each.analyte in ANALYTES}}  # fmt: skip

    def spread(self, book: Book, values: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
        for code, line in values["lines"].items():
            yield {**values, **line, "analyte": code, "value": line["text"]}

    def gather(self, book: Book, read: ReadSheet) -> Iterable[ReadRow]:
        self._rows: dict[Any, dict[str, int]] = defaultdict(dict)
        found: dict[Any, ReadRow] = {}
        for row in read.rows:
            if not any(row.values.get(name) for name in ("lot", "field", "sampled_on", "analyte")):
                continue
            typed = {**row.values, "sample": row.values.get("sample") or 1}
            group = tuple(fold(typed.get(name)) for name in self.identity)
            head = {name: typed[name] for name in self.head if name in typed}
            first = found.setdefault(group, ReadRow(row.number, {**head, "lines": {}}))
            first.rows.append(row.number)
            self._value(read, row, typed, first)
            for name, value in head.items():
                if value is not None and fold(value) != fold(first.values[name]):
                    why = Sentence("Row {row} of the same sample says something else.", row=first.number)
                    read.problems.append(read.problem(row.number, name, value, why))
        return list(found.values())

    def _value(self, read: ReadSheet, row: ReadRow, typed: Mapping[str, Any], first: ReadRow) -> None:
        code, text = typed.get("analyte"), typed.get("value")
        bad = {problem.column for problem in read.problems if problem.row == row.number}
        for name, cell in (("analyte", code), ("value", text)):
            if cell is None and read.headings.get(name, name) not in bad:
                read.problems.append(read.problem(row.number, name, "", Sentence("This must be filled in.")))
        if code is None or text is None:
            return
        cell = read.cells[row.number][read.places["value"]]
        text = unmistaken(cell) if isinstance(cell, float) else text
        if code in first.values["lines"]:
            why = Sentence("This sample has that analyte in another row already.")
            read.problems.append(read.problem(row.number, "analyte", code, why))
        line = {"text": text, **{name: typed.get(name) or "" for name in ("unit", "basis", "method")}}
        first.values["lines"][code] = line
        self._rows[id(first.values["lines"])][code] = row.number

    def line(self, row: ReadRow, typed: Mapping[str, Any], stored: Stored | None) -> Line:
        """Values the workbook does not name stay as they are."""
        numbers = self._rows[id(typed["lines"])]
        lines = {code: _usual(code, line) for code, line in typed["lines"].items()}
        there = stored.values["lines"] if stored else {}
        made = super().line(row, {**typed, "lines": {**there, **lines}}, stored)
        made.found["numbers"] = numbers
        made.found["lines"] = [code for code, line in lines.items() if there.get(code) != line]
        return made

    def _judge(self, book: Book, read: ReadSheet, line: Line) -> None:
        if line.action == "same":
            return
        values = line.values
        if (values["lot"] is None) == (values["field"] is None):
            why = Sentence("Name the lot or the field the sample was taken from, one of them.")
            read.problems.append(read.problem(line.number, "lot", values["lot"], why))
        if values["sampled_on"] is None:
            why = Sentence("This must be filled in, for example {example}.", example="2027-05-03")
            read.problems.append(read.problem(line.number, "sampled_on", "", why))
        elif values["sampled_on"] > book.today:
            why = Sentence("{day} is still to come. Is the year right?", day=values["sampled_on"].isoformat())
            read.problems.append(read.problem(line.number, "sampled_on", values["sampled_on"], why))
        elif values["received_on"] and values["received_on"] < values["sampled_on"]:
            why = Sentence("The report cannot be older than the sample.")
            read.problems.append(read.problem(line.number, "received_on", values["received_on"], why))
        self._mend(read, line)

    def _mend(self, read: ReadSheet, line: Line) -> None:
        mended = mend(lab_lines(line))
        for code, why in mended.errors.items():
            read.problems.append(self._at(read, line, code, why))
        for code, why in mended.asks.items():
            if code in line.found["lines"]:
                read.asks.append(self._at(read, line, code, why))
        for why in mended.together:
            read.asks.append(read.problem(line.number, "value", "", why))

    def _at(self, read: ReadSheet, line: Line, code: str, why: Sentence) -> Any:
        number = line.found["numbers"].get(code, line.number)
        return read.problem(number, "value", line.values["lines"][code]["text"], why)

    def add(self, book: Book, line: Line, place: int) -> Any:
        return edits.build_sample(book.work, book.farm_id, self._head(book, line), lab_lines(line), sure=True)

    def change(self, book: Book, line: Line) -> None:
        changed = set(line.found["lines"])
        edits.write_sample(book.work, line.row, self._head(book, line), lab_lines(line), changed, sure=True)
        line.row.version += 1

    def _head(self, book: Book, line: Line) -> dict[str, Any]:
        kind = "lot" if line.values["lot"] is not None else "field"
        of = f"{kind}-{book.id_of(self.refs[kind], line.values[kind])}"
        return {"of": of, **{name: line.values[name] for name in self.head if name not in ("lot", "field", "sample")}}


def lab_lines(line: Line) -> dict[str, LabLine]:
    """The values of a sample as the lab's services take them."""
    return {code: LabLine(**typed) for code, typed in line.values["lines"].items()}


def _kept(value: Any) -> dict[str, str]:
    """A value as it was typed, or in its kept unit where the text alone could mean two numbers."""
    line = edits.line_of(value)
    if typed_number(line.text.removesuffix("%").strip()).value is None:
        analyte = ANALYTES[value.analyte]
        text = unmistaken(value.value / analyte.kept(1.0, analyte.units[0]))
        line = LabLine(text, analyte.units[0], str(analyte.basis), line.method)
    return _usual(value.analyte, {name: getattr(line, name) for name in TYPED})


def unmistaken(number: float) -> str:
    """A number whose point nobody takes for a mark of thousands: 38.125 is written 38.1250."""
    text = f"{number:.12g}"
    return f"{text}0" if typed_number(text).other else text


def _usual(code: str, line: Mapping[str, str]) -> dict[str, str]:
    """The line with the analyte's usual unit and basis where none was written."""
    analyte = ANALYTES[code]
    return {**line, "unit": line["unit"] or analyte.units[0], "basis": line["basis"] or str(analyte.basis)}


class AnalyteNameSheet(Sheet):
    key, title, table = "analyte_names", "Lab words", AnalyteName
    is_named = False
    shape = NAME_SHAPE

    def check(self, book: Book, line: Line) -> None:
        line.values |= checked(line.values)

    def add(self, book: Book, line: Line, place: int) -> Any:
        """A name that was removed comes back with the new meaning."""
        wanted = select(AnalyteName).where(AnalyteName.farm_id == book.farm_id, AnalyteName.name == line.values["name"])
        there = book.work.session.scalar(wanted)
        if there is None:
            return super().add(book, line, place)
        self.put(book, there, line.values)
        there.removed_at = None
        return there
