"""Small charts of lines and ranges over days: heat against past years, heights, feed by class down to its run-out."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from app.charts import svg
from app.charts.axes import Linear, extent, round_ticks, spread
from app.errors import OutOfRange

MOST_SERIES = 4
MARGIN_TOP, MARGIN_BOTTOM = 22, 26
NARROW = 260
MOST_FOR_NAMES = 0.56
"""Share of the width that names of series may take at most."""


@dataclass(frozen=True)
class Line:
    """One series. `low`/`high` give its range; `dots` marks readings; a `quiet` line is one of many past years."""

    label: str
    values: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()
    dots: bool = False
    quiet: bool = False


@dataclass(frozen=True)
class Mark:
    """Something that happens on a day (a class runs out, the new crop can be fed)."""

    on: date
    label: str


@dataclass(frozen=True)
class Level:
    """A value to be held against (a threshold, a target)."""

    value: float
    label: str


@dataclass(frozen=True)
class Chart:
    """A chart over days. `title` says the finding; values come in the unit they are shown in."""

    title: str
    unit: str
    days: tuple[date, ...]
    lines: tuple[Line, ...]
    ticks: tuple[tuple[date, str], ...]
    marks: tuple[Mark, ...] = ()
    levels: tuple[Level, ...] = ()
    today: date | None = None
    today_label: str = ""
    from_zero: bool = True
    desc: str = ""

    def __post_init__(self) -> None:
        if sum(not line.quiet for line in self.lines) > MOST_SERIES:
            raise OutOfRange(f"lines must hold at most {MOST_SERIES} series; draw a second chart")
        for line in self.lines:
            if any(len(values) not in (0, len(self.days)) for values in (line.values, line.low, line.high)):
                raise OutOfRange(f"values of {line.label} must have one value for each of the {len(self.days)} days")
        if len(self.days) < 2:
            raise OutOfRange("days must hold at least two days")


def line_chart(
    chart: Chart, written: Callable[[float], str] = "{:g}".format, width: float = 640, height: float = 280
) -> str:
    """The chart as SVG text. `written` turns an axis value into text in the reader's language."""
    room = max((svg.width_of(line.label, 13) for line in chart.lines if not line.quiet), default=0) + 30
    loud = [line for line in chart.lines if not line.quiet]
    ticks = _value_ticks(chart)
    left = max(svg.width_of(written(tick), 13) for tick in ticks) + 10
    across = Linear(0, len(chart.days) - 1, left, width - min(room, width * MOST_FOR_NAMES))
    up = Linear(ticks[0], ticks[-1], height - MARGIN_BOTTOM, MARGIN_TOP)
    inside = _axes(chart, across, up, ticks, written)
    inside += [_draw(line, "k-rule", across, up) for line in chart.lines if line.quiet]
    for index, line in enumerate(loud):
        inside += _range(line, index, across, up)
    inside += [_draw(line, f"l-{index}", across, up) for index, line in enumerate(loud)]
    inside += _levels(chart, across, up) + _days_marked(chart, across, up) + _labels(loud, across, up)
    return svg.drawing(width, height, chart.title, chart.desc, inside)


def _value_ticks(chart: Chart) -> list[float]:
    low, high = extent([values for line in chart.lines for values in (line.values, line.low, line.high)])
    held = [level.value for level in chart.levels]
    if math.isnan(low):
        low, high = (min(held), max(held)) if held else (0.0, 1.0)
    low, high = min([low, *held]), max([high, *held])
    return round_ticks(min(low, 0.0) if chart.from_zero else low, high)


def _axes(chart: Chart, across: Linear, up: Linear, ticks: list[float], written: Callable[[float], str]) -> list[str]:
    drawn = [svg.words(0, 12, chart.unit, 13)]
    for tick in ticks:
        y = up.at(tick)
        drawn.append(svg.line(across.start, y, across.end, y, "k-rule"))
        drawn.append(svg.words(across.start - 6, y + 4, written(tick), 13, text_anchor="end"))
    free = 0.0
    for on, label in chart.ticks:
        x = across.at((on - chart.days[0]).days)
        if across.start <= x <= across.end and x >= free:
            drawn.append(svg.line(x, up.start, x, up.start + 5, "k-edge"))
            drawn.append(svg.words(x, up.start + 19, label, 13, "c-ink"))
            free = x + svg.width_of(label, 13) + 8
    return drawn


def _points(values: Sequence[float], across: Linear, up: Linear) -> list[tuple[float, float]]:
    return [(across.at(index), up.at(value)) for index, value in enumerate(values)]


def _range(line: Line, index: int, across: Linear, up: Linear) -> list[str]:
    if not (line.low and line.high):
        return []
    return [svg.area(_points(line.high, across, up), _points(line.low, across, up), f"f-{index}", opacity=".18")]


def _draw(line: Line, look: str, across: Linear, up: Linear) -> str:
    points = _points(line.values, across, up)
    if not line.dots:
        return svg.path(points, look, 1 if line.quiet else 2.5)
    known = [(x, y) for x, y in points if not math.isnan(y)]
    fill = look.replace("l-", "f-")
    return svg.path(known, look, 1) + "".join(svg.tag("circle", look=fill, cx=x, cy=y, r=4) for x, y in known)


def _labels(lines: Sequence[Line], across: Linear, up: Linear) -> list[str]:
    """Each series named at its own end, moved apart where two ends meet."""
    ends = [(line, index, *_last(line.values)) for index, line in enumerate(lines)]
    shown = [(line, index, across.at(at), up.at(value)) for line, index, at, value in ends if at >= 0]
    heights = spread([y for *_, y in shown], 16)
    over = max(0.0, max(heights, default=0.0) - up.start)
    drawn = []
    for (line, index, x, _y), y in zip(shown, heights, strict=True):
        y -= over
        drawn.append(svg.plate(x + 20, y + 4, line.label, 13))
        drawn.append(svg.line(x + 6, y, x + 20, y, f"l-{index}", 4))
    return drawn


def _last(values: Sequence[float]) -> tuple[int, float]:
    """Where a series ends, and its value there; -1 when nothing is known."""
    return next(((at, values[at]) for at in reversed(range(len(values))) if not math.isnan(values[at])), (-1, math.nan))


def named_first(chart: Chart, per_character: float) -> float:
    """Room at the left that the name of a day near the first one takes."""
    near = [mark for mark in chart.marks if (mark.on - chart.days[0]).days * 8 < len(chart.days)]
    return max((per_character * len(mark.label) + 18 for mark in near), default=0.0)


def _levels(chart: Chart, across: Linear, up: Linear) -> list[str]:
    """Levels named on their line; names of levels close together stand side by side."""
    start = across.start + 4 + named_first(chart, 7.8)
    drawn, last_y, x = [], math.inf, start
    for level in sorted(chart.levels, key=lambda level: level.value):
        y = up.at(level.value)
        x = x if last_y - y < 20 else start
        drawn.append(svg.line(across.start, y, across.end, y, "k-ink", 1, stroke_dasharray="6 4"))
        drawn.append(svg.plate(x, y - 5, level.label, 13))
        last_y, x = y, x + svg.width_of(level.label, 13) + 14
    return drawn


def _days_marked(chart: Chart, across: Linear, up: Linear) -> list[str]:
    today = [Mark(chart.today, chart.today_label)] if chart.today else []
    lines, names, free = [], [], [-math.inf] * 3
    below = 18 if across.end - across.start < NARROW else 0  # there they run on under the name of the highest series
    for mark in sorted([*today, *chart.marks], key=lambda mark: mark.on):
        x = across.at((mark.on - chart.days[0]).days)
        if not across.start - 0.5 <= x <= across.end + 0.5:
            continue
        row = next((index for index, end in enumerate(free) if x > end), 2)
        y = up.end + 12 + below + 18 * row
        dash = None if mark.on == chart.today else "3 3"
        lines.append(svg.line(x, up.end, x, up.start, "k-ink", 1.5, stroke_dasharray=dash))
        wide = svg.width_of(mark.label, 13) + 8
        left = x + 3 if x + 3 + wide <= across.end or x - 3 - wide < across.start else x - 3 - wide
        names.append(svg.plate(left, y, mark.label, 13))
        free[row] = left + wide + 6
    return lines + names  # the names lie on top, or the lines of later days would strike them out
