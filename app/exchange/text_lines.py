"""The lines of a text file: encoding, delimiter, quotes."""

from __future__ import annotations

import csv
import io
from collections import Counter

from app.exchange.cells import Row, text_cell
from app.exchange.limits import Limits, check_extent, refused
from app.units.findings import Problem
from app.units.sentences import Sentence

DELIMITERS = "\t;,|"


def decode(content: bytes) -> tuple[str, str]:
    """The text of a file and the encoding found: by byte-order mark, by zero bytes, as UTF-8, else Windows-1252."""
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if content.startswith(mark):
            return content.decode(encoding, errors="replace"), encoding
    head = content[:4_000]
    if head.count(0) > len(head) // 4:
        encoding = "utf-16-le" if head[1::2].count(0) > head[0::2].count(0) else "utf-16-be"
        text = content.decode(encoding, errors="replace")
        if "\x00" not in text:
            return text, encoding
    if b"\x00" in content:
        raise refused(Sentence("This is neither text nor an XLSX workbook. Save the sheet as CSV or XLSX."))
    try:
        return content.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace"), "cp1252"


def delimiter_of(text: str) -> str:
    """The delimiter that splits most lines into the same number of cells, more cells preferred."""
    if text[:4].lower() == "sep=" and text[4:5] in DELIMITERS:
        return text[4]
    head = [line for line in text[:20_000].splitlines()[:60] if line.strip()]
    if len(text) > 20_000 and len(head) > 1:
        head.pop()
    best, best_score = ",", (0.0, 0)
    for mark in DELIMITERS:
        counts = Counter(len(cells) for cells in csv.reader(head, delimiter=mark))
        width, hits = max(counts.items(), key=lambda item: (item[1] * (item[0] > 1), item[0]), default=(1, 0))
        records = max(sum(counts.values()), 1)  # fewer than lines where a quoted cell holds several
        score = (round(hits / records, 1), width) if width > 1 else (0.0, 0)
        if score[0] >= 0.5 and score > best_score:
            best, best_score = mark, score
    return best if best_score[1] else (" " if _in_columns(head) else ",")


def _in_columns(head: list[str]) -> bool:
    """Whether the lines are columns kept apart by runs of spaces."""
    widths = Counter(len(line.split()) for line in head)
    return any("  " in line.strip() for line in head) and widths.most_common(1)[0][0] > 2 and len(widths) <= 2


def text_lines(text: str, delimiter: str, sheet: str, limits: Limits) -> tuple[list[Row], list[Problem]]:
    lines: list[Row] = []
    problems: list[Problem] = []
    spaced = delimiter == " "
    text = "\n".join(" ".join(line.split()) for line in text.splitlines()) if spaced else text
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=False)
    number = 0
    try:
        for number, cells in enumerate(reader, start=1):
            if number == 1 and "".join(cells).lower().startswith("sep="):
                continue
            check_extent(sheet, len(lines), len(cells), limits)
            lines.append(
                Row(number, tuple(text_cell(sheet, number, i, cell, problems, limits) for i, cell in enumerate(cells)))
            )
    except csv.Error:
        problems.append(
            Problem(
                sheet, number + 1, "", "", Sentence("From here on the quotes do not match; close each opened quote.")
            )
        )
    return lines, problems
