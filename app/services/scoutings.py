"""What people do with scoutings: note height and stage of a field, correct a reading, take one back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.agronomy.growth import spots_to_take
from app.agronomy.quality import TABLE_CM
from app.errors import Conflict, Invalid, Unsure
from app.events.corrections import append_reading, corrected_fields, latest_of, merged
from app.events.history import note
from app.records.fields import Field, Stand
from app.records.scoutings import Scouting, ScoutingSpot
from app.services.stands import grass_share, parts_of
from app.units.kinds import System
from app.units.sentences import Sentence
from app.units.shapes import Column, Read, Shape, read

STAGE_CHOICES = (("vegetative", "No buds"), ("bud", "Buds"), ("flower", "Flowers"))
SCOUTING_SHAPE = Shape(
    "scoutings",
    (
        Column("scouted_on", "Day", "day", required=True, example="2027-05-10", ask_if="past_only"),
        Column("cutting", "Cutting", "whole", required=True, low=1, high=8, example="1"),
        Column(
            "grass_frac",
            "Grass in the dry matter",
            "number",
            "percent",
            low=0,
            high=1,
            example="30",
            hint="Only in a mixture. Empty takes the share the stand was described with.",
        ),
        Column(
            "grass_ndf_frac",
            "NDF of the grass",
            "number",
            "ndf",
            low=0.20,
            high=0.80,
            likely_low=0.35,
            likely_high=0.70,
            example="50",
            hint="From a clipped sample of the grass alone.",
        ),
        Column("is_frosted", "Frost on tall growth", "tick"),
        Column("is_lodged", "Lodged", "tick"),
        Column("is_dry", "Short of water", "tick"),
        Column("has_new_shoots", "New shoots at the crown", "tick"),
        Column("note", "Note", "long", longest=2000),
    ),
)
SPOT_SHAPE = Shape(
    "scouting_spots",
    (
        Column("stage", "Most mature stem", "choice", required=True, choices=STAGE_CHOICES),
        Column(
            "height_cm",
            "Tallest stem",
            "number",
            "height",
            required=True,
            low=2.0,
            high=200.0,
            likely_low=TABLE_CM[0],
            likely_high=TABLE_CM[1],
            hint="Soil to the tip of the stem, straightened.",
        ),
        Column("latitude", "Latitude", "number", "degrees", low=-90, high=90),
        Column("longitude", "Longitude", "number", "degrees", low=-180, high=180),
    ),
)
FLAGS = ("is_frosted", "is_lodged", "is_dry", "has_new_shoots")
MOST_SPOTS = 40


@dataclass(frozen=True)
class Scout:
    """What the form needs to know of the field."""

    field_id: int
    field_name: str
    today: date
    suggested: int
    is_mixed: bool


def scout_of(work: Work, farm_id: int, field_id: int) -> Scout:
    """The field about to be scouted, for whoever may note a reading there."""
    place = access_row(work, Field, farm_id, field_id, Permission.SCOUTINGS_ADD)
    stand = work.session.scalar(
        select(Stand)
        .where(Stand.field_id == field_id, Stand.ended_on.is_(None))
        .order_by(Stand.id.desc())
        .options(selectinload(Stand.species))
        .limit(1)
    )
    today = work.today(access_farm(work, farm_id).time_zone)
    return Scout(place.id, place.name, today, spots_suggested(place.area_ha), grass_share(stand) > 0)


def spots_suggested(area_ha: float) -> int:
    """Places to look at in a field of that size."""
    return int(spots_to_take(area_ha))


def spot_names(number: int) -> dict[str, str]:
    """Name in SPOT_SHAPE -> name in the form, for one spot."""
    return {column.name: f"{column.name}_{number}" for column in SPOT_SHAPE.columns}


def spot_shape(number: int) -> Shape:
    """SPOT_SHAPE with the names the form of many spots sends."""
    names = spot_names(number)
    columns = tuple(
        replace(column, name=names[column.name], hint=column.hint if number == 1 else "")
        for column in SPOT_SHAPE.columns
    )
    return Shape(f"spot-{number}", columns)


@dataclass
class SpotsRead:
    """The spots of a form: values, and refusals and questions by the name the form uses."""

    spots: list[dict[str, Any]] = field(default_factory=list)
    errors: dict[str, Sentence] = field(default_factory=dict)
    asks: dict[str, Sentence] = field(default_factory=dict)


def read_spots(typed: Mapping[str, str], count: int, system: System) -> SpotsRead:
    """Read the rows of a form; rows with neither stage nor height are left out."""
    result = SpotsRead()
    for number in range(1, min(count, MOST_SPOTS) + 1):
        names = spot_names(number)
        if not any((typed.get(names[name]) or "").strip() for name in ("stage", "height_cm")):
            continue
        row: Read = read(SPOT_SHAPE, {name: typed.get(sent) for name, sent in names.items()}, system)
        result.errors |= {names[name]: why for name, why in row.errors.items()}
        result.asks |= {names[name]: why for name, why in row.asks.items()}
        result.spots.append(row.values)
    if not result.spots and not result.errors:
        result.errors["stage_1"] = Sentence("Fill in at least one spot: the stage and the tallest stem.")
    return result


def read_scouting(
    typed: Mapping[str, str], spots_count: int, system: System, today: date, sure: bool
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """A whole form: values of the scouting and its spots; raises Invalid or Unsure with every refusal at once."""
    head = read(SCOUTING_SHAPE, typed, system, today)
    spots = read_spots(typed, spots_count, system)
    day = head.values.get("scouted_on")
    if day and not head.asks.get("scouted_on") and day.year != today.year:
        head.asks["scouted_on"] = Sentence("{day} is not of this year. Is the year right?", day=day.isoformat())
    if errors := {**head.errors, **spots.errors}:
        raise Invalid(errors)
    if (asks := {**head.asks, **spots.asks}) and not sure:
        raise Unsure(asks)
    return head.values, spots.spots


def get_scouting(work: Work, farm_id: int, scouting_id: int, permission: Permission) -> Scouting:
    return access_row(work, Scouting, farm_id, scouting_id, permission, selectinload(Scouting.spots))


def scouting_values(scouting: Scouting) -> dict[str, Any]:
    return {column.name: getattr(scouting, column.name) for column in SCOUTING_SHAPE.columns}


def spot_values(scouting: Scouting) -> list[dict[str, Any]]:
    names = [column.name for column in SPOT_SHAPE.columns]
    return [{name: getattr(spot, name) for name in names} for spot in scouting.spots]


def add_scouting(
    work: Work, farm_id: int, field_id: int, values: dict[str, Any], spots: Sequence[Mapping[str, Any]]
) -> Scouting:
    """Height and stage read on a field on a day."""
    place = access_row(work, Field, farm_id, field_id, Permission.SCOUTINGS_ADD)
    return _append(work, place, values, spots, "add")


def correct_scouting(
    work: Work,
    farm_id: int,
    scouting_id: int,
    values: dict[str, Any],
    spots: Sequence[Mapping[str, Any]],
    was: Mapping[str, Any] | None = None,
) -> Scouting:
    """A new reading that stands for the old one; the old one is kept.

    Whoever corrects a reading that was corrected meanwhile is shown both values of every field both changed.
    """
    opened = get_scouting(work, farm_id, scouting_id, Permission.SCOUTINGS_ADD)
    latest = _latest(work, opened)
    values = merged(scouting_values(latest), values, was)
    if latest.id != opened.id:
        spots = _merged_spots(opened, latest, spots)
    return _append(work, _field_of(work, farm_id, latest), values, spots, "edit", latest)


def withdraw_scouting(work: Work, farm_id: int, scouting_id: int, withdrawn: bool = True) -> Scouting:
    """Take a reading back, or, with `withdrawn` False, undo that. Nothing is lost either way."""
    latest = _latest(work, get_scouting(work, farm_id, scouting_id, Permission.SCOUTINGS_ADD))
    if latest.is_withdrawn == withdrawn:
        return latest
    verb = "remove" if withdrawn else "restore"
    place = _field_of(work, farm_id, latest)
    return _append(work, place, scouting_values(latest), spot_values(latest), verb, latest, withdrawn)


def latest_reading(work: Work, farm_id: int, scouting_id: int) -> Scouting:
    """The last correction of a reading: what a form of correction starts from."""
    return _latest(work, get_scouting(work, farm_id, scouting_id, Permission.SCOUTINGS_ADD))


def _append(
    work: Work,
    place: Field,
    values: Mapping[str, Any],
    spots: Sequence[Mapping[str, Any]],
    verb: str,
    wrong: Scouting | None = None,
    gone: bool = False,
) -> Scouting:
    if not gone:
        _check(work, place.farm_id, values, spots)
    lines = [ScoutingSpot(number=number, **spot) for number, spot in enumerate(spots, 1)]
    kept = {"farm_id": place.farm_id, "field_id": place.id, "spots": lines, **values}
    scouting = append_reading(work, Scouting, kept, wrong, gone)
    changed = _changed(wrong, values, spots) if wrong and verb == "edit" else {}
    note(
        work,
        place.farm_id,
        verb,
        "scoutings",
        scouting.id,
        name=place.name,
        fields=changed,
        parts=(*parts_of(place.id), f"scoutings-list-{place.id}"),
    )
    return scouting


def _check(work: Work, farm_id: int, values: Mapping[str, Any], spots: Sequence[Mapping[str, Any]]) -> None:
    today = work.today(access_farm(work, farm_id).time_zone)
    if values["scouted_on"] > today:
        why = Sentence("No crop can be read on a day to come ({day}). Is the year right?", day=values["scouted_on"])
        raise Invalid({"scouted_on": why})
    if not spots:
        raise Invalid({"stage_1": Sentence("Fill in at least one spot: the stage and the tallest stem.")})


def _merged_spots(
    opened: Scouting, latest: Scouting, typed: Sequence[Mapping[str, Any]]
) -> Sequence[Mapping[str, Any]]:
    """Spots of whoever changed them; when both did, each sees both."""
    before, now = _lines(spot_values(opened)), _lines(spot_values(latest))
    mine = _lines(typed)
    if mine in (before, now):
        return spot_values(latest)
    if before != now:
        raise Conflict({"spots": (now, mine)})
    return typed


def _changed(wrong: Scouting, values: Mapping[str, Any], spots: Sequence[Mapping[str, Any]]) -> dict[str, tuple]:
    fields = corrected_fields(wrong, values)
    before, after = _lines(spot_values(wrong)), _lines(spots)
    return fields | ({"spots": (before, after)} if before != after else {})


def _lines(spots: Sequence[Mapping[str, Any]]) -> str:
    """Spots as one line of history, heights in cm."""
    return "; ".join(f"{spot['stage']} {spot['height_cm']:.1f} cm" for spot in spots)


def _latest(work: Work, scouting: Scouting) -> Scouting:
    newest = latest_of(work, Scouting, scouting)
    if newest is scouting:
        return scouting
    wanted = select(Scouting).where(Scouting.id == newest.id).options(selectinload(Scouting.spots))
    return work.session.scalars(wanted.execution_options(populate_existing=True)).one()


def _field_of(work: Work, farm_id: int, scouting: Scouting) -> Field:
    return access_row(work, Field, farm_id, scouting.field_id, Permission.SCOUTINGS_ADD)
