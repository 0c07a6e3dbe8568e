"""One figure of a report, and how it is told in plain values."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.planning.assumptions import ASSUMPTIONS, JUDGEMENT, PRACTICE
from app.planning.estimates import DateEstimate, Estimate
from app.units.kinds import KINDS
from app.units.sentences import Sentence
from app.units.wording import Reader

FARM = "farm"
"""A figure that is the farm's own entry, or a count of its own entries."""
NOT_PUBLISHED = (FARM, PRACTICE, JUDGEMENT)
"""What may stand among source keys where no publication is behind a figure."""
NO_DAY = Sentence("No day is known.")


@dataclass(frozen=True)
class Figure:
    """One figure: `value` is an Estimate, a DateEstimate, a day, a count, a yes or no, or a Sentence."""

    key: str
    label: str
    value: Any
    as_of: date | None
    sources: tuple[str, ...] = (FARM,)
    unit: str = ""
    """Of a count: what is counted."""


@dataclass(frozen=True)
class Values:
    """The farm's assumptions, and which of them are its own."""

    all: Mapping[str, float | str]
    own: Mapping[str, float | str]

    @classmethod
    def of(cls, every: Mapping[str, float | str], kept: Mapping[str, float | str]) -> Values:
        """Of the values kept for the farm, those that differ from the default."""
        return cls(every, {key: value for key, value in kept.items() if _differs(value, ASSUMPTIONS[key].default)})

    def sources(self, *keys: str) -> tuple[str, ...]:
        """Where the values in force come from: the farm itself where it changed the default."""
        return tuple(dict.fromkeys(FARM if key in self.own else ASSUMPTIONS[key].source for key in keys))


def _differs(value: float | str, default: float | str) -> bool:
    if isinstance(value, str) or isinstance(default, str):
        return value != default
    return not math.isclose(value, default, rel_tol=1e-9, abs_tol=1e-12)


def plain(reader: Reader, sentence: Sentence) -> str:
    """A sentence without the spaces that keep figure and unit on one line."""
    return reader.say(sentence).replace("\u00a0", " ")


def joined(*each: Iterable[str]) -> tuple[str, ...]:
    """Source keys of several figures, once each."""
    return tuple(dict.fromkeys(key for keys in each for key in keys))


def told(figure: Figure, reader: Reader) -> dict[str, Any]:
    """The figure as plain values, numbers in the reader's units and unrounded."""
    return {
        "key": figure.key,
        "label": figure.label,
        "value": None,
        "unit": None,
        "low": None,
        "high": None,
        "as_of": figure.as_of.isoformat() if figure.as_of else None,
        "reason": None,
        "sources": sorted({*figure.sources, *getattr(figure.value, "sources", ())}),
        **_value(figure, reader),
    }


def _value(figure: Figure, reader: Reader) -> dict[str, Any]:
    value = figure.value
    if isinstance(value, Estimate):
        return _estimate(value, reader)
    if isinstance(value, DateEstimate):
        return _day(value, reader)
    if isinstance(value, Sentence):
        return {"value": plain(reader, value), "unit": "text"}
    if isinstance(value, bool):
        return {"value": value, "unit": "yes or no"}
    if isinstance(value, date):
        return {"value": value.isoformat(), "unit": "day"}
    return {"value": value, "unit": "text" if isinstance(value, str) else figure.unit or "count"}


def _estimate(value: Estimate, reader: Reader) -> dict[str, Any]:
    kind = KINDS[value.kind]
    unit = kind.unit(reader.units)
    number, low, high = (
        unit.shown(end) if math.isfinite(end) else None for end in (value.value, value.low, value.high)
    )
    reason = plain(reader, value.reason) if value.reason else None
    return {"value": number, "unit": unit.label or kind.key, "low": low, "high": high, "reason": reason}


def _day(value: DateEstimate, reader: Reader) -> dict[str, Any]:
    day, low, high = (each.isoformat() if each else None for each in (value.on, value.earliest, value.latest))
    why = value.reason or (None if day else NO_DAY)
    return {"value": day, "unit": "day", "low": low, "high": high, "reason": plain(reader, why) if why else None}
