"""Write SVG as text: escaped, rounded, coloured by class so that themes and print can recolour it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import Any

COLOURS = {
    "c-ink": "#191917", "c-soft": "#54534a", "c-ground": "#fcfbf7", "c-wash": "#f3f1e8", "c-warn": "#8a2f12",
    "c-bloom": "#4b3b78", "k-ink": "#191917", "k-rule": "#d8d5c9", "k-edge": "#77756a", "k-bloom": "#4b3b78",
    "k-warn": "#8a2f12", "n0": "#10443c", "n1": "#2f6b52", "n2": "#6d9464", "n3": "#b2b97c", "n4": "#dccf9a",
    "n5": "#efe8cf", "w-observed": "#54534a", "w-forecast": "#7f9db4", "w-climate": "#cdd6dc",
    "f-0": "#12436d", "f-1": "#28a197", "f-2": "#801650", "f-3": "#f46a25",
    "l-0": "#12436d", "l-1": "#28a197", "l-2": "#801650", "l-3": "#f46a25",
}  # fmt: skip
"""Class -> colour of the day theme, given as an attribute too, for readers of the bare file."""

LINES = ("k-", "l-")
"""Beginnings of classes that colour a line; all others fill."""


def number(value: float) -> str:
    """A length, to a tenth of a unit."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


def tag(name: str, *inside: str, look: str = "", **attributes: object) -> str:
    """An element. `look` is a class of COLOURS; an attribute `font_size` becomes `font-size`; None is left out."""
    written = []
    for colour in look.split():
        written.append(f'{"stroke" if colour.startswith(LINES) else "fill"}="{COLOURS[colour]}"')
    if look:
        written.append(f'class="{look}"')
    for key, value in attributes.items():
        if value is not None:
            shown = number(value) if isinstance(value, int | float) else escape(str(value), quote=True)
            written.append(f'{key.rstrip("_").replace("_", "-")}="{shown}"')
    head = " ".join([name, *written])
    return f"<{head}>{''.join(inside)}</{name}>" if inside else f"<{head}/>"


def box(x: float, y: float, width: float, height: float, look: str, **more: object) -> str:
    return tag("rect", look=look, x=x, y=y, width=width, height=height, **more)


def line(x1: float, y1: float, x2: float, y2: float, look: str, width: float = 1, **more: object) -> str:
    return tag("line", look=look, x1=x1, y1=y1, x2=x2, y2=y2, stroke_width=width, **more)


def words(x: float, y: float, text: str, size: float = 13, look: str = "c-soft", **more: object) -> str:
    return tag("text", escape(text), look=look, x=x, y=y, font_size=size, **more)


def path(points: Sequence[tuple[float, float]], look: str, width: float = 2, **more: object) -> str:
    """A line through the points; it breaks where a point is not known."""
    drawn, pen_up = [], True
    for x, y in points:
        if math.isnan(x) or math.isnan(y):
            pen_up = True
            continue
        drawn.append(f"{'M' if pen_up else 'L'}{number(x)} {number(y)}")
        pen_up = False
    return tag("path", look=look, d="".join(drawn), fill="none", stroke_width=width, **more) if drawn else ""


def area(upper: Sequence[tuple[float, float]], lower: Sequence[tuple[float, float]], look: str, **more: object) -> str:
    """The space between two lines; unknown points are left out."""
    ring = [point for point in (*upper, *reversed(lower)) if not any(map(math.isnan, point))]
    if len(ring) < 3:
        return ""
    return tag("path", look=look, d="M" + "L".join(f"{number(x)} {number(y)}" for x, y in ring) + "Z", **more)


def width_of(text: str, size: float) -> float:
    """About how wide a text comes out in a usual sans-serif; wide enough to keep labels apart."""
    return 0.6 * size * len(text)


def shortened(text: str, size: float, room: float) -> str:
    """The text, cut with an ellipsis where it would not fit."""
    fits = max(1, int(room / (0.6 * size)))
    return text if len(text) <= fits else text[: fits - 1].rstrip() + "…"


def plate(x: float, y: float, text: str, size: float = 13, look: str = "c-ink") -> str:
    """A text on a patch of the ground colour, so that it reads on any tint; y is the text's base line."""
    patch = box(x, y - size, width_of(text, size) + 8, size * 1.4, "c-ground", opacity=".92")
    return patch + words(x + 4, y, text, size, look)


def drawing(width: float, height: float, title: str, desc: str, inside: Sequence[str]) -> str:
    """The whole picture, named for those who hear it; a group where it holds links, which an image may not."""
    head = [tag("title", escape(title))] + ([tag("desc", escape(desc))] if desc else [])
    viewed = f"0 0 {number(width)} {number(height)}"
    role = "group" if any("<a " in part for part in inside) else "img"
    sizes: dict[str, Any] = {"viewBox": viewed, "width": width, "height": height}
    return tag("svg", *head, *inside, xmlns="http://www.w3.org/2000/svg", **sizes, role=role, aria_label=title)
