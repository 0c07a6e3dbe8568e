"""Field capacity, haul units and the link that limits the harvest chain."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from app.ensiling.limits import Values, dm_density_range, dry_matter, fraction, length, plain, within
from app.units.quantities import KG_M3_PER_LB_FT3, KM_PER_MILE

FIXED_CYCLE_H = 7.5 / 60
"""Minutes of a haul cycle spent at field and bunker; read in [Harrigan2003]_ (corn silage)."""

BOX_DENSITY_DM_KG_M3 = {
    cutting: lb_ft3 * KG_M3_PER_LB_FT3 for cutting, lb_ft3 in {1: 5.7, 2: 5.0, 3: 5.1, 4: 5.0}.items()
}
"""Alfalfa in a forage box by cutting; read in [WiersmaHolmes2001]_. Ask for scale tickets first."""


class MachinePractice(NamedTuple):
    """Usual field efficiency and speed of a machine with their ranges."""

    efficiency_frac: tuple[float, float, float]
    speed_km_h: tuple[float, float, float]
    mark: str


def _practice(low: float, likely: float, high: float, *mph: float) -> MachinePractice:
    slow, usual, fast = (speed * KM_PER_MILE for speed in mph)
    return MachinePractice((low, likely, high), (slow, usual, fast), "memory")


MACHINES = {
    "cutterbar mower": _practice(0.75, 0.80, 0.85, 3, 5, 6),
    "disc mower": _practice(0.75, 0.80, 0.90, 5, 9, 14),
    "windrower": _practice(0.70, 0.80, 0.85, 3, 5, 8),
    "merger": _practice(0.70, 0.80, 0.90, 4, 6, 8),
    "round baler": _practice(0.55, 0.65, 0.75, 3, 5, 8),
    "rectangular baler": _practice(0.70, 0.80, 0.90, 4, 5, 8),
    "pull-type chopper": _practice(0.60, 0.70, 0.85, 1.5, 3, 5),
    "self-propelled chopper": _practice(0.60, 0.70, 0.85, 1.5, 3.5, 6),
}
"""Low, likely and high, recalled from [AsaeStandards2003]_; the disc mower's speed lies between that table and the
survey of [Undersander2012]_. Every one of them belongs to the farm to change."""


@dataclass(frozen=True)
class HaulNeed:
    """Haul units for one chopper: `ratio_count` says how near the last unit is to being needed at all."""

    cycle_h: float
    ratio_count: float
    units_count: int
    rate_af_kg_h: float
    rate_one_fewer_af_kg_h: float


def field_capacity(speed_km_h: Values, width_m: Values, efficiency_frac: Values) -> Values:
    """Area a machine covers in an hour.

    Parameters
    ----------
    speed_km_h : float or array, travel speed [km/h]
    width_m : float or array, working width [m]
    efficiency_frac : float or array, share of the time and width really used [0-1]

    Returns
    -------
    float or array of the same shape [ha/h]

    Valid
    -----
    Field work with machines of one width.

    Raises
    ------
    OutOfRange
        Speed outside 0-40 km/h, width outside 0-30 m or efficiency outside 0-1.

    Example
    -------
    >>> round(field_capacity(10 * 1.609344, 9 * 0.3048, 0.80) / 0.40468564224, 3)
    8.727

    Source
    ------
    [KentuckyAen2003]_: mph x ft x efficiency / 8.25.
    """
    speed, width = _speed(speed_km_h), length("width_m", width_m, 30.0)
    return speed * width * fraction("efficiency_frac", efficiency_frac, example=0.8) / 10


def machines_needed(area_rate_ha_h: Values, capacity_ha_h: Values) -> Values:
    """Machines of one capacity that keep up with a wanted area per hour.

    Parameters
    ----------
    area_rate_ha_h : float or array, area wanted [ha/h]
    capacity_ha_h : float or array, result of `field_capacity` [ha/h]

    Returns
    -------
    float or array of the same shape, not rounded

    Valid
    -----
    Machines that work the same hours.

    Raises
    ------
    OutOfRange
        Area outside 0-500 ha/h or capacity outside 0.05-100 ha/h.

    Example
    -------
    >>> round(machines_needed(21.1, 8.73), 1)
    2.4

    Source
    ------
    [KentuckyAen2003]_, capacity (ratio derived).
    """
    wanted = within("area_rate_ha_h", area_rate_ha_h, 0.0, 500.0, 8.5)
    return wanted / within("capacity_ha_h", capacity_ha_h, 0.05, 100.0, 3.5)


def material_capacity(speed_km_h: Values, source_width_m: Values, yield_af_kg_ha: Values) -> Values:
    """Crop a chopper meets in an hour of travel.

    Parameters
    ----------
    speed_km_h : float or array, travel speed [km/h]
    source_width_m : float or array, width of cut gathered into the windrow [m]
    yield_af_kg_ha : float or array, crop as fed [kg/ha]

    Returns
    -------
    float or array of the same shape, as fed [kg/h]

    Valid
    -----
    While it chops; turning and waiting come off.

    Raises
    ------
    OutOfRange
        Speed outside 0-40 km/h, width outside 0-60 m or yield outside 0-100,000 kg/ha.

    Example
    -------
    >>> round(material_capacity(6.437376, 13.2588, 10619))
    90635

    Source
    ------
    [KentuckyAen2003]_, capacity times yield.
    """
    return _speed(speed_km_h) * length("source_width_m", source_width_m, 60.0) * _yield(yield_af_kg_ha) / 10


def merge_width(delivery_af_kg_h: Values, speed_km_h: Values, yield_af_kg_ha: Values) -> Values:
    """Width of cut that a windrow must gather to keep the chopper fed.

    Parameters
    ----------
    delivery_af_kg_h : float or array, crop wanted, as fed [kg/h]
    speed_km_h : float or array, speed of the chopper [km/h]
    yield_af_kg_ha : float or array, crop as fed [kg/ha]

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    As `material_capacity`.

    Raises
    ------
    OutOfRange
        Delivery outside 0-1,000,000 kg/h, speed outside 0.5-40 km/h or yield outside 100-100,000 kg/ha.

    Example
    -------
    >>> round(merge_width(90718.474, 4 * 1.609344, 4.737 * 2241.70231) / 0.3048, 1)
    43.5

    Source
    ------
    [KentuckyAen2003]_, capacity solved for the width (derived).
    """
    speed = within("speed_km_h", speed_km_h, 0.5, 40.0, 6.5)
    return 10 * _delivery(delivery_af_kg_h) / (speed * within("yield_af_kg_ha", yield_af_kg_ha, 100.0, 1e5, 10_600.0))


def fill_time(payload_af_kg: Values, delivery_af_kg_h: Values) -> Values:
    """Time the chopper takes to fill one haul unit.

    Parameters
    ----------
    payload_af_kg : float or array, load of one unit, as fed [kg]
    delivery_af_kg_h : float or array, rate of the chopper, as fed [kg/h]

    Returns
    -------
    float or array of the same shape [h]

    Valid
    -----
    Units filled alongside, one at a time.

    Raises
    ------
    OutOfRange
        Payload outside 100-60,000 kg or delivery outside 500-1,000,000 kg/h.

    Example
    -------
    >>> round(fill_time(12 * 907.18474, 100 * 907.18474) * 60, 1)
    7.2

    Source
    ------
    [BuckmasterHilton2005]_, cycle method.
    """
    return _payload(payload_af_kg) / within("delivery_af_kg_h", delivery_af_kg_h, 500.0, 1e6, 90_000.0)


def haul_cycle(
    payload_af_kg: Values,
    delivery_af_kg_h: Values,
    distance_km: Values,
    road_speed_km_h: Values,
    *,
    fixed_h: Values = FIXED_CYCLE_H,
) -> Values:
    """Time from one filling of a haul unit to its next.

    Parameters
    ----------
    payload_af_kg, delivery_af_kg_h : as in `fill_time`
    distance_km : float or array, one way [km]
    road_speed_km_h : float or array, mean speed both ways [km/h]
    fixed_h : float or array, time at field and bunker [h]

    Returns
    -------
    float or array of the same shape [h]

    Valid
    -----
    No waiting at the bunker.

    Raises
    ------
    OutOfRange
        As `fill_time`; distance outside 0-200 km, speed outside 3-120 km/h or fixed time outside 0-3 h.

    Example
    -------
    >>> round(haul_cycle(10886.2, 90718.474, 6.437376, 40.2336) * 60, 1)
    33.9

    Source
    ------
    [BuckmasterHilton2005]_, cycle method; 7.5 minutes from [Harrigan2003]_.
    """
    road = 2 * within("distance_km", distance_km, 0.0, 200.0, 6.4) / _road_speed(road_speed_km_h)
    return fill_time(payload_af_kg, delivery_af_kg_h) + road + within("fixed_h", fixed_h, 0.0, 3.0, 0.125)


def system_rate(units_count: Values, payload_af_kg: Values, delivery_af_kg_h: Values, cycle_h: Values) -> Values:
    """Crop that reaches the structure in an hour with a number of haul units.

    Parameters
    ----------
    units_count : float or array, haul units
    payload_af_kg, delivery_af_kg_h : as in `fill_time`
    cycle_h : float or array, result of `haul_cycle` [h]

    Returns
    -------
    float or array of the same shape, as fed [kg/h]

    Valid
    -----
    As `haul_cycle`.

    Raises
    ------
    OutOfRange
        Units outside 0-10,000, a cycle outside 0.01-12 h, or as `fill_time`.

    Example
    -------
    >>> round(system_rate(4, 12 * 907.18474, 100 * 907.18474, 33.9 / 60) / 907.18474, 2)
    84.96

    Source
    ------
    [BuckmasterHilton2005]_, cycle method (rate derived).
    """
    hauled = within("units_count", units_count, 0, 10_000, 5) * _payload(payload_af_kg)
    return plain(np.minimum(_delivery(delivery_af_kg_h), hauled / within("cycle_h", cycle_h, 0.01, 12.0, 0.56)))


def haul_need(
    payload_af_kg: float,
    delivery_af_kg_h: float,
    distance_km: float,
    road_speed_km_h: float,
    *,
    fixed_h: float = FIXED_CYCLE_H,
) -> HaulNeed:
    """Haul units that keep the chopper from waiting, and what one fewer would cost."""
    cycle = haul_cycle(payload_af_kg, delivery_af_kg_h, distance_km, road_speed_km_h, fixed_h=fixed_h)
    ratio = cycle / fill_time(payload_af_kg, delivery_af_kg_h)
    units = math.ceil(ratio - 1e-9)
    rates = [float(system_rate(n, payload_af_kg, delivery_af_kg_h, cycle)) for n in (units, units - 1)]
    return HaulNeed(float(cycle), float(ratio), units, *rates)


def wagon_load(
    length_m: Values, width_m: Values, height_m: Values, density_dm_kg_m3: Values, dm_frac: Values
) -> tuple[Values, Values]:
    """Dry and wet mass of a box load that was not weighed.

    Parameters
    ----------
    length_m, width_m, height_m : float or array, crop in the box [m]
    density_dm_kg_m3 : float or array, density in the box [kg DM/m3]
    dm_frac : float or array, dry matter [0-1]

    Returns
    -------
    two floats or arrays, dry matter and as fed [kg]

    Valid
    -----
    Chopped hay crops in boxes.

    Raises
    ------
    OutOfRange
        Sides outside 0-20 m, density outside 20-900 kg/m3 or dry matter outside 5-95 %.

    Example
    -------
    >>> dry, wet = wagon_load(16 * 0.3048, 8 * 0.3048, 6 * 0.3048, 5 * 16.01846, 0.40)
    >>> round(dry / 0.45359237), round(wet / 0.45359237)
    (3840, 9600)

    Source
    ------
    [WiersmaHolmes2001]_, density of boxes; worked example of the trade press.
    """
    volume = length("length_m", length_m, 20.0) * length("width_m", width_m, 20.0) * length("height_m", height_m, 20.0)
    dry = volume * dm_density_range(density_dm_kg_m3)
    return dry, dry / dry_matter(dm_frac)


def limiting_link(rates_af_kg_h: Mapping[str, float]) -> str | None:
    """Name of the link with the smallest rate; None where no rate is known. The first of equals is named."""
    known = {name: rate for name, rate in rates_af_kg_h.items() if not math.isnan(rate)}
    return min(known, key=known.__getitem__) if known else None


def _speed(speed_km_h: Values) -> Values:
    return within("speed_km_h", speed_km_h, 0.0, 40.0, 11.0)


def _road_speed(road_speed_km_h: Values) -> Values:
    return within("road_speed_km_h", road_speed_km_h, 3.0, 120.0, 40.0)


def _yield(yield_af_kg_ha: Values) -> Values:
    return within("yield_af_kg_ha", yield_af_kg_ha, 0.0, 100_000.0, 10_600.0)


def _delivery(delivery_af_kg_h: Values) -> Values:
    return within("delivery_af_kg_h", delivery_af_kg_h, 0.0, 1_000_000.0, 90_000.0)


def _payload(payload_af_kg: Values) -> Values:
    return within("payload_af_kg", payload_af_kg, 100.0, 60_000.0, 11_000.0)
