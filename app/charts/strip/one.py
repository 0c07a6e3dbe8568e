"""The strip of one field, for a phone: the same picture, narrow, with its labels below each other."""

from __future__ import annotations

from dataclasses import replace

from app.charts import svg
from app.charts.strip import marks
from app.charts.strip.inputs import Row, Strip
from app.charts.strip.marks import Scale

WIDTH, BAR, WEATHER = 358, 30, 26


def strip_of_one(picture: Strip, row: Row) -> str:
    """One row of the season strip as SVG text, 358 units wide."""
    scale = Scale(picture.days[0], len(picture.days), 0, WIDTH)
    past = min(max((picture.today - picture.days[0]).days, 0), len(picture.days))
    sky = 46 + WEATHER
    y = sky + 28
    name = svg.words(0, 16, svg.shortened(row.name, 17, 230), 17, "c-ink", font_weight=600)
    inside = [name, svg.words(WIDTH, 16, row.detail, 15, text_anchor="end")]
    inside += [svg.words(WIDTH, 38, picture.words.dry, 13, text_anchor="end")]
    inside += marks.weather_bars(scale, picture, sky, WEATHER) + _ticks(scale, picture, sky)
    value = marks.feeding_value(scale, row, y, BAR, past)
    if value:
        inside += [*value, marks.target_mark(scale, row, y, BAR), marks.cut_mark(scale, row, y, BAR)]
        inside.append(marks.mark_label(scale, row, y + 20, 14))
    else:
        inside.append(svg.words(0, y + 20, row.reason or picture.words.unknown, 15))
    if scale.shows(picture.today):
        x = scale.at(picture.today)
        inside.append(svg.line(x, 30, x, y + BAR, "k-ink", 2))
        inside.append(svg.words(x + 4, 38, picture.words.today, 13, "c-ink", font_weight=600))
    below, height = _ranges(scale, picture, row, y + BAR)
    return svg.drawing(
        WIDTH, height, f"{row.name}. {picture.title}", " · ".join(filter(None, row.cells)), inside + below
    )


def _ticks(scale: Scale, picture: Strip, sky: float) -> list[str]:
    """As many dates as fit side by side."""
    drawn, free = [], 0.0
    for on, label in picture.ticks:
        x, wide = scale.at(on), svg.width_of(label, 13)
        if scale.shows(on) and x >= free and x + wide <= WIDTH + 8:
            drawn += [svg.line(x, sky + 4, x, sky + 20, "k-rule"), svg.words(x + 3, sky + 17, label, 13, "c-ink")]
            free = x + wide + 10
    return drawn


def _ranges(scale: Scale, picture: Strip, row: Row, y: float) -> tuple[list[str], float]:
    """Buds and first flower, each on a line of its own with its word beside it."""
    drawn: list[str] = []
    for days, label, dashed in ((row.bud, picture.words.bud, False), (row.flower, picture.words.flower, True)):
        mark = marks.bracket(scale, days, y + 14, dashed)
        if mark and days:
            wide = svg.width_of(label, 13)
            end = scale.at(days[1]) + scale.day + 8
            x = end if end + wide <= WIDTH else scale.at(days[0]) - wide - 8
            under = 16 if x < 0 else 0  # room on neither side: the words go on a line below
            drawn += [mark, svg.words(x if x >= 0 else WIDTH - wide, y + 18 + under, label, 13)]
            y += 20 + under
    return drawn, y + 10


def key_of_one(picture: Strip) -> str:
    """What the tints mean, for a narrow screen: two lines of three."""
    drawn = [svg.words(0, 14, picture.words.ndf, 13)]
    for tint, label in enumerate(picture.words.classes):
        x, y = 118 * (tint % 3), 24 + 22 * (tint // 3)
        drawn += [svg.box(x, y, 24, 14, f"n{tint} k-rule"), svg.words(x + 30, y + 12, label, 13)]
    if any(row.ndf_low_frac for row in picture.rows):
        first, colon, rest = picture.words.edges.partition(": ")
        drawn += [svg.words(0, 84, first + colon.rstrip(), 13), svg.words(0, 101, rest, 13)]
    return svg.drawing(WIDTH, 107, f"{picture.words.ndf}: {', '.join(picture.words.classes)}", "", drawn)


def each_row(picture: Strip) -> list[tuple[str, str]]:
    """(name, SVG text) of every row, for a page that shows them one below the other."""
    return [(row.name, strip_of_one(picture, replace(row, href=""))) for row in picture.rows]
