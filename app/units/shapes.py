"""What may be typed into each column of a noun: the one description behind forms, the farm workbook and the API."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from app.errors import Invalid, Unsure
from app.units.kinds import KINDS, System
from app.units.sentences import Quantity, Sentence

Type = Literal["text", "long", "secret", "email", "number", "whole", "day", "choice", "tick"]
_NUMBER = re.compile(r"^[+-]?(\d+(\.\d*)?|\.\d+)$")
_GROUPED = re.compile(r"^[+-]?\d{1,3}(,\d{3})+(\.\d+)?$")


@dataclass(frozen=True)
class Column:
    """One thing that may be typed. Limits are in the unit the code keeps; `low`/`high` refuse, `likely_*` ask."""

    name: str
    label: str
    type: Type = "text"
    kind: str | None = None
    required: bool = False
    low: float | None = None
    high: float | None = None
    likely_low: float | None = None
    likely_high: float | None = None
    choices: tuple[tuple[str, str], ...] = ()
    longest: int = 200
    hint: str = ""
    example: str = ""
    ask_if: Literal["", "past_only", "this_year"] = ""


@dataclass(frozen=True)
class Shape:
    """The columns of one noun, in the order a form shows them."""

    noun: str
    columns: tuple[Column, ...]

    def column(self, name: str) -> Column:
        return next(column for column in self.columns if column.name == name)

    def only(self, *names: str) -> Shape:
        return Shape(self.noun, tuple(self.column(name) for name in names))


@dataclass
class Read:
    """What came out of reading one typed row: values in kept units, refusals and questions by column."""

    values: dict[str, Any] = field(default_factory=dict)
    errors: dict[str, Sentence] = field(default_factory=dict)
    asks: dict[str, Sentence] = field(default_factory=dict)

    def checked(self, sure: bool = False) -> dict[str, Any]:
        """The values, or Invalid when any was refused, or Unsure when any is unlikely and nobody said it is right."""
        if self.errors:
            raise Invalid(self.errors)
        if self.asks and not sure:
            raise Unsure(self.asks)
        return self.values


def read(
    shape: Shape, typed: Mapping[str, Any], system: System, today: date | None = None, partial: bool = False
) -> Read:
    """Read one typed row. With `partial`, columns that were not sent are left out instead of refused."""
    result = Read()
    for column in shape.columns:
        if partial and column.name not in typed:
            continue
        raw = typed.get(column.name)
        text = raw.strip() if isinstance(raw, str) else raw
        if column.type == "tick":
            result.values[column.name] = _tick(text)
            continue
        if text is None or text == "":
            if column.required:
                result.errors[column.name] = Sentence("Please fill in {label}.", label=Sentence(column.label))
            else:
                result.values[column.name] = None
            continue
        _READERS[column.type](column, text, system, today, result)
    return result


def _tick(text: Any) -> bool:
    return text is True or str(text or "").strip().lower() in {"yes", "on", "true", "1", "x", "sí", "si"}


def _text(column: Column, text: Any, _system: System, _today: date | None, result: Read) -> None:
    text = str(text)
    if len(text) > column.longest:
        result.errors[column.name] = Sentence(
            "{label} may have {most} characters at most; this has {got}.",
            label=Sentence(column.label),
            most=column.longest,
            got=len(text),
        )
    else:
        result.values[column.name] = text


def parse_number(text: Any) -> float | None:
    """A number as people type it (1,250.5 or 0.4); None when it is not one or could be read in two ways."""
    if isinstance(text, bool):
        return None
    if isinstance(text, int | float):
        return float(text) if math.isfinite(text) else None
    plain = str(text).strip().replace("\u2212", "-").removesuffix("%").strip()
    if _GROUPED.match(plain):
        plain = plain.replace(",", "")
    return float(plain) if _NUMBER.match(plain) else None


def _number(column: Column, text: Any, system: System, _today: date | None, result: Read) -> None:
    number = parse_number(text)
    if number is None:
        result.errors[column.name] = Sentence(
            "{label}: {got} is not a number. Type digits with a point, such as {example}.",
            label=Sentence(column.label),
            got=f"“{text}”",
            example=column.example or "12.5",
        )
        return
    if column.type == "whole" and number != int(number):
        result.errors[column.name] = Sentence(
            "{label}: {got} is not a whole number, such as {example}.",
            label=Sentence(column.label),
            got=f"“{text}”",
            example=column.example or "12",
        )
        return
    kind = column.kind or "count"
    value = KINDS[kind].unit(system).kept(number) if column.kind else number
    near = 1e-9 * max(1.0, abs(value))
    if (column.low is not None and value < column.low - near) or (
        column.high is not None and value > column.high + near
    ):
        result.errors[column.name] = out_of_range(column, value, kind)
        return
    if (column.likely_low is not None and value < column.likely_low - near) or (
        column.likely_high is not None and value > column.likely_high + near
    ):
        result.asks[column.name] = _question(column, number, value, kind, system)
    result.values[column.name] = int(value) if column.type == "whole" else value


def out_of_range(column: Column, value: float, kind: str) -> Sentence:
    """The refusal that names the column, what was typed, what is allowed and an example."""
    got, label = Quantity(value, kind), Sentence(column.label)
    if column.low is not None and column.high is not None:
        return Sentence(
            "{label}: {got} is outside {low} to {high}.",
            label=label,
            got=got,
            low=Quantity(column.low, kind),
            high=Quantity(column.high, kind),
        )
    if column.low is not None:
        return Sentence("{label}: {got} is below {low}.", label=label, got=got, low=Quantity(column.low, kind))
    return Sentence("{label}: {got} is above {high}.", label=label, got=got, high=Quantity(column.high or 0.0, kind))


def _question(column: Column, number: float, value: float, kind: str, system: System) -> Sentence:
    label, got = Sentence(column.label), Quantity(value, kind)
    usual = {
        "low": Quantity(column.likely_low if column.likely_low is not None else -math.inf, kind),
        "high": Quantity(column.likely_high if column.likely_high is not None else math.inf, kind),
    }
    other: System = "metric" if system == "us" else "us"

    def fits(candidate: float) -> bool:
        return usual["low"].value <= candidate <= usual["high"].value

    if KINDS[kind].us.label in {"%", "% NDF"} and 0 < number <= 1 and fits(number):
        return Sentence(
            "{label}: {got} is very low. Was it meant as a fraction, that is {meant}?",
            label=label,
            got=got,
            meant=Quantity(number, kind),
        )
    elsewhere = KINDS[kind].unit(other).kept(number)
    if KINDS[kind].us != KINDS[kind].metric and fits(elsewhere):
        return Sentence(
            "{label}: {got} is unusual (usual: {low} to {high}). Was it typed in {unit}?",
            label=label,
            got=got,
            unit=Sentence(KINDS[kind].unit(other).label),
            **usual,
        )
    if column.likely_low is None:
        return Sentence(
            "{label}: {got} is unusual (usual: up to {high}). Is it right?", label=label, got=got, high=usual["high"]
        )
    if column.likely_high is None:
        return Sentence(
            "{label}: {got} is unusual (usual: from {low}). Is it right?", label=label, got=got, low=usual["low"]
        )
    return Sentence("{label}: {got} is unusual (usual: {low} to {high}). Is it right?", label=label, got=got, **usual)


def parse_day(text: Any) -> date | None:
    """A day written 2027-05-14, or a date from a spreadsheet; None otherwise."""
    if isinstance(text, date):
        return text if type(text) is date else text.date()  # type: ignore[attr-defined]
    try:
        return date.fromisoformat(str(text).strip()[:10])
    except ValueError:
        return None


def _day(column: Column, text: Any, _system: System, today: date | None, result: Read) -> None:
    day = parse_day(text)
    if day is None or not 1900 <= day.year <= 2200:
        result.errors[column.name] = Sentence(
            "{label}: {got} is not a day. Write year-month-day, such as {example}.",
            label=Sentence(column.label),
            got=f"“{text}”",
            example=column.example or "2027-05-14",
        )
        return
    if today is not None and column.ask_if == "past_only" and day > today:
        result.asks[column.name] = Sentence(
            "{label}: {got} lies in the future. Is the year right?", label=Sentence(column.label), got=day
        )
    elif today is not None and column.ask_if == "this_year" and abs((day - today).days) > 330:
        result.asks[column.name] = Sentence(
            "{label}: {got} is about a year away. Is the year right?", label=Sentence(column.label), got=day
        )
    result.values[column.name] = day


def _choice(column: Column, text: Any, _system: System, _today: date | None, result: Read) -> None:
    wanted = str(text).strip().lower()
    for key, label in column.choices:
        if wanted in {key.lower(), label.lower()}:
            result.values[column.name] = key
            return
    result.errors[column.name] = Sentence(
        "{label}: {got} is not one of: {allowed}.",
        label=Sentence(column.label),
        got=f"“{text}”",
        allowed=", ".join(key for key, _ in column.choices),
    )


_READERS = {
    "text": _text,
    "long": _text,
    "secret": _text,
    "email": _text,
    "number": _number,
    "whole": _number,
    "day": _day,
    "choice": _choice,
}


def write(shape: Shape, values: Mapping[str, Any], system: System) -> dict[str, str]:
    """The row as a form or sheet shows it: numbers in the reader's units without loss, days as year-month-day."""
    return {column.name: written(column, values.get(column.name), system) for column in shape.columns}


def written(column: Column, value: Any, system: System, digits: int = 12) -> str:
    """One value as typed text; twelve digits read again as the same value."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    if column.type == "tick":
        return "yes" if value else ""
    if column.type == "day":
        return value.isoformat()
    if column.type in ("number", "whole"):
        number = KINDS[column.kind].unit(system).shown(value) if column.kind else value
        return f"{round(number, 9):.{digits}g}"
    return str(value)
