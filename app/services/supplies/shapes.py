"""What may be typed about a supply, its deliveries, and the check of a load against the herd."""

from __future__ import annotations

from collections.abc import Sequence

from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON
from app.units.shapes import Column, Shape

SUPPLY_SHAPE = Shape(
    "supplies",
    (
        Column("name", "Name of the supply", required=True, longest=80, example="Wet distillers grains, contract"),
        Column(
            "on_hand_af_kg",
            "On hand as fed",
            "number",
            "mass_af",
            low=0,
            high=50_000 * KG_PER_SHORT_TON,
            likely_high=3_000 * KG_PER_SHORT_TON,
            example="24",
            hint="As received, when it was last counted. Deliveries received later are added.",
        ),
        Column("counted_on", "Counted on", "day", example="2027-05-10", ask_if="past_only"),
        Column(
            "dm_frac", "Dry matter", "number", "percent", high=1, likely_low=0.10, example="33",
            hint="Dry matter, not moisture. Empty: the feed's usual.",
        ),
        Column(
            "ndf_frac", "NDF of the dry matter", "number", "ndf", low=0, high=0.95, likely_low=0.05, likely_high=0.85,
            example="38",
        ),
        Column(
            "cp_frac", "Crude protein of the dry matter", "number", "percent", low=0, high=0.95, likely_low=0.02,
            likely_high=0.60, example="30",
        ),
        Column(
            "price_usd_kg_af",
            "Price as fed",
            "number",
            "price_af",
            low=0,
            high=5,
            likely_low=10 / KG_PER_SHORT_TON,
            likely_high=900 / KG_PER_SHORT_TON,
            example="88",
            hint="As received, delivered.",
        ),
        Column("note", "Note", "long", longest=2000),
    ),
)  # fmt: skip
DELIVERY_SHAPE = Shape(
    "deliveries",
    (
        Column("due_on", "Due on", "day", required=True, example="2027-05-20", ask_if="this_year"),
        Column(
            "mass_af_kg",
            "Weight as fed",
            "number",
            "mass_af",
            required=True,
            low=0.01 * KG_PER_SHORT_TON,
            high=50_000 * KG_PER_SHORT_TON,
            example="25",
            hint="As received.",
        ),
        Column("received_on", "Received on", "day", example="2027-05-20", ask_if="past_only"),
    ),
)
LOAD_CHECK_SHAPE = Shape(
    "load_checks",
    (
        Column("load_af_kg", "One load", "number", "mass_af", required=True, low=0, high=200 * KG_PER_SHORT_TON),
        Column("head_count", "Animals fed from it", "whole", "head", required=True, low=1, high=100_000),
        Column("fed_af_kg", "Fed to each in a day", "number", "weight", required=True, low=0.1 * KG_PER_LB, high=100),
    ),
)


def supply_shape(feeds: Sequence[tuple[int, str]]) -> Shape:
    """The form of a supply with the farm's own feeds to choose from."""
    name, *rest = SUPPLY_SHAPE.columns
    choices = tuple((str(feed_id), feed) for feed_id, feed in feeds)
    return Shape("supplies", (name, Column("feed_id", "Feed", "choice", required=True, choices=choices), *rest))
