"""What the samples of a lot say together: means with their error, indices worked out again, class and flags."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import numpy as np
from sqlalchemy import select

from app.access.gate import access_farm
from app.access.work import Work
from app.nutrition.lab import ANALYTES
from app.nutrition.lots import (
    LotClass,
    half_way,
    lot_use_class,
    sample_mean,
    sample_spread,
    standard_error,
)
from app.records.feeds import Feed, Lot
from app.records.samples import Sample, SampleValue
from app.services.samples.flags import Flag, flags_of
from app.services.samples.indices import Indices, indices_of
from app.services.samples.values import dry_matter
from app.units.sentences import Quantity, Sentence

CLEAR = 2.0
"""A slope counts as a trend from twice its own standard error on (common practice, no source)."""


@dataclass(frozen=True)
class Mean:
    """One analyte over the samples of a lot, in kept unit and basis."""

    code: str
    name: Sentence
    kind: str
    mean: float
    sd: float = math.nan
    se: float = math.nan
    n: int = 0
    low: float = math.nan
    high: float = math.nan
    newest: float = math.nan
    newest_on: date | None = None
    working: float = math.nan
    """Half of the way from the mean before to a single newest result; NaN where the rule does not apply."""
    methods: tuple[str, ...] = ()
    trend: Sentence | None = None

    @property
    def known(self) -> bool:
        return self.n > 0


HAY_CROPS = ("haylage", "hay")
"""Kinds of feed that RFV, RFQ and the use classes are made for."""


@dataclass(frozen=True)
class Result:
    """One sample's values by code, in kept units and bases."""

    sample_id: int
    sampled_on: date
    values: Mapping[str, float]
    methods: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class LotQuality:
    """What is known about a lot's quality. `dm`, `ndf`, `cp` and `rfv` are means; `n` is 0 where nothing is known."""

    lot_id: int
    samples_count: int
    latest_on: date | None
    means: Mapping[str, Mean]
    rfv: Mean
    """Worked out again from ADF and NDF; the lab's own where one of them is missing."""
    rfq: Mean
    use_class: LotClass
    flags: tuple[Flag, ...]
    results: tuple[Result, ...] = ()
    indices: tuple[Indices, ...] = ()
    is_hay_crop: bool = True
    """RFV, RFQ and the use classes are made for haylage and hay; other feeds have none."""

    def of(self, code: str) -> Mean:
        return self.means.get(code) or unmeasured(code)

    @property
    def dm(self) -> Mean:
        return self.of("DM")

    @property
    def ndf(self) -> Mean:
        """NDF; ash-free NDF where only that was measured."""
        return self.means.get("aNDF") or self.of("aNDFom")

    @property
    def cp(self) -> Mean:
        return self.of("CP")

    @property
    def one_sample_only(self) -> bool:
        return self.samples_count == 1


def unmeasured(code: str) -> Mean:
    analyte = ANALYTES[code]
    return Mean(code, analyte.name, analyte.shown_as, math.nan)


def lot_quality(work: Work, farm_id: int) -> dict[int, LotQuality]:
    """Quality of every lot with samples, by lot, in one query whatever the number of samples."""
    access_farm(work, farm_id)
    found: dict[tuple[int, bool], list[Result]] = {}
    for lot_id, kind, result in _results(work, farm_id):
        found.setdefault((lot_id, kind in HAY_CROPS), []).append(result)
    return {
        lot_id: quality_of(lot_id, results, is_hay_crop=is_hay_crop) for (lot_id, is_hay_crop), results in found.items()
    }


def quality_of_lot(work: Work, farm_id: int, lot_id: int, grass_frac: float = 0.0) -> LotQuality:
    """Quality of one lot, with indices by the equations of its dominant species."""
    found = _results(work, farm_id, lot_id)
    results = [result for _lot, _kind, result in found]
    return quality_of(lot_id, results, grass_frac, all(kind in HAY_CROPS for _lot, kind, _result in found))


def _results(work: Work, farm_id: int, lot_id: int | None = None) -> list[tuple[int, str, Result]]:
    wanted = (
        select(
            Sample.lot_id,
            Feed.kind,
            Sample.id,
            Sample.sampled_on,
            SampleValue.analyte,
            SampleValue.value,
            SampleValue.method,
        )
        .join(Lot, Lot.id == Sample.lot_id)
        .join(Feed, Feed.id == Lot.feed_id)
        .outerjoin(SampleValue, SampleValue.sample_id == Sample.id)
        .where(Sample.farm_id == farm_id, Sample.removed_at.is_(None), Sample.lot_id.is_not(None))
        .order_by(Sample.sampled_on, Sample.id)
    )
    if lot_id is not None:
        wanted = wanted.where(Sample.lot_id == lot_id)
    found: dict[int, tuple[Any, str, Result]] = {}
    for lot, kind, sample_id, sampled_on, code, value, method in work.session.execute(wanted):
        result = found.setdefault(sample_id, (lot, kind, Result(sample_id, sampled_on, {}, {})))[2]
        if code in ANALYTES:
            result.values[code] = value  # type: ignore[index]
            result.methods[code] = method  # type: ignore[index]
    for _lot, _kind, result in found.values():
        dm = dry_matter(result.values)
        if dm is not None:
            result.values.setdefault("DM", dm)  # type: ignore[attr-defined]
    return list(found.values())


def quality_of(lot_id: int, results: Iterable[Result], grass_frac: float = 0.0, is_hay_crop: bool = True) -> LotQuality:
    """Means, indices, class and flags of one lot from its samples."""
    results = tuple(results)
    means = {code: mean_of(code, results) for code in ANALYTES if any(code in each.values for each in results)}
    judged = results if is_hay_crop else ()
    indices = tuple(indices_of(each.sample_id, each.sampled_on, each.values, grass_frac) for each in judged)
    return LotQuality(
        lot_id,
        len(results),
        max((each.sampled_on for each in results), default=None),
        means,
        _index_mean("RFV", judged, {each.sample_id: each.rfv for each in indices}),
        _index_mean("RFQ", judged, {each.sample_id: each.rfq for each in indices}),
        class_of(means, results) if is_hay_crop else LotClass(None, ()),
        flags_of({code: mean.mean for code, mean in means.items()}, {c: m.high for c, m in means.items()}, grass_frac),
        results,
        indices,
        is_hay_crop,
    )


def mean_of(code: str, results: tuple[Result, ...]) -> Mean:
    """One analyte over all samples; a code holds one number of hours, so hours never mix."""
    rows = [(each.sampled_on, each.values[code]) for each in results if code in each.values]
    methods = tuple(sorted({each.methods.get(code, "") for each in results if code in each.values} - {""}))
    return _mean(code, rows, methods)


def _mean(code: str, rows: list[tuple[date, float]], methods: tuple[str, ...] = ()) -> Mean:
    if not rows:
        return unmeasured(code)
    analyte = ANALYTES[code]
    values = [value for _day, value in rows]
    newest_on = max(day for day, _value in rows)
    newest = [value for day, value in rows if day == newest_on]
    before = [value for day, value in rows if day < newest_on]
    working = float(half_way(sample_mean(before), newest[0])) if before and len(newest) == 1 else math.nan
    return Mean(
        code, analyte.name, analyte.shown_as, float(sample_mean(values)), float(sample_spread(values)),
        float(standard_error(values)), len(values), min(values), max(values), float(sample_mean(newest)), newest_on,
        working, methods, trend_of(rows, analyte.shown_as),
    )  # fmt: skip


def trend_of(rows: list[tuple[date, float]], kind: str) -> Sentence | None:
    """Rising or falling over at least three days of sampling, when the slope is twice its standard error."""
    days = np.array([day.toordinal() for day, _value in rows], dtype=float)
    values = np.array([value for _day, value in rows])
    if len(np.unique(days)) < 3:
        return None
    away = days - days.mean()
    slope = float(away @ values / (away @ away))
    left = values - values.mean() - slope * away
    error = math.sqrt(float(left @ left) / (len(rows) - 2) / float(away @ away))
    if abs(slope) < CLEAR * error or slope == 0:
        return None
    per_30_d = Quantity(abs(30 * slope), kind)
    text = "rising, {by} in 30 days" if slope > 0 else "falling, {by} in 30 days"
    return Sentence(text, by=per_30_d)


def _index_mean(code: str, results: tuple[Result, ...], ours: Mapping[int, float]) -> Mean:
    rows = []
    for each in results:
        value = ours.get(each.sample_id, math.nan)
        value = each.values.get(code, math.nan) if math.isnan(value) else value
        if not math.isnan(value):
            rows.append((each.sampled_on, value))
    return _mean(code, rows)


def class_of(means: Mapping[str, Mean], results: tuple[Result, ...]) -> LotClass:
    """Suggested class: means place it; for butyric acid, pH and nitrate the highest single result counts."""

    def mean(*codes: str) -> float:
        return next((means[code].mean for code in codes if code in means), math.nan)

    def highest(code: str) -> float:
        return means[code].high if code in means else math.nan

    bound = [each.values["ADICP"] / each.values["CP"] for each in results if {"ADICP", "CP"} <= set(each.values)]
    return lot_use_class(
        mean("aNDFom", "aNDF"),
        protein_frac=mean("CP"),
        ndfd30_frac=mean("NDFD30"),
        undigested_frac=mean("uNDF240"),
        ash_frac=mean("ASH"),
        butyric_frac=highest("BUT"),
        ph_index=highest("PH"),
        nitrate_n_ppm=highest("NO3N"),
        bound_protein_frac=float(np.mean(bound)) if bound else math.nan,
    )
