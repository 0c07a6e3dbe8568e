"""An invented season of three fields for the tests of the strip."""

import math
from datetime import date, timedelta

from app.charts.strip import Due, Row, Strip

FIRST = date(2027, 5, 6)
DAYS = tuple(FIRST + timedelta(days=step) for step in range(36))
TODAY = DAYS[4]


def rising(start_frac: float, step_frac: float) -> tuple[float, ...]:
    return tuple(start_frac + step_frac * day for day in range(len(DAYS)))


def season(**changes) -> Strip:
    given = {
        "title": "Two of three fields are still under 40 %",
        "days": DAYS,
        "today": TODAY,
        "ticks": tuple((day, day.strftime("%-d %b")) for day in DAYS if day.weekday() == 0),
        "dry_frac": (0.6,) * 36,
        "weather": ("observed",) * 4 + ("forecast",) * 8 + ("climate",) * 24,
        "rows": (
            Row("Kiln", "62 ac", rising(0.31, 0.006), rising(0.30, 0.005), rising(0.32, 0.007), (DAYS[11], DAYS[15]),
                (DAYS[14], DAYS[21]), DAYS[15], (DAYS[12], DAYS[19]), "21 May", cells=("62 ac", "33 %", "17-21 May")),
            Row("Sand <Lot>", "35 ac", rising(0.39, 0.002), cut=DAYS[17], cut_label="40 % · pile", href="/fields/2"),
            Row("Twelve Elms", "96 ac", (math.nan,) * 36, reason="no scouting since 20 April"),
        ),
        "dues": (Due(DAYS[6], "Film ordered"), Due(DAYS[7], "Tractors promised")),
    }  # fmt: skip
    return Strip(**(given | changes))
