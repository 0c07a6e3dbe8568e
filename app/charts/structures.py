"""Storage structures drawn to one scale, with what is left in them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from app.charts import svg
from app.errors import OutOfRange

Kind = Literal["bunker", "pile", "bag", "tower", "bales"]
GAP, LABEL = 26, 54


@dataclass(frozen=True)
class Structure:
    """Outside measures in metres, the part left (0-1) and its two printed labels.

    `ramp_m` is the length of a bunker's or pile's sloping end; the open face stands on the right.
    """

    name: str
    kind: Kind
    length_m: float
    height_m: float
    left_frac: float
    label: str
    ramp_m: float = 0.0
    low_frac: float = math.nan
    high_frac: float = math.nan
    href: str = ""

    def __post_init__(self) -> None:
        for name in ("length_m", "height_m"):
            if not getattr(self, name) > 0:
                raise OutOfRange(f"{name} of {self.name} must be above 0 m, not {getattr(self, name):g}")


def structures(
    title: str,
    rows: Sequence[Structure],
    width: float = 640,
    desc: str = "",
    rule_m: float = 0.0,
    rule_label: str = "",
) -> str:
    """Side views below each other, all to one scale, dark where feed is left; SVG text.

    `rule_m` long, a measure named `rule_label` shows the scale.
    """
    if not rows:
        return svg.drawing(width, LABEL, title, desc, [])
    scale = min((width - 2) / max(row.length_m for row in rows), 120 / max(row.height_m for row in rows))
    inside, y = [], 0.0
    for row in rows:
        tall = max(row.height_m * scale, 10)
        drawn = "".join(_structure(row, y + LABEL, scale, tall, width))
        inside.append(svg.tag("a", drawn, href=row.href) if row.href else drawn)
        y += LABEL + tall + GAP
    return svg.drawing(width, y, title, desc, [*inside, *_rule(rule_m * scale, y - 4, width, rule_label)])


def _structure(row: Structure, top: float, scale: float, tall: float, width: float) -> list[str]:
    long = row.length_m * scale
    name = svg.shortened(row.name, 16, width * 0.5)
    drawn = [svg.words(0, top - 34, name, 16, "c-ink", font_weight=600)]
    drawn.append(svg.words(0, top - 16, row.label, 14))
    whole, left = _outline(row, top, long, tall, 1.0), _clamped(row.left_frac)
    drawn.append(svg.tag("path", look="c-wash k-edge", d=whole, stroke_width=1, stroke_dasharray="3 3"))
    if left > 0:
        drawn.append(svg.tag("path", look="n1", d=_outline(row, top, long, tall, left)))
    drawn += _range(row, top, long, tall)
    drawn.append(svg.line(0, top + tall, long, top + tall, "k-ink", 2))
    return drawn


def _clamped(part: float) -> float:
    return 0.0 if math.isnan(part) else min(max(part, 0.0), 1.0)


def _outline(row: Structure, top: float, long: float, tall: float, part: float) -> str:
    """The side view of what is left: lower in a tower, shorter in everything else (fed from the right)."""
    n = svg.number
    base = top + tall
    if row.kind == "tower":
        return f"M0 {n(base)}V{n(base - tall * part)}H{n(long)}V{n(base)}Z"
    ramp = _ramp(row, long, tall)
    end = length_left(long, ramp, part)
    if end < ramp:
        return f"M0 {n(base)}L{n(end)} {n(base - tall * end / ramp)}V{n(base)}Z"
    if row.kind == "bag":
        curve = min(tall / 2, end / 2)
        return f"M0 {n(base)}Q0 {n(top)} {n(curve)} {n(top)}H{n(end)}V{n(base)}Z"
    return f"M0 {n(base)}L{n(ramp)} {n(top)}H{n(end)}V{n(base)}Z"


def _ramp(row: Structure, long: float, tall: float) -> float:
    """The sloping end as drawn; a pile always has one."""
    return min(max(row.ramp_m / row.length_m * long, tall * 0.5 if row.kind == "pile" else 0.0), long / 2)


def length_left(long: float, ramp: float, part: float) -> float:
    """How far along a body with one sloping end the face stands when `part` of its side view is left."""
    whole = long - ramp / 2
    slope = ramp / 2
    area = part * whole
    return math.sqrt(2 * area * ramp) if area < slope else area + slope


def _range(row: Structure, top: float, long: float, tall: float) -> list[str]:
    """How sure the amount is: a line with feet above the face (beside it in a tower)."""
    if math.isnan(row.low_frac) or math.isnan(row.high_frac):
        return []
    low, high = _clamped(row.low_frac), _clamped(row.high_frac)
    if row.kind == "tower":
        x, y0, y1 = long + 8, top + tall * (1 - low), top + tall * (1 - high)
        feet = [svg.line(x - 4, y, x + 4, y, "k-ink", 1.5) for y in (y0, y1)]
        return [svg.line(x, y0, x, y1, "k-ink", 1.5), *feet]
    ramp = _ramp(row, long, tall)
    y, x0, x1 = top - 4, length_left(long, ramp, low), length_left(long, ramp, high)
    return [svg.line(x0, y, x1, y, "k-ink", 1.5), *(svg.line(x, y - 4, x, y + 4, "k-ink", 1.5) for x in (x0, x1))]


def _rule(long: float, y: float, width: float, label: str) -> list[str]:
    if not 0 < long < width:
        return []
    feet = [svg.line(x, y - 4, x, y, "k-edge", 1) for x in (width - long - 1, width - 1)]
    words = svg.words(width - long - 7, y, label, 13, text_anchor="end")
    return [svg.line(width - long - 1, y, width - 1, y, "k-edge", 1), *feet, words]
