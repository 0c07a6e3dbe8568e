"""A farm's rows as the input of a balance, kept in this process while nothing on the farm changes."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.work import Work
from app.planning.estimates import Estimate
from app.planning.feeding import USE_CLASSES, BalanceInput, Group, HeadStep, Inclusion, NewCrop, farm_rules
from app.planning.stretch import StretchLimits
from app.records import herds as rows
from app.records.farms import Farm
from app.records.feeds import Feed, Structure
from app.services import farms, herds, maturity
from app.services.balance.sealing import Sealing, sealing_of
from app.services.balance.stores import Stores, planned_lots, planned_supplies, stores_of
from app.units.sentences import Sentence

FIRST_DAY = date(1900, 1, 1)
KEPT = 64
LOSS_KEYS = ("bunker", "pile", "bag", "tower", "stack")


@dataclass(frozen=True, eq=False)
class Loaded:
    """Everything a farm's balance is made of."""

    today: date
    given: BalanceInput
    values: Mapping[str, float | str]
    sealing: Sealing
    structure_kind: str
    expected: Estimate
    """Dry matter first cutting is expected to put into storage. [kg]"""
    herd: tuple[herds.GroupLine, ...]
    stores: Stores
    limits: StretchLimits

    @property
    def spreads(self) -> tuple[tuple[float, float], ...]:
        """Ends of each group's intake as ratios of the likely one; 1 where no error is known."""
        return tuple(_spread(line.intake.eaten) for line in self.herd)

    @property
    def feed(self) -> str:
        """The feed the new crop belongs to; empty when the farm makes no haylage."""
        return self.given.new_crop.feed if self.given.new_crop else ""


def _spread(eaten: Estimate) -> tuple[float, float]:
    if math.isnan(eaten.low) or not eaten.value > 0:
        return 1.0, 1.0
    return eaten.low / eaten.value, eaten.high / eaten.value


_kept: WeakKeyDictionary[Any, OrderedDict[tuple[int, int, date], Loaded]] = WeakKeyDictionary()


def load(work: Work, farm_id: int) -> Loaded:
    """The farm's input today; from this process's memory when the farm has not changed since.

    Only what a reading session sees is kept: what a writing session sees may still be undone.
    """
    farm = access_farm(work, farm_id)
    today = work.today(farm.time_zone)
    engine = work.session.get_bind()
    if engine.get_execution_options().get("sqlite_begin") == "IMMEDIATE":
        return _load(work, farm, today)
    kept = _kept.setdefault(engine.engine.pool, OrderedDict())
    key = (farm.id, farm.seq, today)
    if key not in kept:
        kept[key] = _load(work, farm, today)
        while len(kept) > KEPT:
            kept.popitem(last=False)
    return kept[key]


def _load(work: Work, farm: Farm, today: date) -> Loaded:
    values = farms.values_of(work, farm.id)
    names = herds.feed_names(work, farm.id)
    feeds = list(work.session.scalars(select(Feed).where(Feed.farm_id == farm.id)))
    groups = herds.list_groups(work, farm.id)
    ripe = maturity.farm_maturity(work, farm.id)
    kind = _next_structure(work, farm.id)
    rules = farm_rules(values, structure=kind)
    crop_feed = _crop_feed(feeds, groups, names, today)
    dm = next((f.dm_frac for f in feeds if names[f.id] == crop_feed and f.dm_frac), rules.new_crop_dm_frac)
    rules = replace(rules, ndf_ceiling_frac=_ceilings(groups, names, crop_feed, rules), new_crop_dm_frac=dm)
    fed_after = rules.fermentation_d + rules.blend_d
    sealing = sealing_of(work, farm.id, today, maturity.start_of(ripe), float(values["sealing_d"]), fed_after)
    into_store = 1 - float(values["harvest_loss_frac"])
    expected, later = _times(maturity.expected_first_cut(ripe), into_store), _later_cuts(ripe) * into_store
    share = _first_share(ripe, values, farm.cuts_count)
    crop = NewCrop(crop_feed, sealing.on.on, expected.value, later, share, sealing.next_on) if crop_feed else None
    ahead = 2 * 366 + fed_after + rules.carry_over_d if crop and crop.sealed_on else rules.horizon_d
    stores = stores_of(work, farm.id)
    given = BalanceInput(
        today,
        tuple(_group(group, names, values) for group in groups),
        planned_lots(stores, names, values, today),
        planned_supplies(stores, names, today),
        crop,
        replace(rules, horizon_d=max(rules.horizon_d, _reach(today, crop, ahead))),
    )
    herd = tuple(herds.line_of(group, names, values, today) for group in groups)
    return Loaded(today, given, values, sealing, kind, expected, herd, stores, _limits(feeds))


def _reach(today: date, crop: NewCrop | None, ahead_d: int) -> int:
    """Days the balance must look ahead to see next year's new crop and its carry-over."""
    if crop is None or crop.sealed_on is None:
        return 0
    return min(1500, max(0, (crop.sealed_on - today).days) + ahead_d - 366)


def _group(group: rows.Group, names: Mapping[int, str], values: Mapping[str, float | str]) -> Group:
    steps = (HeadStep(change.from_on, change.head_count) for change in group.head_changes)
    return Group(
        group.name,
        group.use_class,
        herds.intake_of(group, values).eaten.value,
        (HeadStep(FIRST_DAY, group.head_count), *steps),
        tuple(Inclusion(names[row.feed_id], row.from_on, row.share_frac) for row in group.inclusions),
    )


def _crop_feed(feeds: list[Feed], groups: list[rows.Group], names: Mapping[int, str], today: date) -> str:
    """The haylage that is fed to most animals; without any fed, the first on the list."""
    haylage = [feed for feed in feeds if feed.kind == "haylage"]
    if not haylage:
        return ""

    def eaters(feed: Feed) -> float:
        return sum(
            herds.head_on(group, today)
            * max((r.share_frac for r in group.inclusions if r.feed_id == feed.id), default=0)
            for group in groups
        )

    best = max(haylage, key=lambda feed: (feed.removed_at is None, eaters(feed), -feed.id))
    return names[best.id] if best.removed_at is None or eaters(best) else ""


def _ceilings(groups: list[rows.Group], names: Mapping[int, str], feed: str, rules: Any) -> dict[str, float]:
    """Of each class the lowest ceiling of its groups that eat the feed: a group's own, else the farm's."""
    found = dict(rules.ndf_ceiling_frac)
    for use_class in USE_CLASSES:
        eaters = [
            group.ndf_ceiling_frac or rules.ndf_ceiling_frac[use_class]
            for group in groups
            if group.use_class == use_class and any(names[r.feed_id] == feed and r.share_frac for r in group.inclusions)
        ]
        found[use_class] = min(eaters, default=found[use_class])
    return found


def _next_structure(work: Work, farm_id: int) -> str:
    """The kind of structure the coming crop goes into; a bunker where none is named."""
    wanted = select(Structure.kind).where(
        Structure.farm_id == farm_id, Structure.removed_at.is_(None), Structure.fills_next.is_(True)
    )
    kind = work.session.scalar(wanted.order_by(Structure.position, Structure.id).limit(1))
    return kind if kind in LOSS_KEYS else "bunker"


def _times(value: Estimate, factor: float) -> Estimate:
    low, high = value.low * factor, value.high * factor
    return Estimate(value.value * factor, value.kind, low, high, value.reason, value.sources)


def _later_cuts(ripe: maturity.FarmMaturity) -> float:
    """Dry matter the season's other cuttings are expected to bring, standing. [kg]"""
    parts = [field.area_ha * (field.yields.season.value - field.yields.first_cut.value) for field in ripe.fields]
    return math.fsum(parts) if parts else math.nan


def _first_share(ripe: maturity.FarmMaturity, values: Mapping[str, float | str], cuts_count: int) -> float:
    shares = [field.yields.first_share_frac for field in ripe.fields if field.yields.first_share_frac > 0]
    if shares:
        return math.fsum(shares) / len(shares)
    return float(values.get(f"first_cut_share_{min(max(cuts_count, 3), 5)}_frac", 0.40))


def _limits(feeds: list[Feed]) -> StretchLimits:
    """Prices of what may take the place of haylage, from the farm's own feeds."""

    def price(*kinds: str) -> float:
        return next((f.price_usd_kg_dm for f in feeds if f.kind in kinds and f.price_usd_kg_dm), math.nan)

    return StretchLimits(
        straw_usd_kg=price("straw"), byproduct_usd_kg=price("byproduct"), other_forage_usd_kg=price("corn_silage")
    )


NO_HAYLAGE = Sentence("No haylage is on the farm's list of feeds yet.")
