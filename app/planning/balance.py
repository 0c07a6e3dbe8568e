"""Feed on hand against the herd's need, day by day, until the new crop can be fed and on to the next one.

Today is still to be fed. A day's need is fed as a whole; run-out is the first day that cannot be fed in full. Feed in
store loses only what storage still takes from it; new crop takes the full loss. A changed input is a what-if: call
`feed_balance` again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from app.errors import OutOfRange
from app.nutrition.lots import mean_by_mass
from app.planning.depletion import Stock, deplete, stocks_on_hand
from app.planning.estimates import DateEstimate, Estimate, unknown
from app.planning.feeding import (
    USE_CLASSES,
    Balance,
    BalanceInput,
    Delivery,
    FeedBalance,
    Figures,
    Group,
    HeadStep,
    Inclusion,
    Lot,
    MustBring,
    NewCrop,
    NewCropOutlook,
    Rules,
    Shortfall,
    Supply,
)
from app.planning.outlook import new_crop_outlook
from app.units.sentences import Quantity, Sentence

__all__ = [
    "USE_CLASSES",
    "Balance",
    "BalanceInput",
    "Delivery",
    "FeedBalance",
    "Group",
    "HeadStep",
    "Inclusion",
    "Lot",
    "MustBring",
    "NewCrop",
    "NewCropOutlook",
    "Rules",
    "Shortfall",
    "Supply",
    "feed_balance",
    "group_need_by_day",
    "steps",
]


Days = NDArray[np.int64]
"""Day ordinals."""


def feed_balance(given: BalanceInput) -> Balance:
    """Balance every feed that is eaten or on hand."""
    _check(given)
    names = {i.feed for g in given.groups for i in g.inclusions}
    names |= {lot.feed for lot in given.lots} | {supply.feed for supply in given.supplies}
    names |= {given.new_crop.feed} if given.new_crop else set()
    feeds = {feed: _one_feed(given, feed) for feed in sorted(names)}
    outlook = new_crop_outlook(given, given.new_crop, feeds[given.new_crop.feed]) if given.new_crop else None
    return Balance(given.today, feeds, outlook)


def steps(days: Days, changes: Sequence[tuple[date, float]]) -> Figures:
    """Value of a step function on each day (ordinals); 0 before the first change."""
    if not changes:
        return np.zeros(days.size)
    ordered = sorted(changes)
    starts = np.array([on.toordinal() for on, _ in ordered])
    values = np.array([0.0, *(value for _, value in ordered)])
    return values[np.searchsorted(starts, days, side="right")]


def group_need_by_day(group: Group, feed: str, days: Days) -> Figures:
    """Dry matter of a feed a group eats on each day (ordinals); NaN where its intake is not known."""
    share = steps(days, [(i.from_on, i.share_frac) for i in group.inclusions if i.feed == feed])
    eating = steps(days, [(s.from_on, s.head) for s in group.heads]) * share
    return np.where(eating == 0, 0.0, eating * group.intake_kg_d)


def _check(given: BalanceInput) -> None:
    for group in given.groups:
        if group.use_class not in USE_CLASSES:
            raise OutOfRange(f"use_class of {group.name} must be one of {', '.join(USE_CLASSES)}, for example milking")
        if any(not 0 <= i.share_frac <= 1 for i in group.inclusions):
            raise OutOfRange(f"share_frac of {group.name} must lie within 0 to 1, for example 0.25")
        if any(s.head < 0 for s in group.heads):
            raise OutOfRange(f"head of {group.name} must not be negative, for example 120")
    for lot in given.lots:
        if lot.stock_dm_kg < 0 or not 0 <= lot.spread_frac < 1:
            raise OutOfRange(
                f"stock_dm_kg and spread_frac of {lot.name} must not be negative, for example 272000 and 0.1"
            )
    if not 1 <= given.rules.horizon_d <= 1500:
        raise OutOfRange("horizon_d must lie within 1 to 1500 days, for example 500")


def _gaps(given: BalanceInput, feed: str, need: Figures) -> tuple[Sentence, ...]:
    unknown_groups = [
        Sentence("No intake is known for {group}.", group=g.name)
        for g in given.groups
        if math.isnan(g.intake_kg_d) and any(i.feed == feed and i.share_frac > 0 for i in g.inclusions)
    ]
    unknown_lots = [
        Sentence("No amount is known for {lot}.", lot=lot.name)
        for lot in given.lots
        if lot.feed == feed and math.isnan(lot.stock_dm_kg)
    ]
    if not unknown_groups and not np.any(need > 0):
        return (Sentence("No group is fed {feed} in this time.", feed=feed), *unknown_lots)
    return (*unknown_groups, *unknown_lots)


def _one_feed(given: BalanceInput, feed: str) -> FeedBalance:
    days = given.today.toordinal() + np.arange(given.rules.horizon_d)
    need = np.zeros((len(USE_CLASSES), days.size))
    for group in given.groups:
        need[USE_CLASSES.index(group.use_class)] += group_need_by_day(group, feed, days)
    gaps = _gaps(given, feed, need)
    stocks = stocks_on_hand(given, feed)
    walk = deplete(need, stocks, USE_CLASSES)
    classes = np.array([[c in s.use_classes for s in stocks] for c in USE_CLASSES], dtype=float).reshape(
        len(USE_CLASSES), len(stocks)
    )
    spread = any(lot.spread_frac for lot in given.lots if lot.feed == feed)
    ends = tuple(deplete(need, stocks_on_hand(given, feed, s), USE_CLASSES).eaten for s in (-1, 1)) if spread else ()
    whole = (need.sum(axis=0), walk.eaten.sum(axis=0), [e.sum(axis=0) for e in ends], gaps)
    lots = [lot for lot in given.lots if lot.feed == feed]
    mass = np.array([lot.stock_dm_kg for lot in lots] or [math.nan])

    def mean(values, otherwise=math.nan):
        if not lots or not np.nansum(mass):
            return otherwise
        return float(mean_by_mass(values, np.nan_to_num(mass)))

    return FeedBalance(
        feed=feed,
        first_on=given.today,
        need_kg=need,
        eaten_kg=walk.eaten,
        eaten_limits_kg=ends,
        draw_kg=walk.draw,
        stock_kg=classes @ walk.stock[:, :-1],
        lots=tuple(s.name for s in stocks),
        lot_stock_kg=walk.stock,
        lot_empty=_lot_empty(given.today, stocks, walk, gaps),
        spoiled_kg=_by_name(stocks, walk.spoiled),
        run_out={c: _run_out(given.today, need[i], walk.eaten[i], [e[i] for e in ends], gaps) for i, c in _classes()},
        cover_d={c: _cover(need[i], walk.eaten[i], [e[i] for e in ends], gaps) for i, c in _classes()},
        run_out_all=_run_out(given.today, *whole),
        cover_all_d=_cover(*whole),
        usable_kg=unknown("mass_dm", gaps[-1])
        if np.isnan(mass).any() and lots
        else _figure(_usable(stocks), "mass_dm"),
        remaining_loss_frac=mean([lot.remaining_loss_frac for lot in lots], 0.0),
        dm_frac=mean([lot.dm_frac for lot in lots]),
        ndf_frac=mean([lot.ndf_frac for lot in lots]),
        gaps=gaps,
    )


def _classes():
    return enumerate(USE_CLASSES)


def _usable(stocks: list[Stock]) -> float:
    return float(sum(s.usable_kg for s in stocks if s.first_d == 0))


def _figure(value: float, kind: str) -> Estimate:
    return Estimate(float(value), kind)


def _by_name(stocks, masses) -> dict[str, float]:
    total: dict[str, float] = {}
    for stock, mass in zip(stocks, masses, strict=True):
        total[stock.name] = total.get(stock.name, 0.0) + float(mass)
    return total


def _first_short(need: Figures, eaten: Figures) -> int | None:
    short = need - eaten > 1e-6 * np.maximum(need, 1.0)
    return int(np.argmax(short)) if short.any() else None


def _run_out(today: date, need: Figures, eaten: Figures, ends: Sequence[Figures], gaps) -> DateEstimate:
    if gaps:
        return DateEstimate(None, reason=gaps[0])
    if not np.any(need > 0):
        return DateEstimate(None, reason=Sentence("Nothing of it is fed in this time."))
    short = [_first_short(need, e) for e in (eaten, *ends)]
    dates = [today + timedelta(days=d) if d is not None else None for d in short]
    if dates[0] is None:
        last = today + timedelta(days=need.size)
        return DateEstimate(None, dates[1] if ends else None, reason=Sentence("It lasts beyond {day}.", day=last))
    return DateEstimate(dates[0], *(dates[1:] if ends else (None, None)))


def _days_covered(need: Figures, eaten: Figures) -> float:
    """Days fed, the last one in part; infinite when every day of the horizon is fed."""
    day = _first_short(need, eaten)
    return math.inf if day is None else day + float(eaten[day] / need[day])


def _cover(need: Figures, eaten: Figures, ends: Sequence[Figures], gaps) -> Estimate:
    if gaps:
        return unknown("days", gaps[0])
    if not np.any(need > 0):
        return unknown("days", Sentence("Nothing of it is fed in this time."))
    days, *limits = (_days_covered(need, e) for e in (eaten, *ends))
    if math.isinf(days):
        reason = Sentence("It lasts beyond {days}.", days=Quantity(float(need.size), "days"))
        return Estimate(math.nan, "days", low=float(need.size), reason=reason)
    return Estimate(days, "days", *(limits or (math.nan, math.nan)))


def _lot_empty(today: date, stocks, walk, gaps) -> dict[str, DateEstimate]:
    found: dict[str, DateEstimate] = {}
    for i, stock in enumerate(stocks):
        if gaps:
            found[stock.name] = DateEstimate(None, reason=gaps[0])
            continue
        gone = walk.stock[i, 1:] <= 1e-6
        gone[: int(stock.first_d)] = False
        if gone.any():
            found[stock.name] = DateEstimate(today + timedelta(days=int(np.argmax(gone))))
        else:
            last = today + timedelta(days=gone.size)
            found[stock.name] = DateEstimate(None, reason=Sentence("It lasts beyond {day}.", day=last))
    return found
