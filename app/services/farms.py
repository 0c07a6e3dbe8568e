"""What people do with a farm as a whole."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import delete, select

from app.access.gate import access_farm
from app.access.permissions import ROLE_MAY, Permission
from app.access.work import Actor, Work, remembered, zone_of
from app.errors import Invalid, NotAllowed
from app.events.edits import apply_edit
from app.events.history import note
from app.planning import assumptions
from app.records.accounts import Membership
from app.records.farms import Farm, FarmValue
from app.services.cuttings import coming_cutting
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

FARM_SHAPE = Shape(
    "farm",
    (
        Column("name", "Name of the farm", required=True, longest=80, example="Marl Hollow"),
        Column("place", "Address", longest=200, hint="Shown on the emergency card.", example="120 County Road 4"),
        Column("latitude", "Latitude", "number", "degrees", low=-90, high=90, example="43.07"),
        Column("longitude", "Longitude", "number", "degrees", low=-180, high=180, example="-89.4"),
        Column("time_zone", "Time zone", required=True, longest=64, example="America/Chicago"),
        Column(
            "cuts_count",
            "Cuttings in a season",
            "whole",
            low=1,
            high=8,
            likely_low=2,
            likely_high=6,
            required=True,
            example="4",
        ),
    ),
)


@dataclass(frozen=True)
class FarmHead:
    """What the head of every page of a farm shows."""

    id: int
    name: str
    today: date
    seq: int
    cutting: Sentence
    time_zone: str
    place: str | None
    demo: bool


CUTTINGS = (
    Sentence("First cutting"),
    Sentence("Second cutting"),
    Sentence("Third cutting"),
    Sentence("Fourth cutting"),
    Sentence("Fifth cutting"),
    Sentence("Sixth cutting"),
    Sentence("Seventh cutting"),
    Sentence("Eighth cutting"),
)


def farm_head(work: Work, farm_id: int) -> FarmHead:
    farm = access_farm(work, farm_id)
    return FarmHead(
        farm.id,
        farm.name,
        work.today(farm.time_zone),
        farm.seq,
        CUTTINGS[coming_cutting(work, farm).number - 1],
        farm.time_zone,
        farm.place,
        work.clock.stands_on is not None,
    )


def find_farm(work: Work, which: str) -> Farm:
    """The farm of that number or name, for the command line."""
    wanted = Farm.id == int(which) if which.isdecimal() and len(which) < 10 else Farm.name == which.strip()
    found = list(work.session.scalars(select(Farm).where(wanted)))
    if len(found) == 1:
        return found[0]
    if found:
        raise Invalid({"farm": Sentence("Several farms are called {got}; give the number instead.", got=which)})
    known = [f"{farm.id} {farm.name}" for farm in work.session.scalars(select(Farm).order_by(Farm.id).limit(20))]
    why = Sentence("There is no farm {got}. Farms: {known}.", got=f"“{which}”", known=", ".join(known) or "–")
    raise Invalid({"farm": why})


def list_farms(work: Work) -> list[Farm]:
    """The farms this person is a member of, by name."""
    return list(work.session.scalars(select(Farm).where(Farm.id.in_(work.actor.farm_ids)).order_by(Farm.name)))


def permissions_of(actor: Actor, farm_id: int) -> frozenset[str]:
    """What the actor may do there, for templates to leave out what they may not."""
    role = actor.role_on(farm_id)
    return frozenset(str(permission) for permission in ROLE_MAY[role]) if role else frozenset()


def check_time_zone(values: dict[str, Any]) -> None:
    name = values.get("time_zone")
    if name and name != "UTC" and str(zone_of(name)) == "UTC":
        raise Invalid(
            {
                "time_zone": Sentence(
                    "{got} is not a time zone. Write one such as {example}.", got=f"“{name}”", example="America/Chicago"
                )
            }
        )


def check_may_add(work: Work) -> None:
    """A crew phone that is kept to one farm starts no other."""
    if work.actor.only_farm_id is not None:
        raise NotAllowed("a crew phone")


def add_farm(work: Work, values: dict[str, Any]) -> Farm:
    """A new farm; whoever adds it becomes its owner."""
    check_may_add(work)
    check_time_zone(values)
    farm = Farm(**values, created_at=work.now())
    work.session.add(farm)
    work.session.flush()
    if work.actor.account_id is not None:
        work.session.add(
            Membership(farm_id=farm.id, account_id=work.actor.account_id, role="owner", created_at=work.now())
        )
    note(work, farm.id, "add", "farms", farm.id, name=farm.name, parts=("board-figures",))
    return farm


def edit_farm(work: Work, farm_id: int, values: dict[str, Any], was: dict[str, Any] | None = None) -> Farm:
    farm = access_farm(work, farm_id, Permission.FARM_EDIT)
    check_time_zone(values)
    apply_edit(work, farm, values, was, noun="farms", parts=("board-figures",))
    return farm


def values_of(work: Work, farm_id: int) -> dict[str, float | str]:
    """Every assumption with the farm's own value where it has one, else the default."""
    return assumptions.resolve(own_values(work, farm_id))


@remembered
def own_values(work: Work, farm_id: int) -> dict[str, float | str]:
    rows = work.session.scalars(select(FarmValue).where(FarmValue.farm_id == farm_id))
    return {row.key: row.choice if row.number is None else row.number for row in rows}  # type: ignore[misc]


def set_value(
    work: Work, farm_id: int, key: str, value: float | str | None, permission: Permission = Permission.FARM_EDIT
) -> None:
    """Give the farm its own value of an assumption; None puts the default back. Refused outside its range.

    Whoever keeps a subject (`permission`) may set its assumptions from the page of that subject.
    """
    access_farm(work, farm_id, permission)
    before = own_values(work, farm_id).get(key)
    if value is not None:
        assumptions.resolve({key: value})
    if before == value:
        return
    work.session.execute(delete(FarmValue).where(FarmValue.farm_id == farm_id, FarmValue.key == key))
    if value is not None:
        number, choice = (None, value) if isinstance(value, str) else (float(value), None)
        work.session.add(FarmValue(farm_id=farm_id, key=key, number=number, choice=choice))
    note(
        work,
        farm_id,
        "edit",
        "farm_values",
        name=key,
        fields={key: (before, value)},
        parts=("board-figures", "feed-balance"),
    )
