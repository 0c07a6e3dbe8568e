"""What a herd, a feed or a lab value can be at all, and what a published equation was tested on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.units.ranges import within
from app.units.sentences import Quantity, Sentence


@dataclass(frozen=True)
class Possible:
    """The values a formula accepts, ends included. Calling it checks a value or array and gives it back; NaN passes."""

    low: float
    high: float
    unit: str

    def __call__(self, name: str, value: ArrayLike) -> NDArray[np.float64]:
        return within(name, value, (self.low, self.high), self.unit)


@dataclass(frozen=True)
class Tested:
    """The values an equation was fitted or tested on; `kinds` names the unit kind of each for the reader."""

    ranges: Mapping[str, tuple[float, float]]
    kinds: Mapping[str, str]
    labels: Mapping[str, Sentence]

    def outside(self, values: Mapping[str, float]) -> list[Sentence]:
        """One caution for every given value that lies outside what the equation was tested on."""
        return [
            Sentence(
                "{what} of {value} is outside {low} to {high}, the range this equation was tested on.",
                what=self.labels[name],
                value=Quantity(values[name], self.kinds[name]),
                low=Quantity(low, self.kinds[name]),
                high=Quantity(high, self.kinds[name]),
            )
            for name, (low, high) in self.ranges.items()
            if name in values and not low <= values[name] <= high and not np.isnan(values[name])
        ]


SHARE = Possible(0.0, 1.0, "(a fraction)")
LOSS = Possible(0.0, 0.95, "(a fraction)")
MASS = Possible(0.0, 1e10, "kg")
PRICE = Possible(0.0, 100.0, "USD/kg")
HEAD = Possible(0.0, 1e6, "head")
DAYS = Possible(0.0, 3660.0, "d")
COW_WEIGHT = Possible(200.0, 1200.0, "kg")
HEIFER_WEIGHT = Possible(25.0, 1000.0, "kg")
INTAKE = Possible(0.0, 60.0, "kg DM/d")
MILK = Possible(0.0, 100.0, "kg/d")
