"""How much stands in the field, and how good the stand is."""

from app.agronomy.growth.season import SEASON_SHARES, SeasonShares, season_share, season_yield, stem_factor
from app.agronomy.growth.stands import (
    RootHealth,
    StemDensity,
    root_health_class,
    spots_to_take,
    stem_density_class,
    stems_of_count,
)
from app.agronomy.growth.yields import (
    ANCHOR_C_D,
    GROWTH_KG_HA_C_D,
    HEIGHT_DENSITY_KG_HA_CM,
    clipped_yield,
    growth_relation_holds,
    standing_yield,
    yield_of_height,
)

__all__ = [
    "ANCHOR_C_D",
    "GROWTH_KG_HA_C_D",
    "HEIGHT_DENSITY_KG_HA_CM",
    "SEASON_SHARES",
    "RootHealth",
    "SeasonShares",
    "StemDensity",
    "clipped_yield",
    "growth_relation_holds",
    "root_health_class",
    "season_share",
    "season_yield",
    "spots_to_take",
    "standing_yield",
    "stem_density_class",
    "stem_factor",
    "stems_of_count",
    "yield_of_height",
]
