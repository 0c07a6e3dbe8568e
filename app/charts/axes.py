"""Scales and ticks of the small charts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
TINY = 1e-290
"""Below this a step would be no number any more."""


@dataclass(frozen=True)
class Linear:
    """Values from `low` to `high` laid from `start` to `end` of the picture (end above start for an upward axis)."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def round_ticks(low: float, high: float, about: int = 4) -> list[float]:
    """Round values that cover low to high; their first and last are the ends of the axis."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return [0.0, 1.0]
    span = next(each for each in (high - low, abs(high), 1.0) if each > TINY)
    raw = span / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * each for each in STEPS if power * each >= raw * 0.999)
    first = math.floor(low / step + 1e-9)
    last = max(math.ceil(high / step - 1e-9), first + 1)
    return [index * step for index in range(first, last + 1)]


def extent(series: Sequence[Sequence[float]]) -> tuple[float, float]:
    """Lowest and highest known value of several series; NaN twice when nothing is known."""
    known = [value for values in series for value in values if not math.isnan(value)]
    return (min(known), max(known)) if known else (math.nan, math.nan)


def spread(wanted: Sequence[float], apart: float) -> list[float]:
    """Heights as near as possible to those wanted, but at least `apart` from each other, in the same order."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    placed = [0.0] * len(wanted)
    last = -math.inf
    for index in order:
        last = max(wanted[index], last + apart)
        placed[index] = last
    return placed
