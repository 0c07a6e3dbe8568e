"""The same charts as figures for plotly in the browser: plain dictionaries, no plotly needed here."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import Any

from app.charts.axes import extent, spread
from app.charts.lines import Chart, Line, named_first

PALETTE = ("#12436D", "#28A197", "#801650", "#F46A25")
QUIET = "#B9B5A8"
INK = "#191917"
GROUND = "#FCFBF7"
"""The browser replaces these colours by those of the reader's theme (static/desk.js)."""


def line_figure(chart: Chart, height: int = 320) -> dict[str, Any]:
    """A chart over days with its ranges, marks and levels; series are named at their ends."""
    days = [day.isoformat() for day in chart.days]
    traces: list[dict[str, Any]] = [_trace(line, days, QUIET, 1) for line in chart.lines if line.quiet]
    loud = [line for line in chart.lines if not line.quiet]
    for line, colour in zip(loud, PALETTE, strict=False):
        traces += [*_range(line, days, colour), _trace(line, days, colour, 2.5)]
    layout = _layout(chart, height)
    layout["annotations"] = [*_ends(chart, loud, height), *_marks(chart), *_levels(chart)]
    layout["shapes"] = _shapes(chart)
    return {"data": traces, "layout": layout}


def _values(values: Sequence[float]) -> list[float | None]:
    """NaN is not JSON; a gap is."""
    return [None if math.isnan(value) else float(value) for value in values]


def _trace(line: Line, days: list[str], colour: str, wide: float) -> dict[str, Any]:
    trace = {
        "type": "scatter", "x": days, "y": _values(line.values), "name": line.label, "connectgaps": line.dots,
        "mode": "lines+markers" if line.dots else "lines", "line": {"color": colour, "width": wide},
        "marker": {"size": 8},
        "hovertemplate": "%{x|%d %b}: %{y:.3g}",
    }  # fmt: skip
    return trace | ({"hoverinfo": "skip", "hovertemplate": None} if line.quiet else {})


def _range(line: Line, days: list[str], colour: str) -> list[dict[str, Any]]:
    if not (line.low and line.high):
        return []
    edge = {"type": "scatter", "x": days, "mode": "lines", "line": {"width": 0}, "hoverinfo": "skip"}
    filled = {"y": _values(line.low), "fill": "tonexty", "fillcolor": f"{colour}2E"}
    return [edge | {"y": _values(line.high)}, edge | filled]


def _layout(chart: Chart, height: int) -> dict[str, Any]:
    axis = {"showgrid": True, "zeroline": False, "ticks": "outside", "automargin": True}
    ticks = {
        "tickvals": [on.isoformat() for on, _label in chart.ticks],
        "ticktext": [label for _on, label in chart.ticks],
    }
    first, last = chart.days[0].isoformat(), chart.days[-1].isoformat()
    return {
        "template": "none", "height": height, "showlegend": False, "hovermode": "x unified",
        "margin": {"l": 48, "r": _room_for_names(chart), "t": 12, "b": 32},
        "xaxis": axis | ticks | {"type": "date", "showgrid": False, "range": [first, last]},
        "yaxis": axis | {"title": {"text": chart.unit}, "rangemode": "tozero" if chart.from_zero else "normal"},
        "meta": {"title": chart.title},
    }  # fmt: skip


def _room_for_names(chart: Chart) -> float:
    """Width to the right of the drawing, where the series are named."""
    return 36 + 7 * max((len(line.label) for line in chart.lines if not line.quiet), default=0)


def _ends(chart: Chart, lines: Sequence[Line], height: int) -> list[dict[str, Any]]:
    """Series named at their ends by a short stroke of their colour; moved apart where two ends meet."""
    low, high = extent([values for line in chart.lines for values in (line.values, line.low, line.high)])
    scale = (height - 44) / ((high - min(low, 0.0) if chart.from_zero else high - low) or 1.0)
    notes = []
    for line, colour in zip(lines, PALETTE, strict=False):
        known = [(day, value) for day, value in zip(chart.days, line.values, strict=False) if not math.isnan(value)]
        if known:
            arrow = {"showarrow": True, "arrowhead": 0, "arrowwidth": 3, "arrowcolor": colour, "ax": 20, "ay": 0}
            at = {"x": known[-1][0].isoformat(), "y": float(known[-1][1]), "xanchor": "left"}
            notes.append(at | arrow | {"text": escape(line.label)})
    wanted = [-note["y"] * scale for note in notes]
    for note, here, placed in zip(notes, wanted, spread(wanted, 16), strict=True):
        note["ay"] = round(placed - here)
    return notes


def _marks(chart: Chart) -> list[dict[str, Any]]:
    """Days named above the drawing, a line lower where the name before is still running."""
    today = [(chart.today, chart.today_label)] if chart.today else []
    named = sorted([*today, *((mark.on, mark.label) for mark in chart.marks)])
    notes, free = [], [-math.inf] * 3
    per_character = len(chart.days) / 130
    for on, label in named:
        day = (on - chart.days[0]).days
        row = next((index for index, end in enumerate(free) if day > end), 2)
        free[row] = day + per_character * (len(label) + 2)
        at = {"x": on.isoformat(), "yref": "paper", "y": 1, "yshift": -17 * row, "bgcolor": GROUND}
        notes.append(at | {"text": escape(label), "xanchor": "left", "yanchor": "top", "showarrow": False})
    return notes


def _levels(chart: Chart) -> list[dict[str, Any]]:
    """Levels named on their line, one after the other so that near ones do not overlap."""
    note = {"xref": "paper", "x": 0, "xanchor": "left", "yanchor": "bottom", "showarrow": False}
    notes, shift = [], 4.0 + named_first(chart, 7.5)
    for level in chart.levels:
        notes.append(note | {"y": level.value, "text": escape(level.label), "xshift": shift})
        shift += 7.5 * len(level.label) + 14
    return notes


def _shapes(chart: Chart) -> list[dict[str, Any]]:
    upright = {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "line": {"width": 1.5, "dash": "dot", "color": INK}}
    level = {"type": "line", "xref": "paper", "x0": 0, "x1": 1, "line": {"width": 1, "dash": "dash", "color": INK}}
    days = [*([chart.today] if chart.today else []), *(mark.on for mark in chart.marks)]
    shapes = [upright | {"x0": on.isoformat(), "x1": on.isoformat()} for on in days]
    return shapes + [level | {"y0": each.value, "y1": each.value} for each in chart.levels]
