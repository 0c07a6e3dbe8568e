"""What people do with stands: species shares, seeding, traits, own yields, ends and new starts, and counts of stems."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Conflict, Invalid, NotFound
from app.events.corrections import append_reading, corrected_fields, latest_of, merged
from app.events.edits import apply_edit
from app.events.history import note
from app.records.farms import Farm
from app.records.fields import Field, Stand, StandCount, StandSpecies
from app.units.quantities import KG_HA_PER_TON_ACRE, PER_M2_PER_FT2
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape

SPECIES = (
    ("alfalfa", "Alfalfa"),
    ("orchardgrass", "Orchardgrass"),
    ("timothy", "Timothy"),
    ("tall_fescue", "Tall fescue"),
    ("meadow_fescue", "Meadow fescue"),
    ("ryegrass", "Ryegrass"),
    ("bromegrass", "Smooth bromegrass"),
    ("reed_canarygrass", "Reed canarygrass"),
    ("other_grass", "Other grass"),
    ("red_clover", "Red clover"),
    ("white_clover", "White clover"),
    ("other_legume", "Other legume"),
)
GRASSES = frozenset(
    ("orchardgrass", "timothy", "tall_fescue", "meadow_fescue", "ryegrass", "bromegrass", "reed_canarygrass",
     "other_grass")
)  # fmt: skip
ROUNDING = 0.005
"""Shares typed as whole per cents may miss 100 by rounding, by half a point at most."""

STAND_SHAPE = Shape(
    "stands",
    (
        Column("seeded_on", "Seeded on", "day", example="2024-04-20", ask_if="past_only"),
        *(
            Column(f"share_{key}", label, "number", "percent", low=0, high=1, example="70" if key == "alfalfa" else "")
            for key, label in SPECIES
        ),
        Column(
            "is_reduced_lignin",
            "Reduced-lignin variety",
            "tick",
            hint="Height and stage are read as for any alfalfa; its credit stands on a line of its own.",
        ),
        Column(
            "season_yield_kg_ha",
            "Own record of the season's yield",
            "number",
            "yield_dm",
            low=0.2 * KG_HA_PER_TON_ACRE,
            high=18 * KG_HA_PER_TON_ACRE,
            likely_low=1.5 * KG_HA_PER_TON_ACRE,
            likely_high=9 * KG_HA_PER_TON_ACRE,
            example="4.6",
            hint="Dry matter of all cuttings together. It replaces the estimate from stems.",
        ),
        Column("note", "Note", "long", longest=2000),
    ),
)
COUNT_SHAPE = Shape(
    "stand_counts",
    (
        Column("counted_on", "Counted on", "day", required=True, example="2027-04-20", ask_if="past_only"),
        Column(
            "stems_per_m2",
            "Stems",
            "number",
            "stems",
            low=0,
            high=2000,
            likely_low=8 * PER_M2_PER_FT2,
            likely_high=120 * PER_M2_PER_FT2,
            example="48",
            hint="Stems the mower will take (over 2 in), counted when the crop is 4 to 6 in tall.",
        ),
        Column(
            "root_score",
            "Roots and crowns, 0 to 5",
            "number",
            "score",
            low=0,
            high=5,
            example="1.5",
            hint="Mean of ten plants or more, split lengthwise: 0 healthy and white, 5 dead.",
        ),
        Column("spots_count", "Spots", "whole", low=1, high=60, likely_high=25, example="5"),
        Column("note", "Note", "long", longest=2000),
    ),
)
END_SHAPE = Shape(
    "stands_end",
    (Column("ended_on", "Ended on", "day", required=True, example="2026-09-10", ask_if="past_only"),),
)
SHARES = tuple(f"share_{key}" for key, _label in SPECIES)


def parts_of(field_id: int) -> tuple[str, ...]:
    """The live parts that a change to a field, its stand or its readings touches."""
    return ("board-figures", "fields-table", f"fields-field-{field_id}")


def grass_share(stand: Stand | None) -> float:
    """Grass in the dry matter of the stand."""
    return math.fsum(each.share_frac for each in stand.species if each.species in GRASSES) if stand else 0.0


def species_of(stand: Stand) -> tuple[tuple[str, float], ...]:
    """(name, share) of what grows there, largest first."""
    names = dict(SPECIES)
    ordered = sorted(stand.species, key=lambda each: (-each.share_frac, each.id))
    return tuple((names.get(each.species, each.species), each.share_frac) for each in ordered)


def stand_values(stand: Stand) -> dict[str, Any]:
    """The stand's values for the columns of STAND_SHAPE."""
    return {name: getattr(_Whole(stand), name) for name in (column.name for column in STAND_SHAPE.columns)}


def check_shares(values: Mapping[str, Any]) -> None:
    """Species shares must add up to 100 %; the refusal names what they add up to."""
    total = math.fsum(values.get(name) or 0.0 for name in SHARES)
    if abs(total - 1) <= ROUNDING:
        return
    if total == 0:
        why = Sentence("Say what grows here: a share for each species, such as alfalfa 100 %.")
    else:
        why = Sentence(
            "The shares add up to {got}; together they must make {wanted}, such as alfalfa 70 and orchardgrass 30.",
            got=Quantity(total, "percent"),
            wanted=Quantity(1.0, "percent"),
        )
    raise Invalid({SHARES[0]: why})


def get_stand(work: Work, farm_id: int, stand_id: int, permission: Permission = Permission.FIELDS_EDIT) -> Stand:
    return access_row(work, Stand, farm_id, stand_id, permission, selectinload(Stand.species))


def get_count(work: Work, farm_id: int, count_id: int) -> tuple[StandCount, Stand]:
    """The last correction of a count, with its stand."""
    latest = latest_of(work, StandCount, _count(work, farm_id, count_id))
    return latest, _stand_of(work, latest)


def field_of(work: Work, farm_id: int, field_id: int) -> Field:
    """The field a new stand is for."""
    return access_row(work, Field, farm_id, field_id, Permission.FIELDS_EDIT)


def add_stand(work: Work, farm_id: int, field_id: int, values: dict[str, Any]) -> Stand:
    """What grows on the field from now on. A stand that is still there must be ended first."""
    field = access_row(work, Field, farm_id, field_id, Permission.FIELDS_EDIT)
    check_shares(values)
    if _standing(work, field_id) is not None:
        raise Invalid({"seeded_on": Sentence("Another stand is still on this field. End it first, with its last day.")})
    _after_the_last(work, field_id, values.get("seeded_on"))
    stand = Stand(farm_id=farm_id, field_id=field_id, **{k: v for k, v in values.items() if k not in SHARES})
    stand.species = [StandSpecies(species=key, share_frac=share) for key, share in _shares(values).items()]
    work.session.add(stand)
    work.session.flush()
    note(work, farm_id, "add", "stands", stand.id, name=field.name, parts=parts_of(field_id))
    return stand


def edit_stand(
    work: Work, farm_id: int, stand_id: int, values: dict[str, Any], was: Mapping[str, Any] | None = None
) -> Stand:
    """Change a stand; people who changed different things both win."""
    stand = access_row(work, Stand, farm_id, stand_id, Permission.FIELDS_EDIT, selectinload(Stand.species))
    check_shares({**stand_values(stand), **values})
    whole = _Whole(stand)
    apply_edit(work, whole, values, was, noun="stands", name=_field_name(work, stand), parts=parts_of(stand.field_id))  # type: ignore[arg-type]
    check_shares(stand_values(stand))
    return stand


def end_stand(work: Work, farm_id: int, stand_id: int, ended_on: date) -> Stand:
    """The last day of a stand; it stays in the history of the field."""
    stand = access_row(work, Stand, farm_id, stand_id, Permission.FIELDS_EDIT)
    if stand.ended_on is not None:
        raise Conflict({"ended_on": (stand.ended_on, ended_on)})
    if stand.seeded_on and ended_on < stand.seeded_on:
        raise Invalid(
            {
                "ended_on": Sentence(
                    "The stand was seeded on {seeded}; it cannot end on {ended}, before that.",
                    seeded=stand.seeded_on,
                    ended=ended_on,
                )
            }
        )
    return _move_end(work, stand, ended_on, "edit")


def resume_stand(work: Work, farm_id: int, stand_id: int) -> Stand:
    """Undo of `end_stand`: the stand is there again."""
    stand = access_row(work, Stand, farm_id, stand_id, Permission.FIELDS_EDIT)
    if _standing(work, stand.field_id) is not None:
        raise Invalid({"ended_on": Sentence("Another stand has been started on this field since.")})
    return _move_end(work, stand, None, "restore")


def add_count(work: Work, farm_id: int, stand_id: int, values: dict[str, Any]) -> StandCount:
    """Stems counted and roots scored on a day."""
    stand = access_row(work, Stand, farm_id, stand_id, Permission.FIELDS_EDIT)
    return _append_count(work, stand, values, "add")


def correct_count(
    work: Work, farm_id: int, count_id: int, values: dict[str, Any], was: Mapping[str, Any] | None = None
) -> StandCount:
    """A new row that stands for the old one; the old one is kept."""
    wrong = _count(work, farm_id, count_id)
    latest = latest_of(work, StandCount, wrong)
    names = [column.name for column in COUNT_SHAPE.columns]
    now = {name: getattr(latest, name) for name in names}
    return _append_count(work, _stand_of(work, wrong), merged(now, values, was), "edit", latest)


def withdraw_count(work: Work, farm_id: int, count_id: int, withdrawn: bool = True) -> StandCount:
    """Take a count back, or, with `withdrawn` False, undo that."""
    latest = latest_of(work, StandCount, _count(work, farm_id, count_id))
    names = [column.name for column in COUNT_SHAPE.columns]
    values = {name: getattr(latest, name) for name in names}
    verb = "remove" if withdrawn else "restore"
    return _append_count(work, _stand_of(work, latest), values, verb, latest, withdrawn)


def _append_count(
    work: Work, stand: Stand, values: Mapping[str, Any], verb: str, wrong: StandCount | None = None, gone: bool = False
) -> StandCount:
    if not gone:
        _check_count(work, stand, values)
    kept = {"farm_id": stand.farm_id, "stand_id": stand.id, **values}
    count = append_reading(work, StandCount, kept, wrong, gone)
    note(
        work,
        stand.farm_id,
        verb,
        "stand_counts",
        count.id,
        name=_field_name(work, stand),
        fields=corrected_fields(wrong, values),
        parts=parts_of(stand.field_id),
    )
    return count


def _check_count(work: Work, stand: Stand, values: Mapping[str, Any]) -> None:
    if values.get("stems_per_m2") is None and values.get("root_score") is None:
        raise Invalid({"stems_per_m2": Sentence("Fill in the stems, the score of roots and crowns, or both.")})
    counted = values["counted_on"]
    if counted > today_on(work, stand.farm_id):
        raise Invalid({"counted_on": Sentence("Nothing can be counted on a day to come ({day}).", day=counted)})
    if stand.seeded_on and counted < stand.seeded_on:
        why = Sentence("The stand was seeded on {seeded}; {day} lies before that.", seeded=stand.seeded_on, day=counted)
        raise Invalid({"counted_on": why})


def _after_the_last(work: Work, field_id: int, seeded_on: date | None) -> None:
    ended = [day for day in work.session.scalars(select(Stand.ended_on).where(Stand.field_id == field_id)) if day]
    if seeded_on and ended and seeded_on < max(ended):
        why = Sentence("The stand before ended on {ended}; the new one cannot be seeded before that.", ended=max(ended))
        raise Invalid({"seeded_on": why})


def _move_end(work: Work, stand: Stand, ended_on: date | None, verb: str) -> Stand:
    before, stand.ended_on = stand.ended_on, ended_on
    stand.version += 1
    note(
        work,
        stand.farm_id,
        verb,
        "stands",
        stand.id,
        name=_field_name(work, stand),
        fields={"ended_on": (before, ended_on)},
        parts=parts_of(stand.field_id),
    )
    return stand


def _standing(work: Work, field_id: int) -> Stand | None:
    return work.session.scalar(select(Stand).where(Stand.field_id == field_id, Stand.ended_on.is_(None)))


def _count(work: Work, farm_id: int, count_id: int) -> StandCount:
    return access_row(work, StandCount, farm_id, count_id, Permission.FIELDS_EDIT)


def _stand_of(work: Work, count: StandCount) -> Stand:
    stand = work.session.get(Stand, count.stand_id)
    if stand is None:
        raise NotFound("stands")
    return stand


def _field_name(work: Work, stand: Stand) -> str:
    return work.session.scalar(select(Field.name).where(Field.id == stand.field_id)) or ""


def today_on(work: Work, farm_id: int) -> date:
    """Today where the farm is."""
    return work.today(work.session.scalar(select(Farm.time_zone).where(Farm.id == farm_id)))


def _shares(values: Mapping[str, Any]) -> dict[str, float]:
    return {name.removeprefix("share_"): values[name] for name in SHARES if values.get(name)}


class _Whole:
    """A stand with its species shares as if they were columns, so that two editors of them merge like any others."""

    def __init__(self, stand: Stand) -> None:
        object.__setattr__(self, "_stand", stand)

    def __getattr__(self, name: str) -> Any:
        if name in SHARES:
            return next((s.share_frac for s in self._stand.species if f"share_{s.species}" == name), None)
        return getattr(self._stand, name)

    def __setattr__(self, name: str, value: Any) -> None:
        if name not in SHARES:
            setattr(self._stand, name, value)
            return
        found = next((s for s in self._stand.species if f"share_{s.species}" == name), None)
        if found is not None and value:
            found.share_frac = value
        elif found is not None:
            self._stand.species.remove(found)
        elif value:
            self._stand.species.append(StandSpecies(species=name.removeprefix("share_"), share_frac=value))
