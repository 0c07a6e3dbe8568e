"""A farm out to one file: an XLSX, a ZIP of CSV, or an empty workbook to fill in."""

from __future__ import annotations

import re
from dataclasses import dataclass

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.exchange.books import write_text_files, write_workbook
from app.exchange.sheets import Written, write_sheet
from app.records.farms import Farm
from app.services.workbook.book import Book, Stored, fold
from app.services.workbook.every import every_sheet
from app.services.workbook.notes import NOTES_TITLE, notes_of
from app.services.workbook.sheets import Sheet
from app.units.wording import Reader

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ZIP = "application/zip"


@dataclass(frozen=True)
class Export:
    """A file ready to be sent."""

    filename: str
    media_type: str
    body: bytes


def export_farm(work: Work, farm_id: int, reader: Reader | None = None, kind: str = "xlsx") -> Export:
    """Everything of the farm as it stands now, in the reader's language and units; `kind` is xlsx or zip."""
    farm = access_farm(work, farm_id, Permission.EXPORT)
    reader = reader or Reader(work.actor.language, work.actor.units)
    book = load_book(work, farm, reader)
    name = re.sub(r"[^\w-]+", "-", farm.name).strip("-")[:60] or "farm"
    return _export(f"{name}-{book.today.isoformat()}", _sheets(book, reader), reader, kind)


def empty_book(reader: Reader, kind: str = "xlsx") -> Export:
    """Every sheet with its headings and no rows, and notes on what goes where."""
    sheets = every_sheet().values()
    written = [
        write_sheet(reader.translate(each.title), each.shape, (), reader.units, reader.translate) for each in sheets
    ]
    return _export(fold(reader.translate("Empty farm workbook")).replace(" ", "-"), written, reader, kind)


def _export(name: str, sheets: list[Written], reader: Reader, kind: str) -> Export:
    notes, title = notes_of(every_sheet().values(), reader), reader.translate(NOTES_TITLE)
    if kind == "zip":
        return Export(f"{name}.zip", ZIP, write_text_files(sheets, notes, title))
    return Export(f"{name}.xlsx", XLSX, write_workbook(sheets, notes, title))


def load_book(work: Work, farm: Farm | None, reader: Reader) -> Book:
    """What the farm has, sheet by sheet; a farm that is still to be made has nothing."""
    today = work.today(farm.time_zone if farm else None)
    book = Book(work, farm, today, every_sheet(), reader.units, languages=(reader.translate,))
    for sheet in book.sheets.values():
        load_sheet(book, sheet)
    return book


def load_sheet(book: Book, sheet: Sheet) -> None:
    """Load one sheet and let later ones name its rows."""
    stored: list[Stored] = sheet.load(book) if book.farm is not None else []
    book.stored[sheet.key] = stored
    if sheet.is_named:
        book.labels[sheet.key] = {each.id: each.values[sheet.identity[-1]] for each in stored}
        for each in stored:
            sheet.remember(book, each)


def _sheets(book: Book, reader: Reader) -> list[Written]:
    return [
        write_sheet(
            reader.translate(sheet.title),
            sheet.shape,
            [row for stored in book.stored[sheet.key] for row in sheet.spread(book, stored.values)],
            reader.units,
            reader.translate,
        )
        for sheet in book.sheets.values()
    ]
