"""What every sheet of the farm workbook does: load what the farm has, compare what a workbook says, take it over."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, ClassVar

from sqlalchemy import select

from app.errors import Invalid, Unsure
from app.exchange.sheets import ReadRow, ReadSheet
from app.services.workbook.book import Book, Line, Place, Stored, alike, distinguish, fold
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

NAMES_SHOWN = 12


class Sheet:
    """One noun of the farm as a sheet: one row for each of its rows. Other sheets override what differs."""

    key: ClassVar[str]
    title: ClassVar[str]
    shape: ClassVar[Shape]
    table: ClassVar[Any]
    identity: ClassVar[tuple[str, ...]] = ("name",)
    """Columns by which a line finds its row."""
    refs: ClassVar[Mapping[str, str]] = {}
    """Column -> the sheet whose row it names; the table keeps that row's number in `<column>_id`."""
    within: ClassVar[tuple[str, ...]] = ()
    """Columns within which the first column of a named sheet is told apart."""
    is_named: ClassVar[bool] = True
    """Other sheets name rows of this one by its `name`."""
    is_unique: ClassVar[bool] = True
    """Two lines of one identity are refused; otherwise the second finds the second row of that identity."""
    defaults: ClassVar[Mapping[str, Any]] = {}
    parts: ClassVar[tuple[str, ...]] = ("board-figures",)

    # Loading ---------------------------------------------------------------------------------------------------------

    def load(self, book: Book) -> list[Stored]:
        """Every row of the farm with its values, in the farm's order; rows of removed parents are left out."""
        rows = [Stored(row, self.values_of(book, row)) for row in book.work.session.scalars(self.select(book))]
        rows = [each for each in rows if all(each.values[column] is not None for column in self._needed())]
        if self.is_named:
            distinguish(rows, self.identity[-1], self.within, self.shape.column(self.identity[-1]).longest)
        return rows

    def select(self, book: Book) -> Any:
        wanted = select(self.table).where(self.table.farm_id == book.farm_id)
        if hasattr(self.table, "removed_at"):
            wanted = wanted.where(self.table.removed_at.is_(None))
        order = [self.table.position] if hasattr(self.table, "position") else []
        return wanted.order_by(*order, self.table.id)

    def values_of(self, book: Book, row: Any) -> dict[str, Any]:
        return {column.name: self.value_of(book, row, column.name) for column in self.shape.columns}

    def value_of(self, book: Book, row: Any, name: str) -> Any:
        if name in self.refs:
            return book.labels[self.refs[name]].get(getattr(row, f"{name}_id"))
        return getattr(row, name)

    def spread(self, book: Book, values: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
        """The rows of the sheet that one row of the farm makes."""
        return (values,)

    def _needed(self) -> list[str]:
        return [name for name in self.refs if self.shape.column(name).required]

    # Comparing -------------------------------------------------------------------------------------------------------

    def plan(self, book: Book, read: ReadSheet) -> None:
        """Work out what each row of the sheet would do, with every fault and question at its cell."""
        there: dict[tuple[Any, ...], list[Stored]] = defaultdict(list)
        for stored in book.stored.get(self.key, ()):
            there[self.identity_of(stored.values)].append(stored)
        seen: dict[tuple[Any, ...], int] = {}
        same: set[int | None] = set()
        rows = list(self.gather(book, read))
        bad = {problem.row for problem in read.problems}
        for row in rows:
            if all(value in (None, False, "", ()) for value in row.values.values()):
                continue
            typed = self._with_names(book, read, row, bad)
            identity = self.identity_of(typed)
            if self.is_unique and identity in seen:
                self._say_twice(read, row, seen[identity])
                continue
            seen.setdefault(identity, row.number)
            matching = there.get(identity)
            line = self.line(row, typed, matching.pop(0) if matching else None)
            if row.number not in bad:
                self._judge(book, read, line)
            if line.action == "same":
                same |= {row.number, *row.rows}
            book.lines[self.key].append(line)
            self.remember(book, line)
        self.judge_all(book, read)
        news = any(line.action != "same" for line in book.lines[self.key])
        read.asks = [each for each in read.asks if news and each.row not in same]

    def gather(self, book: Book, read: ReadSheet) -> Iterable[ReadRow]:
        """Rows of the sheet as lines: usually each its own."""
        return read.rows

    def identity_of(self, values: Mapping[str, Any]) -> tuple[Any, ...]:
        return tuple(fold(values.get(name)) for name in self.identity)

    def line(self, row: ReadRow, typed: Mapping[str, Any], stored: Stored | None) -> Line:
        """The row laid over what is there; columns the sheet lacks keep what is there, or take the default."""
        names = {column.name for column in self.shape.columns} | set(typed)
        empty = {name: self.defaults.get(name) for name in names}
        values = {**empty, **(stored.values if stored else {}), **typed}
        if stored is None:
            return Line(row.number, typed, values)
        changed = any(not alike(stored.values.get(name), value) for name, value in typed.items())
        return Line(row.number, typed, values, stored, "change" if changed else "same")

    def _with_names(self, book: Book, read: ReadSheet, row: ReadRow, bad: set[int | None]) -> dict[str, Any]:
        """Names of other rows as those rows are spelled; a name nobody has is a problem."""
        typed = dict(row.values)
        for column, sheet in self.refs.items():
            name = typed.get(column)
            if name is None:
                continue
            place = book.find(sheet, name)
            if place is None:
                read.problems.append(read.problem(row.number, column, name, _unknown(book, sheet)))
                typed[column] = None
                bad.add(row.number)
            else:
                typed[column] = name_in(book, sheet, place)
        return typed

    def _say_twice(self, read: ReadSheet, row: ReadRow, first: int) -> None:
        got = " · ".join(str(row.values.get(name)) for name in self.identity if row.values.get(name) is not None)
        why = Sentence("This stands in row {row} already; each row needs a name or day of its own.", row=first)
        read.problems.append(read.problem(row.number, self.identity[-1], got, why))

    def _judge(self, book: Book, read: ReadSheet, line: Line) -> None:
        needed = [column for column in self.shape.columns if column.required and column.name not in read.unread]
        wanting = [column for column in needed if line.values.get(column.name) is None]
        for column in wanting:
            read.problems.append(read.problem(line.number, column.name, "", _wanted(column)))
        if wanting or read.unread or line.action == "same":
            return
        try:
            self.check(book, line)
        except Invalid as refused:
            for name, why in refused.fields.items():
                read.problems.append(self._placed(read, line, name, why))
        except Unsure as asked:
            for name, why in asked.fields.items():
                read.asks.append(self._placed(read, line, name, why))

    def _placed(self, read: ReadSheet, line: Line, name: str, why: Any) -> Any:
        known = {column.name for column in self.shape.columns}
        place = name if name in known else self.identity[-1]
        return read.problem(line.found.get(f"row of {name}", line.number), place, line.typed.get(place), why)

    def check(self, book: Book, line: Line) -> None:
        """Raise Invalid or Unsure for what cannot be, or is unlikely to be, in this line."""

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        """Add problems that only show once every line is known."""

    def remember(self, book: Book, line: Place) -> None:
        """Let lines further on name this one."""
        if self.is_named:
            book.named[self.key].setdefault(fold(line.values.get(self.identity[-1])), line)

    # Taking ----------------------------------------------------------------------------------------------------------

    def take(self, book: Book) -> None:
        """Write every line that adds or changes something."""
        place = max((getattr(each.row, "position", 0) or 0 for each in book.stored.get(self.key, ())), default=0)
        for line in book.lines[self.key]:
            if line.stored is not None:
                line.row = line.stored.row
            if line.action == "add":
                place += 1
                line.row = self.add(book, line, place)
            elif line.action == "change":
                self.change(book, line)
        book.work.session.flush()

    def add(self, book: Book, line: Line, place: int) -> Any:
        row = self.table(farm_id=book.farm_id)
        if hasattr(row, "position"):
            row.position = place
        self.put(book, row, {name: value for name, value in line.values.items() if value is not None})
        book.work.session.add(row)
        return row

    def change(self, book: Book, line: Line) -> None:
        assert line.stored is not None
        names = [name for name, value in line.typed.items() if not alike(line.stored.values.get(name), value)]
        self.put(book, line.row, {name: line.values[name] for name in names})
        if hasattr(line.row, "version"):
            line.row.version += 1

    def put(self, book: Book, row: Any, values: Mapping[str, Any]) -> None:
        """Set the row's columns."""
        for name, value in values.items():
            if name in self.refs:
                setattr(row, f"{name}_id", book.id_of(self.refs[name], value))
            elif hasattr(self.table, name):
                setattr(row, name, self._kept(name, value))

    def _kept(self, name: str, value: Any) -> Any:
        """An empty cell of a column that cannot be empty takes the column's default."""
        column = self.table.__table__.columns.get(name)
        if value is None and column is not None and not column.nullable and column.default is not None:
            return column.default.arg
        return value


def name_in(book: Book, sheet: str, place: Place) -> Any:
    """How the workbook spells the row's name."""
    return place.values[book.sheets[sheet].identity[-1]]


def _unknown(book: Book, sheet: str) -> Sentence:
    title = Sentence(book.sheets[sheet].title)
    names = [str(name_in(book, sheet, place)) for place in book.named[sheet].values()]
    if not names:
        return Sentence("Nothing is on the sheet {sheet} yet; add it there first.", sheet=title)
    shown = ", ".join(names[:NAMES_SHOWN]) + (" …" if len(names) > NAMES_SHOWN else "")
    return Sentence("There is no such row on the sheet {sheet}. Known: {names}.", sheet=title, names=shown)


def _wanted(column: Column) -> Sentence:
    if column.choices:
        allowed = ", ".join(key for key, _label in column.choices)
        return Sentence("This must be filled in. Allowed: {allowed}.", allowed=allowed)
    if column.example:
        return Sentence("This must be filled in, for example {example}.", example=column.example)
    return Sentence("This must be filled in.")


def named(noun: str, label: str, example: str = "", required: bool = True, name: str = "") -> Column:
    """A column that names a row of another sheet."""
    return Column(name or noun, label, required=required, longest=120, example=example)
