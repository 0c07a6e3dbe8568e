"""How stocks run down under a daily need, class by class, without a loop over every day."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.nutrition.demand import loss_multiplier, mass_eaten
from app.planning.feeding import USE_CLASSES, BalanceInput, Figures

_ENOUGH = 1e-7


@dataclass(frozen=True)
class Stock:
    """What of a stock will be eaten, who may eat it, and between which days (counted from today, the last not in).

    `per_eaten` is the dry matter taken out of the store for each unit eaten.
    """

    name: str
    usable_kg: float
    per_eaten: float
    use_classes: tuple[str, ...]
    first_d: float
    last_d: float


@dataclass(frozen=True, eq=False)
class Walk:
    """Eaten and drawn by class and day; DM of each stock at the start of each day and after the last; spoiled DM."""

    eaten: Figures
    draw: Figures
    stock: Figures
    spoiled: Figures


def stocks_on_hand(given: BalanceInput, feed: str, scale: int = 0) -> list[Stock]:
    """Lots and deliveries as usable stocks, those with the fewest classes and the shortest life first."""
    rules, start = given.rules, given.today.toordinal()

    def stock(name, mass, loss, classes, first, last):
        losses = (loss, rules.feedout_frac, rules.refusal_frac)
        factor = float(loss_multiplier(*losses, convention=rules.convention))
        return Stock(name, float(mass_eaten(mass, *losses, convention=rules.convention)), factor, classes, first, last)

    found = [
        stock(
            lot.name,
            lot.stock_dm_kg * (1 + scale * lot.spread_frac),
            lot.remaining_loss_frac,
            lot.use_classes or USE_CLASSES,
            max(0, lot.available_from.toordinal() - start) if lot.available_from else 0,
            math.inf,
        )
        for lot in given.lots
        if lot.feed == feed
    ]
    for supply in (s for s in given.supplies if s.feed == feed):
        for due in supply.deliveries:
            first = due.on.toordinal() - start
            if first + supply.life_d > 0:
                classes = supply.use_classes or USE_CLASSES
                found.append(
                    stock(supply.name, due.mass_dm_kg, supply.loss_frac, classes, max(0, first), first + supply.life_d)
                )
    return sorted(found, key=lambda s: (s.last_d, len(s.use_classes), s.first_d))


def deplete(need_kg: Figures, stocks: Sequence[Stock], classes: Sequence[str]) -> Walk:
    """Feed each class from the first stock in the given order that it may eat and that is there.

    Whole stretches of days in which no stock runs out are fed at once; only a day on which one does is shared out by
    hand, in the order of the classes, each class taking what is left.
    """
    need = np.nan_to_num(need_kg)
    days = need.shape[1]
    summed = np.concatenate([np.zeros((len(need), 1)), np.cumsum(need, axis=1)], axis=1)
    left = np.nan_to_num(np.array([s.usable_kg for s in stocks], dtype=float))
    taken = np.zeros((len(need), len(stocks), days))
    allowed = [[i for i, s in enumerate(stocks) if name in s.use_classes] for name in classes]
    edges = sorted({int(np.ceil(x)) for s in stocks for x in (s.first_d, s.last_d) if 0 < x < days} | {days})
    spoiled = np.zeros(len(stocks))
    spoil_day = np.full(len(stocks), days)
    day = 0
    for edge in edges:
        there = [s.first_d <= day < s.last_d for s in stocks]
        while day < edge:
            ready = [[i for i in row if there[i] and left[i] > _ENOUGH] for row in allowed]
            day = _stretch(need, summed, left, taken, ready, day, edge)
            if day < edge:
                _share_out(need[:, day], left, taken[:, :, day], ready)
                day += 1
        for i, s in enumerate(stocks):
            if s.last_d <= day and spoil_day[i] == days and left[i] > 0:
                spoiled[i], left[i], spoil_day[i] = left[i] * s.per_eaten, 0.0, day
    return _walk(taken, stocks, spoiled, spoil_day, days)


def _stretch(need, summed, left, taken, ready, day, edge) -> int:
    """Feed whole days until a stock would run short; the day reached."""
    users: dict[int, list[int]] = {}
    for c, row in enumerate(ready):
        if row and summed[c, edge] > summed[c, day]:
            users.setdefault(row[0], []).append(c)
    count = edge - day
    for i, eaters in users.items():
        wanted = summed[eaters, day + 1 : edge + 1].sum(axis=0) - summed[eaters, day].sum()
        count = min(count, int(np.searchsorted(wanted, left[i] + _ENOUGH, side="right")))
    for i, eaters in users.items():
        fed = need[eaters, day : day + count]
        taken[eaters, i, day : day + count] = fed
        left[i] = max(0.0, left[i] - fed.sum())
    return day + count


def _share_out(wanted, left, taken, ready) -> None:
    """Feed one day class by class from whatever is there."""
    for c, row in enumerate(ready):
        missing = wanted[c]
        for i in row:
            part = min(missing, left[i])
            taken[c, i] += part
            left[i] -= part
            missing -= part
            if missing <= 0:
                break


def _walk(taken, stocks, spoiled, spoil_day, days) -> Walk:
    per_eaten = np.array([s.per_eaten for s in stocks], dtype=float)
    usable = np.nan_to_num(np.array([s.usable_kg for s in stocks], dtype=float))
    out = taken.sum(axis=0) * per_eaten[:, None]
    stock = (usable * per_eaten)[:, None] - np.concatenate([np.zeros((len(stocks), 1)), np.cumsum(out, axis=1)], axis=1)
    when = np.arange(days + 1)
    stock = np.where(when >= spoil_day[:, None], stock - spoiled[:, None], stock) if len(stocks) else stock
    first = np.array([s.first_d for s in stocks], dtype=float).reshape(-1, 1)
    stock = np.where(when < first, 0.0, np.maximum(stock, 0.0)) if len(stocks) else stock
    return Walk(taken.sum(axis=1), np.einsum("cld,l->cd", taken, per_eaten), stock, spoiled)
