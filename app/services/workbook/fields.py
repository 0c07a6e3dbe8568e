"""Sheets of the ground: fields, stands with their species, counts of stems, and scoutings with a row for every spot."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from sqlalchemy.orm import selectinload

from app.errors import Invalid
from app.exchange.sheets import ReadRow, ReadSheet
from app.records.fields import Field, Stand, StandCount, StandSpecies
from app.records.scoutings import Scouting, ScoutingSpot
from app.services.fields import FIELD_SHAPE
from app.services.scoutings import MOST_SPOTS, SCOUTING_SHAPE, SPOT_SHAPE
from app.services.stands import COUNT_SHAPE, SHARES, STAND_SHAPE, check_shares, stand_values
from app.services.workbook.book import Book, Line, Place, Stored, fold
from app.services.workbook.readings import ReadingSheet
from app.services.workbook.sheets import Sheet, named
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

FIELD = named("field", "Field", "Long Acre")
PARTS = ("board-figures", "fields-table")


class FieldSheet(Sheet):
    key, title, table, shape, parts = "fields", "Fields", Field, FIELD_SHAPE, PARTS


class StandSheet(Sheet):
    """What grows or grew on each field; the one without a last day stands there now."""

    key, title, table, parts = "stands", "Stands", Stand, PARTS
    identity, refs = ("field", "seeded_on"), {"field": "fields"}
    is_named = is_unique = False
    shape = Shape(
        "stands",
        (FIELD, *STAND_SHAPE.columns[:-1], Column("ended_on", "Ended on", "day", example="2026-09-10",
                                                 ask_if="past_only"), STAND_SHAPE.columns[-1]),
    )  # fmt: skip

    def select(self, book: Book) -> Any:
        return super().select(book).options(selectinload(Stand.species))

    def values_of(self, book: Book, row: Stand) -> dict[str, Any]:
        return {"field": self.value_of(book, row, "field"), **stand_values(row), "ended_on": row.ended_on}

    def check(self, book: Book, line: Line) -> None:
        check_shares(line.values)
        seeded, ended = line.values["seeded_on"], line.values["ended_on"]
        if seeded and ended and ended < seeded:
            why = Sentence("The stand was seeded on {seeded}; it cannot end on {ended}, before that.", seeded=seeded,
                           ended=ended)  # fmt: skip
            raise Invalid({"ended_on": why})

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        standing: dict[Any, int] = defaultdict(int)
        for values in book.all(self.key):
            standing[fold(values.get("field"))] += values.get("ended_on") is None
        for line in book.lines[self.key]:
            if line.action != "same" and line.values["ended_on"] is None and standing[fold(line.values["field"])] > 1:
                why = Sentence("Another stand is still on this field. End it first, with its last day.")
                read.problems.append(read.problem(line.number, "ended_on", "", why))

    def put(self, book: Book, row: Stand, values: Mapping[str, Any]) -> None:
        super().put(book, row, {name: value for name, value in values.items() if name not in SHARES})
        there = {each.species: each for each in row.species} if row.id is not None else {}
        for name in SHARES:
            species, share = name.removeprefix("share_"), values.get(name)
            if name not in values:
                continue
            if species in there and share:
                there[species].share_frac = share
            elif species in there:
                row.species.remove(there[species])
            elif share:
                row.species.append(StandSpecies(species=species, share_frac=share))


class CountSheet(ReadingSheet):
    """Counts of stems; the stand is the one that was on the field that day."""

    key, title, table, parts = "stand_counts", "Stem counts", StandCount, PARTS
    identity, day = ("field", "counted_on"), "counted_on"
    shape = Shape("stand_counts", (FIELD, *COUNT_SHAPE.columns))

    def load(self, book: Book) -> list[Stored]:
        self._fields = {each.id: each.values["field"] for each in book.stored["stands"]}
        return [each for each in super().load(book) if each.values["field"] is not None]

    def values_of(self, book: Book, row: StandCount) -> dict[str, Any]:
        own = {column.name: getattr(row, column.name) for column in COUNT_SHAPE.columns}
        return {"field": self._fields.get(row.stand_id), **own}

    def check_reading(self, book: Book, line: Line) -> None:
        if line.values["stems_per_m2"] is None and line.values["root_score"] is None:
            raise Invalid({"stems_per_m2": Sentence("Fill in the stems, the score of roots and crowns, or both.")})
        if self._stand(book, line) is None:
            raise Invalid(
                {"counted_on": Sentence("No stand was on that field on that day; add it to its sheet first.")}
            )

    def _stand(self, book: Book, line: Line) -> Place | None:
        places = book.places("stands")
        field, day = fold(line.values["field"]), line.values["counted_on"]
        there = [each for each in places if fold(each.values["field"]) == field and _stood(each.values, day)]
        return max(there, key=lambda each: (each.values["seeded_on"] is not None, each.values["seeded_on"] or day),
                   default=None)  # fmt: skip

    def put(self, book: Book, row: StandCount, values: Mapping[str, Any]) -> None:
        super().put(book, row, {name: value for name, value in values.items() if name != "field"})

    def add(self, book: Book, line: Line, place: int) -> Any:
        row = super().add(book, line, place)
        stand = self._stand(book, line)
        row.stand_id = line.stored.row.stand_id if line.stored else stand.id if stand else None
        return row


def _stood(stand: Mapping[str, Any], day: Any) -> bool:
    return (stand["seeded_on"] or day) <= day <= (stand["ended_on"] or day)


SPOT_NAMES = {column.name: f"spot_{column.name}" for column in SPOT_SHAPE.columns}


class ScoutingSheet(ReadingSheet):
    """A row for every spot; rows of one field, day and reading belong together."""

    key, title, table, parts = "scoutings", "Scoutings", Scouting, PARTS
    identity, refs, day = ("field", "scouted_on", "reading"), {"field": "fields"}, "scouted_on"
    head = ("field", "scouted_on", "reading", *(column.name for column in SCOUTING_SHAPE.columns[1:]))
    shape = Shape(
        "scoutings",
        (
            FIELD,
            SCOUTING_SHAPE.columns[0],
            Column("reading", "Reading of that day", "whole", low=1, high=99, example="1",
                   hint="Only where one field was read twice on a day."),
            *(replace(column, name=SPOT_NAMES[column.name]) for column in SPOT_SHAPE.columns[:2]),
            Column("spot_latitude", "Spot: latitude", "number", "degrees", low=-90, high=90),
            Column("spot_longitude", "Spot: longitude", "number", "degrees", low=-180, high=180),
            *SCOUTING_SHAPE.columns[1:],
        ),
    )  # fmt: skip

    def select(self, book: Book) -> Any:
        return super().select(book).options(selectinload(Scouting.spots))

    def load(self, book: Book) -> list[Stored]:
        self._readings: dict[Any, int] = defaultdict(int)
        return super().load(book)

    def values_of(self, book: Book, row: Scouting) -> dict[str, Any]:
        field = self.value_of(book, row, "field")
        self._readings[row.field_id, row.scouted_on] += 1
        own = {column.name: getattr(row, column.name) for column in SCOUTING_SHAPE.columns}
        spots = tuple({name: getattr(spot, name) for name in SPOT_NAMES} for spot in row.spots)
        return {"field": field, **own, "reading": self._readings[row.field_id, row.scouted_on], "spots": spots}

    def spread(self, book: Book, values: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
        for spot in values["spots"]:
            yield {**values, **{SPOT_NAMES[name]: value for name, value in spot.items()}}

    def gather(self, book: Book, read: ReadSheet) -> Iterable[ReadRow]:
        rows: dict[Any, ReadRow] = {}
        for row in read.rows:
            if row.values.get("field") is None and row.values.get("scouted_on") is None:
                continue
            typed = {**row.values, "reading": row.values.get("reading") or 1}
            group = tuple(fold(typed.get(name)) for name in self.identity)
            spot = {name: typed.get(column) for name, column in SPOT_NAMES.items()}
            head = {name: typed[name] for name in self.head if name in typed}
            first = rows.setdefault(group, ReadRow(row.number, {**head, "spots": ()}))
            first.values["spots"] += (spot,)  # type: ignore[index]
            first.rows.append(row.number)
            self._check_head(read, first, row.number, head)
            self._check_spot(read, row.number, spot, len(first.values["spots"]))
        return list(rows.values())

    def _check_head(self, read: ReadSheet, first: ReadRow, number: int, head: Mapping[str, Any]) -> None:
        for name, value in head.items():
            if value not in (None, False) and fold(value) != fold(first.values[name]):
                why = Sentence("Row {row} of the same reading says something else.", row=first.number)
                read.problems.append(read.problem(number, name, value, why))

    def _check_spot(self, read: ReadSheet, number: int, spot: Mapping[str, Any], count: int) -> None:
        said = {problem.column for problem in read.problems if problem.row == number}
        for name in ("stage", "height_cm"):
            column = SPOT_NAMES[name]
            if spot[name] is None and read.headings.get(column, column) not in said:
                why = Sentence("Every spot needs its stage and its tallest stem.")
                read.problems.append(read.problem(number, column, "", why))
        if count == MOST_SPOTS + 1:
            why = Sentence("A reading may have {most} spots at most.", most=MOST_SPOTS)
            read.problems.append(read.problem(number, "field", "", why))

    def _judge(self, book: Book, read: ReadSheet, line: Line) -> None:
        first = line.values["spots"][0] if line.values.get("spots") else {}
        line.values |= {SPOT_NAMES[name]: first.get(name) for name in ("stage", "height_cm")}
        super()._judge(book, read, line)

    def put(self, book: Book, row: Scouting, values: Mapping[str, Any]) -> None:
        own = {name: value for name, value in values.items() if name in self.head and name != "reading"}
        super().put(book, row, own)

    def add(self, book: Book, line: Line, place: int) -> Any:
        row = super().add(book, line, place)
        row.spots = [ScoutingSpot(number=number, **spot) for number, spot in enumerate(line.values["spots"], 1)]
        return row
