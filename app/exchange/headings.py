"""Headings of sheets: a label with its unit for people, and below it a line of keys that no language or unit changes.

A heading says its unit in brackets, "Area (ac)"; the line of keys says both again, "fields.area_ha [ac]". Either one
is enough to read a sheet, so that one written by hand needs labels only, and one written in Spanish is read anywhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from app.units.findings import Problem
from app.units.kinds import KINDS, System
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape
from app.units.typed import Cell

Translate = Callable[[str], str]
SYSTEMS: tuple[System, System] = ("us", "metric")
ALSO = {
    "acre": "ac", "acres": "ac", "hectares": "ha", "foot": "ft", "feet": "ft", "inch": "in", "inches": "in",
    "lbs": "lb", "pounds": "lb", "mile": "mi", "miles": "mi", "meters": "m", "metres": "m", "percent": "%",
}  # fmt: skip
"""Units as people write them out."""
_KEY = re.compile(r"([a-z][a-z_]*)\.([a-z][a-z0-9_]*)(?: ?\[(.*)\])?")
_LABEL = re.compile(r"(.*\S)\s*[(\[]([^()\[\]]*)[)\]]", re.DOTALL)


@dataclass(frozen=True)
class Heading:
    """One column of a sheet that was understood: which it is, where it stands and in which unit system it is read."""

    column: Column
    place: int
    text: str
    system: System
    unit_is_said: bool = True


def plain(text: str) -> str:
    """Text for comparing headings and titles: small letters, and only letters, figures and single spaces."""
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def has_two_units(kind: str | None) -> bool:
    """Whether the two unit systems write this kind of figure differently."""
    return kind is not None and KINDS[kind].us != KINDS[kind].metric


def unit_word(kind: str | None, system: System) -> str:
    """The unit as a heading writes it; tons say which ton they are.

    >>> unit_word("area", "us"), unit_word("mass_af", "us"), unit_word("mass_af", "metric"), unit_word("count", "us")
    ('ac', 't as fed, 2000 lb', 't as fed, 1000 kg', '')
    """
    if kind is None:
        return ""
    us, metric = KINDS[kind].us, KINDS[kind].metric
    label = us.label if system == "us" else metric.label
    if us != metric and us.label == metric.label:
        return f"{label}, {'2000 lb' if system == 'us' else '1000 kg'}"
    return label


def system_of(kind: str, unit: str, languages: Sequence[Translate] = ()) -> System | None:
    """The unit system a written unit belongs to; None where it is neither's, or both's."""
    found = {system for system in SYSTEMS if _plain_unit(unit) in _words(unit_word(kind, system), languages)}
    return found.pop() if len(found) == 1 else None


def _words(word: str, languages: Sequence[Translate]) -> set[str]:
    return {_plain_unit(word), *(_plain_unit(say_unit(word, translate)) for translate in languages)}


def say_unit(word: str, translate: Translate) -> str:
    """A unit word in another language; which ton it is stays as it is."""
    label, mark, ton = word.partition(", ")
    return translate(label) + mark + ton


def _plain_unit(text: str) -> str:
    word = " ".join(text.casefold().replace("²", "2").replace("³", "3").replace("°", "").split())
    return ALSO.get(word, word)


def heading(column: Column, system: System, translate: Translate) -> str:
    """What stands above a column: its label, and its unit in brackets."""
    unit = unit_word(column.kind, system)
    return f"{translate(column.label)} ({say_unit(unit, translate)})" if unit else translate(column.label)


def key_cell(noun: str, column: Column, system: System) -> str:
    """What stands in the line of keys: noun and column, with the unit where the two systems differ."""
    unit = f" [{unit_word(column.kind, system)}]" if has_two_units(column.kind) else ""
    return f"{noun}.{column.name}{unit}"


def is_key_row(cells: Iterable[Cell]) -> bool:
    """Whether a row is the line of keys."""
    filled = [cell for cell in cells if cell is not None and cell != ""]
    return bool(filled) and all(isinstance(cell, str) and _KEY.fullmatch(cell.strip()) for cell in filled)


def noun_of(cells: Iterable[Cell]) -> str | None:
    """The noun a line of keys speaks of."""
    for cell in cells:
        found = _KEY.fullmatch(cell.strip()) if isinstance(cell, str) else None
        if found:
            return found[1]
    return None


@dataclass
class Headings:
    """The columns of one sheet as far as they were understood, with what was refused and what is ignored."""

    found: list[Heading]
    problems: list[Problem]
    asks: list[Problem]
    ignored: list[str]
    unread: set[str]
    """Columns that are there but whose heading was refused."""


def read_headings(
    sheet: str,
    shape: Shape,
    header: Sequence[str],
    keys: Sequence[Cell] | None,
    row: int,
    *,
    system: System,
    languages: Sequence[Translate] = (),
) -> Headings:
    """Which column each heading means. `system` is taken, and asked about, where a heading says no unit."""
    result = Headings([], [], [], [], set())
    labels = _labels(shape, languages)
    for place, text in enumerate(header):
        key = str(keys[place]).strip() if keys is not None and keys[place] else ""
        if not text and not key:
            continue
        column, unit = _by_key(shape, key) or _by_key(shape, text) or _by_label(labels, text)
        if column is None:
            result.ignored.append(text)
        elif any(each.column.name == column.name for each in result.found):
            why = Sentence("This column is there twice. Keep one of them.")
            result.problems.append(Problem(sheet, row, text, text, why))
        else:
            _take(sheet, column, place, text, unit, row, system, languages, key, result)
    return result


def _labels(shape: Shape, languages: Sequence[Translate]) -> dict[str, Column]:
    labels: dict[str, Column] = {}
    for column in shape.columns:
        for word in (column.label, column.name, *(translate(column.label) for translate in languages)):
            labels.setdefault(plain(word), column)
    return labels


def _by_key(shape: Shape, text: str) -> tuple[Column | None, str | None] | None:
    found = _KEY.fullmatch(text)
    if not found:
        return None
    return next((column for column in shape.columns if column.name == found[2]), None), found[3]


def _by_label(labels: dict[str, Column], text: str) -> tuple[Column | None, str | None]:
    found = _LABEL.fullmatch(text.strip())
    if found and plain(found[1]) in labels:
        return labels[plain(found[1])], found[2]
    return labels.get(plain(text)), None


def _take(
    sheet: str,
    column: Column,
    place: int,
    text: str,
    unit: str | None,
    row: int,
    system: System,
    languages: Sequence[Translate],
    key: str,
    result: Headings,
) -> None:
    if column.kind is None:
        result.found.append(Heading(column, place, text, system))
        return
    words = dict.fromkeys(unit_word(column.kind, each) for each in SYSTEMS)
    allowed = tuple(f"{column.label} ({word})" if word else column.label for word in words)
    said = system_of(column.kind, unit, languages) if unit else None
    above = _unit_above(column, text, key, languages)
    if unit and said is None and not _is_label(column.kind, unit, languages):
        why = Sentence("This unit is not known here. Allowed: {allowed}.", allowed=allowed)
        result.problems.append(Problem(sheet, row, text, unit, why))
        result.unread.add(column.name)
    elif said is not None and above is not None and above != said:
        why = Sentence(
            "The heading and the line of keys below it name two units. Make both {allowed}.", allowed=allowed
        )
        result.problems.append(Problem(sheet, row, text, f"{text} / {key}", why))
        result.unread.add(column.name)
    else:
        if said is None and has_two_units(column.kind):
            why = Sentence(
                "The heading names no unit; it is read as {unit}. Is that right? Better write one of: {allowed}.",
                unit=Sentence(unit_word(column.kind, system)),
                allowed=allowed,
            )
            result.asks.append(Problem(sheet, row, text, text, why))
        result.found.append(Heading(column, place, text, said or system, said is not None))


def _is_label(kind: str, unit: str, languages: Sequence[Translate]) -> bool:
    """Whether it is the unit of both systems, or a ton that does not say which."""
    us, metric = KINDS[kind].us.label, KINDS[kind].metric.label
    return us == metric and (not us or _plain_unit(unit) in _words(us, languages))


def _unit_above(column: Column, text: str, key: str, languages: Sequence[Translate]) -> System | None:
    """The unit a heading names above a line of keys, where somebody may have changed it."""
    found = _LABEL.fullmatch(text.strip()) if key else None
    return system_of(column.kind, found[2], languages) if found and column.kind else None
