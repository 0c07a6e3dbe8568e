"""What may be typed about a lot, its measurements, its feed-out and its loads."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_LB, KG_PER_SHORT_TON, M_PER_FT
from app.units.shapes import Column, Shape

USE_CLASS_NAMES = (("milking", "Milking"), ("growing", "Growing"), ("dry", "Dry"))
METHOD_NAMES = (("sizes", "Sizes"), ("weight", "Weight"), ("count", "Count of bales"), ("judged", "Judged by eye"))

_DRY_MATTER = Column(
    "dm_frac",
    "Dry matter",
    "number",
    "percent",
    high=1,
    likely_low=0.10,
    example="38",
    hint="Dry matter, not moisture.",
)
_DENSITY = Column(
    "density_kg_m3",
    "Dry matter density, measured",
    "number",
    "density_dm",
    low=30,
    high=1000,
    likely_low=6 * KG_M3_PER_LB_FT3,
    likely_high=28 * KG_M3_PER_LB_FT3,
    example="15",
    hint="Mean of several cores, of dry matter, not as fed. Empty: the usual value with its range.",
)
_LOSS = {"type": "number", "kind": "percent", "low": 0.0, "high": 0.6, "likely_high": 0.25}
NOTE = Column("note", "Note", "long", longest=2000)


def _mass(
    name: str, label: str, kind: str, likely_t: tuple[float, float | None], example: str, hint: str = ""
) -> Column:
    low_t, high_t = likely_t
    return Column(
        name,
        label,
        "number",
        kind,
        low=0,
        high=200_000 * KG_PER_SHORT_TON,
        likely_low=low_t * KG_PER_SHORT_TON,
        likely_high=None if high_t is None else high_t * KG_PER_SHORT_TON,
        example=example,
        hint=hint,
    )


def _size(name: str, label: str, high: float, likely_ft: float, example: str, hint: str = "") -> Column:
    return Column(
        name, label, "number", "length", low=0, high=high, likely_high=likely_ft * M_PER_FT, example=example, hint=hint
    )


LOT_SHAPE = Shape(
    "lots",
    (
        Column("name", "Name of the lot", required=True, longest=80, example="Bunker 2, first cutting"),
        Column("year", "Year", "whole", low=1990, high=2200, example="2026"),
        Column("cutting", "Cutting", "whole", low=1, high=8, example="1"),
        Column("use_class", "Kept for", "choice", choices=USE_CLASS_NAMES, hint="Empty: for any class."),
        Column("sealed_on", "Sealed on", "day", example="2026-05-28", ask_if="past_only"),
        Column("opened_on", "Opened on", "day", example="2026-09-10", ask_if="past_only"),
        _DRY_MATTER,
        _DENSITY,
        Column(
            "remaining_loss_frac",
            "Storage loss still to come",
            example="2",
            hint="Only what storage will still take from here on. Empty: the farm's setting.",
            **_LOSS,  # type: ignore[arg-type]
        ),
        Column(
            "feedout_loss_frac",
            "Lost between store and bunk",
            example="3",
            hint="Kept apart from the storage loss. Empty: the farm's setting.",
            **_LOSS,  # type: ignore[arg-type]
        ),
        Column("used_up_on", "Used up on", "day", example="2027-04-30", ask_if="past_only"),
        NOTE,
    ),
)
MEASUREMENT_SHAPE = Shape(
    "lot_measurements",
    (
        Column(
            "measured_on",
            "Day",
            "day",
            required=True,
            example="2027-05-10",
            ask_if="past_only",
            hint="Counts for the end of that day.",
        ),
        Column("method", "How it was found", "choice", required=True, choices=METHOD_NAMES),
        _size("length_m", "Length left", 1000, 800, "90"),
        _size("width_m", "Width", 300, 300, "40"),
        _size("height_m", "Settled height at the highest point", 30, 46, "12"),
        Column("volume_m3", "Volume, surveyed", "number", "volume", low=0, high=200_000, example="39000"),
        Column("bales_count", "Bales", "whole", low=0, high=200_000, likely_high=20_000, example="120"),
        Column(
            "bale_weight_kg",
            "Mean weight of a bale",
            "number",
            "weight",
            low=5,
            high=2000,
            likely_low=40 * KG_PER_LB,
            likely_high=2600 * KG_PER_LB,
            example="1300",
            hint="As fed, from the bales that were weighed. Empty: by its size.",
        ),
        _mass("mass_af_kg", "Weight as fed", "mass_af", (0, 20_000), "320", "As received, not dry matter."),
        _mass("mass_dm_kg", "Dry matter", "mass_dm", (0, 10_000), "120", "Instead of the weight as fed."),
        _DRY_MATTER,
        _DENSITY,
        NOTE,
    ),
)
FEEDOUT_SHAPE = Shape(
    "feedouts",
    (
        Column("from_on", "From", "day", required=True, example="2027-05-03", ask_if="past_only"),
        Column("to_on", "Through", "day", example="2027-05-09", ask_if="past_only", hint="Empty: one day."),
        replace(
            _mass("mass_af_kg", "Taken out", "mass_af", (0.05, None), "84", "As fed, thrown-away part included."),
            required=True,
        ),
        _mass("thrown_af_kg", "Thrown away of it", "mass_af", (0, 500), "2", "Spoiled feed that reached no bunk."),
        _DRY_MATTER,
        NOTE,
    ),
)
LOAD_SHAPE = Shape(
    "loads",
    (
        Column("loaded_on", "Day", "day", required=True, example="2027-05-24", ask_if="past_only"),
        replace(
            _mass("mass_af_kg", "Weight", "mass_af", (0.2, None), "12.4", "Net, as fed; one load or a day's loads."),
            required=True,
        ),
        _DRY_MATTER,
        NOTE,
    ),
)

_SIZES: dict[str, dict[str, dict[str, Any]]] = {
    "bunker": {
        "length_m": {"label": "Length left, face to the far end", "required": True},
        "height_m": {"required": True},
        "width_m": {"hint": "Empty: the structure's width at the floor."},
    },
    "pile": {
        "length_m": {"label": "Length left, face to the far foot", "required": True},
        "height_m": {"required": True},
        "width_m": {"label": "Width of the base", "hint": "Empty: the structure's."},
    },
    "bag": {"length_m": {"required": True}},
    "tower": {"height_m": {"label": "Depth of feed left", "required": True}},
}
_BY_METHOD: dict[str, dict[str, dict[str, Any]]] = {
    "weight": {"mass_af_kg": {"required": True}, "dm_frac": {}},
    "count": {"bales_count": {"required": True}, "bale_weight_kg": {}, "dm_frac": {}},
    "judged": {"mass_dm_kg": {}, "mass_af_kg": {}, "dm_frac": {}},
}


def measurement_shape(method: str, kind: str | None) -> Shape:
    """The columns that count for a way of finding out, in a kind of structure."""
    changes = _BY_METHOD.get(method)
    if changes is None:
        surveyed = {"volume_m3": {"required": True}}
        changes = {**_SIZES.get(kind or "", surveyed), **({} if kind == "tower" else {"density_kg_m3": {}})}
    names = ("measured_on", *changes, "note")
    return Shape(
        "lot_measurements", tuple(replace(MEASUREMENT_SHAPE.column(name), **changes.get(name, {})) for name in names)
    )


def methods_for(kind: str | None) -> tuple[str, ...]:
    """Ways of finding out that make sense there, the usual one first."""
    if kind in _SIZES:
        return ("sizes", "weight", "judged")
    return ("count", "weight", "judged") if kind == "stack" else ("weight", "count", "judged", "sizes")


def lot_shape(feeds: Sequence[tuple[int, str]], structures: Sequence[tuple[int, str]]) -> Shape:
    """The form of a lot with the farm's own feeds and structures to choose from."""
    name, *rest = LOT_SHAPE.columns
    feed = Column("feed_id", "Feed", "choice", required=True, choices=_choices(feeds))
    store = Column(
        "structure_id", "Structure", "choice", choices=_choices(structures), hint="Empty: it lies in none of them."
    )
    return Shape("lots", (name, feed, store, *rest))


def load_shape(fields: Sequence[tuple[int, str]]) -> Shape:
    """The form of a load with the farm's fields to choose from."""
    *rest, last = LOAD_SHAPE.columns
    return Shape("loads", (*rest, Column("field_id", "Field", "choice", choices=_choices(fields)), last))


def _choices(rows: Sequence[tuple[int, str]]) -> tuple[tuple[str, str], ...]:
    return tuple((str(row_id), name) for row_id, name in rows)


def with_ids(values: dict[str, Any] | None) -> dict[str, Any]:
    """Chosen rows as numbers instead of the text a form sends."""
    return {
        name: int(value) if name.endswith("_id") and isinstance(value, str) else value
        for name, value in (values or {}).items()
    }
