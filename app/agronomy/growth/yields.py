"""Dry matter of the standing crop: by heat, by height and by clipping."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.units.quantities import CM_PER_IN, F_D_PER_C_D, KG_HA_PER_LB_ACRE
from app.units.ranges import Figures, fraction, within

YIELD_KG_HA = (0.0, 40_000.0)
HEAT_C_D = (0.0, 3000.0)
HEIGHT_CM = (0.0, 200.0)

ANCHOR_C_D = 750 / F_D_PER_C_D
"""Total of heat at which the season's share of the first cutting is taken to stand."""

GROWTH_KG_HA_C_D = 4.6 * KG_HA_PER_LB_ACRE * F_D_PER_C_D
"""4.6 lb/ac per degree-day F: 100 lb/ac in a late May day of about 22 degree-days F.

Published days run from 0 to 200 lb/ac. [IowaState2005]_
"""

HEAT_OF_GROWTH_C_D = (550 / F_D_PER_C_D, 1000 / F_D_PER_C_D)
HEIGHT_DENSITY_KG_HA_CM = (150 * KG_HA_PER_LB_ACRE / CM_PER_IN, 175 * KG_HA_PER_LB_ACRE / CM_PER_IN)


def standing_yield(
    base_kg_ha: ArrayLike,
    heat_c_d: ArrayLike,
    *,
    base_heat_c_d: ArrayLike = ANCHOR_C_D,
    stem_factor_frac: ArrayLike = 1.0,
    growth_kg_ha_c_d: float = GROWTH_KG_HA_C_D,
) -> Figures:
    """Dry matter standing at a total of heat.

    Parameters
    ----------
    base_kg_ha : float or array
        Dry matter at `base_heat_c_d`: season yield times the cutting's share, or a clipped sample. [kg/ha]
    heat_c_d : float or array
        Heat above 5 C from 1 March to the end of the day before mowing. [C d]
    base_heat_c_d : float or array, keyword
        Heat at which the base stands: 750 F d for the season's share, that of its day for a clipped sample. [C d]
    stem_factor_frac : float or array, keyword
        Share of full growth the stems allow; see `stem_factor`. [fraction]
    growth_kg_ha_c_d : float, keyword
        Growth of a full stand per degree-day. [kg/(ha C d)]

    Returns
    -------
    array, same shape
        Dry matter standing, not below bare ground. [kg/ha]

    Valid
    -----
    First cutting of alfalfa, 306 to 556 C d (550 to 1000 F d); `growth_relation_holds` tells.

    Raises
    ------
    OutOfRange
        If yield (0 to 40,000 kg/ha), heat, stem factor or growth (0 to 30) cannot be one.

    Example
    -------
    >>> round(float(standing_yield(4000.0, 772 / 1.8) - 4000.0) / KG_HA_PER_LB_ACRE, 1)
    101.2

    Source
    ------
    [IowaState2005]_ 100 lb/ac a day (0 to 200); per degree-day derived for a day of 22 degree-days F.
    """
    base = within("base_kg_ha", base_kg_ha, YIELD_KG_HA, "kg/ha")
    heat = within("heat_c_d", heat_c_d, HEAT_C_D, "C d")
    since = heat - within("base_heat_c_d", base_heat_c_d, HEAT_C_D, "C d")
    growth = within("growth_kg_ha_c_d", growth_kg_ha_c_d, (0, 30), "kg/ha per C d")
    return np.maximum(0.0, base + growth * fraction("stem_factor_frac", stem_factor_frac) * since)


def growth_relation_holds(heat_c_d: ArrayLike) -> NDArray[np.bool_]:
    """Whether growth by heat may be used at a total of heat.

    Parameters
    ----------
    heat_c_d : float or array
        Heat above 5 C from 1 March. [C d]

    Returns
    -------
    array of bool, same shape
        True from 550 to 1000 F d. [yes or no]

    Valid
    -----
    First cutting of alfalfa.

    Raises
    ------
    OutOfRange
        If the total is negative or above 3000 C d.

    Example
    -------
    >>> growth_relation_holds([200.0, 400.0, 700.0]).tolist()
    [False, True, False]

    Source
    ------
    [IowaState2005]_ growth near harvest; the range is common practice, no source.
    """
    heat = within("heat_c_d", heat_c_d, HEAT_C_D, "C d")
    low, high = HEAT_OF_GROWTH_C_D
    return (heat >= low - 1e-9) & (heat <= high + 1e-9)


def clipped_yield(sample_dm_kg: ArrayLike, area_m2: ArrayLike) -> Figures:
    """Dry matter of a stand from clipped and weighed frames.

    Parameters
    ----------
    sample_dm_kg : float or array
        Dry matter clipped at mowing height. [kg]
    area_m2 : float or array
        Ground clipped, all frames together. [m2]

    Returns
    -------
    array, same shape
        Dry matter standing above the clipping height. [kg/ha]

    Valid
    -----
    Any crop; several frames, not one.

    Raises
    ------
    OutOfRange
        If the sample (0 to 100 kg) or area (0.01 to 100 m2) cannot be one.

    Example
    -------
    >>> from app.units.quantities import KG_HA_PER_LB_ACRE, M2_PER_FT2
    >>> round(float(clipped_yield(0.001, 2 * M2_PER_FT2)) / KG_HA_PER_LB_ACRE, 1)
    48.0

    Source
    ------
    Area of the frame (derived): a gram from two square feet is 48.0 lb/ac.
    """
    sample = within("sample_dm_kg", sample_dm_kg, (0, 100), "kg")
    return sample / within("area_m2", area_m2, (0.01, 100), "m2") * 10_000


def yield_of_height(
    height_cm: ArrayLike, stubble_cm: ArrayLike, *, density_kg_ha_cm: ArrayLike, stem_factor_frac: ArrayLike = 1.0
) -> Figures:
    """Dry matter above the stubble from the height of the stand.

    Parameters
    ----------
    height_cm, stubble_cm : float or array
        Height of the stand and of the stubble left. [cm]
    density_kg_ha_cm : float or array, keyword
        Dry matter per height of a full stand; 66 to 77 (150 to 175 lb/ac per inch) for upright alfalfa, or the farm's
        own slope. [kg/(ha cm)]
    stem_factor_frac : float or array, keyword
        Share of full growth the stems allow. [fraction]

    Returns
    -------
    array, same shape
        Dry matter above the stubble. [kg/ha]

    Valid
    -----
    Rough: height alone explains half of the yield. Grazing heights of orchardgrass with legume are denser (300 to 350).

    Raises
    ------
    OutOfRange
        If a height lies outside 0 to 200 cm, the stubble above the height, or density outside 20 to 220 kg/ha per cm.

    Example
    -------
    >>> dense = 300 * KG_HA_PER_LB_ACRE / CM_PER_IN
    >>> round(float(yield_of_height(7 * 2.54, 3 * 2.54, density_kg_ha_cm=dense)) / KG_HA_PER_LB_ACRE, 6)
    1200.0

    Source
    ------
    [MaineHeight2026]_ height less stubble times density; the density of upright alfalfa derived from [Blonde2018]_.
    """
    height = within("height_cm", height_cm, HEIGHT_CM, "cm")
    above = within("height_cm less stubble_cm", height - within("stubble_cm", stubble_cm, HEIGHT_CM, "cm"), HEIGHT_CM)
    density = within("density_kg_ha_cm", density_kg_ha_cm, (20, 220), "kg/ha per cm")
    return above * density * fraction("stem_factor_frac", stem_factor_frac)
