"""Mowers, choppers, trucks and packing tractors the farm can count on."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.checklists import Machine
from app.services.checklists import recount_needs
from app.units.quantities import KG_PER_SHORT_TON
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

KIND_NAMES = (
    ("packing_tractor", "Packing tractor"),
    ("chopper", "Chopper"),
    ("mower", "Mower"),
    ("merger", "Merger"),
    ("truck", "Truck or wagon"),
    ("bagger", "Bagger"),
)
MACHINE_SHAPE = Shape(
    "machines",
    (
        Column("name", "Name", required=True, longest=80, example="Loader tractor"),
        Column("kind", "Kind of machine", "choice", required=True, choices=KIND_NAMES),
        Column(
            "weight_kg",
            "Weight with ballast",
            "number",
            "weight",
            low=100,
            high=60_000,
            likely_low=1_000,
            likely_high=32_000,
            hint="A packing tractor counts for packing only with its weight.",
            example="36000",
        ),
        Column(
            "share_frac",
            "Share of the filling hours it packs",
            "number",
            "percent",
            low=0,
            high=1,
            likely_low=0.05,
            hint="100 when it does nothing else.",
            example="75",
        ),
        Column(
            "rate_kg_h",
            "What it moves in an hour",
            "number",
            "rate_af",
            low=500,
            high=1_000_000,
            likely_low=4 * KG_PER_SHORT_TON,
            likely_high=350 * KG_PER_SHORT_TON,
            hint="As fed; the choppers' rate is what the packing weight is counted for.",
            example="90",
        ),
        Column("width_m", "Working width", "number", "length", low=0.5, high=40, likely_low=1.5, likely_high=16),
        Column("is_custom", "Belongs to a custom operator", "tick"),
    ),
)
PARTS = ("machines-table", "board-figures")


def list_machines(work: Work, farm_id: int) -> list[Machine]:
    """Every machine of the farm, packing tractors first."""
    access_farm(work, farm_id)
    order = [key for key, _label in KIND_NAMES]
    rows = work.session.scalars(select(Machine).where(Machine.farm_id == farm_id, Machine.removed_at.is_(None)))
    return sorted(rows, key=lambda row: (order.index(row.kind), row.id))


def list_removed(work: Work, farm_id: int) -> list[Machine]:
    """Machines that can be put back."""
    access_farm(work, farm_id)
    return removed_rows(work, Machine, farm_id)


def access_machine(work: Work, farm_id: int, machine_id: int, permission: Permission) -> Machine:
    return access_row(work, Machine, farm_id, machine_id, permission)


def check_machine(values: dict[str, Any]) -> None:
    if values.get("kind") == "packing_tractor" and values.get("weight_kg") is None:
        raise Invalid(
            {"weight_kg": Sentence("A packing tractor needs its weight, or it cannot count. Weigh it ballasted.")}
        )


def add_machine(work: Work, farm_id: int, values: dict[str, Any]) -> Machine:
    access_farm(work, farm_id, Permission.CHECKLISTS_EDIT)
    check_machine(values)
    machine = Machine(farm_id=farm_id, **values)
    work.session.add(machine)
    work.session.flush()
    note(work, farm_id, "add", "machines", machine.id, name=machine.name, parts=PARTS)
    recount_needs(work, farm_id)
    return machine


def edit_machine(
    work: Work, farm_id: int, machine_id: int, values: dict[str, Any], was: dict[str, Any] | None = None
) -> Machine:
    machine = access_machine(work, farm_id, machine_id, Permission.CHECKLISTS_EDIT)
    check_machine({"kind": machine.kind, "weight_kg": machine.weight_kg} | values)
    apply_edit(work, machine, values, was, noun="machines", parts=PARTS)
    work.session.flush()
    recount_needs(work, farm_id)
    return machine


def remove_machine(work: Work, farm_id: int, machine_id: int) -> Machine:
    """Take a machine off; `restore_machine` puts it back."""
    machine = access_machine(work, farm_id, machine_id, Permission.CHECKLISTS_EDIT)
    remove_row(work, machine, noun="machines", parts=PARTS)
    recount_needs(work, farm_id)
    return machine


def restore_machine(work: Work, farm_id: int, machine_id: int) -> Machine:
    machine = access_removed(work, Machine, farm_id, machine_id, Permission.CHECKLISTS_EDIT)
    if restore_row(work, machine, noun="machines", parts=PARTS):
        recount_needs(work, farm_id)
    return machine
