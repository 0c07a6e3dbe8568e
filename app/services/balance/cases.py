"""One balance with everything the pages say about it: run-out, the new crop, what is short, what must come in."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.nutrition.demand import Convention
from app.planning.balance import feed_balance
from app.planning.estimates import DateEstimate, Estimate, unknown
from app.planning.feeding import USE_CLASSES, Balance, BalanceInput, FeedBalance, MustBring, NewCropOutlook, Shortfall
from app.services.balance.inputs import NO_HAYLAGE
from app.services.balance.sealing import Sealing
from app.units.sentences import Sentence

NEED_SOURCES = ("AmaralPhillips2026", "Weiss2004", "Eastridge2024")
UNTIL = {
    "new_crop": Sentence("to the new crop"),
    "target": Sentence("with the carry-over wanted"),
    "next_year": Sentence("to next year's new crop"),
}


@dataclass(frozen=True)
class Short:
    """What is missing up to a day: as eaten, in store (dry and as fed), in days of feed and in money."""

    key: str
    label: Sentence
    until: DateEstimate
    eaten: Estimate
    dm: Estimate
    af: Estimate
    days: Estimate
    cost: Estimate
    harvest: Estimate
    """What would have to go into storage to close it."""
    by_class: Mapping[str, Estimate]

    @property
    def is_short(self) -> bool:
        return self.dm.known and self.dm.value > 0.5


@dataclass(frozen=True)
class Must:
    """What first cutting must put into storage for a class (or, with `use_class` empty, in all)."""

    use_class: str
    dm: Estimate
    af: Estimate
    ndf_ceiling: Estimate


Spread = tuple[float, float]
"""Low and high end of a group's intake as ratios of the likely one."""


@dataclass(frozen=True, eq=False)
class Case:
    """A balance with the present values, or with those someone tries."""

    given: BalanceInput
    sealing: Sealing
    balance: Balance
    feed: FeedBalance | None
    outlook: NewCropOutlook | None
    usable: DateEstimate
    shorts: tuple[Short, ...]
    carry_over: Estimate
    must: tuple[Must, ...]
    must_all: Must
    reason: Sentence | None
    spreads: tuple[Spread, ...] = ()

    def short(self, key: str) -> Short:
        return next(each for each in self.shorts if each.key == key)

    @property
    def need_day_kg(self) -> float:
        """Dry matter of the feed eaten today, all classes."""
        return float(self.feed.need_kg[:, 0].sum()) if self.feed else math.nan

    @property
    def classes(self) -> tuple[str, ...]:
        """Use classes that are fed it at some time."""
        if self.feed is None:
            return ()
        return tuple(c for i, c in enumerate(USE_CLASSES) if self.feed.need_kg[i].any())


def make_case(given: BalanceInput, sealing: Sealing, spreads: tuple[Spread, ...] = ()) -> Case:
    """Balance the input as is likely; for the range also at each end of sealing, intakes and amounts."""
    balance = feed_balance(given)
    if given.new_crop is None or balance.outlook is None:
        return _empty(given, sealing, balance)
    outlook = balance.outlook
    days = [day for day in (sealing.on.earliest, sealing.on.latest) if day and day != sealing.on.on]
    ends = [_sealed(given, day) for day in days]
    if any(low != high for low, high in spreads):
        ends += [_eating(given, [spread[end] for spread in spreads]) for end in (0, 1)]
    if any(lot.spread_frac for lot in given.lots):
        ends += [_stocked(given, sign) for sign in (-1, 1)]
    sides = [feed_balance(end).outlook for end in ends]
    every = [outlook, *(side for side in sides if side)]
    feed = balance.feeds[given.new_crop.feed]
    must = tuple(_must(c, [each.must_bring[c] for each in every]) for c in USE_CLASSES)
    must_all = _must("", [each.must_bring_all for each in every])
    return Case(
        given,
        sealing,
        balance,
        feed,
        outlook,
        _usable(outlook, sealing, given),
        tuple(_short(key, [getattr(each, f"to_{key}") for each in every]) for key in UNTIL),
        _envelope([each.carry_over_d for each in every]),
        must,
        replace(must_all, ndf_ceiling=_lowest(must)),
        feed.gaps[0] if feed.gaps else sealing.on.reason if sealing.on.on is None else None,
        spreads,
    )


def _empty(given: BalanceInput, sealing: Sealing, balance: Balance) -> Case:
    def nothing(kind: str) -> Estimate:
        return unknown(kind, NO_HAYLAGE)

    dry = nothing("mass_dm")
    none = DateEstimate(None, reason=NO_HAYLAGE)
    shorts = tuple(
        Short(key, label, none, dry, dry, nothing("mass_af"), nothing("days"), nothing("money"), dry, {})
        for key, label in UNTIL.items()
    )
    must = Must("", dry, nothing("mass_af"), nothing("ndf"))
    return Case(given, sealing, balance, None, None, none, shorts, nothing("days"), (), must, NO_HAYLAGE)


def _sealed(given: BalanceInput, day: date) -> BalanceInput:
    return replace(given, new_crop=replace(given.new_crop, sealed_on=day)) if given.new_crop else given


def _eating(given: BalanceInput, ratios: list[float]) -> BalanceInput:
    groups = (replace(g, intake_kg_d=g.intake_kg_d * r) for g, r in zip(given.groups, ratios, strict=True))
    return replace(given, groups=tuple(groups))


def _stocked(given: BalanceInput, sign: int) -> BalanceInput:
    """Every lot at one end of its measuring error."""
    lots = (
        replace(lot, stock_dm_kg=lot.stock_dm_kg * (1 + sign * lot.spread_frac), spread_frac=0.0) for lot in given.lots
    )
    return replace(given, lots=tuple(lots))


def _usable(outlook: NewCropOutlook, sealing: Sealing, given: BalanceInput) -> DateEstimate:
    """The day the new crop is first fed, with the range of its sealing."""
    after = timedelta(days=given.rules.fermentation_d)
    on = outlook.usable.on
    if on is None:
        return DateEstimate(None, reason=sealing.on.reason or outlook.usable.reason)
    ends = (sealing.on.earliest, sealing.on.latest)
    early, late = (max(day + after, given.today) if day else None for day in ends)
    return DateEstimate(on, early, late, sealing.on.reason, sealing.on.sources)


def _envelope(each: list[Estimate]) -> Estimate:
    """The likely value, from the lowest to the highest of what the range of sealing and measuring gives."""
    likely = each[0]
    if not likely.known:
        return likely
    values = [v for one in each for v in (one.value, one.low, one.high) if not math.isnan(v)]
    low, high = min(values), max(values)
    if low == high:
        low = high = math.nan
    return Estimate(likely.value, likely.kind, low, high, None, likely.sources or NEED_SOURCES)


def _short(key: str, each: list[Shortfall]) -> Short:
    def of(name: str) -> Estimate:
        return _envelope([getattr(one, name) for one in each])

    by_class = {c: _envelope([one.by_class_kg[c] for one in each]) for c in USE_CLASSES}
    return Short(
        key,
        UNTIL[key],
        each[0].until,
        of("eaten_kg"),
        of("in_store_kg"),
        of("as_fed_kg"),
        of("days_d"),
        of("cost_usd"),
        of("to_harvest_kg"),
        by_class,
    )


def _must(use_class: str, each: list[MustBring]) -> Must:
    def of(name: str) -> Estimate:
        return _envelope([getattr(one, name) for one in each])

    return Must(use_class, of("mass_dm_kg"), of("mass_af_kg"), each[0].ndf_ceiling_frac)


def _lowest(must: tuple[Must, ...]) -> Estimate:
    """The lowest ceiling of the classes that need some of it."""
    needing = [each.ndf_ceiling for each in must if each.dm.known and each.dm.value > 0 and each.ndf_ceiling.known]
    return min(needing, key=lambda each: each.value, default=unknown("ndf", Sentence("No class needs any of it.")))


def other_convention(case: Case) -> Case:
    """The same input with the other way of putting a loss on a need."""
    rules = case.given.rules
    other = Convention.MULTIPLY if rules.convention is Convention.DIVIDE else Convention.DIVIDE
    return make_case(replace(case.given, rules=replace(rules, convention=other)), case.sealing, case.spreads)
