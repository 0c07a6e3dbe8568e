"""A report as lines of text for a terminal or a printer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

SECTIONS = {
    "need": "What we need",
    "ready": "When it is ready",
    "cut": "How we cut",
    "yard": "Are we ready",
    "decisions": "To decide",
    "lot": "Feed on hand, by lot",
    "supply": "Supplies",
    "field": "Fields",
    "heat": "Weather and heat",
    "assumption": "Assumptions changed by the farm",
}
UNSAID = ("day", "text", "count", "index", "yes or no")
"""Units that a reader of the label knows already."""


def report_lines(report: dict[str, Any]) -> Iterator[str]:
    """A heading per part of the board, and a line per figure."""
    yield f"{report['farm']['name']}, {report['today']}"
    section = ""
    for figure in report["figures"]:
        of = figure["key"].split(".")[0]
        if of != section:
            section = of
            yield from ("", SECTIONS[section].upper())
        yield f"{figure['label']}: {written(figure)}"


def written(figure: dict[str, Any]) -> str:
    """Value, unit, range, day and source keys; or why it is not known."""
    low, high = figure["low"], figure["high"]
    ends = f"{low if low is None else short(low)} to {high if high is None else short(high)}"
    more = (
        ends if low is not None and high is not None and low != high else "",
        f"as of {figure['as_of']}" if figure["as_of"] else "",
        "sources: " + ", ".join(figure["sources"]) if figure["sources"] else "",
        figure["reason"] or "",
    )
    said = "; ".join(part for part in more if part)
    return f"{_value(figure)} ({said})" if said else _value(figure)


def _value(figure: dict[str, Any]) -> str:
    value, unit = figure["value"], figure["unit"]
    if value is None:
        return "not known"
    if unit == "$":
        return f"${short(value)}"
    return short(value) if unit in UNSAID else f"{short(value)} {unit}"


def short(value: Any) -> str:
    """A number with about four figures, yes or no, anything else as it is."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, float):
        return str(value)
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"
