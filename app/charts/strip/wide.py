"""The season strip for desk, wall and paper."""

from __future__ import annotations

from app.charts import svg
from app.charts.strip import marks
from app.charts.strip.inputs import Row, Strip
from app.charts.strip.marks import Scale

WIDTH, LEFT, RIGHT = 1360, 210, 1350
ROW, BAR = 47, 22
DUE, WEATHER = 19, 30


def strip(picture: Strip) -> str:
    """The picture as SVG text: due dates, weather, one row per field, and the key in words."""
    scale = Scale(picture.days[0], len(picture.days), LEFT, RIGHT)
    dues = marks.levels(scale, picture.dues, 13)
    sky = DUE * (max((level for _due, level in dues), default=-1) + 1) + 22 + _weather_height(picture)
    top = sky + 34
    bottom = top + ROW * len(picture.rows)
    inside = [*_ticks(scale, picture, sky, bottom)]
    for index, row in enumerate(picture.rows):
        inside += _row(scale, picture, row, top + ROW * index)
    inside += (
        _dues(scale, dues, sky)
        + _sky(scale, picture, sky)
        + _today(scale, picture, sky, bottom)
        + _key(picture, bottom + 14)
    )
    return svg.drawing(WIDTH, bottom + 58, picture.title, picture.desc, inside)


def _weather_height(picture: Strip) -> int:
    return WEATHER if any(picture.weather) else 0


def _past(picture: Strip) -> int:
    return min(max((picture.today - picture.days[0]).days, 0), len(picture.days))


def _sky(scale: Scale, picture: Strip, base: float) -> list[str]:
    if not any(picture.weather):
        return []
    drawn = [svg.words(0, base - 6, picture.words.dry, 14), *marks.weather_bars(scale, picture, base, WEATHER)]
    seen = svg.words(scale.left, base - WEATHER - 8, picture.words.observed, 13)
    if "observed" in picture.weather and _past(picture) * scale.day > svg.width_of(picture.words.observed, 13) + 60:
        drawn.append(seen)
    for kind in ("forecast", "climate"):
        if kind in picture.weather:
            x = scale.left + picture.weather.index(kind) * scale.day
            label = getattr(picture.words, kind)
            drawn.append(svg.plate(x + (4 if kind == "forecast" else 0), base - WEATHER - 8, label, 13, "c-soft"))
    return drawn


def _ticks(scale: Scale, picture: Strip, sky: float, bottom: float) -> list[str]:
    drawn = []
    for on, label in picture.ticks:
        if scale.shows(on):
            x = scale.at(on)
            label = label if x + svg.width_of(label, 13) <= WIDTH + 8 else ""
            drawn += [svg.line(x, sky + 8, x, bottom, "k-rule"), svg.words(x + 3, sky + 21, label, 13, "c-ink")]
    return drawn


def _row(scale: Scale, picture: Strip, row: Row, y: float) -> list[str]:
    base = y + BAR - 2
    room = 145 if row.detail else LEFT - 12
    name = svg.words(0, base, svg.shortened(row.name, 16, room), 16, "c-ink", font_weight=600)
    if row.href:
        name = svg.tag("a", name, href=row.href)
    drawn = [name, svg.words(LEFT - 12, base, row.detail, 14, text_anchor="end")]
    value = marks.feeding_value(scale, row, y + 4, BAR, _past(picture))
    if not value:
        drawn.append(svg.line(LEFT, y + 15, RIGHT, y + 15, "k-edge", 1, stroke_dasharray="4 6"))
        drawn.append(svg.plate(scale.at(picture.today) + 8, base, row.reason or picture.words.unknown, 14, "c-soft"))
    drawn += [
        *value,
        marks.bracket(scale, row.bud, y + BAR + 9),
        marks.bracket(scale, row.flower, y + BAR + 15, dashed=True),
    ]
    drawn += [marks.target_mark(scale, row, y + 4, BAR), marks.cut_mark(scale, row, y + 4, BAR)]
    return [*drawn, marks.mark_label(scale, row, base)]


def _dues(scale: Scale, dues: list, sky: float) -> list[str]:
    drawn = []
    for due, level in dues:
        x, y = scale.at(due.on), 13 + DUE * level
        drawn.append(svg.line(x + 5, y, x + 5, sky, "k-edge", 1, stroke_dasharray="1 3"))
        drawn.append(svg.tag("rect", look="k-ink", x=x, y=y - 9, width=9, height=9, fill="none", stroke_width=2))
        drawn.append(svg.words(x + 15, y, due.label, 13, "c-ink"))
    return drawn


def _today(scale: Scale, picture: Strip, sky: float, bottom: float) -> list[str]:
    if not scale.shows(picture.today):
        return []
    x = scale.at(picture.today)
    top = sky - _weather_height(picture) - 8
    label = svg.words(x - 6, top, picture.words.today, 13, "c-ink", font_weight=600, text_anchor="end")
    return [svg.line(x, top - 10, x, bottom, "k-ink", 2), label]


def _key(picture: Strip, y: float) -> list[str]:
    """The key in words: tints on the first line, marks on the second."""
    words, x = picture.words, float(LEFT)
    drawn = [svg.words(0, y + 12, words.ndf, 13)]
    for tint, label in enumerate(words.classes):
        drawn += [
            svg.tag("rect", look=f"n{tint} k-rule", x=x, y=y, width=24, height=14),
            svg.words(x + 30, y + 12, label, 13),
        ]
        x += 48 + svg.width_of(label, 13)
    if any(row.ndf_low_frac for row in picture.rows):
        drawn.append(svg.words(x + 8, y + 12, words.edges, 13))
    x, y = float(LEFT), y + 22
    for shown, mark, label in _marks(picture, y):
        if shown:
            drawn += [
                svg.tag("g", mark, transform=f"translate({svg.number(x)} 0)"),
                svg.words(x + 34, y + 12, label, 13),
            ]
            x += 64 + svg.width_of(label, 13)
    return drawn


def _marks(picture: Strip, y: float) -> list[tuple[bool, str, str]]:
    """Each kind of mark, whether any row has it, how it looks, and its words."""
    feet = svg.line(0, y + 4, 0, y + 11, "k-bloom", 2) + svg.line(26, y + 4, 26, y + 11, "k-bloom", 2)
    flower = svg.line(0, y + 7, 26, y + 7, "k-bloom", 2, stroke_dasharray="2 3") + feet
    notch = svg.tag("path", look="c-ink", d=f"M7 {svg.number(y)}h12l-6 9Z") + svg.line(13, y, 13, y + 14, "k-ink", 2)
    notch += svg.line(0, y, 26, y, "k-ink", 2)
    frame = svg.tag("rect", look="k-ink", x=5, y=y - 1, width=16, height=16, fill="none", stroke_width=3)
    rows, words = picture.rows, picture.words
    return [
        (any(row.bud for row in rows), svg.line(0, y + 7, 26, y + 7, "k-bloom", 2) + feet, words.bud),
        (any(row.flower for row in rows), flower, words.flower),
        (any(row.target for row in rows), notch, words.target),
        (any(row.cut for row in rows), frame, words.cut),
    ]
