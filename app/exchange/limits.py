"""How much an uploaded file may hold, and the look inside an XLSX before it is unpacked."""

from __future__ import annotations

import io
import zipfile
import zlib
from dataclasses import dataclass

from app.errors import Invalid
from app.units.sentences import Sentence


@dataclass(frozen=True)
class Limits:
    """Upper bounds; a file beyond any of them is refused as a whole."""

    file_count_bytes: int = 20_000_000
    unpacked_count_bytes: int = 200_000_000
    part_count: int = 2_000
    row_count: int = 200_000
    column_count: int = 500
    cell_count_chars: int = 5_000


def refused(sentence: Sentence) -> Invalid:
    """The error for a file that cannot be taken at all; the upload form has one field, `file`."""
    return Invalid({"file": sentence})


def check_size(content: bytes, limits: Limits) -> None:
    """Refuse an empty file and one larger than allowed."""
    if not content:
        raise refused(Sentence("The file is empty. Choose a CSV, TSV or XLSX file that has rows."))
    if len(content) > limits.file_count_bytes:
        raise refused(
            Sentence(
                "The file has {got} MB; at most {most} MB are taken. Split it, for instance by year.",
                got=round(len(content) / 1e6, 1),
                most=round(limits.file_count_bytes / 1e6, 1),
            )
        )


def check_workbook(content: bytes, limits: Limits) -> None:
    """Refuse an XLSX that is broken, unpacks to far more than it weighs, or declares entities.

    The sizes in the directory bound what the reader will unpack, since a zip member is never read past its stated size.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            if len(parts) > limits.part_count or sum(part.file_size for part in parts) > limits.unpacked_count_bytes:
                raise refused(
                    Sentence(
                        "The workbook unpacks to more than {most} MB or {parts} parts and was not opened.",
                        most=round(limits.unpacked_count_bytes / 1e6),
                        parts=limits.part_count,
                    )
                )
            if "xl/workbook.xml" not in packed.namelist():
                raise refused(Sentence("This is a packed file but not an XLSX workbook. Save it as XLSX or CSV."))
            for part in parts:
                _check_part(packed, part)
    except (zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError, EOFError, OSError, zlib.error) as broken:
        raise refused(
            Sentence("The workbook is damaged or locked with a password. Save it again without a password.")
        ) from broken


def _check_part(packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    if part.filename.endswith((".xml", ".rels")):
        with packed.open(part) as stream:
            head = stream.read(2_000).replace(b"\x00", b"")
        if b"<!DOCTYPE" in head or b"<!ENTITY" in head:
            raise refused(Sentence("The workbook declares entities, which no spreadsheet program writes; not opened."))


def check_extent(sheet: str, row_count: int, column_count: int, limits: Limits) -> None:
    """Refuse a sheet that has grown beyond the bounds."""
    if row_count >= limits.row_count or column_count > limits.column_count:
        raise refused(
            Sentence(
                "{sheet} has more than {rows} rows or {columns} columns. Split it or remove what is not needed.",
                sheet=sheet or "The file",
                rows=limits.row_count,
                columns=limits.column_count,
            )
        )
