"""Which column of a sheet holds what: the person's mapping, and a proposal by name and content."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from app.units.typed import is_blank, typed_date
from app.weather.scales import unit_in_header


class TableRow(Protocol):
    """A row of an uploaded sheet."""

    @property
    def number(self) -> int: ...
    @property
    def cells(self) -> Sequence[Any]: ...


class TableOfDays(Protocol):
    """An uploaded sheet, as the reader of files gives it."""

    @property
    def sheet(self) -> str: ...
    @property
    def header(self) -> Sequence[str]: ...
    @property
    def rows(self) -> Sequence[TableRow]: ...
    @property
    def decimal(self) -> str | None: ...


@dataclass(frozen=True)
class DayColumns:
    """Which column holds what, by header. `day` is one column, or three named year, month and day of month.

    Units are keys of `TEMP_UNITS` and `RAIN_UNITS`, `order` is "mdy" or "dmy"; None is asked where the file is silent.
    """

    day: tuple[str, ...]
    high: str | None = None
    low: str | None = None
    mean: str | None = None
    rain: str | None = None
    temp_unit: str | None = None
    rain_unit: str | None = None
    order: str | None = None


WORDS = {
    "high": r"t\W?_?max|max\w*.{0,4}temp|temp\w*.{0,4}max|\bhigh|m[aá]xima|^tx$",
    "low": r"t\W?_?min|min\w*.{0,4}temp|temp\w*.{0,4}min|\blow|m[ií]nima|^tn$",
    "mean": r"t\W?_?(avg|mean)|(mean|avg|average).{0,4}temp|\bmean|media\b|^tg$",
    "rain": r"prcp|prec|rain|lluvia|^rr$",
}


def propose(table: TableOfDays) -> DayColumns:
    """The likely column for each part, by name, and by content for the date."""
    found: dict[str, str] = {}
    for part, pattern in WORDS.items():
        for name in table.header:
            if (
                name not in found.values()
                and re.search(pattern, name.strip().lower())
                and not name.endswith("_ATTRIBUTES")
            ):
                found.setdefault(part, name)
    temp = next((unit for part in ("high", "low", "mean") if (unit := unit_in_header(found.get(part, "")))), None)
    return DayColumns(
        day=_day_columns(table),
        high=found.get("high"),
        low=found.get("low"),
        mean=found.get("mean"),
        rain=found.get("rain"),
        temp_unit=temp,
        rain_unit=unit_in_header(found.get("rain", "")),
    )


def _day_columns(table: TableOfDays) -> tuple[str, ...]:
    lower = {name.strip().lower(): name for name in table.header}
    for parts in (("year", "month", "day"), ("año", "mes", "día"), ("yyyy", "mm", "dd"), ("yr", "mo", "da")):
        if all(part in lower for part in parts):
            return tuple(lower[part] for part in parts)
    shares = [_share_of_dates([row.cells[place] for row in table.rows[:40]]) for place in range(len(table.header))]
    best = max(range(len(shares)), key=lambda place: shares[place], default=0)
    return (table.header[best],) if shares and shares[best] > 0.5 else ()


def _share_of_dates(cells: list[Any]) -> float:
    dates = [typed_date(cell) for cell in cells if not is_blank(cell)]
    return sum(bool(one.value or one.other) for one in dates) / len(dates) if dates else 0.0
