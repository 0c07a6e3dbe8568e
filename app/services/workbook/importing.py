"""A farm in from one file: everything compared first, then all of it taken in one transaction, or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from typing import Any

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import SYSTEM, Work
from app.errors import Invalid, SignInNeeded, Unsure
from app.events.history import note
from app.exchange.books import read_book
from app.exchange.headings import noun_of, plain
from app.exchange.sheets import ReadSheet, read_sheet
from app.exchange.tables import Table
from app.records.farms import Farm
from app.services import farms
from app.services.checklists import recount_needs
from app.services.workbook.book import Book, alike
from app.services.workbook.every import every_sheet
from app.services.workbook.exporting import load_book
from app.services.workbook.notes import NOTES_TITLE
from app.services.workbook.sheets import Sheet
from app.units.findings import Problem
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column
from app.units.wording import Reader

RECOUNTED = ("structures", "machines", "lots", "cuttings")
"""Sheets that change what the checklist needs."""
TOLD_MOST = 100
"""Changed cells of a sheet that its line of history names one by one."""


@dataclass(frozen=True)
class SheetCount:
    """What taking one sheet does."""

    key: str
    title: Sentence
    added: int
    changed: int
    same: int


@dataclass(frozen=True)
class ImportResult:
    """What a workbook would do, or did: counts by sheet, faults, questions, and what is left out though not wrong."""

    farm_id: int | None
    farm_name: str
    is_new: bool
    is_done: bool
    counts: tuple[SheetCount, ...]
    problems: tuple[Problem, ...]
    asks: tuple[Problem, ...]
    notes: tuple[Sentence, ...]

    @property
    def does_anything(self) -> bool:
        return any(each.added or each.changed for each in self.counts)

    def __iter__(self) -> Iterator[Sentence]:
        """The result line by line, for the command line."""
        yield Sentence("New farm {name}" if self.is_new else "Farm {name}", name=self.farm_name)
        for each in self.counts:
            text = "{sheet}: {added} added, {changed} changed, {same} as they were"
            yield Sentence(text, sheet=each.title, added=each.added, changed=each.changed, same=each.same)
        yield from self.notes
        yield from (problem.sentence() for problem in self.asks)


def import_farm(
    work: Work,
    body: bytes,
    filename: str,
    farm_id: int | None = None,
    dry_run: bool = False,
    *,
    sure: bool = False,
    reader: Reader | None = None,
) -> ImportResult:
    """Read a workbook into a farm, or make a new one of it (`farm_id` None); whoever does becomes its owner.

    A dry run writes nothing and gives back every fault and question. Otherwise a fault raises `Invalid` and a question
    that nobody has answered with `sure` raises `Unsure`, each with a sentence for every cell; nothing is stored then.
    """
    farm = access_farm(work, farm_id, Permission.IMPORT) if farm_id is not None else None
    if farm is None:
        _check_may_make(work)
    reader = reader or Reader(work.actor.language, work.actor.units)
    book = load_book(work, farm, reader)
    _read(book, body, filename)
    result = _result(book, farm)
    if dry_run:
        return result
    if result.problems:
        raise Invalid({f"cell {number}": each.sentence() for number, each in enumerate(result.problems, 1)})
    if result.asks and not sure:
        raise Unsure({f"cell {number}": each.sentence() for number, each in enumerate(result.asks, 1)})
    _take(book, filename)
    return replace(result, farm_id=book.farm_id, is_done=True, asks=())


def _check_may_make(work: Work) -> None:
    if work.actor is SYSTEM:
        return
    if work.actor.account_id is None:
        raise SignInNeeded()
    farms.check_may_add(work)


# Reading -------------------------------------------------------------------------------------------------------------


def _read(book: Book, body: bytes, filename: str) -> None:
    tables: dict[str, Table] = {}
    names = {plain(word): each.key for each in book.sheets.values() for word in _words(book, each)}
    nouns = {each.shape.noun: each.key for each in book.sheets.values()}
    ignored = []
    for table in read_book(body, filename):
        key = names.get(plain(table.sheet)) or _by_keys(table, nouns)
        if key is None and not table.rows and not table.headed:
            continue
        if key is None and plain(table.sheet) not in _notes_words(book):
            ignored.append(table.sheet)
        elif key is not None and key in tables:
            why = Sentence("This sheet is there twice. Put all rows on one of them.")
            book.reads.setdefault(key, ReadSheet(table.sheet)).problems.append(
                Problem(table.sheet, None, table.sheet, tables[key].sheet, why)
            )
        elif key is not None:
            tables[key] = table
    if not tables:
        known = ", ".join(each.title for each in every_sheet().values())
        why = Sentence("None of the sheets of a farm workbook is in this file. They are: {known}.", known=known)
        raise Invalid({"file": why})
    if ignored:
        text = "Sheets nobody knows here are ignored: {names}."
        book.notes.append(Sentence(text, names=", ".join(ignored)))
    for key, sheet in book.sheets.items():
        if key in tables:
            _plan(book, sheet, tables[key])
    if book.farm is None and not book.lines["farm"] and not any(read.problems for read in book.reads.values()):
        raise Invalid({"file": Sentence("A new farm needs a sheet Farm with at least its name.")})


def _words(book: Book, sheet: Sheet) -> Iterator[str]:
    yield from (sheet.key, sheet.title, sheet.shape.noun)
    yield from (translate(sheet.title) for translate in book.languages)


def _notes_words(book: Book) -> set[str]:
    return {plain(NOTES_TITLE), *(plain(translate(NOTES_TITLE)) for translate in book.languages)}


def _by_keys(table: Table, nouns: dict[str, str]) -> str | None:
    """The sheet that the line of keys speaks of, whatever the tab is called."""
    for cells in (table.header, *(row.cells for row in table.rows[:3])):
        noun = noun_of(cells)
        if noun in nouns:
            return nouns[noun]
    return None


def _plan(book: Book, sheet: Sheet, table: Table) -> None:
    earlier = book.reads.get(sheet.key)
    read = read_sheet(table, sheet.shape, system=book.system, today=_today(book), languages=book.languages)
    read.problems += earlier.problems if earlier else []
    book.reads[sheet.key] = read
    if read.ignored:
        text = "{sheet}: columns nobody knows here are ignored: {names}."
        book.notes.append(Sentence(text, sheet=table.sheet, names=", ".join(read.ignored)))
    _check_columns(sheet, read)
    sheet.plan(book, read)


def _today(book: Book) -> date:
    """Today on the farm; a new farm's own time zone is known once its sheet was read."""
    zone = book.lines["farm"][0].values.get("time_zone") if book.farm is None and book.lines["farm"] else None
    if zone:
        book.today = book.work.today(zone)
    return book.today


def _check_columns(sheet: Sheet, read: ReadSheet) -> None:
    """Without the columns that tell rows apart no row can be understood: say so once, not for each."""
    known = {*read.headings, *read.unread}
    missing = [name for name in sheet.identity if name not in known and sheet.shape.column(name).required]
    if missing and read.rows:
        for name in missing:
            label = sheet.shape.column(name).label
            why = Sentence("The sheet needs a column of this name.")
            read.problems.append(Problem(read.title, read.header_row, label, "", why))
        read.rows = []


def _result(book: Book, farm: Farm | None) -> ImportResult:
    counts = []
    for key in book.reads:
        actions = Counter(line.action for line in book.lines[key])
        title = Sentence(book.sheets[key].title)
        counts.append(SheetCount(key, title, actions["add"], actions["change"], actions["same"]))
    lines = book.lines["farm"]
    name = lines[0].values.get("name") if lines else None
    return ImportResult(
        farm.id if farm else None,
        (farm.name if farm else name) or "",
        farm is None,
        False,
        tuple(counts),
        tuple(problem for read in book.reads.values() for problem in _in_order(read.problems)),
        tuple(problem for read in book.reads.values() for problem in _in_order(read.asks)),
        tuple(book.notes),
    )


def _in_order(problems: list[Problem]) -> list[Problem]:
    return sorted(problems, key=lambda each: each.row or 0)


# Taking --------------------------------------------------------------------------------------------------------------


def _take(book: Book, filename: str) -> None:
    is_new = book.farm is None
    if is_new:
        values = {name: value for name, value in book.lines["farm"][0].values.items() if value is not None}
        book.farm = farms.add_farm(book.work, values)
        if book.work.actor is not SYSTEM:
            roles = {**book.work.actor.roles, book.farm.id: "owner"}
            book.work.actor = replace(book.work.actor, roles=roles)
    for key, sheet in book.sheets.items():
        changed = Counter(line.action for line in book.lines[key])
        if not changed["add"] and not changed["change"]:
            _keep_rows(book, key)
            continue
        sheet.take(book)
        fields: dict[str, tuple[Any, Any]] = {"added": (None, changed["add"]), "changed": (None, changed["change"])}
        fields |= dict(islice(_before_and_after(book, sheet), TOLD_MOST))
        note(book.work, book.farm_id, "import", sheet.table.__tablename__, name=filename[:200], fields=fields,
             parts=_parts(book, sheet))  # fmt: skip
    if not is_new and any(line.action != "same" for key in RECOUNTED for line in book.lines[key]):
        recount_needs(book.work, book.farm_id)


def _keep_rows(book: Book, key: str) -> None:
    for line in book.lines[key]:
        if line.stored is not None:
            line.row = line.stored.row


def _before_and_after(book: Book, sheet: Sheet) -> Iterator[tuple[str, tuple[Any, Any]]]:
    """What stood in each changed cell and what stands there now, for the history."""
    for line in book.lines[sheet.key]:
        if line.action != "change" or line.stored is None:
            continue
        row = " · ".join(str(line.values[name]) for name in sheet.identity if line.values.get(name) is not None)
        for column in sheet.shape.columns:
            before, after = line.stored.values.get(column.name), line.values.get(column.name)
            if column.name in line.typed and not alike(before, after):
                yield f"{row} · {column.label}"[:200], (_told(column, before), _told(column, after))


def _told(column: Column, value: Any) -> Any:
    return Quantity(value, column.kind) if column.kind and isinstance(value, int | float) else value


def _parts(book: Book, sheet: Sheet) -> tuple[str, ...]:
    """The live parts the sheet touches, those of single rows as well."""
    named = {
        "fields": "fields-field",
        "lots": "lots-lot",
        "groups": "herds-group",
        "structures": "structures-structure",
    }
    prefix = named.get(sheet.key)
    rows = [line.id for line in book.lines[sheet.key] if line.action == "change"] if prefix else []
    own = {"decisions": [f"decisions-open-{book.farm_id}", f"decisions-settled-{book.farm_id}"]}.get(sheet.key, [])
    if sheet.key == "items":
        own = [
            f"checklists-list-{number}" for number in sorted({each.row.checklist_id for each in book.lines["items"]})
        ]
    return (*sheet.parts, *own, *(f"{prefix}-{number}" for number in rows[:100]))
