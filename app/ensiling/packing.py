"""How densely the packing tractors leave the crop, and how much weight they need."""

from typing import NamedTuple

import numpy as np

from app.ensiling.limits import Values, dm_density_range, dry_matter, length, plain, within
from app.units.quantities import CM_PER_IN, KG_M3_PER_LB_FT3, KG_PER_LB, KG_PER_SHORT_TON, M_PER_FT

DENSITY_BAND_KG_M3 = 2 * KG_M3_PER_LB_FT3
"""Half width of the least band to show around a predicted density: the factor explains under a fifth of the spread."""


class PackingFleet(NamedTuple):
    """The tractors as one: their mean weight and how many of them pack the whole time."""

    mass_kg: float
    equivalents_count: float


def packing_fleet(masses_kg: Values, shares_frac: Values) -> PackingFleet:
    """Mean packing weight and number of full-time tractor equivalents.

    Parameters
    ----------
    masses_kg : array of float, weight of each tractor with its ballast [kg]
    shares_frac : array of float, hours it packs per hour of filling [0-1]

    Returns
    -------
    PackingFleet of two floats, mean weight [kg] and equivalents [tractors]; NaN weight where nobody packs

    Valid
    -----
    Any number of tractors; a blade tractor that packs half the time counts one half.

    Raises
    ------
    OutOfRange
        A weight outside 0-60,000 kg or a share outside 0-1.

    Example
    -------
    >>> fleet = packing_fleet([18143.7, 13607.8], [1.0, 0.5])
    >>> round(fleet.mass_kg / 0.45359237), fleet.equivalents_count
    (36667, 1.5)

    Source
    ------
    [MuckHolmes2000]_ defines both; each weight counts by its share of the packing time.
    """
    mass = np.atleast_1d(within("masses_kg", masses_kg, 0.0, 60_000.0, 18_000.0))
    share = np.atleast_1d(within("shares_frac", shares_frac, 0.0, 1.0, 0.5))
    total = float(share.sum())
    return PackingFleet(float((mass * share).sum() / total) if total else float("nan"), total)


def packing_factor(
    tractor_mass_kg: Values, layer_cm: Values, equivalents_count: Values, dm_frac: Values, delivery_af_kg_h: Values
) -> Values:
    """Packing factor of the crop spread in a bunker or pile.

    Parameters
    ----------
    tractor_mass_kg : float or array, mean weight of a packing tractor [kg]
    layer_cm : float or array, thickness of the spread layer before packing [cm]
    equivalents_count : float or array, tractors packing all the time
    dm_frac : float or array, dry matter of the crop [0-1]
    delivery_af_kg_h : float or array, crop brought in, as fed [kg/h]

    Returns
    -------
    float or array of the same shape, in the paper's own unit [lb/in x (h/short ton)**0.5]

    Valid
    -----
    Alfalfa haylage and corn silage at 24-67 % DM; dual wheels change nothing that could be measured.

    Raises
    ------
    OutOfRange
        Weight outside 0-60,000 kg, layer outside 2-100 cm, DM outside 5-95 %, delivery outside 500-1,000,000 kg/h.

    Example
    -------
    >>> round(packing_factor(18143.6948, 15.24, 1, 0.38, 45359.237), 2)
    581.19

    Source
    ------
    [MuckHolmes2000]_, packing factor (form read in the abstract).
    """
    w_lb = within("tractor_mass_kg", tractor_mass_kg, 0.0, 60_000.0, 18_000.0) / KG_PER_LB
    l_in = _layer(layer_cm) / CM_PER_IN
    n = _equivalents(equivalents_count)
    dm = dry_matter(dm_frac)
    c_ton_h = _delivery(delivery_af_kg_h) / KG_PER_SHORT_TON
    return (w_lb / l_in) * (n * dm / c_ton_h) ** 0.5


def dm_density(
    packing_factor_index: Values,
    depth_m: Values,
    *,
    base_lb_ft3: float = 8.5,
    slope_lb_ft3: float = 0.0155,
    depth_base_frac: float = 0.818,
    depth_slope_per_ft: float = 0.0136,
) -> Values:
    """Expected dry-matter density, mean over the depth of the silo.

    Parameters
    ----------
    packing_factor_index : float or array, result of `packing_factor`
    depth_m : float or array, mean depth; (wall + highest point) / 2 in a bunker, section area / base in a pile [m]
    base_lb_ft3, slope_lb_ft3, depth_base_frac, depth_slope_per_ft : float, coefficients, recalled and not confirmed

    Returns
    -------
    float or array of the same shape [kg DM/m3]

    Valid
    -----
    175 Wisconsin bunkers, mostly alfalfa or corn, 106-434 kg DM/m3. The factor explained 18.2 % of the spread: compare
    choices with it and show it with `DENSITY_BAND_KG_M3` on either side.

    Raises
    ------
    OutOfRange
        Factor outside 0-20,000 or depth outside 0.3-15 m.

    Example
    -------
    >>> round(dm_density(581.19, 12 * 0.3048) / 16.01846, 2)
    17.18

    Source
    ------
    [MuckHolmes2000]_, density equation; the coefficients are from memory.
    """
    pf = within("packing_factor_index", packing_factor_index, 0.0, 20_000.0, 580.0)
    d_ft = _depth(depth_m) / M_PER_FT
    rho_lb_ft3 = (base_lb_ft3 + slope_lb_ft3 * pf) * (depth_base_frac + depth_slope_per_ft * d_ft)
    return rho_lb_ft3 * KG_M3_PER_LB_FT3


def dm_density_metric_form(
    tractor_mass_kg: Values,
    layer_cm: Values,
    equivalents_count: Values,
    dm_frac: Values,
    delivery_af_kg_h: Values,
    depth_m: Values,
    *,
    base_kg_m3: float = 136.3,
    slope_kg_m3: float = 0.042,
    depth_base_frac: float = 0.818,
    depth_slope_per_m: float = 0.0446,
) -> Values:
    """Expected dry-matter density by the metric printing of the same equation; a check on the other one.

    Parameters
    ----------
    tractor_mass_kg, layer_cm, equivalents_count, dm_frac, delivery_af_kg_h : as in `packing_factor`
    depth_m : float or array, mean depth [m]
    base_kg_m3, slope_kg_m3, depth_base_frac, depth_slope_per_m : float, coefficients, recalled and not confirmed

    Returns
    -------
    float or array of the same shape [kg DM/m3]

    Valid
    -----
    As `dm_density`, from which it differs by less than half a per cent.

    Raises
    ------
    OutOfRange
        As `packing_factor` and `dm_density`.

    Example
    -------
    >>> round(dm_density_metric_form(18143.7, 15.24, 1, 0.38, 45359.237, 3.6576))
    276

    Source
    ------
    [MuckHolmes2000]_, metric form; coefficients from memory (W kg, L cm, DM g/kg, C Mg/h).
    """
    w_kg = within("tractor_mass_kg", tractor_mass_kg, 0.0, 60_000.0, 18_000.0)
    l_cm = _layer(layer_cm)
    n = _equivalents(equivalents_count)
    dm_g_kg = dry_matter(dm_frac) * 1000
    c_mg_h = _delivery(delivery_af_kg_h) / 1000
    p = (w_kg / l_cm) * (n * dm_g_kg / c_mg_h) ** 0.5
    return (base_kg_m3 + slope_kg_m3 * p) * (depth_base_frac + depth_slope_per_m * _depth(depth_m))


def packing_factor_needed(
    density_dm_kg_m3: Values,
    depth_m: Values,
    *,
    base_lb_ft3: float = 8.5,
    slope_lb_ft3: float = 0.0155,
    depth_base_frac: float = 0.818,
    depth_slope_per_ft: float = 0.0136,
) -> Values:
    """Packing factor that a wanted density asks for; nil where depth alone brings it.

    Parameters
    ----------
    density_dm_kg_m3 : float or array, wanted density [kg DM/m3]
    depth_m : float or array, mean depth [m]
    base_lb_ft3, slope_lb_ft3, depth_base_frac, depth_slope_per_ft : float, as in `dm_density`

    Returns
    -------
    float or array of the same shape, in the unit of `packing_factor`

    Valid
    -----
    As `dm_density`.

    Raises
    ------
    OutOfRange
        Density outside 20-900 kg/m3 or depth outside 0.3-15 m.

    Example
    -------
    >>> round(packing_factor_needed(15 * 16.01846, 12 * 0.3048), 1)
    437.9

    Source
    ------
    [MuckHolmes2000]_, density equation solved for the factor (derived).
    """
    rho_lb_ft3 = dm_density_range(density_dm_kg_m3) / KG_M3_PER_LB_FT3
    d_ft = _depth(depth_m) / M_PER_FT
    pf = (rho_lb_ft3 / (depth_base_frac + depth_slope_per_ft * d_ft) - base_lb_ft3) / slope_lb_ft3
    return plain(np.maximum(pf, 0.0))


def equivalents_needed(
    packing_factor_index: Values, tractor_mass_kg: Values, layer_cm: Values, dm_frac: Values, delivery_af_kg_h: Values
) -> Values:
    """Full-time packing tractors of one weight that a packing factor asks for.

    Parameters
    ----------
    packing_factor_index : float or array, result of `packing_factor_needed`
    tractor_mass_kg, layer_cm, dm_frac, delivery_af_kg_h : as in `packing_factor`

    Returns
    -------
    float or array of the same shape [tractors packing all the time]

    Valid
    -----
    As `dm_density`.

    Raises
    ------
    OutOfRange
        As `packing_factor`; the weight must be at least 500 kg.

    Example
    -------
    >>> round(equivalents_needed(581.19, 18143.6948, 15.24, 0.38, 45359.237), 3)
    1.0

    Source
    ------
    [MuckHolmes2000]_, packing factor solved for the tractors (derived).
    """
    pf = within("packing_factor_index", packing_factor_index, 0.0, 20_000.0, 580.0)
    w_lb = within("tractor_mass_kg", tractor_mass_kg, 500.0, 60_000.0, 18_000.0) / KG_PER_LB
    l_in = _layer(layer_cm) / CM_PER_IN
    c_ton_h = _delivery(delivery_af_kg_h) / KG_PER_SHORT_TON
    return (pf * l_in / w_lb) ** 2 * c_ton_h / dry_matter(dm_frac)


def delivery_ceiling(
    packing_factor_index: Values, tractor_mass_kg: Values, layer_cm: Values, equivalents_count: Values, dm_frac: Values
) -> Values:
    """Fastest delivery at which the tractors still reach a packing factor.

    Parameters
    ----------
    packing_factor_index : float or array, result of `packing_factor_needed`
    tractor_mass_kg, layer_cm, equivalents_count, dm_frac : as in `packing_factor`

    Returns
    -------
    float or array of the same shape, as fed [kg/h]; infinite where the factor is nil

    Valid
    -----
    As `dm_density`.

    Raises
    ------
    OutOfRange
        As `packing_factor`.

    Example
    -------
    >>> round(delivery_ceiling(581.19, 18143.6948, 15.24, 1, 0.38) / 907.18474, 1)
    50.0

    Source
    ------
    [MuckHolmes2000]_, packing factor solved for the delivery (derived).
    """
    pf = np.asarray(within("packing_factor_index", packing_factor_index, 0.0, 20_000.0, 580.0))
    w_lb = within("tractor_mass_kg", tractor_mass_kg, 0.0, 60_000.0, 18_000.0) / KG_PER_LB
    l_in = _layer(layer_cm) / CM_PER_IN
    with np.errstate(divide="ignore", invalid="ignore"):
        c_ton_h = _equivalents(equivalents_count) * dry_matter(dm_frac) * (w_lb / (l_in * pf)) ** 2
    return plain(c_ton_h * KG_PER_SHORT_TON)


def packing_time(equivalents_count: Values, delivery_af_kg_h: Values) -> Values:
    """Tractor time spent on each kilogram of crop.

    Parameters
    ----------
    equivalents_count : float or array, tractors packing all the time
    delivery_af_kg_h : float or array, crop brought in, as fed [kg/h]

    Returns
    -------
    float or array of the same shape [h/kg as fed]

    Valid
    -----
    Any crop.

    Raises
    ------
    OutOfRange
        Equivalents outside 0-40 or delivery outside 500-1,000,000 kg/h.

    Example
    -------
    >>> round(packing_time(2, 90718.474) * 60 * 907.18474, 2)
    1.2

    Source
    ------
    [MuckHolmes2000]_, T in the packing factor.
    """
    return _equivalents(equivalents_count) / _delivery(delivery_af_kg_h)


def packing_mass_needed(delivery_af_kg_h: Values, *, mass_per_rate_h: float = 0.40) -> Values:
    """Packing weight that a delivery rate asks for by the rule of 800 lb per ton and hour.

    Parameters
    ----------
    delivery_af_kg_h : float or array, crop brought in, as fed [kg/h]
    mass_per_rate_h : float, weight per hourly delivery [kg per kg/h = h]; 800 lb per short ton and hour is 0.40

    Returns
    -------
    float or array of the same shape [kg of tractor]

    Valid
    -----
    A rule of thumb: it knows no layer, tractor size or depth. Ask for a predicted bulk density beside it.

    Raises
    ------
    OutOfRange
        Delivery outside 0-1,000,000 kg/h.

    Example
    -------
    >>> round(packing_mass_needed(50 * 907.18474) / 0.45359237)
    40000

    Source
    ------
    [Kaatz2009]_, worked example of 50 ton/h.
    """
    return within("delivery_af_kg_h", delivery_af_kg_h, 0.0, 1_000_000.0, 90_000.0) * mass_per_rate_h


def delivery_allowed(packing_mass_kg: Values, *, mass_per_rate_h: float = 0.40) -> Values:
    """Delivery rate that a packing weight can follow by the rule of 800 lb per ton and hour.

    Parameters
    ----------
    packing_mass_kg : float or array, weight x share of the filling hours, summed over tractors [kg]
    mass_per_rate_h : float, as in `packing_mass_needed`

    Returns
    -------
    float or array of the same shape, as fed [kg/h]

    Valid
    -----
    As `packing_mass_needed`.

    Raises
    ------
    OutOfRange
        Weight outside 0-1,000,000 kg.

    Example
    -------
    >>> round(delivery_allowed(40000 * 0.45359237) / 907.18474, 1)
    50.0

    Source
    ------
    [Kaatz2009]_, read backwards (one copy prints 150 for 40,000 lb; the division gives 50).
    """
    return within("packing_mass_kg", packing_mass_kg, 0.0, 1_000_000.0, 36_000.0) / mass_per_rate_h


def _layer(layer_cm: Values) -> Values:
    return within("layer_cm", layer_cm, 2.0, 100.0, 15.0)


def _equivalents(equivalents_count: Values) -> Values:
    return within("equivalents_count", equivalents_count, 0.0, 40.0, 2.0)


def _delivery(delivery_af_kg_h: Values) -> Values:
    return within("delivery_af_kg_h", delivery_af_kg_h, 500.0, 1_000_000.0, 90_000.0)


def _depth(depth_m: Values) -> Values:
    return length("depth_m", depth_m, 15.0, 0.3)
