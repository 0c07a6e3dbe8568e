"""A figure or a date that may be unknown, with its range and, when unknown, the reason a person reads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from app.units.sentences import Sentence


@dataclass(frozen=True)
class Estimate:
    """A figure in the unit the code keeps. `value` is NaN when it cannot be computed; `reason` then says why."""

    value: float
    kind: str
    low: float = math.nan
    high: float = math.nan
    reason: Sentence | None = None
    sources: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        return not math.isnan(self.value)


@dataclass(frozen=True)
class DateEstimate:
    """A day, its 8-in-10 range where one exists, and the reason when no day can be named."""

    on: date | None
    earliest: date | None = None
    latest: date | None = None
    reason: Sentence | None = None
    sources: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        return self.on is not None


def unknown(kind: str, reason: Sentence) -> Estimate:
    """An estimate that could not be made."""
    return Estimate(math.nan, kind, reason=reason)
