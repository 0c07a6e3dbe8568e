"""Sheets of the farm as a whole: itself, its settings, its cuttings and their shares of the season."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy import select

from app.errors import Invalid, Unsure
from app.exchange.headings import SYSTEMS, has_two_units, system_of, unit_word
from app.exchange.sheets import ReadRow, ReadSheet, cell_of
from app.planning import assumptions
from app.planning.assumptions import ASSUMPTIONS, Assumption
from app.records.farms import Cutting, CuttingShare, Farm, FarmValue
from app.services.cutting_shares import check_whole
from app.services.farms import FARM_SHAPE, check_time_zone
from app.services.workbook.book import Book, Line, Stored, fold
from app.services.workbook.sheets import Sheet
from app.units.kinds import KINDS, System
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape
from app.units.typed import typed_number


class FarmSheet(Sheet):
    """One row: the farm."""

    key, title, table = "farm", "Farm", Farm
    shape = Shape(
        "farm",
        tuple(replace(column, required=column.name == "name") for column in FARM_SHAPE.columns),
    )
    is_named = False
    defaults = {"time_zone": "UTC", "cuts_count": 4}

    def select(self, book: Book) -> Any:
        return select(Farm).where(Farm.id == book.farm_id)

    def identity_of(self, values: Any) -> tuple[Any, ...]:
        return ()

    def check(self, book: Book, line: Line) -> None:
        check_time_zone(line.values)
        if line.stored is None and not line.typed.get("time_zone"):
            why = Sentence("No time zone is given, so days would begin at midnight UTC. Better write {example}.",
                           example="America/Chicago")  # fmt: skip
            raise Unsure({"time_zone": why})
        was = line.stored.values["name"] if line.stored else None
        if was is not None and fold(line.values["name"]) != fold(was):
            why = Sentence("This workbook is of another farm. Read into {was}, it would also change that farm's name.",
                           was=was)  # fmt: skip
            raise Unsure({"name": why})

    def add(self, book: Book, line: Line, place: int) -> Farm:
        """A new farm was added with these values before any sheet is taken."""
        assert book.farm is not None
        return book.farm


class SettingsSheet(Sheet):
    """The farm's own values of assumptions; each line says its unit."""

    key, title, table = "settings", "Settings", FarmValue
    identity = ("key",)
    is_named = False
    shape = Shape(
        "farm_values",
        (
            Column("key", "Setting", required=True, longest=120, example="heat_base_c"),
            Column("value", "Value", required=True, longest=64, example="41"),
            Column("unit", "Unit", longest=60, example="°F"),
        ),
    )

    def values_of(self, book: Book, row: FarmValue) -> dict[str, Any]:
        return {"key": row.key, "value": row.choice if row.number is None else row.number}

    def load(self, book: Book) -> list[Stored]:
        return [each for each in super().load(book) if each.values["key"] in ASSUMPTIONS]

    def spread(self, book: Book, values: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
        """The value as its cell shows it, with its unit beside it."""
        yield self._written(book, values)

    def _written(self, book: Book, values: Mapping[str, Any]) -> Mapping[str, Any]:
        kind = ASSUMPTIONS[values["key"]].kind or None
        if isinstance(values["value"], str):
            return {**values, "unit": None}
        number = cell_of(Column("value", "", "number", kind), values["value"], book.system)
        return {"key": values["key"], "value": f"{number}", "unit": unit_word(kind, book.system) or None}

    def gather(self, book: Book, read: ReadSheet) -> Iterable[ReadRow]:
        by_word = _settings_by_word(book)
        for row in read.rows:
            found = by_word.get(fold(row.values.get("key") or ""))
            if not row.values.get("key"):
                yield row
                continue
            if found is None:
                why = Sentence("There is no setting of this name; the notes list all of them.")
                read.problems.append(read.problem(row.number, "key", row.values["key"], why))
                continue
            value = _kept_value(found, row, read, book)
            if value is not None:
                yield ReadRow(row.number, {"key": found.key, "value": value})

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        own = {values["key"]: values["value"] for values in book.all(self.key) if values.get("value") is not None}
        places = {line.values["key"]: line for line in book.lines[self.key]}
        try:
            assumptions.resolve(own)
        except Invalid as refused:
            for key, why in refused.fields.items():
                line = places.get(key)
                read.problems.append(read.problem(line.number if line else None, "value", own.get(key), why))

    def put(self, book: Book, row: FarmValue, values: Any) -> None:
        for name, value in values.items():
            if name == "key":
                row.key = value
            elif name == "value":
                row.number, row.choice = (None, value) if isinstance(value, str) else (float(value), None)


def _settings_by_word(book: Book) -> dict[str, Assumption]:
    words: dict[str, Assumption] = {}
    for each in ASSUMPTIONS.values():
        for word in (each.key, each.label.text, *(translate(each.label.text) for translate in book.languages)):
            words.setdefault(fold(word), each)
    return words


def _kept_value(found: Assumption, row: ReadRow, read: ReadSheet, book: Book) -> float | str | None:
    """The value of a line in kept units; None after saying what is wrong with it."""
    text, unit = row.values.get("value"), row.values.get("unit")
    if text is None or found.choices:
        if text is None:
            read.problems.append(read.problem(row.number, "value", "", Sentence("This must be filled in.")))
        return text
    number = typed_number(text.removesuffix("%").strip(), None if "," in text else ".")
    if number.value is None or number.value != number.value:
        why = Sentence("This is no number. Type digits with a point, such as {example}.", example="12.5")
        read.problems.append(read.problem(row.number, "value", text, why))
        return None
    system: System | None = book.system
    if has_two_units(found.kind):
        system = system_of(found.kind, unit, book.languages) if unit else None
        if system is None:
            allowed = tuple(unit_word(found.kind, each) for each in SYSTEMS)
            why = Sentence("Name the unit of this value. Allowed: {allowed}.", allowed=allowed)
            read.problems.append(read.problem(row.number, "unit", unit or "", why))
            return None
    return KINDS[found.kind].unit(system or "us").kept(number.value) if found.kind else number.value


class CuttingSheet(Sheet):
    key, title, table = "cuttings", "Cuttings", Cutting
    identity = ("year", "number")
    is_named = False
    shape = Shape(
        "cuttings",
        (
            Column("year", "Year", "whole", required=True, low=1990, high=2200, example="2027"),
            Column("number", "Cutting", "whole", required=True, low=1, high=8, example="1"),
            Column("starts_on", "Agreed start of cutting", "day", example="2027-05-24"),
            Column("sealed_on", "Sealed on", "day", example="2027-05-28"),
            Column("note", "Note", "long", longest=2000),
        ),
    )

    def check(self, book: Book, line: Line) -> None:
        starts, sealed = line.values["starts_on"], line.values["sealed_on"]
        if starts and sealed and sealed < starts:
            raise Invalid({"sealed_on": Sentence("It cannot be sealed before cutting starts.")})
        for name in ("starts_on", "sealed_on"):
            day = line.values[name]
            if day and day.year != line.values["year"]:
                why = Sentence("{day} is not in the year {year} of this line.", day=day.isoformat(),
                               year=str(line.values["year"]))  # fmt: skip
                raise Invalid({name: why})


class ShareSheet(Sheet):
    key, title, table = "cutting_shares", "Cutting shares", CuttingShare
    identity = ("number",)
    is_named = False
    shape = Shape(
        "cutting_shares",
        (
            Column("number", "Cutting", "whole", required=True, low=1, high=8, example="1"),
            Column("share_frac", "Share of the season's yield", "number", "percent", required=True, low=0.01, high=1,
                   example="36"),
        ),
    )  # fmt: skip

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        farm = book.all("farm")
        shares = {each["number"]: each["share_frac"] for each in book.all(self.key) if each.get("share_frac")}
        if not book.lines[self.key] or not farm:
            return
        try:
            check_whole(shares, int(farm[0]["cuts_count"] or 4))
        except Invalid as refused:
            why = next(iter(refused.fields.values()))
            read.problems.append(read.problem(None, "share_frac", "", why))
