"""What a yard has to work with when a cutting comes: plain figures behind the checklist. None means not known."""

from __future__ import annotations

from dataclasses import dataclass

from app.ensiling.covering import TIRES_TOUCHING_PER_M2

HORIZONTAL = ("bunker", "pile")


@dataclass(frozen=True)
class PackingTractor:
    """A packing tractor with its ballast, and how much of the filling it packs."""

    weight_kg: float
    share_frac: float = 1.0
    has_frame_and_belt: bool | None = None


@dataclass(frozen=True)
class FillStructure:
    """A structure that is to be filled, with its sizes; `kind` is bunker, pile, bag, tower or stack."""

    name: str
    kind: str
    length_m: float | None = None
    width_m: float | None = None
    """Floor width of a bunker, base width of a pile."""
    wall_height_m: float | None = None
    peak_height_m: float | None = None
    ramps_count: int = 1
    side_ratio: float = 3.0
    end_ratio: float = 3.0

    @property
    def height_m(self) -> float | None:
        """Level fill of a bunker, height of a pile."""
        if self.kind == "pile":
            return self.peak_height_m
        return self.wall_height_m if self.wall_height_m is not None else self.peak_height_m

    @property
    def sizes(self) -> tuple[float, float, float] | None:
        """Width, length and height together [m], or None while one is not known."""
        if self.width_m is None or self.length_m is None or self.height_m is None:
            return None
        return self.width_m, self.length_m, self.height_m

    @property
    def crown_m(self) -> float:
        """How far the middle of a bunker stands above its walls."""
        if self.kind != "bunker" or self.peak_height_m is None or self.wall_height_m is None:
            return 0.0
        return max(self.peak_height_m - self.wall_height_m, 0.0)


@dataclass(frozen=True)
class YardInputs:
    """Everything the checklist counts with."""

    delivery_af_kg_h: float | None = None
    expected_af_kg: float | None = None
    dm_frac: float | None = None
    structures: tuple[FillStructure, ...] = ()
    packing_tractors: tuple[PackingTractor, ...] = ()
    layer_cm: float = 15.0
    sheet_m2: float | None = None
    sheet_layers_count: int = 2
    """Film under a sheet, or two sheets: the area is laid this many times."""
    roll_width_m: float | None = None
    roll_length_m: float | None = None
    rolls_count: int | None = None
    liner_m2: float | None = None
    tires_count: int | None = None
    tires_per_m2: float = TIRES_TOUCHING_PER_M2
    bags_count: int | None = None
    inoculant_doses_count: float | None = None
    dose_treats_af_kg: float | None = None
    trucks_count: int | None = None
    truck_rate_af_kg_h: float | None = None
    """What one truck brings in an hour; counted with where load, distance and speed are not known."""
    payload_af_kg: float | None = None
    distance_km: float | None = None
    road_speed_km_h: float | None = None
    mower_width_m: float | None = None
    swath_width_m: float | None = None
    sample_bags_count: int | None = None
    samples_per_structure_count: int = 4
    people_count: int | None = None
    field_seats_count: int = 3
    """Seats that are neither haul units nor packing tractors: mower, merger and chopper."""
    working_day_h: float = 12.0
    shift_h: float = 12.0
    radios_count: int | None = None
    signs_count: int | None = None
    fungicide_interval_d: float | None = None
    """From the label; None where nothing was sprayed."""
    days_since_spray_d: float | None = None

    def has(self, *kinds: str) -> bool:
        """Whether a structure of one of the kinds is to be filled."""
        return any(structure.kind in kinds for structure in self.structures)

    @property
    def packing_mass_kg(self) -> float:
        """Weight x share of the filling hours, over all tractors."""
        return sum(tractor.weight_kg * tractor.share_frac for tractor in self.packing_tractors)
