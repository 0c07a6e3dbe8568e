"""What is asked before an amount is noted: pounds for tons, tons for tonnes, wet for dry, more than can be."""

from __future__ import annotations

from app.errors import Unsure
from app.planning.estimates import Estimate
from app.units.kinds import System
from app.units.quantities import KG_PER_SHORT_TON, KG_PER_TONNE
from app.units.sentences import Quantity, Sentence

DENSITY_DRY_KG_M3 = 350.0
"""Dry matter denser than this has been found in no bunker average; as fed it is usual."""

ROOM = 1.10
"""An amount may exceed a reckoned capacity by this much before anyone is asked."""

TON_RATIO = KG_PER_TONNE / KG_PER_SHORT_TON


def ask_density(density_kg_m3: float | None, dm_frac: float | None, sure: bool) -> None:
    """A density as fed typed for one of dry matter."""
    if density_kg_m3 is None or sure or density_kg_m3 <= DENSITY_DRY_KG_M3:
        return
    got, dm = Quantity(density_kg_m3, "density_dm"), dm_frac if dm_frac is not None else 0.38
    why = Sentence(
        "{got} is very dense. If it is as fed, then at {dm} dry matter it is {meant}. Is {got} really dry matter?",
        got=got,
        meant=Quantity(density_kg_m3 * dm, "density_dm"),
        dm=Quantity(dm, "percent"),
    )
    raise Unsure({"density_kg_m3": why})


def ask_pounds(mass_kg: float | None, name: str, system: System, usual_kg: tuple[float, float], sure: bool) -> None:
    """Pounds typed for tons (kilograms for tonnes): the figure is thousands of times what a load can be."""
    if mass_kg is None or sure or mass_kg <= usual_kg[1]:
        return
    per_ton = 2000.0 if system == "us" else 1000.0
    smaller = mass_kg / per_ton
    got, unit = Quantity(mass_kg, "mass_af"), Sentence("lb") if system == "us" else Sentence("kg")
    if usual_kg[0] <= smaller <= usual_kg[1]:
        why = Sentence(
            "{got} is a great deal. Was it typed in {unit}? That would be {meant}.",
            got=got,
            unit=unit,
            meant=Quantity(smaller, "weight"),
        )
    else:
        why = Sentence(
            "{got} is unusual (usual: up to {high}). Is it right?", got=got, high=Quantity(usual_kg[1], "mass_af")
        )
    raise Unsure({name: why})


def ask_room(mass_dm_kg: float, capacity: Estimate, dm_frac: float | None, name: str, is_wet: bool, sure: bool) -> None:
    """More dry matter than the structure holds: an amount as fed, or tons of another size, typed by mistake."""
    if sure or not capacity.known or not mass_dm_kg > capacity.high * ROOM:
        return
    got, holds = Quantity(mass_dm_kg, "mass_dm"), Quantity(capacity.value, "mass_dm")
    if not is_wet and mass_dm_kg * (dm_frac or 0.38) <= capacity.high:
        why = Sentence(
            "{got} is more than the structure holds when full, {holds}. Is it as fed? Then type it as weight as fed.",
            got=got,
            holds=holds,
        )
    else:
        why = Sentence(
            "That makes {got}, more than the structure holds when full, {holds}. Are the sizes and the unit right?",
            got=got,
            holds=holds,
        )
    raise Unsure({name: why})


def ask_growth(mass_dm_kg: float, left: Estimate, name: str, sure: bool) -> None:
    """More than was left before, though nothing went in since: a lot does not grow."""
    if sure or not left.known or mass_dm_kg <= left.high * ROOM:
        return
    got, was = Quantity(mass_dm_kg, "mass_dm"), Quantity(left.value, "mass_dm")
    ratio = mass_dm_kg / left.value if left.value > 0 else 0.0
    if abs(ratio - TON_RATIO) < 0.02:
        why = Sentence("{got} is a tenth more than the {was} left before. Tons or tonnes mixed up?", got=got, was=was)
    else:
        why = Sentence(
            "{got} is more than the {was} left before, and nothing went in since. Is it right?", got=got, was=was
        )
    raise Unsure({name: why})
