"""The feed balance as a chart in a reader's words: what is left day by day, and what is missing after it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from app.charts.figures import line_figure
from app.charts.lines import Chart, Line, Mark, line_chart
from app.services.balance import BalancePage, Case
from app.services.herds import CLASS_WORDS
from app.units.kinds import shown
from app.units.sentences import Sentence
from app.units.wording import Reader

LEAST_D, AFTER_D, MOST_D = 45, 12, 420
CLASSES = ("milking", "growing", "dry")
SHORT_NAMES = {"milking": Sentence("milking"), "growing": Sentence("growing"), "dry": Sentence("dry")}


@dataclass(frozen=True)
class ChartView:
    svg: str
    narrow: str
    figure: dict[str, Any]
    title: str
    table: tuple[Sequence[str], list[tuple[str, ...]]]


def balance_chart(page: BalancePage, reader: Reader) -> ChartView | None:
    """The present, or the present and what is tried; none while nothing is fed."""
    case = page.shown
    if case.feed is None or case.feed.gaps:
        return None
    count = _length(page)
    days = tuple(case.given.today + timedelta(days=n) for n in range(count))
    title = reader.say(page.tried_says or page.says)
    lines = _both(page, reader, count) if page.tried else _one(case, reader, count)
    ticks = tuple((day, reader.day(day, "short")) for day in days if day.day == 1 or (count < 100 and day.day == 15))
    chart = Chart(
        title, reader.unit("mass_dm"), days, lines, ticks, _marks(case, reader, days[-1]), today=case.given.today,
        today_label=reader.translate("today"),
    )  # fmt: skip
    written = "{:,.0f}".format
    return ChartView(
        line_chart(chart, written, 960, 300),
        line_chart(chart, written, 358, 280),
        line_figure(chart),
        title,
        _table(case, reader, days),
    )


def _length(page: BalancePage) -> int:
    """Days shown: past the last run-out and the carry-over target of both cases, within the horizon."""
    ends = []
    for case in filter(None, (page.present, page.tried)):
        horizon = case.feed.need_kg.shape[1]
        days = [case.short("target").until.on, *(each.on for each in case.feed.run_out.values())]
        ahead = max([(day - case.given.today).days for day in days if day], default=LEAST_D)
        ends.append(min(horizon, ahead + AFTER_D))
    return max(2, min(MOST_D, max(LEAST_D, *ends)), min(LEAST_D, *ends))


def _shown(values: Any, reader: Reader) -> tuple[float, ...]:
    return tuple(shown(float(value), "mass_dm", reader.units) for value in values)


def _total(case: Case) -> Any:
    return case.feed.lot_stock_kg[:, :-1].sum(axis=0) if len(case.feed.lot_stock_kg) else case.feed.need_kg[0] * 0


def _missing(case: Case) -> Any:
    """Missing so far by class, as eaten, day by day."""
    return (case.feed.need_kg - case.feed.eaten_kg).cumsum(axis=1)


def _one(case: Case, reader: Reader, count: int) -> tuple[Line, ...]:
    """What each class may still be fed from (one line where all share it), and what each misses after that."""
    fed = [i for i, c in enumerate(CLASSES) if c in case.classes]
    stock = case.feed.stock_kg[:, :count]
    alone = all(_near(stock[i], stock[fed[0]]) for i in fed)
    say = reader.say
    if alone:
        lines = [Line(reader.translate("left in store"), _shown(_total(case)[:count], reader))]
        missing = [(Sentence("missing, {who}", who=SHORT_NAMES[CLASSES[i]]), _missing(case)[i]) for i in fed]
    else:
        lines = [
            Line(say(Sentence("left for {who}", who=SHORT_NAMES[CLASSES[i]])), _shown(stock[i], reader)) for i in fed
        ]
        missing = [(Sentence("missing, all"), _missing(case).sum(axis=0))]
    lines += [Line(say(label), _shown(gone[:count], reader)) for label, gone in missing if gone[count - 1] > 1]
    return tuple(lines)


def _near(left: Any, right: Any) -> bool:
    return bool(abs(left - right).max() < 1.0)


def _both(page: BalancePage, reader: Reader, count: int) -> tuple[Line, ...]:
    pairs = (
        (page.present, "left now", "missing now"),
        (page.tried, "left as tried", "missing as tried"),
    )
    lines = []
    for case, left, missing in pairs:
        lines.append(Line(reader.translate(left), _padded(_shown(_total(case)[:count], reader), count)))
        gone = _missing(case).sum(axis=0)[:count]
        if gone[-1] > 1:
            lines.append(Line(reader.translate(missing), _padded(_shown(gone, reader), count)))
    return tuple(lines)


def _padded(values: tuple[float, ...], count: int) -> tuple[float, ...]:
    return values + (math.nan,) * (count - len(values))


def _marks(case: Case, reader: Reader, last: date) -> tuple[Mark, ...]:
    found = []
    if case.usable.on:
        found.append(Mark(case.usable.on, reader.say(Sentence("new crop fed {day}", day=case.usable.on))))
    if case.feed.run_out_all.on:
        found.append(
            Mark(case.feed.run_out_all.on, reader.say(Sentence("runs out {day}", day=case.feed.run_out_all.on)))
        )
    target = case.short("target").until.on
    if target and target != case.usable.on:
        found.append(Mark(target, reader.translate("carry-over to here")))
    return tuple(mark for mark in found if mark.on <= last)


def _table(case: Case, reader: Reader, days: Sequence[date]) -> tuple[Sequence[str], list[tuple[str, ...]]]:
    """Week by week: what is left, what each class eats in a day, and what it has missed so far."""
    fed = [(i, c) for i, c in enumerate(CLASSES) if c in case.classes]
    unit = reader.unit("mass_dm")
    heads = [reader.translate("Day"), f"{reader.translate('left in store')}, {unit}"]
    heads += [reader.say(Sentence("{who}: fed in a day, {unit}", who=CLASS_WORDS[c], unit=unit)) for _i, c in fed]
    heads += [reader.say(Sentence("{who}: missing so far, {unit}", who=CLASS_WORDS[c], unit=unit)) for _i, c in fed]
    total, missing = _total(case), _missing(case)
    rows = [
        (
            reader.day(day),
            reader.figure(float(total[n]), "mass_dm"),
            *(reader.figure(float(case.feed.eaten_kg[i][n]), "mass_dm", 2) for i, _c in fed),
            *(reader.figure(float(missing[i][n]), "mass_dm", 1) for i, _c in fed),
        )
        for n, day in enumerate(days)
        if n % 7 == 0 and n < case.feed.need_kg.shape[1]
    ]
    return heads, rows
