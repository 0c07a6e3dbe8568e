"""The farm's own shares of the season's yield by cutting, in place of the published ones."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sqlalchemy import delete, select

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.agronomy.growth import SEASON_SHARES
from app.errors import Invalid
from app.events.history import note
from app.records.farms import CuttingShare
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape

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
        check_whole(shares, farm.cuts_count)
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


def check_whole(shares: Mapping[int, float], cuts_count: int) -> None:
    """Refuse shares that leave out a cutting or do not make 100 %."""
    missing = [number for number in range(1, cuts_count + 1) if number not in shares]
    if missing:
        why = Sentence("Fill in all {n} cuttings, or leave all empty to use the published shares.", n=cuts_count)
        raise Invalid({f"share_{missing[0]}": why})
    total = math.fsum(shares.values())
    if abs(total - 1) > ROUNDING:
        why = Sentence(
            "The shares add up to {got}; together they must make {wanted}.",
            got=Quantity(total, "percent"),
            wanted=Quantity(1.0, "percent"),
        )
        raise Invalid({"share_1": why})
