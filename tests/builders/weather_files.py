"""Weather files in the published forms, written from given days."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from app.weather.series import DailySeries


def dly_line(station: str, year: int, month: int, element: str, values: dict[int, str]) -> str:
    """One line of a `.dly` file; `values` maps a day to its eight characters, other days are missing."""
    return f"{station:<11}{year:4d}{month:02d}{element}" + "".join(values.get(d, "-9999   ") for d in range(1, 32))


def dly(series: DailySeries, station: str = "XX000000001") -> str:
    """A series as a `.dly` file, tenths of C and mm."""
    months: dict[tuple[int, int, str], dict[int, str]] = defaultdict(dict)
    for i, day in enumerate(series.days):
        year, month, dom = (int(part) for part in str(day).split("-"))
        for element, column in (("TMAX", series.high_c), ("TMIN", series.low_c), ("PRCP", series.precip_mm)):
            if not np.isnan(column[i]):
                months[year, month, element][dom] = f"{round(column[i] * 10):5d}  S"
    return "".join(dly_line(station, *key, days) + "\n" for key, days in sorted(months.items()))


def by_year_csv(series: DailySeries, station: str = "XX000000001") -> str:
    """A series as a by-year CSV."""
    rows = []
    for i, day in enumerate(series.days):
        stamp = str(day).replace("-", "")
        for element, column in (("TMAX", series.high_c), ("TMIN", series.low_c), ("PRCP", series.precip_mm)):
            if not np.isnan(column[i]):
                rows.append(f"{station},{stamp},{element},{round(column[i] * 10)},,,S,0700")
    return "\n".join(rows) + "\n"
