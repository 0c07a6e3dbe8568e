"""What people do with structures: describe their sizes, mark what fills next, and see what they hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import func, select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.ensiling.structures.slopes import DRIVE_RATIO
from app.errors import Invalid
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.planning.estimates import Estimate
from app.planning.stores import Sizes, capacity, capacity_volume, size_faults
from app.records.feeds import Structure
from app.services import farms
from app.services.checklists import recount_needs
from app.services.feeds import FEED_PARTS
from app.services.structure_defaults import usual_density
from app.units.quantities import M_PER_FT
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

KIND_NAMES = (
    ("bunker", "Bunker"),
    ("pile", "Drive-over pile"),
    ("bag", "Bag"),
    ("tower", "Tower"),
    ("stack", "Stack of bales"),
)


def _length(name: str, label: str, high: float, likely: tuple[float, float], example: str, hint: str = "") -> Column:
    """A measure in feet or metres; likely limits in feet."""
    low_ft, high_ft = likely
    return Column(
        name,
        label,
        "number",
        "length",
        low=0.1,
        high=high,
        likely_low=low_ft * M_PER_FT,
        likely_high=high_ft * M_PER_FT,
        example=example,
        hint=hint,
    )


def _slope(name: str, label: str, hint: str = "") -> Column:
    return Column(name, label, "number", "ratio", low=0.5, high=20, likely_low=2, likely_high=8, example="3", hint=hint)


STRUCTURE_SHAPE = Shape(
    "structures",
    (
        Column("name", "Name of the structure", required=True, longest=80, example="Bunker 2"),
        Column("kind", "Kind of structure", "choice", required=True, choices=KIND_NAMES),
        _length("length_m", "Length", 1000, (10, 800), "150"),
        _length("width_m", "Width at the floor", 200, (8, 300), "40"),
        _length(
            "top_width_m", "Width between the walls at their top", 200, (8, 300), "42", "Empty: walls stand straight."
        ),
        _length("wall_height_m", "Height of the walls", 15, (4, 24), "12"),
        _length("peak_height_m", "Settled height at the highest point", 15, (3, 46), "13"),
        Column("ramps_count", "Sloped ends", "whole", low=0, high=2, example="1", hint="0, 1 or 2. Empty: one."),
        _slope("side_slope", "Slope of the sides, run for one of rise", "Empty: 3. Published advice: never steeper."),
        _slope("end_slope", "Slope of the ends, run for one of rise", "Empty: 3. Published advice: never steeper."),
        _length("diameter_m", "Diameter", 12, (3, 30), "9"),
        _length("bale_width_m", "Width of a bale", 3, (1, 8), "5"),
        _length("bale_length_m", "Length of a bale", 3, (2, 9), "8"),
        _length("bale_depth_m", "Depth of a bale", 3, (1, 6), "4"),
        Column("bale_is_round", "Round bales", "tick"),
        Column("is_oxygen_limiting", "Oxygen-limiting tower", "tick"),
        Column("fills_next", "Meant to take the coming cutting", "tick"),
        Column("note", "Note", "long", longest=2000),
    ),
)
_KIND_COLUMNS: dict[str, dict[str, dict[str, Any]]] = {
    "bunker": {
        "length_m": {"label": "Length of floor, to the foot of the ramps"},
        "width_m": {},
        "top_width_m": {},
        "wall_height_m": {},
        "peak_height_m": {"hint": "Above the wall it makes a crown. Empty: filled level with the wall."},
        "ramps_count": {},
        "end_slope": {},
    },
    "pile": {
        "length_m": {"label": "Length of the base", "example": "250"},
        "width_m": {"label": "Width of the base", "example": "100"},
        "peak_height_m": {"example": "12"},
        "side_slope": {},
        "end_slope": {},
    },
    "bag": {"length_m": {"label": "Length from tie to tie", "example": "200"}, "diameter_m": {"low": 1.0, "high": 5.0}},
    "tower": {
        "diameter_m": {"label": "Inside diameter", "example": "20"},
        "peak_height_m": {"label": "Settled depth when full", "example": "40"},
        "is_oxygen_limiting": {},
    },
    "stack": {
        "bale_is_round": {},
        "diameter_m": {"label": "Diameter of a round bale", "high": 3.0, "example": "5"},
        "bale_width_m": {},
        "bale_length_m": {"hint": "Rectangular bales only."},
        "bale_depth_m": {"hint": "Rectangular bales only."},
        "length_m": {"label": "Length of the stack", "hint": "Only for the drawing."},
        "peak_height_m": {"label": "Height of the stack", "hint": "Only for the drawing."},
    },
}
NEW_VALUES = {"ramps_count": 1, "side_slope": DRIVE_RATIO, "end_slope": DRIVE_RATIO, "bale_is_round": True}
"""What a form for a new structure starts with."""


@dataclass(frozen=True)
class StructureView:
    """A structure as pages show it."""

    id: int
    name: str
    kind: str
    sizes: Sizes
    capacity: Estimate
    capacity_af: Estimate
    """The same as fed, at the dry matter of the new crop."""
    dm_frac: float
    volume_m3: float
    density: Estimate
    fills_next: bool
    is_oxygen_limiting: bool
    note: str | None
    missing: tuple[Sentence, ...] = ()


def shape_of(kind: str) -> Shape:
    """The columns that count for a kind, by the names people use for it."""
    changes = _KIND_COLUMNS.get(kind, {})
    wanted = ("name", *changes, "fills_next", "note")
    columns = tuple(replace(STRUCTURE_SHAPE.column(name), **changes.get(name, {})) for name in wanted)
    return Shape("structures", columns)


def sizes_of(row: Structure | Mapping[str, Any] | None) -> Sizes:
    """The measures of a row; without one, of no structure at all."""
    if row is None:
        return Sizes("none")
    read = row.get if isinstance(row, Mapping) else lambda name: getattr(row, name)
    names = list(Sizes.__dataclass_fields__)
    sizes: dict[str, Any] = {name: read(name) for name in names}
    return Sizes(**sizes)


def list_structures(work: Work, farm_id: int) -> list[StructureView]:
    """The farm's structures in their order, with what each holds when full."""
    access_farm(work, farm_id)
    wanted = select(Structure).where(Structure.farm_id == farm_id, Structure.removed_at.is_(None))
    values = farms.values_of(work, farm_id)
    return [view_of(row, values) for row in work.session.scalars(wanted.order_by(Structure.position, Structure.id))]


def list_removed(work: Work, farm_id: int) -> list[Structure]:
    return removed_rows(work, Structure, farm_id)


def access_structure(
    work: Work, farm_id: int, structure_id: int, permission: Permission = Permission.FARM_VIEW
) -> Structure:
    return access_row(work, Structure, farm_id, structure_id, permission)


def view_of(row: Structure, values: Mapping[str, float | str]) -> StructureView:
    sizes = sizes_of(row)
    density = usual_density(row.kind, values)
    spread = (density.high - density.low) / 2 / density.value
    try:
        volume = capacity_volume(sizes)
    except Invalid:
        volume = float("nan")
    labels, full, dm = shape_of(row.kind), capacity(sizes, density.value, spread), float(values["new_crop_dm_frac"])
    return StructureView(
        row.id,
        row.name,
        row.kind,
        sizes,
        full,
        Estimate(full.value / dm, "mass_af", full.low / dm, full.high / dm, full.reason, full.sources),
        dm,
        volume,
        density,
        row.fills_next,
        row.is_oxygen_limiting,
        row.note,
        tuple(Sentence(labels.column(name).label) for name in sizes.missing()),
    )


def add_structure(work: Work, farm_id: int, values: dict[str, Any]) -> Structure:
    access_farm(work, farm_id, Permission.FEED_EDIT)
    _check_name(work, farm_id, values.get("name"))
    check_sizes(values)
    last = work.session.scalar(select(func.max(Structure.position)).where(Structure.farm_id == farm_id))
    row = Structure(farm_id=farm_id, position=(last or 0) + 1, **values)
    work.session.add(row)
    work.session.flush()
    note(work, farm_id, "add", "structures", row.id, name=row.name, parts=parts_of(row.id))
    recount_needs(work, farm_id)
    return row


def edit_structure(
    work: Work, farm_id: int, structure_id: int, values: dict[str, Any], was: Mapping[str, Any] | None = None
) -> Structure:
    row = access_structure(work, farm_id, structure_id, Permission.FEED_EDIT)
    if values.get("name", row.name) != row.name:
        _check_name(work, farm_id, values["name"], row.id)
    names = list(Sizes.__dataclass_fields__)
    check_sizes({**{name: getattr(row, name) for name in names}, **values})
    apply_edit(work, row, values, was, noun="structures", parts=parts_of(row.id))
    check_sizes({name: getattr(row, name) for name in names})
    recount_needs(work, farm_id)
    return row


def set_fills_next(work: Work, farm_id: int, structure_id: int, fills_next: bool) -> Structure:
    """Mark a structure as meant for the coming cutting, or take the mark off."""
    return edit_structure(work, farm_id, structure_id, {"fills_next": fills_next})


def remove_structure(work: Work, farm_id: int, structure_id: int) -> Structure:
    """Take a structure off every page; its lots stay, and `restore_structure` brings it back."""
    row = access_structure(work, farm_id, structure_id, Permission.FEED_EDIT)
    remove_row(work, row, noun="structures", parts=parts_of(row.id))
    recount_needs(work, farm_id)
    return row


def restore_structure(work: Work, farm_id: int, structure_id: int) -> Structure:
    row = access_removed(work, Structure, farm_id, structure_id, Permission.FEED_EDIT)
    if row.removed_at is not None:
        _check_name(work, farm_id, row.name, row.id)
        restore_row(work, row, noun="structures", parts=parts_of(row.id))
        recount_needs(work, farm_id)
    return row


def parts_of(structure_id: int) -> tuple[str, ...]:
    return (*FEED_PARTS, f"structures-structure-{structure_id}")


def check_sizes(values: Mapping[str, Any]) -> None:
    """Refuse, by column, sizes no such structure can have."""
    faults = size_faults(sizes_of({**dict.fromkeys(Sizes.__dataclass_fields__), "bale_is_round": True, **values}))
    if faults:
        raise Invalid(faults)


def _check_name(work: Work, farm_id: int, name: str | None, but: int | None = None) -> None:
    """Two structures of one name would be taken for each other in a cab."""
    same_name = select(Structure.id).where(
        Structure.farm_id == farm_id, Structure.removed_at.is_(None), func.lower(Structure.name) == (name or "").lower()
    )
    if any(found != but for found in work.session.scalars(same_name)):
        raise Invalid({"name": Sentence("There is already a structure named {name}.", name=name or "")})
