"""Sheets of getting ready: machines, items of the checklists, and decisions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, time
from typing import Any

from sqlalchemy import select

from app.errors import Invalid
from app.exchange.headings import SYSTEMS, has_two_units, system_of, unit_word
from app.exchange.sheets import ReadRow, ReadSheet
from app.records.accounts import Account, Membership
from app.records.checklists import Checklist, Decision, Item, Machine
from app.services.checklists import ITEM_SHAPE
from app.services.decisions import DECISION_SHAPE
from app.services.machines import MACHINE_SHAPE, check_machine
from app.services.workbook.book import Book, Line, Stored, alike, fold
from app.services.workbook.sheets import Sheet
from app.units.kinds import KINDS, System
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape


class MachineSheet(Sheet):
    key, title, table, shape = "machines", "Machines", Machine, MACHINE_SHAPE
    parts = ("board-figures", "machines-table")

    def check(self, book: Book, line: Line) -> None:
        check_machine(line.values)


class PersonColumns(Sheet):
    """A sheet that says who did something, by name, and when."""

    done_at: str
    done_by: str

    def load(self, book: Book) -> list[Stored]:
        self._names = {row.id: row.name for row in book.work.session.execute(select(Account.id, Account.name))}
        return super().load(book)

    def value_of(self, book: Book, row: Any, name: str) -> Any:
        if name == self.done_at:
            moment = getattr(row, name)
            return moment.astimezone(UTC).isoformat() if moment else None
        if name == self.done_by:
            return self._names.get(getattr(row, f"{name}_id"))
        return super().value_of(book, row, name)

    def plan(self, book: Book, read: ReadSheet) -> None:
        members = select(Account.name, Account.id).join(Membership, Membership.account_id == Account.id)
        self._people: dict[Any, int | None] = {fold(book.work.actor.name): book.work.actor.account_id}
        if book.farm is not None:
            found = book.work.session.execute(members.where(Membership.farm_id == book.farm_id))
            self._people = {fold(row.name): row.id for row in found}
        super().plan(book, read)

    def gather(self, book: Book, read: ReadSheet) -> Iterable[ReadRow]:
        strangers = set()
        for row in read.rows:
            values = dict(row.values)
            if values.get(self.done_at) is not None:
                moment = moment_of(values[self.done_at], book.work.now())
                if moment is None:
                    why = Sentence("Write yes, no, or a day such as {example}.", example="2027-05-14")
                    read.problems.append(read.problem(row.number, self.done_at, values[self.done_at], why))
                values[self.done_at] = moment.isoformat() if isinstance(moment, datetime) else None
            name = values.get(self.done_by)
            if name and fold(name) not in self._people:
                strangers.add(name)
            yield ReadRow(row.number, values)
        if strangers:
            text = "Not members of this farm, so their names are not kept: {names}."
            book.notes.append(Sentence(text, names=", ".join(sorted(strangers))))

    def line(self, row: ReadRow, typed: Mapping[str, Any], stored: Stored | None) -> Line:
        """Somebody who is no member here is nobody; a name left as it was stays."""
        typed = dict(typed)
        name = typed.get(self.done_by)
        if name and fold(name) not in self._people and not (stored and alike(stored.values[self.done_by], name)):
            typed[self.done_by] = None
        return super().line(row, typed, stored)

    def put(self, book: Book, row: Any, values: Mapping[str, Any]) -> None:
        plain = {name: value for name, value in values.items() if name not in (self.done_at, self.done_by)}
        super().put(book, row, plain)
        if self.done_at in values:
            setattr(row, self.done_at, datetime.fromisoformat(values[self.done_at]) if values[self.done_at] else None)
        if self.done_by in values:
            setattr(row, f"{self.done_by}_id", self._people.get(fold(values[self.done_by])))


def moment_of(text: str, now: datetime) -> datetime | bool | None:
    """A moment as the workbook writes it, a day, yes (now) or no (False); None when it is none of them."""
    word = text.strip().casefold()
    if word in ("yes", "x", "sí", "si", "true", "1"):
        return now
    if word in ("no", "false", "0"):
        return False
    try:
        if len(word) == 10:
            return datetime.combine(date.fromisoformat(word), time(12), UTC)
        found = datetime.fromisoformat(text.strip().upper())
    except ValueError:
        return None
    return found if found.tzinfo else found.replace(tzinfo=UTC)


class ItemSheet(PersonColumns):
    """Items of every checklist. What is needed and on hand stands in the unit named beside it."""

    key, title, table = "items", "Checklist items", Item
    identity, within = ("year", "cutting", "title"), ("year", "cutting")
    parts = ("board-figures",)
    done_at, done_by = "done_at", "done_by"
    is_unique = False
    shape = Shape(
        "items",
        (
            Column("year", "Year", "whole", required=True, low=1990, high=2200, example="2027"),
            Column("cutting", "Cutting", "whole", required=True, low=1, high=8, example="1"),
            *(replace(column, ask_if="") for column in ITEM_SHAPE.columns[:9]),
            Column("unit", "Unit", longest=60, example="lb"),
            Column("waits_for", "Waits for", longest=200),
            ITEM_SHAPE.column("note"),
            Column("done_at", "Done", longest=40, example="yes"),
            Column("done_by", "Done by", longest=80),
            Column("key", "Drawn from", longest=40),
        ),
    )

    def select(self, book: Book) -> Any:
        self._lists = {row.id: row for row in book.work.session.scalars(
            select(Checklist).where(Checklist.farm_id == book.farm_id))}  # fmt: skip
        order = (Checklist.year, Checklist.cutting, Item.position, Item.id)
        joined = super().select(book).join(Checklist, Checklist.id == Item.checklist_id)
        return joined.order_by(None).order_by(*order)

    def load(self, book: Book) -> list[Stored]:
        found = super().load(book)
        titles = {each.id: each.values["title"] for each in found}
        for each in found:
            each.values["waits_for"] = titles.get(each.row.blocked_by_id)
        return found

    def value_of(self, book: Book, row: Item, name: str) -> Any:
        if name in ("year", "cutting"):
            return getattr(self._lists[row.checklist_id], name)
        return None if name in ("unit", "waits_for") else super().value_of(book, row, name)

    def spread(self, book: Book, values: Mapping[str, Any]) -> Iterable[Mapping[str, Any]]:
        kind = values["kind"]
        amounts = {name: KINDS[kind].unit(book.system).shown(values[name]) if kind and values[name] is not None
                   else values[name] for name in ("need", "have")}  # fmt: skip
        yield {**values, **amounts, "unit": unit_word(kind, book.system) or None}

    def gather(self, book: Book, read: ReadSheet) -> Iterable[ReadRow]:
        for row in super().gather(book, read):
            values = dict(row.values)
            kind, unit = values.get("kind"), values.pop("unit", None)
            amounts = [name for name in ("need", "have") if values.get(name) is not None]
            system: System | None = book.system
            if amounts and kind and has_two_units(kind):
                system = system_of(kind, unit, book.languages) if unit else None
                if system is None:
                    allowed = tuple(unit_word(kind, each) for each in SYSTEMS)
                    why = Sentence("Name the unit of this value. Allowed: {allowed}.", allowed=allowed)
                    read.problems.append(read.problem(row.number, "unit", unit or "", why))
                    continue
            if kind:
                values |= {name: KINDS[kind].unit(system or "us").kept(values[name]) for name in amounts}
            yield ReadRow(row.number, values)

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        """An item waits for another one of its list, and never, through others, for itself."""
        waits = {self._place(values): self._place(values, "waits_for") for values in book.all(self.key)}
        for line in book.lines[self.key]:
            step = waits.get(self._place(line.values))
            seen = {self._place(line.values)}
            if step is None or line.action == "same":
                continue
            if step not in waits:
                why = Sentence("Waits for: that item is not on this list.")
                read.problems.append(read.problem(line.number, "waits_for", line.values["waits_for"], why))
            while step in waits and step not in seen:
                seen.add(step)
                step = waits[step]
            if step is not None and step in waits:
                why = Sentence("Waits for: the two would wait for each other. Choose another item.")
                read.problems.append(read.problem(line.number, "waits_for", line.values["waits_for"], why))

    def _place(self, values: Mapping[str, Any], name: str = "title") -> tuple[Any, ...] | None:
        return (values["year"], values["cutting"], fold(values[name])) if values.get(name) else None

    def take(self, book: Book) -> None:
        wanted = select(Checklist).where(Checklist.farm_id == book.farm_id)
        self._by_day = {(row.year, row.cutting): row for row in book.work.session.scalars(wanted)}
        super().take(book)
        rows = {self._place(each.values): each.row for each in book.places(self.key)}
        for line in book.lines[self.key]:
            if line.action != "same" and "waits_for" in line.typed:
                other = rows.get(self._place(line.values, "waits_for"))
                line.row.blocked_by_id = other.id if other is not None else None
        book.work.session.flush()

    def add(self, book: Book, line: Line, place: int) -> Any:
        listed = self._list(book, line.values["year"], line.values["cutting"])
        row = super().add(book, line, place * 10)
        row.checklist_id = listed.id
        return row

    def _list(self, book: Book, year: int, cutting: int) -> Checklist:
        if (year, cutting) not in self._by_day:
            made = Checklist(farm_id=book.farm_id, year=year, cutting=cutting, created_at=book.work.now())
            book.work.session.add(made)
            book.work.session.flush()
            self._by_day[year, cutting] = made
        return self._by_day[year, cutting]


class DecisionSheet(PersonColumns):
    key, title, table = "decisions", "Decisions", Decision
    identity, done_at, done_by = ("question",), "decided_at", "decided_by"
    shape = Shape(
        "decisions",
        (
            DECISION_SHAPE.column("question"),
            replace(DECISION_SHAPE.column("answer"), required=False),
            DECISION_SHAPE.column("why"),
            Column("decided_at", "Decided at", longest=40, example="2027-05-14"),
            Column("decided_by", "Decided by", longest=80),
        ),
    )

    def check(self, book: Book, line: Line) -> None:
        if line.values["decided_at"] and not line.values["answer"]:
            raise Invalid({"answer": Sentence("A decision that was made needs its answer.")})

    def add(self, book: Book, line: Line, place: int) -> Any:
        row = super().add(book, line, place)
        row.created_at = book.work.now()
        if row.answer and row.decided_at is None:
            row.decided_at = book.work.now()
        return row
