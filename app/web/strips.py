"""The season strip of a farm's fields in a reader's words, for every page that shows it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from app.charts.strip import Due, Row, Strip, Words, each_row, key_of_one, strip, strip_table
from app.services.maturity import FarmMaturity, FieldMaturity, sky_of
from app.units.wording import Reader

PAST_D, LEAST_AHEAD_D, MOST_AHEAD_D = 5, 28, 60


@dataclass(frozen=True)
class StripView:
    """What `charts.strip` of layout/_chart.html takes."""

    svg: str
    ones: list[tuple[str, str]]
    key: str
    title: str
    table: tuple[Any, Any]


def season_strip(
    maturity: FarmMaturity,
    reader: Reader,
    title: str,
    *,
    href: Callable[[FieldMaturity], str] | None = None,
    dues: Sequence[Due] = (),
    fields: Sequence[FieldMaturity] | None = None,
) -> StripView:
    """The strip of all fields, or of those given; `title` says the finding in the reader's language."""
    shown = maturity.fields if fields is None else fields
    days = _days(maturity.today, shown)
    sky = sky_of(maturity.heat, days, maturity.today)
    picture = Strip(
        title,
        days,
        maturity.today,
        tuple((day, reader.day(day)) for day in days if day.weekday() == 0),
        sky.dry_frac,
        sky.kinds,
        tuple(_row(field, days, reader, href(field) if href else "") for field in shown),
        tuple(dues),
        words=strip_words(reader),
    )
    return StripView(strip(picture), each_row(picture), key_of_one(picture), title, strip_table(picture))


def _days(today: date, fields: Sequence[FieldMaturity]) -> tuple[date, ...]:
    ends = [field.reached.latest or field.reached.on for field in fields if field.reached.on]
    ahead = max((end - today).days + 6 for end in ends) if ends else LEAST_AHEAD_D
    ahead = min(max(ahead, LEAST_AHEAD_D), MOST_AHEAD_D)
    return tuple(today + timedelta(days=n) for n in range(-PAST_D, ahead + 1))


def _row(field: FieldMaturity, days: tuple[date, ...], reader: Reader, href: str) -> Row:
    each_day = (field.fed_daily, field.fed_low_daily, field.fed_high_daily)
    middle, low, high = (_on_days(field, which, days) for which in each_day)
    reached = field.reached
    target = f"{reader.figure(field.target_fed_frac, 'ndf', 0)} %"
    label = f"{target} · {reader.day(reached.on, 'short')}" if reached.on else ""
    reason = field.standing.reason or reached.reason
    return Row(
        field.name,
        reader.amount(field.area_ha, "area", 0),
        middle,
        low,
        high,
        bud=_range(field.bud),
        flower=_range(field.first_flower),
        target=reached.on,
        target_range=_range(reached),
        target_label=label,
        reason=reader.say(reason) if reason else "",
        cells=(
            reader.amount(field.area_ha, "area", 0),
            reader.figure(field.fed.value, "ndf"),
            _written(field.bud, reader),
            _written(field.first_flower, reader),
            _written(reached, reader),
            "",
        ),
        href=href,
    )


def _on_days(field: FieldMaturity, values: tuple[float, ...], days: tuple[date, ...]) -> tuple[float, ...]:
    known: Mapping[date, float] = dict(zip(field.days, values, strict=True)) if field.days else {}
    return tuple(known.get(day, math.nan) for day in days)


def _range(estimate: Any) -> tuple[date, date] | None:
    if estimate.on is None:
        return None
    return (estimate.earliest or estimate.on, estimate.latest or estimate.on)


def _written(estimate: Any, reader: Reader) -> str:
    if estimate.on is None:
        return ""
    if estimate.earliest is None or estimate.latest is None:
        return reader.day(estimate.on, "short")
    ends = f"{reader.day(estimate.earliest, 'short')} – {reader.day(estimate.latest, 'short')}"
    return f"{reader.day(estimate.on, 'short')} ({ends})"


def strip_words(reader: Reader) -> Words:
    plain, say = Words(), reader.translate
    return Words(
        today=say(plain.today),
        dry=say(plain.dry),
        observed=say(plain.observed),
        forecast=say(plain.forecast),
        climate=say(plain.climate),
        ndf=say(plain.ndf),
        classes=tuple(say(each) for each in plain.classes),
        edges=say(plain.edges),
        bud=say(plain.bud),
        flower=say(plain.flower),
        target=say(plain.target),
        cut=say(plain.cut),
        unknown=say(plain.unknown),
        heads=tuple(say(each) for each in plain.heads),
    )
