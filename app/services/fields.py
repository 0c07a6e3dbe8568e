"""What people do with fields: add, edit, remove and bring back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.fields import Field
from app.services.stands import parts_of
from app.units.quantities import HA_PER_ACRE, KM_PER_MILE
from app.units.sentences import Sentence
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


def list_fields(work: Work, farm_id: int) -> list[Field]:
    """The farm's fields in their order."""
    access_farm(work, farm_id)
    wanted = select(Field).where(Field.farm_id == farm_id, Field.removed_at.is_(None))
    return list(work.session.scalars(wanted.order_by(Field.position, Field.id)))


def list_removed(work: Work, farm_id: int) -> list[Field]:
    """Fields that were removed and can be brought back, newest first."""
    return removed_rows(work, Field, farm_id)


def get_field(work: Work, farm_id: int, field_id: int, permission: Permission = Permission.FARM_VIEW) -> Field:
    return access_row(work, Field, farm_id, field_id, permission)


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
    remove_row(work, field, noun="fields", parts=parts_of(field.id))
    return field


def restore_field(work: Work, farm_id: int, field_id: int) -> Field:
    field = access_removed(work, Field, farm_id, field_id, Permission.FIELDS_EDIT)
    if field.removed_at is not None:
        _check_name(work, farm_id, field.name, field.id)
        restore_row(work, field, noun="fields", parts=parts_of(field.id))
    return field


def _check_name(work: Work, farm_id: int, name: str | None, but: int | None = None) -> None:
    """Two fields of one name would be taken for each other in a cab."""
    same_name = select(Field.id).where(
        Field.farm_id == farm_id, Field.removed_at.is_(None), func.lower(Field.name) == (name or "").lower()
    )
    if any(found != but for found in work.session.scalars(same_name)):
        raise Invalid({"name": Sentence("There is already a field named {name}.", name=name or "")})
