"""What may be typed about one item of a checklist."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from app.planning.cautions import PLACES
from app.units.shapes import Column, Shape

ROLE_NAMES = (
    ("owner", "Owner"),
    ("agronomist", "Agronomist"),
    ("nutritionist", "Nutritionist"),
    ("consultant", "Consultant"),
    ("crew", "Crew"),
)
KIND_NAMES = (
    ("count", "Pieces"),
    ("weight", "Weight"),
    ("area_sheet", "Area of sheeting"),
    ("mass_af", "Tons as fed"),
    ("length", "Length"),
    ("volume", "Volume"),
    ("density_af", "Density as fed"),
    ("hours", "Hours"),
    ("days", "Days"),
)
MOST = 1e9


def item_shape(kind: str | None = None, blockers: tuple[tuple[str, str], ...] = ()) -> Shape:
    """Columns of an item whose need is of that kind; without a kind, need and have are in the kept unit."""
    return Shape(
        "items",
        (
            Column("title", "What has to be ready", required=True, longest=200, example="Loader greased"),
            Column("place", "Place", "choice", choices=tuple((key, str(name)) for key, name in PLACES.items())),
            Column("role", "Role", "choice", choices=ROLE_NAMES),
            Column("owner", "Who sees to it", longest=80, example="Ruth"),
            Column("due_on", "Due on", "day", ask_if="this_year", hint="Leave empty to follow the start of cutting."),
            Column("days_before", "Days before the start", "whole", low=0, high=120, likely_high=60, example="7"),
            Column("kind", "Counted as", "choice", choices=KIND_NAMES),
            Column("need", "Needed", "number", kind, low=0, high=MOST, example="40"),
            Column("have", "On hand", "number", kind, low=0, high=MOST, example="32"),
            Column("blocked_by_id", "Waits for", "choice", choices=blockers),
            Column("note", "Note", "long", longest=2000),
        ),
    )


ITEM_SHAPE = item_shape()
NOTE_SHAPE = Shape("note", (Column("text", "Note", "long", required=True, longest=1000),))
START_SHAPE = Shape(
    "start", (Column("starts_on", "Agreed start of cutting", "day", ask_if="this_year", example="2027-05-24"),)
)


def as_kept(values: Mapping[str, Any]) -> dict[str, Any]:
    """Typed values as the row keeps them: the item waited for by its number."""
    kept = dict(values)
    if kept.get("blocked_by_id") not in (None, ""):
        kept["blocked_by_id"] = int(kept["blocked_by_id"])
    return kept
