"""What the fields say about the coming cutting: when it can start and how much it brings."""

from __future__ import annotations

import math
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select

from app.access.work import Work
from app.records.farms import Farm
from app.records.feeds import Feed
from app.records.history import Change
from app.services import maturity
from app.services.checklists.start import Coming, Start

OWN_NOUNS = ("items", "checklists", "decisions", "machines")
"""Changes of these move no field."""
KEPT = 256


@dataclass(frozen=True)
class Outlook:
    """The projected start, and the tons expected where the crop's dry matter is known."""

    start: Start | None = None
    expected_af_kg: float | None = None
    dm_frac: float | None = None


_kept: OrderedDict[tuple, Outlook] = OrderedDict()


def outlook_of(work: Work, farm: Farm, coming: Coming) -> Outlook:
    """From the fields, for first cutting; worked out again only when something but the list has changed.

    Ticking must not wait for forty fields to be put together, so the last result of a farm and day is kept.
    """
    if coming.number != 1:
        return Outlook()
    today = work.today(farm.time_zone)
    key = (str(work.session.get_bind().engine.url), farm.id, today, coming.year, _last_change(work, farm.id))
    if key not in _kept:
        found = _work_out(work, farm.id, today)
        if work.told:  # what is not committed yet may be undone: keep nothing of it
            return found
        _kept[key] = found
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return _kept.get(key) or _work_out(work, farm.id, today)


def _last_change(work: Work, farm_id: int) -> int:
    wanted = select(Change.seq).where(Change.farm_id == farm_id, Change.noun.not_in(OWN_NOUNS))
    return work.session.scalar(wanted.order_by(Change.seq.desc()).limit(1)) or 0


def _work_out(work: Work, farm_id: int, today: date) -> Outlook:
    farm = maturity.farm_maturity(work, farm_id)
    start, crop = maturity.start_of(farm), maturity.expected_first_cut(farm)
    dm_frac = _haylage_dm(work, farm_id)
    known = dm_frac is not None and not math.isnan(crop.value)
    return Outlook(
        Start(start.on, False, start.earliest, start.latest) if start.on else None,
        crop.value / dm_frac if known and dm_frac else None,
        dm_frac,
    )


def _haylage_dm(work: Work, farm_id: int) -> float | None:
    """Dry matter the farm makes its haylage at, as the mean of its haylage feeds."""
    wanted = select(Feed.dm_frac).where(
        Feed.farm_id == farm_id, Feed.kind == "haylage", Feed.removed_at.is_(None), Feed.dm_frac.is_not(None)
    )
    found = [each for each in work.session.scalars(wanted) if each]
    return sum(found) / len(found) if found else None
