"""When the new crop can be fed, how far the old feed reaches past that day, and what first cutting must bring."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from app.nutrition.demand import mass_as_fed, mass_eaten, mass_needed, old_share_in_blend, shortfall_cost
from app.planning.depletion import deplete, stocks_on_hand
from app.planning.estimates import DateEstimate, Estimate, unknown
from app.planning.feeding import (
    USE_CLASSES,
    BalanceInput,
    FeedBalance,
    Figures,
    MustBring,
    NewCrop,
    NewCropOutlook,
    Rules,
    Shortfall,
)
from app.units.sentences import Sentence

_NOT_FED = Sentence("Nothing of it is fed in this time.")
_PAST_END = Sentence("The day lies past the days the balance looks ahead.")
_NO_PRICE = Sentence("No hay price is set.")
_NO_SEALING = Sentence("The day the new crop is sealed is not known.")


@dataclass(frozen=True)
class _Days:
    """Days from today: new crop first fed, carry-over reached, next year's new crop first fed."""

    new: int
    target: int
    next: int


def new_crop_outlook(given: BalanceInput, crop: NewCrop, fed: FeedBalance) -> NewCropOutlook:
    """The outlook for the feed the coming cutting belongs to."""
    days = _days(given, crop)
    reason = _reason(days, fed)
    shares = _old_share(given, days, fed.need_kg.shape[1])
    old_need = fed.need_kg * shares
    old = deplete(old_need, stocks_on_hand(given, fed.feed), USE_CLASSES)
    season = _season(given.rules, crop, fed, days, reason)
    new, target, again, blended, alone = _marks(days, given.rules)
    walked = (fed.eaten_kg, *fed.eaten_limits_kg)
    return NewCropOutlook(
        usable=_on(given.today, new, reason),
        alone=_on(given.today, alone, reason),
        old_share=shares,
        old_need_kg=old_need,
        old_eaten_kg=old.eaten,
        old_stock_kg=old.stock[:, :-1].sum(axis=0),
        new_need_kg=fed.need_kg - old_need,
        carry_over_d=_carry_over(fed, days, reason),
        to_new_crop=_shortfall(given, fed, fed.need_kg, walked, new, reason),
        through_blend=_shortfall(given, fed, old_need, (old.eaten,), blended, reason),
        to_target=_shortfall(given, fed, fed.need_kg, walked, target, reason),
        to_next_year=_shortfall(given, fed, fed.need_kg, walked, again, reason, brought_kg=_brought(given.rules, crop)),
        stretch=_stretch(fed, target, reason),
        must_bring={c: _must_bring(season[i], given.rules, c, reason) for i, c in enumerate(USE_CLASSES)},
        must_bring_all=_must_bring(season.sum(), given.rules, None, reason),
    )


def _days(given: BalanceInput, crop: NewCrop) -> _Days | None:
    rules = given.rules
    if crop.sealed_on is None:
        return None
    first = max(0, (crop.sealed_on - given.today).days + rules.fermentation_d)
    again = crop.next_sealed_on or _year_later(crop.sealed_on)
    return _Days(first, first + rules.carry_over_d, (again - given.today).days + rules.fermentation_d)


def _marks(days: _Days | None, rules: Rules) -> tuple[int | None, ...]:
    """Days to the new crop, the target, next year's crop, the end of the blend, and the first day without old feed."""
    if days is None:
        return (None,) * 5
    return days.new, days.target, days.next, days.new + rules.blend_d, days.new + max(rules.blend_d, 1) - 1


def _year_later(day: date) -> date:
    return day.replace(year=day.year + 1) if (day.month, day.day) != (2, 29) else date(day.year + 1, 2, 28)


def _reason(days: _Days | None, fed: FeedBalance) -> Sentence | None:
    return _NO_SEALING if days is None else fed.gaps[0] if fed.gaps else None


def _on(today: date, after: int | None, reason: Sentence | None) -> DateEstimate:
    if after is None:
        return DateEstimate(None, reason=reason)
    return DateEstimate(today + timedelta(days=after))


def _old_share(given: BalanceInput, days: _Days | None, horizon: int) -> Figures:
    if days is None:
        return np.ones(horizon)
    return old_share_in_blend(np.arange(horizon) - days.new + 1, given.rules.blend_d)


def _carry_over(fed: FeedBalance, days: _Days | None, reason: Sentence | None) -> Estimate:
    if reason or days is None:
        return unknown("days", reason or _NO_SEALING)
    cover = fed.cover_all_d
    if not cover.known:
        return Estimate(math.nan, "days", low=cover.low - days.new, reason=cover.reason)
    return Estimate(cover.value - days.new, "days", cover.low - days.new, cover.high - days.new)


def _missing(need: Figures, eaten: Figures, until: int, brought_kg: float = 0.0) -> Figures:
    """Not covered by class before a day, as eaten, after what other cuttings bring."""
    missing = np.maximum(0.0, need[:, :until].sum(axis=1) - eaten[:, :until].sum(axis=1))
    total = missing.sum()
    return missing * (max(0.0, total - brought_kg) / total) if total else missing


def _shortfall(
    given: BalanceInput,
    fed: FeedBalance,
    need: Figures,
    walked: tuple[Figures, ...],
    until: int | None,
    reason: Sentence | None,
    *,
    brought_kg: float = 0.0,
) -> Shortfall:
    if reason is None and until is not None and until > fed.need_kg.shape[1]:
        reason = _PAST_END
    on = _on(given.today, until, reason)
    if reason or until is None:
        empty = {kind: unknown(kind, reason or _NO_SEALING) for kind in ("mass_dm", "mass_af", "days", "money")}
        dry = empty["mass_dm"]
        return Shortfall(
            on, dry, dict.fromkeys(USE_CLASSES, dry), dry, dry, empty["mass_af"], empty["days"], empty["money"]
        )
    missing = [_missing(need, eaten, until, brought_kg) for eaten in walked]
    return _priced(given.rules, fed, on, missing, float(need[:, :until].sum() / max(until, 1)))


def _priced(rules: Rules, fed: FeedBalance, on: DateEstimate, missing: list[Figures], need_kg_d: float) -> Shortfall:
    by_class = missing[0]
    eaten = [float(m.sum()) for m in (by_class, *reversed(missing[1:]))]
    losses = (rules.feedout_frac, rules.refusal_frac)
    in_store = mass_needed(eaten, fed.remaining_loss_frac, *losses, convention=rules.convention)
    harvest = mass_needed(eaten, rules.storage_frac, *losses, convention=rules.convention)
    dm = rules.new_crop_dm_frac if math.isnan(fed.dm_frac) else fed.dm_frac
    cost = shortfall_cost(eaten, rules.hay_usd_kg, rules.freight_usd_kg, rules.hay_dm_frac, rules.hay_loss_frac)
    return Shortfall(
        until=on,
        eaten_kg=_ranged(eaten, "mass_dm"),
        by_class_kg={
            c: _ranged([float(m[i]) for m in (by_class, *reversed(missing[1:]))], "mass_dm")
            for i, c in enumerate(USE_CLASSES)
        },
        in_store_kg=_ranged(in_store, "mass_dm"),
        to_harvest_kg=_ranged(harvest, "mass_dm"),
        as_fed_kg=_ranged(mass_as_fed(in_store, dm), "mass_af"),
        days_d=_ranged([e / need_kg_d for e in eaten], "days") if need_kg_d else unknown("days", _NOT_FED),
        cost_usd=unknown("money", _NO_PRICE) if math.isnan(rules.hay_usd_kg) else _ranged(cost, "money"),
    )


def _ranged(values, kind: str) -> Estimate:
    """An estimate from its likely value and, where they are known, its low and high end."""
    likely, *limits = (float(v) for v in values)
    low, high = limits or (math.nan, math.nan)
    return Estimate(likely, kind, low, high)


def _stretch(fed: FeedBalance, until: int | None, reason: Sentence | None) -> Estimate:
    """Factor on every inclusion of this feed so that it lasts to the carry-over target."""
    if reason or until is None:
        return unknown("percent", reason or _NO_SEALING)
    if until > fed.need_kg.shape[1]:
        return unknown("percent", _PAST_END)
    wanted = fed.need_kg[:, :until].sum()
    fed_kg = fed.eaten_kg[:, :until].sum()
    return Estimate(float(fed_kg / wanted), "percent") if wanted else unknown("percent", _NOT_FED)


def _brought(rules: Rules, crop: NewCrop) -> float:
    """What the season's expected cuttings give to eat; nothing where no amount is expected yet."""
    masses = [m for m in (crop.mass_dm_kg, crop.later_mass_dm_kg) if not math.isnan(m)]
    losses = (rules.storage_frac, rules.feedout_frac, rules.refusal_frac)
    return float(mass_eaten(sum(masses), *losses, convention=rules.convention)) if masses else 0.0


def _season(rules: Rules, crop: NewCrop, fed: FeedBalance, days: _Days | None, reason: Sentence | None) -> Figures:
    """What first cutting must put into storage by class: the year to next year's new crop and its carry-over."""
    if reason or days is None or days.next + rules.carry_over_d > fed.need_kg.shape[1]:
        return np.full(len(USE_CLASSES), math.nan)
    eaten = _missing(fed.need_kg, fed.eaten_kg, days.next + rules.carry_over_d)
    losses = (rules.storage_frac, rules.feedout_frac, rules.refusal_frac)
    harvest = np.asarray(mass_needed(eaten, *losses, convention=rules.convention))
    if math.isnan(crop.later_mass_dm_kg):
        return harvest * crop.first_cut_share_frac
    total = harvest.sum()
    return harvest * (max(0.0, total - crop.later_mass_dm_kg) / total) if total else harvest


def _must_bring(mass_kg: float, rules: Rules, use_class: str | None, reason: Sentence | None) -> MustBring:
    ceiling = rules.ndf_ceiling_frac.get(use_class, math.nan) if use_class else math.nan
    if math.isnan(mass_kg):
        dry, wet = unknown("mass_dm", reason or _PAST_END), unknown("mass_af", reason or _PAST_END)
    else:
        dry = Estimate(float(mass_kg), "mass_dm")
        wet = Estimate(float(mass_as_fed(mass_kg, rules.new_crop_dm_frac)), "mass_af")
    no_ceiling = Sentence("No NDF ceiling is set for this class.")
    return MustBring(dry, wet, unknown("ndf", no_ceiling) if math.isnan(ceiling) else Estimate(ceiling, "ndf"))
