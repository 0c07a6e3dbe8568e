"""The cuttings of a season: which one comes next."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from app.access.work import Work
from app.records.farms import Cutting, Farm


@dataclass(frozen=True)
class Coming:
    """The cutting that comes next; `cutting` is its row where one exists."""

    year: int
    number: int
    cutting: Cutting | None


def coming_cutting(work: Work, farm: Farm) -> Coming:
    """The first cutting of this year that is not sealed yet; after the last one, next year's first."""
    year = work.today(farm.time_zone).year
    wanted = select(Cutting).where(Cutting.farm_id == farm.id, Cutting.year.in_((year, year + 1)))
    rows = {(row.year, row.number): row for row in work.session.scalars(wanted)}
    for number in range(1, farm.cuts_count + 1):
        row = rows.get((year, number))
        if row is None or row.sealed_on is None:
            return Coming(year, number, row)
    return Coming(year + 1, 1, rows.get((year + 1, 1)))
