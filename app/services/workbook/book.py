"""A farm as a workbook sees it: what it has, what a workbook says, and how rows name each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from app.access.work import Work
from app.events.edits import same
from app.exchange.headings import Translate
from app.exchange.sheets import ReadSheet
from app.records.farms import Farm
from app.units.kinds import System


@dataclass
class Stored:
    """A row the farm has, with its values as the workbook writes them."""

    row: Any
    values: dict[str, Any]

    @property
    def id(self) -> int:
        return self.row.id


@dataclass
class Line:
    """A row of a workbook: its values laid over what the farm has there, and what taking it would do."""

    number: int
    typed: Mapping[str, Any]
    values: dict[str, Any]
    stored: Stored | None = None
    action: str = "add"
    """add, change or same."""
    row: Any = None
    """The row of the farm, once the line has been taken."""
    found: dict[str, Any] = field(default_factory=dict)
    """What a check found out and taking the line needs again."""

    @property
    def id(self) -> int:
        return self.row.id


Place = Stored | Line


@dataclass
class Book:
    """One farm and one workbook while it is written or read."""

    work: Work
    farm: Farm | None
    today: date
    sheets: Mapping[str, Any] = field(default_factory=dict)
    """Every sheet by key."""
    system: System = "us"
    languages: tuple[Translate, ...] = ()
    stored: dict[str, list[Stored]] = field(default_factory=dict)
    lines: dict[str, list[Line]] = field(default_factory=lambda: defaultdict(list))
    reads: dict[str, ReadSheet] = field(default_factory=dict)
    named: dict[str, dict[str, Place]] = field(default_factory=lambda: defaultdict(dict))
    """Sheet -> name in small letters -> the row of that name."""
    labels: dict[str, dict[int, str]] = field(default_factory=dict)
    """Sheet -> id -> name as the workbook writes it."""
    notes: list[Any] = field(default_factory=list)
    """What was left out without being wrong, as sentences."""

    @property
    def farm_id(self) -> int:
        assert self.farm is not None, "the farm is there before anything of it"
        return self.farm.id

    def find(self, sheet: str, name: Any) -> Place | None:
        """The row of that name, there already or further up in the workbook."""
        return self.named[sheet].get(fold(name)) if name else None

    def id_of(self, sheet: str, name: Any) -> int | None:
        """The id of the row of that name, once it has been taken."""
        place = self.find(sheet, name)
        return place.id if place is not None else None

    def places(self, sheet: str) -> list[Place]:
        """Every row of the sheet as it would be after taking the workbook."""
        replaced = {id(line.stored) for line in self.lines[sheet] if line.stored is not None}
        return [*(each for each in self.stored.get(sheet, ()) if id(each) not in replaced), *self.lines[sheet]]

    def all(self, sheet: str) -> list[dict[str, Any]]:
        """The values of every row of the sheet as they would be after taking the workbook."""
        return [each.values for each in self.places(sheet)]


def fold(text: Any) -> Any:
    """A name for comparing: small letters, single spaces. Anything but text stays as it is."""
    return " ".join(text.casefold().split()) if isinstance(text, str) else text


def alike(left: Any, right: Any) -> bool:
    """Whether two values are the same for a workbook: text up to line ends and spaces around, lists part by part."""
    if isinstance(left, tuple) and isinstance(right, tuple):
        return len(left) == len(right) and all(map(alike, left, right))
    if isinstance(left, Mapping) and isinstance(right, Mapping):
        return all(alike(left.get(name), right.get(name)) for name in {*left, *right})
    if isinstance(left, str) and isinstance(right, str):
        return left.replace("\r\n", "\n").strip() == right.replace("\r\n", "\n").strip()
    return same(left, right)


def distinguish(rows: Sequence[Stored], column: str, within: Iterable[str] = (), longest: int = 80) -> None:
    """Number names that stand there twice, "North (2)", so that each row can be named by one."""
    within = tuple(within)
    scoped = [tuple(fold(each.values.get(name)) for name in within) for each in rows]
    taken = {(*scope, fold(each.values[column])) for scope, each in zip(scoped, rows, strict=True)}
    seen: set[tuple[Any, ...]] = set()
    for scope, each in zip(scoped, rows, strict=True):
        base, number = each.values[column], 2
        if (*scope, fold(base)) in seen:
            while (*scope, fold(f"{base[: longest - 5]} ({number})")) in taken | seen:
                number += 1
            each.values[column] = f"{base[: longest - 5]} ({number})"
        seen.add((*scope, fold(each.values[column])))
