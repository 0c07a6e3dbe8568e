"""When the crop is ready, as the board says it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from statistics import median

from app.access.work import Work
from app.planning.estimates import DateEstimate, Estimate, unknown
from app.services import weather
from app.services.maturity.farm import FarmMaturity, farm_maturity
from app.services.maturity.field import NO_SCOUTING, NO_WEATHER, FieldMaturity
from app.units.sentences import Sentence


@dataclass(frozen=True)
class MaturityBoard:
    """What the board says about when the crop is ready."""

    says: Sentence
    start: DateEstimate
    first: FieldMaturity | None
    last: FieldMaturity | None
    heat: Estimate
    ahead_d: float
    """Days the heat is ahead of the middle past year; behind is negative, NaN not known."""
    ahead_says: Sentence | None
    fields_count: int
    scouted_count: int
    as_of: date | None
    """Newest scouting, or, without one, newest day of weather."""
    notes: tuple[Sentence, ...]


def projected_start(work: Work, farm_id: int) -> DateEstimate:
    """The start of first cutting: the middle of the days on which fields are ready to be started, with its range."""
    return start_of(farm_maturity(work, farm_id))


def start_of(maturity: FarmMaturity) -> DateEstimate:
    """The same from fields already put together."""
    starts = [field.start for field in maturity.fields if field.start.known]
    if not starts:
        return DateEstimate(None, reason=_why_no_start(maturity))

    def middle(days: list[date]) -> date:
        return date.fromordinal(round(median(day.toordinal() for day in days)))

    early = middle([day for each in starts if (day := each.earliest or each.on)])
    late = middle([day for each in starts if (day := each.latest or each.on)])
    reason = next((each.reason for each in starts if each.reason), None)
    return DateEstimate(middle([each.on for each in starts if each.on]), early, late, reason, starts[0].sources)


def maturity_board(work: Work, farm_id: int) -> MaturityBoard:
    """The board's sentence on when the crop is ready, with its figures."""
    return board_of(farm_maturity(work, farm_id))


def board_of(maturity: FarmMaturity) -> MaturityBoard:
    known = (field for field in maturity.fields if field.reached.known)
    dated = sorted(known, key=lambda field: field.reached.on or date.max)
    start = start_of(maturity)
    first, last = (dated[0], dated[-1]) if dated else (None, None)
    total = maturity.heat.ensemble.observed_c_d if maturity.heat.ensemble else math.nan
    ahead_d = weather.days_ahead(maturity.heat)
    scouted = [field.reading.scouted_on for field in maturity.fields if field.reading]
    return MaturityBoard(
        _board_says(maturity, first, last, start),
        start,
        first,
        last,
        unknown("heat", NO_WEATHER) if math.isnan(total) else Estimate(total, "heat"),
        ahead_d,
        weather.ahead_sentence(ahead_d),
        len(maturity.fields),
        len(scouted),
        max(scouted, default=maturity.heat.last_observed_on),
        tuple(_board_notes(maturity)),
    )


def _why_no_start(maturity: FarmMaturity) -> Sentence:
    if not maturity.fields:
        return Sentence("No field is on file yet.")
    if maturity.heat.ensemble is None:
        return NO_WEATHER
    return next((field.reached.reason for field in maturity.fields if field.reached.reason), NO_SCOUTING)


def _board_says(
    maturity: FarmMaturity, first: FieldMaturity | None, last: FieldMaturity | None, start: DateEstimate
) -> Sentence:
    if first is None or last is None:
        return start.reason or NO_WEATHER
    passed = [field for field in maturity.fields if field.status == "past"]
    if passed:
        return Sentence(
            "{n} of {all} fields are at their target or past it; the last, {last}, reaches it on {day}.",
            n=len(passed),
            all=len(maturity.fields),
            last=last.name,
            day=last.reached.on,
        )
    if first is last:
        return Sentence("{first} reaches its target on {day}.", first=first.name, day=first.reached.on)
    return Sentence(
        "{first} first on {first_day}, {last} last on {last_day}.",
        first=first.name,
        first_day=first.reached.on,
        last=last.name,
        last_day=last.reached.on,
    )


def _board_notes(maturity: FarmMaturity):
    incomplete = [field.name for field in maturity.fields if field.status == "incomplete"]
    if incomplete:
        yield Sentence("Incomplete scouting: {names}.", names=", ".join(incomplete[:4]))
    by_heat = [field.name for field in maturity.fields if field.rests_on == "heat"]
    if by_heat:
        yield Sentence("{n} of {all} fields rest on heat alone.", n=len(by_heat), all=len(maturity.fields))


def expected_first_cut(maturity: FarmMaturity) -> Estimate:
    """Dry matter first cutting is expected to bring, all fields together. [kg]"""
    parts = [(field.area_ha, field.yields.first_cut) for field in maturity.fields]
    if not parts:
        return unknown("mass_dm", Sentence("No field is on file yet."))
    if any(not each.known for _area, each in parts):
        return unknown("mass_dm", maturity.fields[0].yields.share_says)
    sums = [math.fsum(area * getattr(each, end) for area, each in parts) for end in ("value", "low", "high")]
    return Estimate(sums[0], "mass_dm", sums[1], sums[2], None, ("Blonde2018",))
