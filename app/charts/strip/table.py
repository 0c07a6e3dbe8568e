"""The season strip as text, for the table behind it."""

from __future__ import annotations

from app.charts.strip.inputs import Strip

Table = tuple[tuple[str, ...], list[tuple[str, ...]]]


def strip_table(picture: Strip) -> Table:
    """Column heads, and one row of text per field; a missing text reads as not known."""
    heads = picture.words.heads
    return heads, [_row(row.name, row.cells, len(heads), picture.words.unknown) for row in picture.rows]


def _row(name: str, cells: tuple[str, ...], wide: int, unknown: str) -> tuple[str, ...]:
    padded = (*cells, *[""] * wide)[: wide - 1]
    return (name, *(cell or unknown for cell in padded))
