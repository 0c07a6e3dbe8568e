"""Ways to make the old feed last, each tried on the balance itself, the one that saves most money first.

Feeding less of it for longer is better than dropping it at once [Shaver2026]_.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from app.nutrition.demand import mass_as_fed, mass_needed, shortfall_cost
from app.nutrition.ranges import SHARE
from app.planning.balance import feed_balance
from app.planning.estimates import Estimate, unknown
from app.planning.feeding import Balance, BalanceInput, Delivery, FeedBalance, Group, NewCropOutlook, Supply
from app.units.sentences import Quantity, Sentence


@dataclass(frozen=True)
class StretchLimits:
    """How far each way may go; shares as fractions, prices of dry matter."""

    sold_frac: float = 0.05
    feedout_to_frac: float = 0.02
    refusal_to_frac: float = 0.02
    lowest_inclusion_frac: float = 0.75
    replaced_frac: float = 0.50
    straw_ndf_frac: float = 0.769
    straw_usd_kg: float = math.nan
    byproduct_usd_kg: float = math.nan
    other_forage_usd_kg: float = math.nan


@dataclass(frozen=True, eq=False)
class StretchOption:
    """One way and what it does: to the day that carry-over is counted to, as eaten.

    `instead_kg` is the other feed it takes. `saving_usd` is the shortfall it saves at the hay price, less `cost_usd`.
    `changed` is the input that gives it, for a what-if.
    """

    key: str
    label: Sentence
    saved_kg: Estimate
    days_gained_d: Estimate
    short_left_kg: Estimate
    instead_kg: Estimate
    cost_usd: Estimate
    saving_usd: Estimate
    note: Sentence
    changed: BalanceInput


@dataclass(frozen=True, eq=False)
class _Now:
    """The balance as it stands, narrowed to the feed that has to last."""

    given: BalanceInput
    feed: str
    fed: FeedBalance
    outlook: NewCropOutlook


def stretch_options(
    given: BalanceInput, balance: Balance, limits: StretchLimits | None = None
) -> tuple[StretchOption, ...]:
    """Every way that changes something, ranked; none without a new crop to reach."""
    if balance.outlook is None or given.new_crop is None:
        return ()
    now = _Now(given, given.new_crop.feed, balance.feeds[given.new_crop.feed], balance.outlook)
    limits = limits or StretchLimits()
    for name in ("sold_frac", "feedout_to_frac", "refusal_to_frac", "lowest_inclusion_frac", "replaced_frac"):
        SHARE(name, getattr(limits, name))
    ways = (_sell, _less_loss, _lower_inclusion, _straw, _hay)
    found = [option for way in ways if (option := way(now, limits)) is not None]
    return tuple(sorted(found, key=_rank))


def _rank(option: StretchOption) -> tuple[float, bool, float]:
    """Most money first; where no price is known, most feed first; hay after what saves the same."""
    money = option.saving_usd.value if option.saving_usd.known else 0.0
    feed = option.saved_kg.value if option.saved_kg.known else 0.0
    return (-round(money, 2), option.key == "hay", -round(feed, 3))


def _sell(now: _Now, limits: StretchLimits) -> StretchOption | None:
    changed = _with_groups(
        now.given, lambda g: replace(g, heads=tuple(replace(s, head=s.head * (1 - limits.sold_frac)) for s in g.heads))
    )
    label = Sentence("Sell or cull {share} of the animals.", share=Quantity(limits.sold_frac, "percent"))
    note = Sentence("Surplus heifers and low cows first; income from the sale is not counted.")
    return _tried("sell", label, note, now, changed, lambda saved: (0.0, 0.0))


def _less_loss(now: _Now, limits: StretchLimits) -> StretchOption | None:
    rules = now.given.rules
    better = replace(
        rules,
        feedout_frac=min(rules.feedout_frac, limits.feedout_to_frac),
        refusal_frac=min(rules.refusal_frac, limits.refusal_to_frac),
    )
    if better == rules:
        return None
    label = Sentence(
        "Lose less: feed-out {feedout}, refusals {refusals}.",
        feedout=Quantity(better.feedout_frac, "percent"),
        refusals=Quantity(better.refusal_frac, "percent"),
    )
    note = Sentence("A straight face, only what is fed today knocked down, bunks read every day.")
    return _tried("less_loss", label, note, now, replace(now.given, rules=better), lambda saved: (0.0, 0.0))


def _lower_inclusion(now: _Now, limits: StretchLimits) -> StretchOption | None:
    stretch = now.outlook.stretch
    if stretch.known and stretch.value >= 1:
        return None
    factor = max(stretch.value, limits.lowest_inclusion_frac) if stretch.known else limits.lowest_inclusion_frac
    changed = _scaled(now, factor, {"milking", "growing", "dry"})
    label = Sentence("Feed {share} of the present share, from today.", share=Quantity(factor, "percent"))
    note = Sentence("Corn silage or other forage takes its place; the nutritionist rebalances protein and fibre.")
    price = limits.other_forage_usd_kg
    return _tried("lower_inclusion", label, note, now, changed, lambda saved: (saved, saved * price))


def _straw(now: _Now, limits: StretchLimits) -> StretchOption | None:
    changed = _scaled(now, 1 - limits.replaced_frac, {"growing", "dry"})
    ndf = now.fed.ndf_frac

    def instead(saved_kg: float) -> tuple[float, float]:
        straw = saved_kg * min(1.0, ndf / limits.straw_ndf_frac)
        return saved_kg, straw * limits.straw_usd_kg + (saved_kg - straw) * limits.byproduct_usd_kg

    label = Sentence(
        "Replace {share} of it with straw and byproduct for heifers and dry cows.",
        share=Quantity(limits.replaced_frac, "percent"),
    )
    note = Sentence("Straw up to the same fibre, byproduct for the rest; check potassium and storage life.")
    return _tried("straw", label, note, now, changed, instead)


def _hay(now: _Now, limits: StretchLimits) -> StretchOption | None:
    given, rules = now.given, now.given.rules
    short = now.outlook.to_target.eaten_kg
    if short.known and short.value <= 0:
        return None
    bought = 0.0 if not short.known else short.value
    loss = rules.hay_loss_frac
    losses = (loss, rules.feedout_frac, rules.refusal_frac)
    in_store = float(mass_needed(bought, *losses, convention=rules.convention))
    hay = Supply("hay", now.feed, (Delivery(given.today, in_store),), loss_frac=loss)
    price = (rules.hay_usd_kg, rules.freight_usd_kg, rules.hay_dm_frac, loss)
    label = Sentence(
        "Buy {mass} of hay.", mass=Quantity(float(mass_as_fed(bought / (1 - loss), rules.hay_dm_frac)), "mass_af")
    )
    note = Sentence("Closes the gap as long as hay of the right quality is for sale.")
    changed = replace(given, supplies=(*given.supplies, hay)) if bought else given
    return _tried("hay", label, note, now, changed, lambda saved: (saved, float(shortfall_cost(saved, *price))))


def _with_groups(given: BalanceInput, change: Callable[[Group], Group]) -> BalanceInput:
    return replace(given, groups=tuple(change(g) for g in given.groups))


def _scaled(now: _Now, factor: float, classes: set[str]) -> BalanceInput:
    """Every share of the new crop's feed times a factor, for groups of some classes."""
    feed = now.feed

    def change(group: Group) -> Group:
        if group.use_class not in classes:
            return group
        shares = (replace(i, share_frac=i.share_frac * factor) if i.feed == feed else i for i in group.inclusions)
        return replace(group, inclusions=tuple(shares))

    return _with_groups(now.given, change)


def _tried(
    key: str,
    label: Sentence,
    note: Sentence,
    now: _Now,
    changed: BalanceInput,
    instead: Callable[[float], tuple[float, float]],
) -> StretchOption | None:
    rules, tried = now.given.rules, feed_balance(changed)
    before = now.outlook.to_target
    after = tried.outlook.to_target if tried.outlook else before
    if not before.eaten_kg.known:
        nothing = [Estimate(math.nan, kind, reason=before.eaten_kg.reason) for kind in ("mass_dm", "days", "money")]
        dry, days, money = nothing
        return StretchOption(key, label, dry, days, dry, dry, money, money, note, changed)
    saved = before.eaten_kg.value - after.eaten_kg.value
    if saved <= 0 and changed == now.given:
        return None
    other, cost = instead(saved)
    price = (rules.hay_usd_kg, rules.freight_usd_kg, rules.hay_dm_frac, rules.hay_loss_frac)
    worth = float(shortfall_cost(max(saved, 0.0), *price))
    no_price = Sentence("A price is missing.")
    return StretchOption(
        key=key,
        label=label,
        saved_kg=Estimate(saved, "mass_dm"),
        days_gained_d=_gained(now.fed.cover_all_d, tried.feeds[now.feed].cover_all_d),
        short_left_kg=after.eaten_kg,
        instead_kg=Estimate(other, "mass_dm"),
        cost_usd=unknown("money", no_price) if math.isnan(cost) else Estimate(cost, "money"),
        saving_usd=unknown("money", no_price) if math.isnan(worth - cost) else Estimate(worth - cost, "money"),
        note=note,
        changed=changed,
    )


def _gained(old: Estimate, new: Estimate) -> Estimate:
    if old.known and new.known:
        return Estimate(new.value - old.value, "days")
    if old.known:
        return Estimate(math.nan, "days", low=new.low - old.value, reason=new.reason)
    return Estimate(math.nan, "days", reason=old.reason)
