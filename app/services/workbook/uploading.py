"""A workbook that was sent to a farm's page: kept while its preview is looked at, then taken or let go."""

from __future__ import annotations

from app.access.permissions import Permission
from app.access.work import Work
from app.services import uploads
from app.services.workbook.importing import ImportResult, import_farm
from app.units.wording import Reader

PURPOSE = "workbook"


def send_book(work: Work, farm_id: int, filename: str, body: bytes) -> int:
    """Keep a workbook for its preview; the number of the upload."""
    return uploads.keep_upload(work, farm_id, Permission.IMPORT, PURPOSE, filename, body).id


def preview_book(
    work: Work, farm_id: int, upload_id: int, reader: Reader, *, as_new: bool = False
) -> tuple[str, ImportResult]:
    """The name of the file and what taking it into this farm, or as a new one, would do. Nothing is written."""
    upload = uploads.access_upload(work, farm_id, upload_id, Permission.IMPORT, PURPOSE)
    into = None if as_new else farm_id
    return upload.filename, import_farm(work, upload.body, upload.filename, into, dry_run=True, reader=reader)


def take_book(
    work: Work, farm_id: int, upload_id: int, reader: Reader, *, sure: bool = False, as_new: bool = False
) -> ImportResult:
    """Take the workbook into this farm, or make a new farm of it."""
    upload = uploads.access_upload(work, farm_id, upload_id, Permission.IMPORT, PURPOSE)
    into = None if as_new else farm_id
    result = import_farm(work, upload.body, upload.filename, into, sure=sure, reader=reader)
    uploads.take_upload(work, upload)
    return result
