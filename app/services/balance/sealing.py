"""The day the coming crop is sealed: as it was, as agreed, or as projected from the fields."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import select

from app.access.work import Work
from app.planning.estimates import DateEstimate
from app.records.farms import Cutting
from app.units.sentences import Sentence

SEALED = Sentence("sealed on that day")
AGREED = Sentence("agreed start and the days of filling")
PROJECTED = Sentence("start projected from the fields and the days of filling")
LAST_YEAR = Sentence("the day of this year, for want of a start for the next one")
TRIED = Sentence("the day you try")


@dataclass(frozen=True)
class Sealing:
    """The day, with its range where it is projected, and how it is known."""

    on: DateEstimate
    says: Sentence
    next_on: date | None = None
    """Next year's sealing, where it is agreed already."""


def sealing_of(
    work: Work, farm_id: int, today: date, projected: DateEstimate, filling_d: float, fed_after_d: int
) -> Sealing:
    """Sealing of this year's first cutting; once that crop has long been fed, of next year's."""
    wanted = select(Cutting).where(
        Cutting.farm_id == farm_id, Cutting.number == 1, Cutting.year.in_((today.year, today.year + 1))
    )
    rows = {row.year: row for row in work.session.scalars(wanted)}
    this, following = _of_row(rows.get(today.year), filling_d), _of_row(rows.get(today.year + 1), filling_d)
    if this is None and projected.on is not None:
        this = Sealing(_later(projected, filling_d), PROJECTED)
    if this is None:
        return Sealing(DateEstimate(None, reason=projected.reason), PROJECTED, following.on.on if following else None)
    assert this.on.on is not None, "a sealing that was found names its day"
    if (today - this.on.on).days <= fed_after_d:
        return Sealing(this.on, this.says, following.on.on if following else None)
    return following or Sealing(DateEstimate(_year_later(this.on.on)), LAST_YEAR)


def _of_row(row: Cutting | None, filling_d: float) -> Sealing | None:
    if row is not None and row.sealed_on is not None:
        return Sealing(DateEstimate(row.sealed_on), SEALED)
    if row is None or row.starts_on is None:
        return None
    return Sealing(DateEstimate(row.starts_on + timedelta(days=round(filling_d))), AGREED)


def _later(day: DateEstimate, days_d: float) -> DateEstimate:
    step = timedelta(days=round(days_d))
    on, early, late = (each + step if each else None for each in (day.on, day.earliest, day.latest))
    return DateEstimate(on, early, late, day.reason, day.sources)


def _year_later(day: date) -> date:
    return day.replace(year=day.year + 1) if (day.month, day.day) != (2, 29) else date(day.year + 1, 2, 28)
