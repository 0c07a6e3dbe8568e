"""Sheets of readings, which are only ever added to: the same line twice adds nothing, a changed one is a correction."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from app.errors import Invalid, Unsure
from app.events.corrections import current_rows
from app.exchange.sheets import ReadRow
from app.services.workbook.book import Book, Line, Stored, alike
from app.services.workbook.sheets import Sheet
from app.units.sentences import Sentence


class ReadingSheet(Sheet):
    """Readings that stand: no other corrects them and nobody withdrew them."""

    is_named = False
    is_unique = False
    corrects: ClassVar[bool] = True
    """A line of the same identity but other values corrects the reading; otherwise it is asked about and added."""
    day: ClassVar[str]

    def load(self, book: Book) -> list[Stored]:
        rows = sorted(current_rows(list(book.work.session.scalars(self.select(book)))), key=self.order)
        found = [Stored(row, self.values_of(book, row)) for row in rows]
        return [each for each in found if all(each.values[column] is not None for column in self._needed())]

    def order(self, row: Any) -> Any:
        return getattr(row, self.day), row.id

    def plan(self, book: Book, read: Any) -> None:
        self._free: dict[tuple[Any, ...], list[Stored]] = {}
        for stored in book.stored.get(self.key, ()):
            self._free.setdefault(self.identity_of(stored.values), []).append(stored)
        super().plan(book, read)

    def line(self, row: ReadRow, typed: Mapping[str, Any], stored: Stored | None) -> Line:
        """The reading that says the same, else the one to correct, else a new one."""
        free = self._free.get(self.identity_of(typed), [])
        same = next((each for each in free if self._says(each, typed)), None)
        match = same or (free[0] if free and self.corrects else None)
        line = super().line(row, typed, match)
        if match is not None:
            free.remove(match)
        elif free:
            line.found["beside"] = True
        return line

    def _says(self, stored: Stored, typed: Mapping[str, Any]) -> bool:
        return all(alike(stored.values.get(name), value) for name, value in typed.items())

    def check(self, book: Book, line: Line) -> None:
        if line.values[self.day] > book.today:
            why = Sentence("{day} is still to come. Is the year right?", day=line.values[self.day].isoformat())
            raise Invalid({self.day: why})
        self.check_reading(book, line)
        if line.found.get("beside"):
            why = Sentence("Another line of that day is there already, with other figures; this one is added to it.")
            raise Unsure({self.day: why})

    def check_reading(self, book: Book, line: Line) -> None:
        """Raise what cannot be in this reading."""

    def change(self, book: Book, line: Line) -> None:
        """A correction: a new row that stands for the old one."""
        row = self.add(book, line, 0)
        row.corrects_id = line.row.id
        line.row = row

    def add(self, book: Book, line: Line, place: int) -> Any:
        row = super().add(book, line, place)
        row.noted_at, row.account_id = book.work.now(), book.work.actor.account_id
        return row
