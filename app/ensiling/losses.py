"""Dry matter lost between filling and feeding, and what packing and covering save of it."""

from typing import NamedTuple

import numpy as np

from app.ensiling.limits import Values, bulk_density_range, dm_density_range, fraction, length, must_hold, plain, within
from app.units.quantities import KG_M3_PER_LB_FT3


class ShrinkRange(NamedTuple):
    """Share of the dry matter put in that never comes out: likely value with its range, and how well it is known."""

    low_frac: float
    likely_frac: float
    high_frac: float
    mark: str


SHRINK_RANGES = {
    "bunker": ShrinkRange(0.10, 0.12, 0.16, "memory"),
    "pile": ShrinkRange(0.12, 0.15, 0.20, "memory"),
    "bag": ShrinkRange(0.08, 0.10, 0.15, "memory"),
    "tower": ShrinkRange(0.07, 0.09, 0.12, "memory"),
    "sealed_tower": ShrinkRange(0.04, 0.06, 0.08, "memory"),
    "stack": ShrinkRange(0.06, 0.08, 0.12, "memory"),
}
"""Planning ranges by kind of structure, from memory; a farm's own tons in against tons fed replace them."""

MEASURED_SHRINK_FRAC = {"bunker": 0.17, "bag": 0.11, "sealed_tower": 0.04}
"""Alfalfa, two trials of 14-15 months, read in [Muck2015]_: small research bunker, bag, oxygen-limiting tower."""

FEEDOUT_LOSS_FRAC = {"well run": 0.03, "average": 0.05, "poor": 0.10}
"""Scenarios from memory (poor means at least that); never added to `ruppel_loss`, which holds feed-out already."""

TOP_LAYER_LOSS_FRAC = {"polyethylene": 0.195, "oxygen barrier": 0.114}
"""Top 10-60 cm, 41 data sets, read in [WilkinsonFenlon2014]_: whole covering systems, so film alone may do less."""

BALE_LOSS_FRAC = {"polyethylene": 0.0768, "oxygen barrier": 0.0456}
"""Wrapped bales, 10 data sets, read in [WilkinsonFenlon2014]_."""

UNCOVERED_LOSS_FRAC = {"uncovered": 0.75, "covered": 0.10}
"""Top 10 in of pilot bunkers after 180 days, read in [PennState2005]_."""

_RUPPEL_LOW_KG_M3 = 10 * KG_M3_PER_LB_FT3
_RUPPEL_HIGH_KG_M3 = 22 * KG_M3_PER_LB_FT3
_OTR_CM3_M2_D = np.array([75.0, 289.0, 722.0, 982.0])
_OTR_LOSS_FRAC = np.array([0.082, 0.101, 0.138, 0.145])


def ruppel_loss(density_dm_kg_m3: Values, *, base_pct: float = 28.7, slope_pct: float = 0.85) -> Values:
    """Dry matter lost from alfalfa in a bunker after 180 days, all causes together.

    Parameters
    ----------
    density_dm_kg_m3 : float or array, density [kg DM/m3]
    base_pct, slope_pct : float, line through the table [% of DM; % per lb DM/ft3]

    Returns
    -------
    float or array of the same shape, share of the DM put in [0-1]

    Valid
    -----
    160-352 kg DM/m3 (10-22 lb/ft3). Beyond its ends the end value is given back and `ruppel_covers` says no. It holds
    fermentation, seepage, top spoilage and feed-out of those farms: add no other loss. No time scale is published.

    Raises
    ------
    OutOfRange
        Density outside 20-900 kg/m3.

    Example
    -------
    >>> round(ruppel_loss(14 * 16.01846), 3)
    0.168

    Source
    ------
    [Ruppel1992]_, table as printed by [HolmesMuck1999]_; the line through it is derived (largest residual 0.05 point).
    """
    rho_lb_ft3 = np.clip(dm_density_range(density_dm_kg_m3) / KG_M3_PER_LB_FT3, 10.0, 22.0)
    return plain((base_pct - slope_pct * rho_lb_ft3) / 100)


def ruppel_covers(density_dm_kg_m3: Values) -> np.ndarray | bool:
    """Whether a density lies inside the table of `ruppel_loss`.

    Parameters
    ----------
    density_dm_kg_m3 : float or array, density [kg DM/m3]

    Returns
    -------
    bool or array of bool of the same shape; False for NaN

    Valid
    -----
    Bunkers.

    Raises
    ------
    OutOfRange
        Density outside 20-900 kg/m3.

    Example
    -------
    >>> ruppel_covers(240.0), ruppel_covers(400.0)
    (True, False)

    Source
    ------
    [Ruppel1992]_, first and last column.
    """
    rho = dm_density_range(density_dm_kg_m3)
    inside = (np.asarray(rho) >= _RUPPEL_LOW_KG_M3 * 0.9999) & (np.asarray(rho) <= _RUPPEL_HIGH_KG_M3 * 1.0001)
    return inside if np.ndim(rho) else bool(inside)


def handling_allowance(harvest_loss_frac: Values, storage_loss_frac: Values) -> Values:
    """Dry matter to cut for each unit that is to be fed.

    Parameters
    ----------
    harvest_loss_frac : float or array, lost between cutting and storage [0-1]
    storage_loss_frac : float or array, lost between storage and the bunk [0-1]

    Returns
    -------
    float or array of the same shape [kg cut per kg fed]

    Valid
    -----
    Losses follow one another, each a share of what is left.

    Raises
    ------
    OutOfRange
        A loss outside 0-0.9.

    Example
    -------
    >>> round(handling_allowance(0.15, 0.10), 3)
    1.307

    Source
    ------
    [Mwps1997]_, 15 % and 10 %.
    """
    harvest = fraction("harvest_loss_frac", harvest_loss_frac, 0.0, 0.9, 0.15)
    storage = fraction("storage_loss_frac", storage_loss_frac, 0.0, 0.9, 0.10)
    return 1 / ((1 - harvest) * (1 - storage))


def relative_saving(loss_frac: Values, better_loss_frac: Values) -> Values:
    """Share of a loss that the better way avoids.

    Parameters
    ----------
    loss_frac : float or array, loss by the usual way [0-1], above nil
    better_loss_frac : float or array, loss by the better way [0-1]

    Returns
    -------
    float or array of the same shape [0-1], negative where it is no better

    Valid
    -----
    Both losses of the same layer.

    Raises
    ------
    OutOfRange
        A loss outside 0-1.

    Example
    -------
    >>> round(relative_saving(0.195, 0.114), 3)
    0.415

    Source
    ------
    [WilkinsonFenlon2014]_, top layer (ratio derived).
    """
    usual = fraction("loss_frac", loss_frac, 0.0001, 1.0, 0.195)
    return (usual - fraction("better_loss_frac", better_loss_frac, 0.0, 1.0, 0.114)) / usual


def whole_silo_saving(layer_m: Values, depth_m: Values, loss_frac: Values, better_loss_frac: Values) -> Values:
    """Share of the whole silo's dry matter that a better cover of its top layer saves.

    Parameters
    ----------
    layer_m : float or array, thickness of the layer the cover acts on [m]
    depth_m : float or array, depth of the silo [m]
    loss_frac, better_loss_frac : float or array, loss of that layer under either cover [0-1]

    Returns
    -------
    float or array of the same shape [0-1 of the DM]

    Valid
    -----
    Taken by volume; the top is lighter, so by weight it is a little less.

    Raises
    ------
    OutOfRange
        A layer thicker than the silo, or a loss outside 0-1.

    Example
    -------
    >>> round(whole_silo_saving(2 * 0.3048, 12 * 0.3048, 0.195, 0.114), 4)
    0.0135

    Source
    ------
    [WilkinsonFenlon2014]_, weighted by the share of the layer (derived).
    """
    layer, depth = length("layer_m", layer_m, 15.0), length("depth_m", depth_m, 15.0, 0.3)
    must_hold(~np.greater(layer, depth), "layer_m must lie within 0 and depth_m (for example 0.6 of 3.6).")
    saved = fraction("loss_frac", loss_frac) - fraction("better_loss_frac", better_loss_frac)
    return layer / depth * saved


def film_loss(oxygen_rate_cm3_m2_d: Values) -> Values:
    """Dry matter lost under a film, by how much oxygen the film lets through.

    Parameters
    ----------
    oxygen_rate_cm3_m2_d : float or array, oxygen transmission of the film [cm3/m2 in 24 h]

    Returns
    -------
    float or array of the same shape [0-1 of the DM]

    Valid
    -----
    75-982 cm3/m2 in 24 h, maize; straight lines between the four films. Films tested otherwise cannot be compared.

    Raises
    ------
    OutOfRange
        A transmission outside 75-982.

    Example
    -------
    >>> round(film_loss(722.0), 3)
    0.138

    Source
    ------
    [Bernardes2012]_, four films.
    """
    rate = within("oxygen_rate_cm3_m2_d", oxygen_rate_cm3_m2_d, 75.0, 982.0, 722.0)
    return plain(np.interp(rate, _OTR_CM3_M2_D, _OTR_LOSS_FRAC))


def top_layer_mass(length_m: Values, width_m: Values, layer_m: Values, density_af_kg_m3: Values) -> Values:
    """Silage as fed in the top layer.

    Parameters
    ----------
    length_m, width_m : float or array, plan of the silo [m]
    layer_m : float or array, thickness of the layer [m]
    density_af_kg_m3 : float or array, bulk density of that layer as fed [kg/m3]

    Returns
    -------
    float or array of the same shape, as fed [kg]

    Valid
    -----
    A level top.

    Raises
    ------
    OutOfRange
        A length outside 0-1000 m, a layer outside 0-15 m or a density outside 30-1500 kg/m3.

    Example
    -------
    >>> round(top_layer_mass(140 * 0.3048, 80 * 0.3048, 3 * 0.3048, 40 * 16.01846) / 907.18474)
    672

    Source
    ------
    [MsuExtension2012]_, worked example.
    """
    plan = length("length_m", length_m) * length("width_m", width_m)
    return plan * length("layer_m", layer_m, 15.0) * bulk_density_range(density_af_kg_m3)
