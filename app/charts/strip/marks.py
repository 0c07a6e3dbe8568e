"""The parts that the wide strip and the strip of one field share."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from app.charts import svg
from app.charts.strip.inputs import CLASS_EDGES, Days, Due, Row, Strip


@dataclass(frozen=True)
class Scale:
    """Days to the width of the picture."""

    first: date
    count: int
    left: float
    right: float

    @property
    def day(self) -> float:
        return (self.right - self.left) / self.count

    def at(self, on: date) -> float:
        """Where a day begins; days outside the axis lie on its edge."""
        return self.left + self.day * min(max((on - self.first).days, 0), self.count)

    def shows(self, on: date) -> bool:
        return 0 <= (on - self.first).days < self.count


def class_of(ndf_frac: float) -> int:
    """The tint of a feeding value, 0 the best; -1 when not known."""
    return -1 if math.isnan(ndf_frac) else bisect_right(CLASS_EDGES, ndf_frac)


def runs(ndf_frac: Sequence[float]) -> Iterator[tuple[int, int, int]]:
    """Stretches of days of one tint: (tint, first day, days)."""
    at = 0
    for tint, group in groupby(map(class_of, ndf_frac)):
        length = len(list(group))
        if tint >= 0:
            yield tint, at, length
        at += length


def tints(scale: Scale, ndf_frac: Sequence[float], y: float, height: float, past: int) -> list[str]:
    """A band of tints, one path each; what is past is drawn half as high, so that it differs without colour."""
    shapes: dict[int, str] = {}
    for tint, start, length in runs(ndf_frac):
        for begin, end, seen in ((start, min(start + length, past), True), (max(start, past), start + length, False)):
            if end > begin:
                x, wide = svg.number(scale.left + begin * scale.day), svg.number((end - begin) * scale.day)
                top, tall = (y + height / 2, height / 2) if seen else (y, height)
                shape = f"M{x} {svg.number(top)}h{wide}v{svg.number(tall)}h-{wide}z"
                shapes[tint] = shapes.get(tint, "") + shape
    return [svg.tag("path", look=f"n{tint}", d=shape) for tint, shape in shapes.items()]


def feeding_value(scale: Scale, row: Row, y: float, height: float, past: int) -> list[str]:
    """The likely value in the middle, a good year along the top edge and a bad one along the bottom."""
    if not any(not math.isnan(value) for value in row.ndf_frac):
        return []
    drawn = tints(scale, row.ndf_frac, y, height, past)
    edge = height / 5
    for values, top in ((row.ndf_low_frac, y), (row.ndf_high_frac, y + height - edge)):
        ahead = [math.nan] * past + list(values[past:])
        drawn += tints(scale, ahead, top, edge, 0) if values else []
    known = [index for index, value in enumerate(row.ndf_frac) if not math.isnan(value)]
    start = max(known[0], past)
    if known[-1] >= start:
        left, wide = scale.left + start * scale.day, (known[-1] + 1 - start) * scale.day
        drawn.append(svg.tag("rect", look="k-rule", x=left, y=y, width=wide, height=height, fill="none"))
    return drawn


def bracket(scale: Scale, days: Days | None, y: float, dashed: bool = False) -> str:
    """A range of days as a line with feet."""
    if days is None or days[1] < scale.first or not (scale.shows(days[0]) or scale.shows(days[1])):
        return ""
    x0, x1 = scale.at(days[0]), scale.at(days[1]) + (scale.day if scale.shows(days[1]) else 0)
    left, right, n = svg.number(x0), svg.number(x1), svg.number
    feet, along = f"M{left} {n(y - 3)}v6M{right} {n(y - 3)}v6", f"M{left} {n(y)}H{right}"
    if not dashed:
        return svg.tag("path", look="k-bloom", d=feet + along, stroke_width=2)
    dots = svg.tag("path", look="k-bloom", d=along, stroke_width=2, stroke_dasharray="2 3")
    return svg.tag("path", look="k-bloom", d=feet, stroke_width=2) + dots


def target_mark(scale: Scale, row: Row, y: float, height: float) -> str:
    """A notch where the field reaches its target, with its range as a line above."""
    if row.target is None or not scale.shows(row.target):
        return ""
    x = scale.at(row.target) + scale.day / 2
    drawn = svg.tag("path", look="c-ink", d=f"M{svg.number(x - 6)} {svg.number(y - 5)}h12l-6 9Z")
    drawn += svg.line(x, y, x, y + height, "k-ink", 2)
    if row.target_range:
        x0, x1 = scale.at(row.target_range[0]), scale.at(row.target_range[1]) + scale.day
        drawn += svg.line(x0, y - 4, min(x1, scale.right), y - 4, "k-ink", 2)
    return drawn


def cut_mark(scale: Scale, row: Row, y: float, height: float) -> str:
    """The planned cut as an open frame around its day."""
    if row.cut is None or not scale.shows(row.cut):
        return ""
    wide = max(scale.day, 9)
    frame = {"fill": "none", "stroke_width": 3, "x": scale.at(row.cut), "y": y - 4, "width": wide, "height": height + 8}
    return svg.tag("rect", look="k-ink", **frame)


def mark_label(scale: Scale, row: Row, base: float, size: float = 13) -> str:
    """What stands beside the cut, or, while none is planned, beside the day the target is reached."""
    on, text = (row.cut, row.cut_label) if row.cut else (row.target, row.target_label)
    if on is None or not text or not scale.shows(on):
        return ""
    x = scale.at(on) + max(scale.day, 9) + 5
    room = svg.width_of(text, size) + 8
    if x + room > scale.right:
        x = scale.at(on) - room - 5
    return svg.plate(x, base, text, size)


def weather_bars(scale: Scale, strip: Strip, base: float, height: float) -> list[str]:
    """Chance of a dry day, as bars: observed, forecast and past years differ in darkness."""
    drawn = []
    for index, (dry, kind) in enumerate(zip(strip.dry_frac, strip.weather, strict=True)):
        if not math.isnan(dry) and kind:
            tall = height * min(max(dry, 0.0), 1.0)
            drawn.append(
                svg.box(scale.left + index * scale.day + 1, base - tall, max(scale.day - 2, 1), tall, f"w-{kind}")
            )
    return drawn


def levels(scale: Scale, dues: Sequence[Due], size: float, most: int = 3) -> list[tuple[Due, int]]:
    """Due dates on as few lines as keep their labels apart."""
    ends = [-math.inf] * most
    placed = []
    for due in sorted((due for due in dues if scale.shows(due.on)), key=lambda due: due.on):
        x = scale.at(due.on)
        level = next((index for index, end in enumerate(ends) if x > end), most - 1)
        ends[level] = max(ends[level], x + svg.width_of(due.label, size) + 22)
        placed.append((due, level))
    return placed
