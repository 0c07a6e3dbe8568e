"""What a structure holds when full and what its sizes say is left in it, with the refusals people read.

Solids are exact (`app.ensiling.structures`); a tower goes by its table. Heights are settled heights.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.ensiling.density import DM_DENSITY_DEFAULTS
from app.ensiling.structures.bag import bag_usable_length, bag_volume
from app.ensiling.structures.bales import rectangular_bale_volume, round_bale_volume
from app.ensiling.structures.bunker import bunker_volume, crown_area
from app.ensiling.structures.pile import pile_height_ceiling, pile_volume
from app.ensiling.structures.slopes import DRIVE_RATIO
from app.ensiling.structures.tower import TABLE_SPREAD_FRAC, tower_dm, tower_remaining
from app.errors import Invalid, OutOfRange
from app.planning.estimates import Estimate, unknown
from app.units.quantities import KG_M3_PER_LB_FT3, M_PER_FT
from app.units.sentences import Quantity, Sentence

HAY_BALE_AF_KG_M3 = tuple(lb_ft3 * KG_M3_PER_LB_FT3 for lb_ft3 in (9.9, 13.2, 15.9))
"""Least, usual and greatest of the tabled hay bales as fed, from the weights and sizes of [AlbertaAgriculture2020]_."""

TOWER_M = ((10 * M_PER_FT, 24 * M_PER_FT), (0.0, 46 * M_PER_FT))
"""Diameters and depths the table of [Cropp2000]_ covers."""

CROWN_CEILING_M = 6.0

_PARABOLA_CENTROID = 2 / 5
"""Height of the middle of a parabola's area over its base (exact)."""


@dataclass(frozen=True)
class Sizes:
    """A structure's measures; which of them count depends on `kind` (bunker, pile, bag, tower, stack)."""

    kind: str
    length_m: float | None = None
    width_m: float | None = None
    top_width_m: float | None = None
    wall_height_m: float | None = None
    peak_height_m: float | None = None
    ramps_count: int | None = None
    side_slope: float | None = None
    end_slope: float | None = None
    diameter_m: float | None = None
    bale_width_m: float | None = None
    bale_length_m: float | None = None
    bale_depth_m: float | None = None
    bale_is_round: bool = True

    @property
    def ramps(self) -> int:
        """Sloped ends of a bunker; one where nobody said."""
        return 1 if self.ramps_count is None else self.ramps_count

    @property
    def side(self) -> float:
        return DRIVE_RATIO if self.side_slope is None else self.side_slope

    @property
    def end(self) -> float:
        return DRIVE_RATIO if self.end_slope is None else self.end_slope

    @property
    def full_height_m(self) -> float | None:
        """Settled height at the highest point when full."""
        return self.peak_height_m if self.peak_height_m is not None else self.wall_height_m

    @property
    def crown_m(self) -> float:
        """How far the highest point stands above the wall of a bunker."""
        if self.kind != "bunker" or self.wall_height_m is None or self.peak_height_m is None:
            return 0.0
        return max(0.0, self.peak_height_m - self.wall_height_m)

    def missing(self) -> list[str]:
        """Measures without which nothing can be said about the contents."""
        needed = {
            "bunker": ("length_m", "width_m", "wall_height_m"),
            "pile": ("length_m", "width_m", "peak_height_m"),
            "bag": ("length_m", "diameter_m"),
            "tower": ("diameter_m", "peak_height_m"),
        }.get(self.kind, ())
        return [name for name in needed if getattr(self, name) is None]


@dataclass(frozen=True)
class Left:
    """Sizes of what is left: its length, its highest point, and whether a face is open."""

    length_m: float | None = None
    width_m: float | None = None
    height_m: float | None = None
    is_open: bool = False
    settled_depth_m: float | None = None
    """A tower's depth before feeding began, where it was measured; else the structure's."""


def size_faults(sizes: Sizes) -> dict[str, Sentence]:
    """Refusals by measure for sizes no such structure can have; empty when all is well or still unknown."""
    check = {"bunker": _bunker_faults, "pile": _pile_faults, "bag": _bag_faults, "tower": _tower_faults}
    return check[sizes.kind](sizes) if sizes.kind in check else {}


def capacity_volume(sizes: Sizes) -> float:
    """Volume when full [m3]; NaN for a tower (by table) and a stack (by count), or while a measure is missing."""
    if sizes.missing() or sizes.kind not in ("bunker", "pile", "bag"):
        return math.nan
    whole = Left(sizes.length_m, sizes.width_m, sizes.full_height_m)
    return volume_left(sizes, whole)


def capacity(sizes: Sizes, density_kg_m3: float, spread_frac: float) -> Estimate:
    """Dry matter a full structure holds at that density; a tower's by its table."""
    if sizes.kind == "stack":
        return unknown("mass_dm", Sentence("A stack holds what is put there; its bales are counted."))
    if sizes.missing():
        return unknown("mass_dm", Sentence("Some of its sizes are not known yet."))
    try:
        if sizes.kind == "tower":
            mass = float(tower_dm(sizes.diameter_m or math.nan, sizes.peak_height_m or math.nan))
            spread = TABLE_SPREAD_FRAC
        else:
            mass, spread = capacity_volume(sizes) * density_kg_m3, spread_frac
    except (OutOfRange, Invalid):
        return unknown("mass_dm", Sentence("Its sizes do not fit together; change them first."))
    return Estimate(mass, "mass_dm", mass * (1 - spread), mass * (1 + spread), sources=sources_of(sizes.kind))


def sources_of(kind: str) -> tuple[str, ...]:
    """Keys of the publications behind a kind's volume and usual density."""
    return {
        "bunker": ("Mwps1997",),
        "pile": ("Bolsen2016",),
        "bag": ("Muck2000",),
        "tower": ("Cropp2000",),
        "stack": ("AlbertaAgriculture2020",),
    }.get(kind, ())


def volume_left(sizes: Sizes, left: Left) -> float:
    """Volume of what is left in a bunker, pile or bag [m3].

    An open face stands upright: it takes the place of one sloped end. Raises `Invalid` by column of a measurement.
    """
    if left.length_m is None or (left.height_m is None and sizes.kind != "bag"):
        return math.nan
    try:
        return {"bunker": _bunker_left, "pile": _pile_left, "bag": _bag_left}[sizes.kind](sizes, left)
    except OutOfRange as refused:
        why = Sentence("These sizes and those of the structure do not make a body; look at both again.")
        raise Invalid({"length_m": why}) from refused


def tower_left(sizes: Sizes, left: Left) -> float:
    """Dry matter left in a tower [kg]: the table at its settled depth less the table at the depth removed."""
    if sizes.diameter_m is None or left.height_m is None:
        return math.nan
    if not left.is_open:
        return float(tower_dm(sizes.diameter_m, left.height_m))
    settled = left.settled_depth_m if left.settled_depth_m is not None else sizes.peak_height_m
    if settled is None:
        return math.nan
    if left.height_m > settled + 1e-9:
        why = Sentence(
            "{left} are left, more than the settled depth of {settled} before feeding began.",
            left=Quantity(left.height_m, "length"),
            settled=Quantity(settled, "length"),
        )
        raise Invalid({"height_m": why})
    return float(tower_remaining(sizes.diameter_m, settled, settled - left.height_m))


def bale_volume(sizes: Sizes) -> float:
    """Volume of one bale of a stack [m3]; NaN while a side is missing."""
    w, long, deep = sizes.bale_width_m, sizes.bale_length_m, sizes.bale_depth_m
    if sizes.bale_is_round:
        return math.nan if sizes.diameter_m is None or w is None else float(round_bale_volume(sizes.diameter_m, w))
    return math.nan if w is None or deep is None or long is None else float(rectangular_bale_volume(w, deep, long))


def bale_density(is_dry_hay: bool, dm_frac: float) -> tuple[float, float, float]:
    """Least, usual and greatest dry-matter density of a bale nobody weighed [kg DM/m3]."""
    if is_dry_hay:
        low, likely, high = HAY_BALE_AF_KG_M3
        return low * dm_frac, likely * dm_frac, high * dm_frac
    usual = DM_DENSITY_DEFAULTS["stack"]
    return usual.low_kg_m3, usual.likely_kg_m3, usual.high_kg_m3


def _bunker_left(sizes: Sizes, left: Left) -> float:
    wall, top = sizes.wall_height_m or math.nan, left.height_m or 0.0
    level = min(wall, top)
    width = left.width_m or sizes.width_m or math.nan
    at_level = _width_at(sizes, width, level)
    ramps = max(0, sizes.ramps - (1 if left.is_open else 0))
    reach = ramps * sizes.end * level
    _must_reach("length_m", left.length_m or 0.0, reach, sizes.end, ramps)
    long = left.length_m or 0.0
    body = bunker_volume(width, level, long, top_width_m=at_level, run_ratio=sizes.end, ramps_count=ramps)
    crown = max(0.0, top - wall)
    along = max(0.0, long - reach - ramps * sizes.end * _PARABOLA_CENTROID * crown)
    return float(body + crown_area(at_level, crown) * along)


def _width_at(sizes: Sizes, width_m: float, level_m: float) -> float:
    """Width between battered walls at a level."""
    if sizes.top_width_m is None or not sizes.wall_height_m or sizes.width_m is None:
        return width_m
    return width_m + (sizes.top_width_m - sizes.width_m) * level_m / sizes.wall_height_m


def _pile_left(sizes: Sizes, left: Left) -> float:
    base, high = left.width_m or sizes.width_m or math.nan, left.height_m or 0.0
    _must_fit_base("height_m", base, high, sizes.side)
    ends = 1 if left.is_open else 2
    _must_reach("length_m", left.length_m or 0.0, ends * sizes.end * high, sizes.end, ends)
    # a pile with one upright face is half of a pile twice as long
    whole = (left.length_m or math.nan) * (2 if left.is_open else 1)
    volume = float(pile_volume(base, whole, high, side_ratio=sizes.side, end_ratio=sizes.end))
    return volume / 2 if left.is_open else volume


def _bag_left(sizes: Sizes, left: Left) -> float:
    across = sizes.diameter_m or math.nan
    tied = 1.0 if left.is_open else 2.0
    if (left.length_m or 0.0) < tied * across:
        return 0.0 if left.is_open else math.nan
    return float(bag_volume(bag_usable_length(left.length_m or 0.0, across, tied_diameters_count=tied), across))


def _must_reach(name: str, length_m: float, reach_m: float, ratio: float, ends_count: int) -> None:
    if length_m >= reach_m - 1e-9:
        return
    why = Sentence(
        "{length} is too short: {n} sloped ends at {ratio}:1 alone take {reach}. Measure the height where the slope "
        "ends, or the length along the floor to the foot of the slope.",
        length=Quantity(length_m, "length"),
        n=ends_count,
        ratio=float(ratio),
        reach=Quantity(reach_m, "length"),
    )
    raise Invalid({name: why})


def _must_fit_base(name: str, base_m: float, high_m: float, ratio: float) -> None:
    most = float(pile_height_ceiling(base_m, ratio))
    if high_m <= most + 1e-9:
        return
    why = Sentence(
        "{high} is too high for this base: sides at {ratio}:1 meet at {most}, and the top would be {top} wide.",
        high=Quantity(high_m, "length"),
        ratio=float(ratio),
        most=Quantity(most, "length"),
        top=Quantity(base_m - 2 * ratio * high_m, "length"),
    )
    raise Invalid({name: why})


def _bunker_faults(sizes: Sizes) -> dict[str, Sentence]:
    if sizes.top_width_m is not None and sizes.width_m is not None and sizes.top_width_m < sizes.width_m:
        why = Sentence(
            "Walls lean outward or stand straight: the top must be at least as wide as the floor, {floor}.",
            floor=Quantity(sizes.width_m, "length"),
        )
        return {"top_width_m": why}
    if sizes.crown_m > CROWN_CEILING_M:
        why = Sentence(
            "The highest point stands {crown} above the wall; at most {most} can be.",
            crown=Quantity(sizes.crown_m, "length"),
            most=Quantity(CROWN_CEILING_M, "length"),
        )
        return {"peak_height_m": why}
    return _tried(sizes, "length_m")


def _pile_faults(sizes: Sizes) -> dict[str, Sentence]:
    if sizes.width_m is not None and sizes.peak_height_m is not None:
        try:
            _must_fit_base("peak_height_m", sizes.width_m, sizes.peak_height_m, sizes.side)
        except Invalid as refused:
            return dict(refused.fields)
    return _tried(sizes, "length_m")


def _bag_faults(sizes: Sizes) -> dict[str, Sentence]:
    if sizes.length_m is not None and sizes.diameter_m is not None and sizes.length_m < 2 * sizes.diameter_m:
        why = Sentence(
            "A bag {across} across must be longer than its two tied ends, {least}.",
            across=Quantity(sizes.diameter_m, "length"),
            least=Quantity(2 * sizes.diameter_m, "length"),
        )
        return {"length_m": why}
    return {}


def _tower_faults(sizes: Sizes) -> dict[str, Sentence]:
    faults = {}
    for name, (low, high) in zip(("diameter_m", "peak_height_m"), TOWER_M, strict=True):
        value = getattr(sizes, name)
        if value is not None and not low - 1e-6 <= value <= high + 1e-6:
            faults[name] = Sentence(
                "The published table of towers goes from {low} to {high}; {got} lies outside, and nothing is guessed.",
                low=Quantity(low, "length"),
                high=Quantity(high, "length"),
                got=Quantity(value, "length"),
            )
    if not faults and not sizes.missing():
        try:
            tower_dm(sizes.diameter_m or math.nan, sizes.peak_height_m or math.nan)
        except OutOfRange:
            faults["peak_height_m"] = Sentence(
                "For towers this wide the published table stops at {most}.", most=Quantity(44 * M_PER_FT, "length")
            )
    return faults


def _tried(sizes: Sizes, name: str) -> dict[str, Sentence]:
    try:
        capacity_volume(sizes)
    except Invalid as refused:
        return {name: next(iter(refused.fields.values()))}
    return {}
