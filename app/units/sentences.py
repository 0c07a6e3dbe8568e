"""Sentences made in Python, kept apart from their figures so that both can be said in the reader's language and units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
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
