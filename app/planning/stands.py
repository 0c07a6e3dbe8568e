"""What a stand can bring: its class by stems and roots, its season's yield, and the share first cutting has in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from app.agronomy.growth import (
    SEASON_SHARES,
    RootHealth,
    StemDensity,
    root_health_class,
    season_yield,
    stem_density_class,
)
from app.planning.estimates import Estimate
from app.units.quantities import KG_HA_PER_TON_ACRE, PER_M2_PER_FT2
from app.units.sentences import Quantity, Sentence

STATE_MEANS_KG_HA = (4.0 * KG_HA_PER_TON_ACRE, 5.1 * KG_HA_PER_TON_ACRE)
"""Weighed state means: 4.0 to 5.1 short tons of DM to the acre. [Rankin2026]_"""

OPEN_PLOTS_FRAC = (0.17, 0.35)
"""Share of first cutting in open plots, by year and date of cutting. [Blonde2018]_"""

STEMS = {
    StemDensity.NOT_LIMITING: Sentence("stems do not limit yield"),
    StemDensity.SOME_REDUCTION: Sentence("some yield is given up below {n}", n=Quantity(55 * PER_M2_PER_FT2, "stems")),
    StemDensity.POOR: Sentence("poor: below {n}, think of replacing it", n=Quantity(40 * PER_M2_PER_FT2, "stems")),
}
ROOTS = {
    RootHealth.KEEP: Sentence("roots and crowns are sound: keep"),
    RootHealth.WATCH: Sentence("roots and crowns between sound and failing: watch"),
    RootHealth.REPLACE: Sentence("roots and crowns are failing: rotate"),
}


@dataclass(frozen=True)
class StandOutlook:
    """What the latest count says, and the yield it leads to. Shares are of the season's dry matter."""

    stems_per_m2: float
    root_score: float
    stems_say: Sentence | None
    roots_say: Sentence | None
    season: Estimate
    """Season's dry matter. [kg/ha]"""
    season_says: Sentence
    first_share_frac: float
    first_cut: Estimate
    """Dry matter of first cutting, standing. [kg/ha]"""
    share_says: Sentence


def stand_outlook(
    *,
    stems_per_m2: float = math.nan,
    root_index: float = math.nan,
    own_yield_kg_ha: float = math.nan,
    farm_yield_kg_ha: float,
    cuts_count: int,
    own_shares_frac: Mapping[int, float],
    practice_share_frac: float = math.nan,
) -> StandOutlook:
    """Class, season's yield and first cutting of one stand."""
    season, says = _season(stems_per_m2, own_yield_kg_ha, farm_yield_kg_ha)
    share, low, high, share_says = _share(cuts_count, own_shares_frac, practice_share_frac)
    first = Estimate(
        season.value * share, "yield_dm", _or(season.low, season.value) * low, _or(season.high, season.value) * high,
        None, ("Blonde2018",),
    )  # fmt: skip
    stems, roots = float(stem_density_class(stems_per_m2)), float(root_health_class(root_index))
    return StandOutlook(
        stems_per_m2,
        root_index,
        None if math.isnan(stems) else STEMS[StemDensity(int(stems))],
        None if math.isnan(roots) else ROOTS[RootHealth(int(roots))],
        season,
        says,
        share,
        first,
        share_says,
    )


def _or(value: float, other: float) -> float:
    return other if math.isnan(value) else value


def _season(stems: float, own: float, farm: float) -> tuple[Estimate, Sentence]:
    """Own record before the stem equation before the farm's figure."""
    if not math.isnan(own):
        return Estimate(own, "yield_dm"), Sentence("own record")
    if not math.isnan(stems):
        value = float(season_yield(stems))
        low = min(value, STATE_MEANS_KG_HA[0])
        return Estimate(value, "yield_dm", low, value, None, ("Undersander2026", "Blonde2018")), Sentence(
            "potential by stems; real fields often bring less"
        )
    return Estimate(farm, "yield_dm", min(farm, STATE_MEANS_KG_HA[0]), max(farm, STATE_MEANS_KG_HA[1]), None,
                    ("Rankin2026",)), Sentence("the farm's figure, for want of a stem count or a record")  # fmt: skip


def _share(cuts: int, own: Mapping[int, float], practice: float) -> tuple[float, float, float, Sentence]:
    if own.get(1):
        return own[1], own[1], own[1], Sentence("the farm's own share")
    published = SEASON_SHARES[cuts].shares_frac[0] if cuts in SEASON_SHARES else math.nan
    likely = _or(practice, published)
    if math.isnan(likely):
        return math.nan, math.nan, math.nan, Sentence("No share is published for {n} cuttings; enter your own.", n=cuts)
    ends = [each for each in (likely, published, *OPEN_PLOTS_FRAC) if not math.isnan(each)]
    says = Sentence(
        "first cutting taken as {likely} of the season; published {published}, open plots {low} to {high}",
        likely=Quantity(likely, "percent"),
        published=Quantity(published, "percent"),
        low=Quantity(OPEN_PLOTS_FRAC[0], "percent"),
        high=Quantity(OPEN_PLOTS_FRAC[1], "percent"),
    )
    return likely, min(ends), max(ends), says
