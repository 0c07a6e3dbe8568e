"""Sentences made in Python, apart from their figures, so that both can be said in the reader's language and units."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any


@dataclass(frozen=True)
class Quantity:
    """A figure in the unit the code keeps; `kind` is a key of `app.units.kinds.KINDS`. NaN means not known."""

    value: float
    kind: str


@dataclass(frozen=True)
class Span:
    """A figure with its likely range, all three of one kind."""

    low: float
    likely: float
    high: float
    kind: str


@dataclass(frozen=True)
class Sentence:
    """An English sentence with named gaps; `figures` fills them.

    A figure is a Quantity, a Span, a date, a count, a name (str) or another Sentence. The English text is the
    key under which translations are found, so it is written out in full where the Sentence is made.
    """

    text: str
    figures: Mapping[str, Any] = field(default_factory=dict)

    def __init__(self, text: str, /, **figures: Any) -> None:
        object.__setattr__(self, "text", text)
        object.__setattr__(self, "figures", figures)

    def __str__(self) -> str:
        return self.text.format_map({name: _plain(value) for name, value in self.figures.items()})


def _plain(value: Any) -> Any:
    if isinstance(value, Quantity):
        return f"{value.value:g}"
    if isinstance(value, Span):
        return f"{value.low:g}-{value.high:g}"
    return value


def packed(sentence: Sentence | None) -> dict[str, Any] | None:
    """The sentence as plain JSON values, to be kept and said later in any language."""
    if sentence is None:
        return None
    return {"text": sentence.text, "figures": {name: _packed(value) for name, value in sentence.figures.items()}}


def _packed(value: Any) -> Any:
    if isinstance(value, Sentence):
        return {"sentence": packed(value)}
    if isinstance(value, Quantity):
        return {"quantity": [_known(value.value), value.kind]}
    if isinstance(value, Span):
        return {"span": [_known(value.low), _known(value.likely), _known(value.high), value.kind]}
    if isinstance(value, date):
        return {"day": value.isoformat()[:10]}
    if isinstance(value, tuple | list):
        return {"list": [_packed(part) for part in value]}
    return value


def _known(value: float) -> float | None:
    """JSON has no number for what is not known."""
    return value if math.isfinite(value) else None


def unpacked(kept: Mapping[str, Any] | None) -> Sentence | None:
    """The sentence that `packed` made plain."""
    if kept is None:
        return None
    return Sentence(kept["text"], **{name: _unpacked(value) for name, value in kept["figures"].items()})


def _numbers(parts: Sequence[Any]) -> list[Any]:
    """What was packed, with nothing known as NaN again."""
    return [math.nan if part is None else part for part in parts]


def _unpacked(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    (kind, plain), *_ = value.items()
    if kind == "sentence":
        return unpacked(plain)
    if kind == "quantity":
        return Quantity(*_numbers(plain))
    if kind == "span":
        return Span(*_numbers(plain))
    if kind == "day":
        return date.fromisoformat(plain)
    return tuple(_unpacked(part) for part in plain)
