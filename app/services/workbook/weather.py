"""Sheets of weather: stations, and a row for every day."""

from __future__ import annotations

from collections import Counter
from typing import Any

from sqlalchemy import insert, select, update

from app.errors import Invalid
from app.exchange.sheets import ReadSheet
from app.records.stations import Day, Station
from app.services.stations import STATION_SHAPE
from app.services.workbook.book import Book, Line, Stored
from app.services.workbook.sheets import Sheet, named
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

PARTS = ("board-figures", "weather-figures", "fields-table")
DAY_KINDS = (("observed", "Measured"), ("filled", "Filled in"), ("forecast", "Forecast"))
FIGURES = ("high_c", "low_c", "precip_mm", "kind")


class StationSheet(Sheet):
    key, title, table, parts = "stations", "Weather stations", Station, PARTS
    shape = Shape("stations", (*STATION_SHAPE.columns, Column("is_primary", "Heat is counted from it", "tick")))

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        chosen = [values for values in book.all(self.key) if values.get("is_primary")]
        lines = [line for line in book.lines[self.key] if line.values.get("is_primary") and line.action != "same"]
        if len(chosen) > 1 and lines:
            why = Sentence("The heat is counted from one station only. Leave yes at one of them.")
            read.problems.append(read.problem(lines[-1].number, "is_primary", "yes", why))
        if not chosen and book.lines[self.key]:
            book.lines[self.key][0].values["is_primary"] = True

    def add(self, book: Book, line: Line, place: int) -> Any:
        row = super().add(book, line, place)
        row.is_primary = bool(line.values["is_primary"])
        return row


class DaySheet(Sheet):
    """Days are many: they are read without objects and written in one go."""

    key, title, table, parts = "days", "Weather days", Day, PARTS
    identity, refs, is_named = ("station", "day_on"), {"station": "stations"}, False
    shape = Shape(
        "days",
        (
            named("station", "Station", "Home farm"),
            Column("day_on", "Day", "day", required=True, example="2027-04-12"),
            Column("high_c", "High", "number", "temp", low=-60, high=60, likely_low=-40, likely_high=45, example="62"),
            Column("low_c", "Low", "number", "temp", low=-70, high=50, likely_low=-45, likely_high=35, example="41"),
            Column("precip_mm", "Rain", "number", "rain", low=0, high=1000, likely_high=250, example="0.2"),
            Column("kind", "How it is known", "choice", choices=DAY_KINDS, hint="Empty: measured."),
        ),
    )
    defaults = {"kind": "observed"}

    def load(self, book: Book) -> list[Stored]:
        names = book.labels["stations"]
        columns = (Day.id, Day.station_id, Day.day_on, Day.high_c, Day.low_c, Day.precip_mm, Day.kind)
        wanted = select(*columns).where(Day.station_id.in_(list(names)))
        return [
            Stored(row, {"station": names[row.station_id], "day_on": row.day_on,
                         **{name: getattr(row, name) for name in FIGURES}})
            for row in book.work.session.execute(wanted.order_by(Day.station_id, Day.day_on))
        ]  # fmt: skip

    def check(self, book: Book, line: Line) -> None:
        high, low = line.values["high_c"], line.values["low_c"]
        if high is not None and low is not None and low > high + 1e-9:
            raise Invalid({"low_c": Sentence("The low of a day cannot be above its high.")})
        if line.values["kind"] != "forecast" and line.values["day_on"] > book.today:
            why = Sentence("{day} is still to come; only a forecast can be known of it.",
                           day=line.values["day_on"].isoformat())  # fmt: skip
            raise Invalid({"day_on": why})

    def take(self, book: Book) -> None:
        added, changed, touched = [], [], Counter[str]()
        for line in book.lines[self.key]:
            if line.action == "same":
                continue
            touched[line.values["station"]] += 1
            values = {name: line.values[name] for name in FIGURES} | {"kind": line.values["kind"] or "observed"}
            if line.stored is not None:
                changed.append({"id": line.stored.id, **values})
            else:
                station_id = book.id_of("stations", line.values["station"])
                added.append({"station_id": station_id, "day_on": line.values["day_on"], **values})
        if added:
            book.work.session.execute(insert(Day), added)
        if changed:
            book.work.session.execute(update(Day), changed)
        for name in touched:
            place = book.find("stations", name)
            assert place is not None, "lines of unknown stations are problems"
            place.row.version += 1
