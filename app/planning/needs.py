"""What a cutting asks of the yard, against what is there: one pure function for each thing that can be counted."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from app.ensiling.covering import Sheet, bunker_sheet, liner_area, pile_sheet, rolls, strips, tires
from app.ensiling.density import BULK_DENSITY_TARGET_KG_M3, bulk_density
from app.ensiling.packing import dm_density, packing_factor, packing_fleet, packing_mass_needed
from app.ensiling.structures.bunker import bunker_depth
from app.ensiling.structures.pile import pile_depth
from app.errors import OutOfRange
from app.planning.logistics import haul_need
from app.planning.yard import HORIZONTAL, FillStructure, YardInputs
from app.units.sentences import Sentence

Sizes = tuple[float, float, float]

SWATH_SHARE_FRAC = 0.80
"""Least width of the swath as a share of the cut; common practice, no source."""


@dataclass(frozen=True)
class Need:
    """What is needed and what is there, in the kept unit of `kind`.

    `need` is NaN when it cannot be counted yet (`reason` says why), `have` is None when nobody has said.
    """

    need: float
    have: float | None
    kind: str
    reason: Sentence | None = None

    @property
    def short(self) -> float:
        """What is missing, never below nil; NaN when need or stock is not known."""
        return math.nan if self.have is None or math.isnan(self.need) else max(self.need - self.have, 0.0)

    @property
    def is_met(self) -> bool | None:
        """None when it is not known."""
        return None if math.isnan(self.short) else self.short <= 1e-6 * max(abs(self.need), 1.0)


def _unknown(have: float | None, kind: str, why: str, **figures: object) -> Need:
    return Need(math.nan, have, kind, Sentence(why, **figures))


def packing_weight(yard: YardInputs) -> Need:
    """Packing weight for the delivery rate, each tractor counted for the hours it packs."""
    have = yard.packing_mass_kg if yard.packing_tractors else None
    if yard.delivery_af_kg_h is None:
        return _unknown(have, "weight", "No delivery rate has been entered.")
    return Need(float(packing_mass_needed(yard.delivery_af_kg_h)), have, "weight")


def packed_density(yard: YardInputs) -> Need:
    """Bulk density the tractors are expected to reach in the shallowest structure, against the target."""
    target, dm, rate = BULK_DENSITY_TARGET_KG_M3, yard.dm_frac, yard.delivery_af_kg_h
    why = _sizes_gap(yard)
    if yard.packing_mass_kg <= 0:
        why = Sentence("No packing tractor has been entered.")
    if dm is None:
        return Need(target, None, "density_af", Sentence("No dry matter of the crop has been entered."))
    if not rate:
        return Need(target, None, "density_af", Sentence("No delivery rate has been entered."))
    if why is not None:
        return Need(target, None, "density_af", why)
    try:
        return Need(target, _expected_density(yard, dm, rate), "density_af")
    except OutOfRange:
        return Need(target, None, "density_af", Sentence("A size or a rate behind the density cannot be right."))


def _expected_density(yard: YardInputs, dm_frac: float, delivery_af_kg_h: float) -> float:
    masses, shares = zip(*((t.weight_kg, t.share_frac) for t in yard.packing_tractors), strict=True)
    fleet = packing_fleet(np.array(masses), np.array(shares))
    factor = packing_factor(fleet.mass_kg, yard.layer_cm, fleet.equivalents_count, dm_frac, delivery_af_kg_h)
    depth = min(_depth(structure, sizes) for structure, sizes in _sized(yard))
    return float(bulk_density(dm_density(factor, depth), dm_frac))


def _depth(structure: FillStructure, sizes: Sizes) -> float:
    width, _, height = sizes
    if structure.kind == "pile":
        return float(pile_depth(width, height, side_ratio=structure.side_ratio))
    return float(bunker_depth(height, height + structure.crown_m))


def sheet_area(yard: YardInputs) -> Need:
    """Sheeting for all bunkers and piles, in all its layers."""
    return _covered(yard, yard.sheet_m2, "area_sheet", lambda area: area * yard.sheet_layers_count)


def tires_needed(yard: YardInputs) -> Need:
    """Tires over all sheets; seams and edges want more."""
    return _covered(yard, yard.tires_count, "count", lambda area: math.ceil(tires(area, yard.tires_per_m2) - 1e-9))


def _covered(yard: YardInputs, have: float | None, kind: str, of_area: Callable[[float], float]) -> Need:
    gap = _sizes_gap(yard)
    if gap is not None:
        return Need(math.nan, have, kind, gap)
    total = 0.0
    for structure, sizes in _sized(yard):
        try:
            total += float(_sheet(structure, sizes).area_m2)
        except OutOfRange:
            return _misfit(structure, have, kind)
    return Need(float(of_area(total)), have, kind)


def _sheet(structure: FillStructure, sizes: Sizes) -> Sheet:
    width, length, height = sizes
    if structure.kind == "pile":
        return pile_sheet(width, length, height, side_ratio=structure.side_ratio, end_ratio=structure.end_ratio)
    ramps = {"run_ratio": structure.end_ratio, "ramps_count": structure.ramps_count}
    return bunker_sheet(width, height, length, crown_m=structure.crown_m, **ramps)


def sheet_rolls(yard: YardInputs) -> Need:
    """Rolls for all sheets, strips laid across and each in one piece."""
    gap = _sizes_gap(yard)
    if gap is not None or yard.roll_width_m is None or yard.roll_length_m is None:
        return Need(math.nan, yard.rolls_count, "count", gap or Sentence("No width and length of a roll are known."))
    total = 0.0
    for structure, sizes in _sized(yard):
        try:
            sheet = _sheet(structure, sizes)
            laid = strips(sheet.length_m, yard.roll_width_m)
            total += float(rolls(laid, sheet.width_m, yard.roll_length_m))
        except OutOfRange:
            return _misfit(structure, yard.rolls_count, "count")
    return Need(total * yard.sheet_layers_count, yard.rolls_count, "count")


def liners(yard: YardInputs) -> Need:
    """Film along both side walls of every bunker."""
    total = 0.0
    for structure in yard.structures:
        if structure.kind != "bunker":
            continue
        if structure.height_m is None or structure.length_m is None:
            return Need(math.nan, yard.liner_m2, "area_sheet", _no_sizes(structure))
        try:
            total += float(liner_area(structure.height_m, structure.length_m))
        except OutOfRange:
            return _misfit(structure, yard.liner_m2, "area_sheet")
    return Need(total, yard.liner_m2, "area_sheet")


def bags(yard: YardInputs) -> Need:
    """A bag for every bag to be filled."""
    return Need(float(sum(s.kind == "bag" for s in yard.structures)), yard.bags_count, "count")


def inoculant(yard: YardInputs) -> Need:
    """Doses for the tons expected; as tons to treat where the size of a dose is not known."""
    have = yard.inoculant_doses_count
    if yard.expected_af_kg is None:
        return _unknown(have, "count", "No tons are expected yet from this cutting.")
    if not yard.dose_treats_af_kg:
        return Need(yard.expected_af_kg, None, "mass_af", Sentence("How much crop one dose treats is not known."))
    return Need(float(math.ceil(yard.expected_af_kg / yard.dose_treats_af_kg - 1e-9)), have, "count")


def haul_units(yard: YardInputs) -> Need:
    """Haul units that keep the chopper from waiting."""
    have = yard.trucks_count
    load, rate, distance, speed = yard.payload_af_kg, yard.delivery_af_kg_h, yard.distance_km, yard.road_speed_km_h
    if load is None or rate is None or distance is None or speed is None:
        if rate is not None and yard.truck_rate_af_kg_h:
            return Need(float(math.ceil(rate / yard.truck_rate_af_kg_h - 1e-9)), have, "count")
        return _unknown(have, "count", "What the choppers move and what a truck brings in an hour is needed for this.")
    try:
        return Need(float(haul_need(load, rate, distance, speed).units_count), have, "count")
    except OutOfRange:
        return _unknown(have, "count", "Payload, delivery rate, distance or road speed cannot be right.")


def swath_width(yard: YardInputs) -> Need:
    """Swath at least four fifths of the cut."""
    if yard.mower_width_m is None:
        return _unknown(yard.swath_width_m, "length", "No width of the mower is known.")
    return Need(SWATH_SHARE_FRAC * yard.mower_width_m, yard.swath_width_m, "length")


def sample_bags(yard: YardInputs) -> Need:
    """Sample bags for every structure to be filled."""
    return Need(float(len(yard.structures) * yard.samples_per_structure_count), yard.sample_bags_count, "count")


def people(yard: YardInputs) -> Need:
    """A person for every seat in every shift of the working day."""
    haul = haul_units(yard).need
    hauling = haul if yard.trucks_count is None else float(yard.trucks_count)
    if math.isnan(hauling):
        return _unknown(yard.people_count, "count", "The number of haul units is not known.")
    seats = yard.field_seats_count + hauling + len(yard.packing_tractors)
    return Need(seats * math.ceil(yard.working_day_h / yard.shift_h - 1e-9), yard.people_count, "count")


def radios(yard: YardInputs) -> Need:
    """A radio in every cab, and one on the ground."""
    seats = people(yard).need
    if math.isnan(seats):
        return _unknown(yard.radios_count, "count", "The number of haul units is not known.")
    shifts = math.ceil(yard.working_day_h / yard.shift_h - 1e-9)
    return Need(seats / shifts + 1, yard.radios_count, "count")


def frames_and_belts(yard: YardInputs) -> Need:
    """Every packing tractor with a roll-over frame and a belt."""
    said = [tractor.has_frame_and_belt for tractor in yard.packing_tractors]
    have = None if any(answer is None for answer in said) else float(sum(map(bool, said)))
    if not said:
        return _unknown(None, "count", "No packing tractor has been entered.")
    return Need(float(len(said)), have, "count")


def gas_signs(yard: YardInputs) -> Need:
    """A keep-out sign at every structure to be filled."""
    return Need(float(len(yard.structures)), yard.signs_count, "count")


def spray_interval(yard: YardInputs) -> Need:
    """Days from spraying to cutting that the label asks for."""
    if yard.fungicide_interval_d is None:
        return _unknown(yard.days_since_spray_d, "days", "The label's interval has not been entered.")
    return Need(yard.fungicide_interval_d, yard.days_since_spray_d, "days")


def _sized(yard: YardInputs) -> Iterator[tuple[FillStructure, Sizes]]:
    """Bunkers and piles with their sizes; ask `_sizes_gap` first."""
    for structure in yard.structures:
        if structure.kind in HORIZONTAL and structure.sizes is not None:
            yield structure, structure.sizes


def _sizes_gap(yard: YardInputs) -> Sentence | None:
    found = [structure for structure in yard.structures if structure.kind in HORIZONTAL]
    if not found:
        return Sentence("No bunker or pile to be filled has been entered.")
    return next((_no_sizes(structure) for structure in found if structure.sizes is None), None)


def _no_sizes(structure: FillStructure) -> Sentence:
    return Sentence("Length, width and height of {structure} are not all known.", structure=structure.name)


def _misfit(structure: FillStructure, have: float | None, kind: str) -> Need:
    return _unknown(have, kind, "The sizes of {structure} do not fit together.", structure=structure.name)
