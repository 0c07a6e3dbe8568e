"""What a feed balance is made of and what comes out of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from app.nutrition.demand import Convention
from app.planning.estimates import DateEstimate, Estimate
from app.units.sentences import Sentence

USE_CLASSES = ("milking", "growing", "dry")
"""In the order in which they are served when feed runs short."""

Figures = NDArray[np.float64]


@dataclass(frozen=True)
class HeadStep:
    """Animals in a group from a day on."""

    from_on: date
    head: float


@dataclass(frozen=True)
class Inclusion:
    """Share of a feed in a group's diet DM from a day on."""

    feed: str
    from_on: date
    share_frac: float


@dataclass(frozen=True)
class Group:
    """A herd group; `intake_kg_d` is NaN when no intake is known."""

    name: str
    use_class: str
    intake_kg_d: float
    heads: tuple[HeadStep, ...]
    inclusions: tuple[Inclusion, ...]


@dataclass(frozen=True)
class Lot:
    """Feed in store now. No `use_classes`: any class may eat it. `spread_frac` is the measuring error, one side."""

    name: str
    feed: str
    stock_dm_kg: float
    remaining_loss_frac: float = 0.0
    dm_frac: float = math.nan
    ndf_frac: float = math.nan
    use_classes: tuple[str, ...] = ()
    available_from: date | None = None
    spread_frac: float = 0.0


@dataclass(frozen=True)
class Delivery:
    """A load of a supply on hand or due; it is gone after `life_d` days."""

    on: date
    mass_dm_kg: float


@dataclass(frozen=True)
class Supply:
    """Byproduct or bought feed. `life_d` is the storage life of a delivery in days, infinite when it keeps."""

    name: str
    feed: str
    deliveries: tuple[Delivery, ...]
    life_d: float = math.inf
    loss_frac: float = 0.0
    use_classes: tuple[str, ...] = ()


@dataclass(frozen=True)
class NewCrop:
    """The coming cutting that ends the gap; `mass_dm_kg` into storage is NaN when not yet expected.

    `next_sealed_on` is next year's sealing of the same cutting, by default the same day. `later_mass_dm_kg` is what
    this season's other cuttings are expected to bring; NaN takes `first_cut_share_frac` of the season for the first.
    """

    feed: str
    sealed_on: date | None
    mass_dm_kg: float = math.nan
    later_mass_dm_kg: float = math.nan
    first_cut_share_frac: float = 0.40
    next_sealed_on: date | None = None


@dataclass(frozen=True)
class Rules:
    """The assumptions of a balance, each a farm setting."""

    storage_frac: float = 0.10
    feedout_frac: float = 0.03
    refusal_frac: float = 0.03
    convention: Convention = Convention.DIVIDE
    carry_over_d: int = 30
    fermentation_d: int = 30
    blend_d: int = 10
    horizon_d: int = 500
    new_crop_dm_frac: float = 0.40
    hay_usd_kg: float = math.nan
    freight_usd_kg: float = 0.0
    hay_dm_frac: float = 0.85
    hay_loss_frac: float = 0.05
    ndf_ceiling_frac: Mapping[str, float] = field(
        default_factory=lambda: {"milking": 0.42, "growing": 0.46, "dry": 0.54}
    )


@dataclass(frozen=True)
class BalanceInput:
    """Everything a balance is made of."""

    today: date
    groups: tuple[Group, ...]
    lots: tuple[Lot, ...]
    supplies: tuple[Supply, ...] = ()
    new_crop: NewCrop | None = None
    rules: Rules = field(default_factory=Rules)


@dataclass(frozen=True, eq=False)
class FeedBalance:
    """One feed day by day. Rows of the arrays are `USE_CLASSES`, columns the days from today on; kg DM.

    `stock_kg` is what each class may still be fed from at the start of a day, `lot_stock_kg` each lot's DM.
    `eaten_limits_kg` is eaten with every lot at the low and at the high end of its measuring error, if one is known.
    """

    feed: str
    first_on: date
    need_kg: Figures
    eaten_kg: Figures
    eaten_limits_kg: tuple[Figures, ...]
    draw_kg: Figures
    stock_kg: Figures
    lots: tuple[str, ...]
    lot_stock_kg: Figures
    lot_empty: Mapping[str, DateEstimate]
    spoiled_kg: Mapping[str, float]
    run_out: Mapping[str, DateEstimate]
    cover_d: Mapping[str, Estimate]
    run_out_all: DateEstimate
    cover_all_d: Estimate
    usable_kg: Estimate
    remaining_loss_frac: float
    dm_frac: float
    ndf_frac: float
    gaps: tuple[Sentence, ...]

    @property
    def days(self) -> list[date]:
        return [self.first_on + timedelta(days=int(i)) for i in range(self.need_kg.shape[1])]


@dataclass(frozen=True)
class Shortfall:
    """What is missing up to a day (not counted in), by class and in all."""

    until: DateEstimate
    eaten_kg: Estimate
    by_class_kg: Mapping[str, Estimate]
    in_store_kg: Estimate
    to_harvest_kg: Estimate
    as_fed_kg: Estimate
    days_d: Estimate
    cost_usd: Estimate


@dataclass(frozen=True)
class MustBring:
    """What first cutting has to put into storage for a class, and the highest NDF (as fed) that class can use."""

    mass_dm_kg: Estimate
    mass_af_kg: Estimate
    ndf_ceiling_frac: Estimate


@dataclass(frozen=True, eq=False)
class NewCropOutlook:
    """When the new crop is fed, how far the old feed reaches past that day, and what is missing.

    `usable` is the first day of the blend, `alone` the first day without old feed. `old_need_kg`, `old_eaten_kg` and
    `old_stock_kg` follow the old feed through the blend; `new_need_kg` is what the new crop has to give. `to_next_year`
    counts what the season's cuttings are expected to bring. `stretch` multiplies every inclusion to reach the target.
    """

    usable: DateEstimate
    alone: DateEstimate
    old_share: Figures
    old_need_kg: Figures
    old_eaten_kg: Figures
    old_stock_kg: Figures
    new_need_kg: Figures
    carry_over_d: Estimate
    to_new_crop: Shortfall
    through_blend: Shortfall
    to_target: Shortfall
    to_next_year: Shortfall
    stretch: Estimate
    must_bring: Mapping[str, MustBring]
    must_bring_all: MustBring


@dataclass(frozen=True, eq=False)
class Balance:
    """The balance of every feed, and the outlook for the feed the new crop belongs to (None without a new crop)."""

    today: date
    feeds: Mapping[str, FeedBalance]
    outlook: NewCropOutlook | None


def farm_rules(values: Mapping[str, float | str], *, structure: str = "bunker") -> Rules:
    """Rules of a balance from a farm's resolved assumptions; `structure` is where the new crop will be stored."""
    return Rules(
        storage_frac=float(values[f"storage_loss_{structure}_frac"]),
        feedout_frac=float(values["feedout_loss_frac"]),
        refusal_frac=float(values["refusal_frac"]),
        convention=Convention(str(values["shrink_convention"])),
        carry_over_d=round(float(values["carry_over_d"])),
        fermentation_d=round(float(values["fermentation_d"])),
        blend_d=round(float(values["blend_d"])),
        horizon_d=round(float(values["horizon_d"])),
        new_crop_dm_frac=float(values["new_crop_dm_frac"]),
        hay_usd_kg=float(values["hay_usd_kg"]),
        freight_usd_kg=float(values["hay_freight_usd_kg"]),
        hay_dm_frac=float(values["hay_dm_frac"]),
        hay_loss_frac=float(values["hay_loss_frac"]),
        ndf_ceiling_frac={c: float(values[f"ndf_ceiling_{c}_frac"]) for c in USE_CLASSES},
    )
