"""What a person tries on the Feed page: computed beside the present, written only when they keep it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from app.nutrition.demand import Convention
from app.planning.estimates import DateEstimate
from app.planning.feeding import BalanceInput, Group, Rules
from app.services.balance.inputs import Loaded
from app.services.balance.sealing import TRIED, Sealing
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

CONVENTIONS = ((Convention.DIVIDE.value, "Divide by what is left"), (Convention.MULTIPLY.value, "Multiply by the loss"))
_LOSS: dict[str, Any] = {"low": 0.0, "high": 0.4, "likely_high": 0.25}

WHAT_IF_SHAPE = Shape(
    "what_if",
    (
        Column("head_frac", "Head, more or fewer", "number", "percent", True, low=-0.5, high=0.5),
        Column("inclusion_frac", "Haylage in every diet, more or less", "number", "percent", True, low=-1, high=1),
        Column("storage_frac", "Storage loss of the new crop", "number", "percent", True, **_LOSS),
        Column("feedout_frac", "Lost between store and bunk", "number", "percent", True, **_LOSS),
        Column("refusal_frac", "Refusals not fed again", "number", "percent", True, low=0, high=0.2),
        Column("carry_over_d", "Carry-over wanted", "number", "days", True, low=0, high=365),
        Column("sealed_on", "New crop sealed on", "day", ask_if="this_year"),
        Column("convention", "How a loss is put on a need", "choice", required=True, choices=CONVENTIONS),
    ),
)


@dataclass(frozen=True)
class WhatIf:
    """Changed values; None leaves the present one. Head and inclusion are changes in per cent, from today on."""

    head_frac: float | None = None
    inclusion_frac: float | None = None
    storage_frac: float | None = None
    feedout_frac: float | None = None
    refusal_frac: float | None = None
    convention: str | None = None
    sealed_on: date | None = None
    carry_over_d: float | None = None

    @property
    def changed(self) -> tuple[str, ...]:
        return tuple(f.name for f in fields(self) if getattr(self, f.name) is not None)


def present_values(loaded: Loaded) -> dict[str, Any]:
    """What stands now, for each column of the form."""
    rules = loaded.given.rules
    return {
        "head_frac": 0.0,
        "inclusion_frac": 0.0,
        "storage_frac": rules.storage_frac,
        "feedout_frac": rules.feedout_frac,
        "refusal_frac": rules.refusal_frac,
        "convention": rules.convention.value,
        "sealed_on": loaded.sealing.on.on,
        "carry_over_d": float(rules.carry_over_d),
    }


def what_if_of(values: Mapping[str, Any], loaded: Loaded) -> WhatIf:
    """Only what differs from the present."""
    now = present_values(loaded)
    return WhatIf(
        **{name: value for name, value in values.items() if value is not None and not _same(value, now[name])}
    )


def _same(left: Any, right: Any) -> bool:
    if isinstance(left, float) and isinstance(right, float):
        return abs(left - right) < 1e-6
    return left == right


def changed_input(loaded: Loaded, tried: WhatIf) -> tuple[BalanceInput, Sealing]:
    """The input with what is tried, and its sealing."""
    given, sealing = loaded.given, loaded.sealing
    heads, shares = 1 + (tried.head_frac or 0.0), 1 + (tried.inclusion_frac or 0.0)
    groups = tuple(_scaled(group, loaded.feed, heads, shares) for group in given.groups)
    crop = given.new_crop
    if tried.sealed_on is not None and crop is not None:
        crop = replace(crop, sealed_on=tried.sealed_on)
        sealing = Sealing(DateEstimate(tried.sealed_on), TRIED, sealing.next_on)
    return replace(given, groups=groups, new_crop=crop, rules=_rules(given.rules, tried)), sealing


def _scaled(group: Group, feed: str, heads: float, shares: float) -> Group:
    steps = tuple(replace(step, head=step.head * heads) for step in group.heads)
    diet = (
        replace(each, share_frac=min(1.0, each.share_frac * shares)) if each.feed == feed else each
        for each in group.inclusions
    )
    return replace(group, heads=steps, inclusions=tuple(diet))


def _rules(rules: Rules, tried: WhatIf) -> Rules:
    changes: dict[str, Any] = {
        name: getattr(tried, name)
        for name in ("storage_frac", "feedout_frac", "refusal_frac")
        if getattr(tried, name) is not None
    }
    if tried.convention is not None:
        changes["convention"] = Convention(tried.convention)
    if tried.carry_over_d is not None:
        changes["carry_over_d"] = round(tried.carry_over_d)
        changes["horizon_d"] = min(1500, rules.horizon_d + max(0, changes["carry_over_d"] - rules.carry_over_d))
    return replace(rules, **changes)


NOTHING_TRIED = Sentence("Nothing was changed, so there is nothing to keep.")
