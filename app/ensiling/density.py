"""Air left in packed silage, densities to expect, and densities to aim for."""

from typing import NamedTuple

import numpy as np

from app.ensiling.limits import Values, bulk_density_range, dm_density_range, dry_matter, fraction, within
from app.errors import OutOfRange
from app.units.quantities import KG_M3_PER_LB_FT3

BULK_DENSITY_TARGET_KG_M3 = 44 * KG_M3_PER_LB_FT3
"""As fed; read in [Undersander2009]_. The first thing to judge dry haylage by."""

BULK_DENSITY_NEAR_KG_M3 = 40 * KG_M3_PER_LB_FT3
"""Judgement: between this and the target it is a warning, below it falls short."""

BULK_DENSITY_DOUBTFUL_KG_M3 = 55 * KG_M3_PER_LB_FT3
"""Derived: above this (or below a porosity of 0.20) suspect the measurement first."""

DM_DENSITY_TARGET_KG_M3 = 15 * KG_M3_PER_LB_FT3
"""Read in [Undersander2009]_; not enough by itself above 38 % DM."""

POROSITY_CEILING_FRAC = 0.40
"""Read in [Undersander2009]_."""

POROSITY_DOUBTFUL_FRAC = 0.20


class DensityDefault(NamedTuple):
    """What to take until someone measures: likely value, the range to show, and how well it is known."""

    low_kg_m3: float
    likely_kg_m3: float
    high_kg_m3: float
    source: str
    mark: str


def _default(low_lb_ft3: float, likely_lb_ft3: float, high_lb_ft3: float, source: str, mark: str) -> DensityDefault:
    low, likely, high = (value * KG_M3_PER_LB_FT3 for value in (low_lb_ft3, likely_lb_ft3, high_lb_ft3))
    return DensityDefault(low, likely, high, source, mark)


DM_DENSITY_DEFAULTS = {
    "bunker": DensityDefault(206.0, 241.0, 354.0, "DAmoursSavoie2005", "read"),
    "pile": _default(10.0, 13.0, 17.0, "MuckHolmes2000", "memory"),
    "bag": _default(10.0, 12.0, 15.0, "Muck2000", "memory"),
    "tower": _default(10.5, 12.5, 14.2, "Cropp2000", "derived"),
    "stack": _default(9.0, 10.0, 11.0, "AlbertaAgriculture2020", "memory"),
}
"""Dry-matter density by kind of structure. Bunker: mean and range of section averages on seven farms,
[DAmoursSavoie2005]_; tower: what the capacity table of [Cropp2000]_ implies; pile, bag and
wrapped bales are from memory."""


class CoreMean(NamedTuple):
    """Mean of several cores, its standard error, and how many were counted."""

    mean_kg_m3: float
    standard_error_kg_m3: float
    cores_count: int


def porosity(
    density_af_kg_m3: Values,
    dm_frac: Values,
    ash_frac: Values = 0.10,
    *,
    water_kg_m3: float = 1000.0,
    organic_kg_m3: float = 1600.0,
    mineral_kg_m3: float = 2500.0,
) -> Values:
    """Share of the silage volume that is filled with gas.

    Parameters
    ----------
    density_af_kg_m3 : float or array, bulk density as fed [kg/m3]
    dm_frac : float or array, dry matter [0-1]
    ash_frac : float or array, ash in the dry matter [0-1]
    water_kg_m3, organic_kg_m3, mineral_kg_m3 : float, densities of the three phases [kg/m3]; the solids are recalled

    Returns
    -------
    float or array of the same shape [0-1]

    Valid
    -----
    Any silage; other solid densities move it by 0.01 at most.

    Raises
    ------
    OutOfRange
        An argument no silage can have, or more mass than the volume can hold.

    Example
    -------
    >>> round(porosity(44 * 16.01846, 0.38), 2)
    0.4

    Source
    ------
    [Richard2004]_, phase volumes (identity; the densities of the solids are from memory).
    """
    bulk = bulk_density_range(density_af_kg_m3)
    gas = 1 - bulk * _solid_volume(dm_frac, ash_frac, water_kg_m3, organic_kg_m3, mineral_kg_m3)
    if np.any(np.asarray(gas) < -1e-9):
        raise OutOfRange(
            "density_af_kg_m3 must leave room for its own water and solids (for example 705 at 38 % DM); "
            "with this DM the ceiling is lower than the density given."
        )
    return gas


def bulk_density_at_porosity(
    porosity_frac: Values,
    dm_frac: Values,
    ash_frac: Values = 0.10,
    *,
    water_kg_m3: float = 1000.0,
    organic_kg_m3: float = 1600.0,
    mineral_kg_m3: float = 2500.0,
) -> Values:
    """Bulk density as fed that leaves a given share of gas; at nil gas it is the ceiling no packing can pass.

    Parameters
    ----------
    porosity_frac : float or array, share of gas [0-1]
    dm_frac, ash_frac, water_kg_m3, organic_kg_m3, mineral_kg_m3 : as in `porosity`

    Returns
    -------
    float or array of the same shape, as fed [kg/m3]

    Valid
    -----
    As `porosity`.

    Raises
    ------
    OutOfRange
        A share outside 0-1 or a dry matter outside 5-95 %.

    Example
    -------
    >>> round(bulk_density_at_porosity(0.0, 0.38))
    1178

    Source
    ------
    [Richard2004]_, phase volumes solved for the density (derived).
    """
    gas = fraction("porosity_frac", porosity_frac)
    return (1 - gas) / _solid_volume(dm_frac, ash_frac, water_kg_m3, organic_kg_m3, mineral_kg_m3)


def relative_gas_entry(porosity_frac: Values, reference_frac: float = POROSITY_CEILING_FRAC) -> Values:
    """Oxygen that moves in, against what moves in at the reference porosity.

    Parameters
    ----------
    porosity_frac : float or array, share of gas [0-1]
    reference_frac : float, porosity to compare with [0-1]

    Returns
    -------
    float or array of the same shape [times]

    Valid
    -----
    Gas moves with the square of the air-filled porosity.

    Raises
    ------
    OutOfRange
        A share outside 0-1.

    Example
    -------
    >>> round(relative_gas_entry(0.50), 2)
    1.56

    Source
    ------
    [HolmesMuck1999]_, square of porosity (ratios derived).
    """
    return (fraction("porosity_frac", porosity_frac) / within("reference_frac", reference_frac, 0.01, 1.0, 0.4)) ** 2


def bulk_density(density_dm_kg_m3: Values, dm_frac: Values) -> Values:
    """Density as fed of silage with a known dry-matter density.

    Parameters
    ----------
    density_dm_kg_m3 : float or array, density of dry matter [kg DM/m3]
    dm_frac : float or array, dry matter [0-1]

    Returns
    -------
    float or array of the same shape, as fed [kg/m3]

    Valid
    -----
    Any silage.

    Raises
    ------
    OutOfRange
        Density outside 20-900 kg/m3 or dry matter outside 5-95 %.

    Example
    -------
    >>> bulk_density(240.0, 0.40)
    600.0

    Source
    ------
    [Mwps1997]_, dry matter factor.
    """
    return dm_density_range(density_dm_kg_m3) / dry_matter(dm_frac)


def wet_mass_factor(moisture_frac: Values) -> Values:
    """Mass as fed that carries one unit of dry matter.

    Parameters
    ----------
    moisture_frac : float or array, water in the crop as fed [0-1]

    Returns
    -------
    float or array of the same shape [kg as fed per kg DM]

    Valid
    -----
    Any feed.

    Raises
    ------
    OutOfRange
        Moisture outside 0-95 %.

    Example
    -------
    >>> round(wet_mass_factor(0.65), 2)
    2.86

    Source
    ------
    [Mwps1997]_, table 1.
    """
    return 1 / (1 - fraction("moisture_frac", moisture_frac, 0.0, 0.95, 0.62))


def depth_density(core_dm_kg_m3: Values, *, face_deficit_frac: float = 0.15) -> Values:
    """Density behind the face, from a core taken in the loosened outer layer (0-18 cm).

    Parameters
    ----------
    core_dm_kg_m3 : float or array, density of the core [kg DM/m3]
    face_deficit_frac : float, how much looser the outer layer is [0-1]

    Returns
    -------
    float or array of the same shape [kg DM/m3]

    Valid
    -----
    Grass and alfalfa haylage in seven bunkers, 55-68 % moisture.

    Raises
    ------
    OutOfRange
        Density outside 20-900 kg/m3.

    Example
    -------
    >>> round(depth_density(200.0), 1)
    235.3

    Source
    ------
    [DAmoursSavoie2005]_, outer 180 mm against the next 180 mm.
    """
    return dm_density_range(core_dm_kg_m3, "core_dm_kg_m3") / (1 - face_deficit_frac)


def mean_of_cores(cores_dm_kg_m3: Values) -> CoreMean:
    """Mean density of several cores; one core alone is refused, for places in one silo differ by half and more.

    Parameters
    ----------
    cores_dm_kg_m3 : array of float, density of each core [kg DM/m3]; NaN where one was lost

    Returns
    -------
    CoreMean, mean and standard error [kg DM/m3] and number counted

    Valid
    -----
    Cores spread over height and width; take them only where nobody stands near the face.

    Raises
    ------
    OutOfRange
        Fewer than two cores, or a density outside 20-900 kg/m3.

    Example
    -------
    >>> mean_of_cores([220.0, 260.0])
    CoreMean(mean_kg_m3=240.0, standard_error_kg_m3=20.0, cores_count=2)

    Source
    ------
    [DAmoursSavoie2005]_: samples near the floor 58 % denser than near the top.
    """
    cores = np.atleast_1d(dm_density_range(cores_dm_kg_m3, "cores_dm_kg_m3"))
    known = cores[~np.isnan(cores)]
    if known.size < 2:
        raise OutOfRange(f"cores_dm_kg_m3 must hold at least 2 measured cores (for example 6); found {known.size}.")
    error = float(known.std(ddof=1) / np.sqrt(known.size))
    return CoreMean(float(known.mean()), error, int(known.size))


def packing_verdict(density_af_kg_m3: Values, porosity_frac: Values) -> np.ndarray:
    """How a packed density stands against the targets: met, near, short, doubtful or unknown.

    Parameters
    ----------
    density_af_kg_m3 : float or array, bulk density as fed [kg/m3]
    porosity_frac : float or array, share of gas [0-1]

    Returns
    -------
    array of str of the same shape; doubtful means measure again before believing it

    Valid
    -----
    Bunkers and piles.

    Raises
    ------
    OutOfRange
        Density outside 30-1500 kg/m3 or a share outside 0-1.

    Example
    -------
    >>> str(packing_verdict(720.0, 0.39)), str(packing_verdict(600.0, 0.49))
    ('met', 'short')

    Source
    ------
    [Undersander2009]_, 44 lb as fed and porosity below 0.40; the near band is judgement.
    """
    bulk = np.asarray(bulk_density_range(density_af_kg_m3))
    gas = np.asarray(fraction("porosity_frac", porosity_frac))
    doubtful = (gas < POROSITY_DOUBTFUL_FRAC) | (bulk > BULK_DENSITY_DOUBTFUL_KG_M3)
    met = (bulk >= BULK_DENSITY_TARGET_KG_M3) & (gas <= POROSITY_CEILING_FRAC)
    near = bulk >= BULK_DENSITY_NEAR_KG_M3
    unknown = np.isnan(bulk) | np.isnan(gas)
    return np.select([unknown, doubtful, met, near], ["unknown", "doubtful", "met", "near"], "short")


def _solid_volume(dm_frac: Values, ash_frac: Values, water: float, organic: float, mineral: float) -> Values:
    """Volume of water and solids in one kilogram as fed [m3/kg]."""
    dm = dry_matter(dm_frac)
    ash = fraction("ash_frac", ash_frac, 0.0, 0.6, 0.10)
    return (1 - dm) / water + dm * ((1 - ash) / organic + ash / mineral)
