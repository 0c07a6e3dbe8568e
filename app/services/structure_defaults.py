"""The farm's usual density and losses by kind of structure."""

from __future__ import annotations

from collections.abc import Mapping

from app.ensiling.density import DM_DENSITY_DEFAULTS
from app.planning.assumptions import ASSUMPTIONS, JUDGEMENT, PRACTICE
from app.planning.estimates import Estimate
from app.planning.stock import Usual

_DENSITY_KEYS = {"bunker": "density_dm_kg_m3", "pile": "density_dm_kg_m3", "bag": "bag_density_dm_kg_m3"}
NO_STORE = "stack"
"""Losses of feed that lies in no structure of the farm are taken as a stack's."""


def usual_density(kind: str, values: Mapping[str, float | str]) -> Estimate:
    """Dry-matter density where none was measured: the farm's setting, or what is published for the kind."""
    if kind in _DENSITY_KEYS:
        key = _DENSITY_KEYS[kind]
        likely, spread = float(values[key]), float(values["density_spread_frac"])
        source = ASSUMPTIONS[key].source
        sources = () if source in (JUDGEMENT, PRACTICE) else (source,)
        return Estimate(likely, "density_dm", likely * (1 - spread), likely * (1 + spread), sources=sources)
    published = DM_DENSITY_DEFAULTS.get(kind, DM_DENSITY_DEFAULTS["stack"])
    return Estimate(
        published.likely_kg_m3,
        "density_dm",
        published.low_kg_m3,
        published.high_kg_m3,
        sources=(published.source,),
    )


def usual_of(
    kind: str | None,
    values: Mapping[str, float | str],
    remaining_loss_frac: float | None = None,
    feedout_loss_frac: float | None = None,
) -> Usual:
    """What stands in for a lot in that kind of structure; its own losses win."""
    density = usual_density(kind or NO_STORE, values)
    return Usual(
        density.value,
        (density.high - density.low) / 2 / density.value,
        density.sources[0] if density.sources else "",
        float(values[f"storage_loss_{kind or NO_STORE}_frac"]),
        float(values["remaining_loss_frac"]) if remaining_loss_frac is None else remaining_loss_frac,
        float(values["feedout_loss_frac"]) if feedout_loss_frac is None else feedout_loss_frac,
    )
