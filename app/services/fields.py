"""What people do with fields: add, edit, remove and bring back; and the farm's own shares of the season."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sqlalchemy import delete, func, select

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.agronomy.growth import SEASON_SHARES
from app.errors import Invalid, NotFound
from app.events.edits import apply_edit
from app.events.history import note
from app.records.farms import CuttingShare, Farm
from app.records.fields import Field
from app.services.stands import parts_of
from app.units.quantities import HA_PER_ACRE, KM_PER_MILE
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape

FIELD_SHAPE = Shape(
    "fields",
    (
        Column("name", "Name of the field", required=True, longest=80, example="Long Acre"),
        Column(
            "area_ha",
            "Area",
            "number",
            "area",
            required=True,
            low=0.05 * HA_PER_ACRE,
            high=5000 * HA_PER_ACRE,
            likely_low=1 * HA_PER_ACRE,
            likely_high=640 * HA_PER_ACRE,
            example="62",
        ),
        Column("latitude", "Latitude", "number", "degrees", low=-90, high=90, example="43.07"),
        Column("longitude", "Longitude", "number", "degrees", low=-180, high=180, example="-89.4"),
        Column(
            "haul_km",
            "Haul to storage, one way",
            "number",
            "distance",
            low=0,
            high=200,
            likely_high=25 * KM_PER_MILE,
            example="2.4",
        ),
        Column(
            "drainage_note",
            "Drainage and ground",
            "long",
            longest=2000,
            hint="Wet corners, where tractors sink, what to keep off after rain.",
        ),
    ),
)
MOST_CUTS = 8
SHARES_SHAPE = Shape(
    "cutting_shares",
    tuple(
        Column(f"share_{number}", label, "number", "percent", low=0.01, high=1, example=example)
        for number, (label, example) in enumerate(
            (
                ("First cutting", "36"),
                ("Second cutting", "25"),
                ("Third cutting", "21"),
                ("Fourth cutting", "18"),
                ("Fifth cutting", "12"),
                ("Sixth cutting", "8"),
                ("Seventh cutting", "5"),
                ("Eighth cutting", "4"),
            ),
            1,
        )
    ),
)
ROUNDING = 0.005


def shares_shape(cuts_count: int) -> Shape:
    """The form of the farm's own shares: one column for each cutting of its season."""
    return SHARES_SHAPE.only(*(f"share_{number}" for number in range(1, cuts_count + 1)))


def list_fields(work: Work, farm_id: int) -> list[Field]:
    """The farm's fields in their order."""
    access_farm(work, farm_id)
    wanted = select(Field).where(Field.farm_id == farm_id, Field.removed_at.is_(None))
    return list(work.session.scalars(wanted.order_by(Field.position, Field.id)))


def list_removed(work: Work, farm_id: int) -> list[Field]:
    """Fields that were removed and can be brought back, newest first."""
    wanted = select(Field).where(Field.farm_id == farm_id, Field.removed_at.is_not(None))
    return list(work.session.scalars(wanted.order_by(Field.removed_at.desc()).limit(20)))


def add_field(work: Work, farm_id: int, values: dict[str, Any]) -> Field:
    access_farm(work, farm_id, Permission.FIELDS_EDIT)
    _check_name(work, farm_id, values.get("name"))
    last = work.session.scalar(select(func.max(Field.position)).where(Field.farm_id == farm_id))
    field = Field(farm_id=farm_id, position=(last or 0) + 1, **values)
    work.session.add(field)
    work.session.flush()
    note(work, farm_id, "add", "fields", field.id, name=field.name, parts=parts_of(field.id))
    return field


def edit_field(
    work: Work, farm_id: int, field_id: int, values: dict[str, Any], was: Mapping[str, Any] | None = None
) -> Field:
    field = access_row(work, Field, farm_id, field_id, Permission.FIELDS_EDIT)
    if "name" in values and values["name"] != field.name:
        _check_name(work, farm_id, values["name"], field.id)
    apply_edit(work, field, values, was, noun="fields", parts=parts_of(field.id))
    return field


def remove_field(work: Work, farm_id: int, field_id: int) -> Field:
    """Take a field off every page; `restore_field` brings it back with all its readings."""
    field = access_row(work, Field, farm_id, field_id, Permission.FIELDS_EDIT)
    field.removed_at = work.now()
    note(work, farm_id, "remove", "fields", field.id, name=field.name, parts=parts_of(field.id))
    return field


def restore_field(work: Work, farm_id: int, field_id: int) -> Field:
    access_farm(work, farm_id, Permission.FIELDS_EDIT)
    field = work.session.scalar(select(Field).where(Field.id == field_id, Field.farm_id == farm_id))
    if field is None:
        raise NotFound("fields")
    if field.removed_at is not None:
        _check_name(work, farm_id, field.name, field.id)
        field.removed_at = None
        note(work, farm_id, "restore", "fields", field.id, name=field.name, parts=parts_of(field.id))
    return field


def own_shares(work: Work, farm_id: int) -> dict[int, float]:
    """The farm's own share of the season by number of the cutting; empty while it has none."""
    rows = work.session.scalars(select(CuttingShare).where(CuttingShare.farm_id == farm_id))
    return {row.number: row.share_frac for row in rows}


def set_own_shares(work: Work, farm_id: int, values: Mapping[str, Any]) -> None:
    """Keep the farm's own shares of the season, which must make 100 %; all empty puts the published ones back."""
    farm = access_farm(work, farm_id, Permission.FIELDS_EDIT)
    typed = {number: values.get(f"share_{number}") for number in range(1, farm.cuts_count + 1)}
    shares = {number: share for number, share in typed.items() if share}
    if shares:
        _check_whole(shares, farm)
    before = own_shares(work, farm_id)
    if before == shares:
        return
    work.session.execute(delete(CuttingShare).where(CuttingShare.farm_id == farm_id))
    work.session.add_all(CuttingShare(farm_id=farm_id, number=n, share_frac=share) for n, share in shares.items())
    fields = {f"share_{n}": (before.get(n), shares.get(n)) for n in sorted({*before, *shares})}
    note(work, farm_id, "edit", "cutting_shares", fields=fields, parts=("board-figures", "fields-table"))


def published_shares(cuts_count: int) -> tuple[float, ...]:
    """Published shares of a season of that many cuttings; empty where none are published."""
    return SEASON_SHARES[cuts_count].shares_frac if cuts_count in SEASON_SHARES else ()


def _check_whole(shares: Mapping[int, float], farm: Farm) -> None:
    missing = [number for number in range(1, farm.cuts_count + 1) if number not in shares]
    if missing:
        why = Sentence("Fill in all {n} cuttings, or leave all empty to use the published shares.", n=farm.cuts_count)
        raise Invalid({f"share_{missing[0]}": why})
    total = math.fsum(shares.values())
    if abs(total - 1) > ROUNDING:
        why = Sentence(
            "The shares add up to {got}; together they must make {wanted}.",
            got=Quantity(total, "percent"),
            wanted=Quantity(1.0, "percent"),
        )
        raise Invalid({"share_1": why})


def _check_name(work: Work, farm_id: int, name: str | None, but: int | None = None) -> None:
    """Two fields of one name would be taken for each other in a cab."""
    same_name = select(Field.id).where(
        Field.farm_id == farm_id, Field.removed_at.is_(None), func.lower(Field.name) == (name or "").lower()
    )
    if any(found != but for found in work.session.scalars(same_name)):
        raise Invalid({"name": Sentence("There is already a field named {name}.", name=name or "")})
