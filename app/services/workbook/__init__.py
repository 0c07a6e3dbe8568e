"""The farm workbook: everything of a farm out to one file and in again, all of it or nothing."""

from app.services.workbook.exporting import Export, empty_book, export_farm
from app.services.workbook.importing import ImportResult, SheetCount, import_farm
from app.services.workbook.uploading import preview_book, send_book, take_book

__all__ = [
    "Export",
    "ImportResult",
    "SheetCount",
    "empty_book",
    "export_farm",
    "import_farm",
    "preview_book",
    "send_book",
    "take_book",
]
