"""What every weather file reader hands back: the series, what is wrong, what is open, and counts for the preview."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from app.units.findings import Problem, Question
from app.units.sentences import Quantity, Sentence
from app.weather.series import DailySeries, series_of

HIGHEST_C, LOWEST_C = 57.0, -60.0
WETTEST_MM = 1000.0
MOST_PROBLEMS = 200


@dataclass(frozen=True)
class Counts:
    """Figures of a preview page. `rejected` counts values by the quality flag or reason they were left out for."""

    read_rows: int = 0
    new_days: int = 0
    missing_days: int = 0
    doubled_days: int = 0
    trace_days: int = 0
    rejected: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Reading:
    """A file as read. With open `questions` the series is only what the guesses would give and must not be stored."""

    series: DailySeries
    problems: tuple[Problem, ...] = ()
    questions: tuple[Question, ...] = ()
    counts: Counts = Counts()
    others: tuple[DailySeries, ...] = ()
    """Further stations in the same file."""

    @property
    def ready(self) -> bool:
        """Whether it can be stored: nothing open and at least one day."""
        return not self.questions and len(self.series) > 0


class DayBook:
    """Collects values day by day while a file is read, naming doubled and impossible ones with their row."""

    COLUMNS = ("high_c", "low_c", "precip_mm")

    def __init__(self, sheet: str = "") -> None:
        self.sheet = sheet
        self.values: dict[date, list[float]] = {}
        self.rows: dict[date, int] = {}
        self.problems: list[Problem] = []
        self.rejected: Counter[str] = Counter()
        self.doubled: set[date] = set()
        self.trace: set[date] = set()

    def refuse(self, row: int | None, column: str, got: object, allowed: Sentence) -> None:
        """Name a problem; beyond a few hundred only their number grows."""
        self.rejected["unreadable"] += 1
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.sheet, row, column, str(got), allowed))

    def put(self, row: int, day: date, column: str, value: float, got: object, shown: str | None = None) -> None:
        """Note one value; a second, different one of the same day is refused and the first stays.

        `column` is one of COLUMNS, `shown` what the file calls it.
        """
        shown = shown or column
        if np.isnan(value) or not self._possible(row, column, value, got, shown):
            self.values.setdefault(day, [np.nan] * 3)
            self.rows.setdefault(day, row)
            return
        cells = self.values.setdefault(day, [np.nan] * 3)
        place = self.COLUMNS.index(column)
        if not np.isnan(cells[place]):
            self.doubled.add(day)
            if abs(cells[place] - value) > 1e-6:
                self.refuse(
                    row, shown, got, Sentence("{day} stands twice with different values; the first is kept.", day=day)
                )
            return
        cells[place] = value
        self.rows.setdefault(day, row)

    def _possible(self, row: int, column: str, value: float, got: object, shown: str) -> bool:
        low, high = (0.0, WETTEST_MM) if column == "precip_mm" else (LOWEST_C, HIGHEST_C)
        if low <= value <= high:
            return True
        if column == "precip_mm":
            allowed = Sentence(
                "Rain of a day lies within {low} to {high}.", low=Quantity(low, "rain"), high=Quantity(high, "rain")
            )
        else:
            allowed = Sentence(
                "Air temperature lies within {low} to {high}.", low=Quantity(low, "temp"), high=Quantity(high, "temp")
            )
        self.refuse(row, shown, got, allowed)
        return False

    def series(self, station: str) -> DailySeries:
        """The days collected; a high below its low is named and both left out."""
        for day, cells in self.values.items():
            if cells[0] < cells[1]:
                self.refuse(
                    self.rows[day],
                    "high, low",
                    f"{cells[0]:.1f} < {cells[1]:.1f} °C",
                    Sentence("On {day} the high is below the low. Both are left out.", day=day),
                )
                cells[0] = cells[1] = np.nan
        days = sorted(self.values)
        table = np.array([self.values[day] for day in days]).reshape(-1, 3)
        return series_of(station, days, table[:, 0], table[:, 1], table[:, 2])

    def counts(self, series: DailySeries, read_rows: int) -> Counts:
        with_heat = int(series.has_heat.sum())
        return Counts(
            read_rows, with_heat, len(series) - with_heat, len(self.doubled), len(self.trace), dict(self.rejected)
        )
