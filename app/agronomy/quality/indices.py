"""Feed value indices: one figure made of fibre, protein, fat and ash."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from app.errors import OutOfRange
from app.units.ranges import Figures, fraction, within

INTAKE_FRAC = (0.0, 0.10)
FIBRE_FRAC = (0.05, 0.95)


def digestible_dry_matter(adf_frac: ArrayLike) -> Figures:
    """Digestible dry matter from ADF.

    Parameters
    ----------
    adf_frac : float or array
        ADF in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Digestible part of dry matter. [fraction]

    Valid
    -----
    Legume and legume-grass forage.

    Raises
    ------
    OutOfRange
        If ADF lies outside 0 to 1.

    Example
    -------
    >>> round(float(digestible_dry_matter(0.30)) * 100, 2)
    65.53

    Source
    ------
    [ForageQuality2026]_ first step of relative feed value.
    """
    adf = fraction("adf_frac", adf_frac) * 100
    return (88.9 - 0.779 * adf) / 100


def intake_of_ndf(ndf_frac: ArrayLike) -> Figures:
    """Dry matter a cow can eat of a forage as its only feed, by NDF.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Daily dry matter intake per body weight. [fraction of body weight]

    Valid
    -----
    An index of forage, not a ration figure: 1.2 kg NDF per 100 kg body weight.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.05 to 0.95.

    Example
    -------
    >>> round(float(intake_of_ndf(0.40)) * 100, 2)
    3.0

    Source
    ------
    [ForageQuality2026]_ second step of relative feed value.
    """
    ndf = within("ndf_frac", ndf_frac, FIBRE_FRAC, "(a fraction: 40 % is 0.40)") * 100
    return 120 / ndf / 100


def relative_feed_value(adf_frac: ArrayLike, ndf_frac: ArrayLike) -> Figures:
    """Relative feed value; full-bloom alfalfa is 100.

    Parameters
    ----------
    adf_frac, ndf_frac : float or array
        ADF and NDF in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Relative feed value. [index]

    Valid
    -----
    Alfalfa and legume-grass forage; it does not see ash or fibre digestibility.

    Raises
    ------
    OutOfRange
        If ADF lies outside 0 to 1 or NDF outside 0.05 to 0.95.

    Example
    -------
    >>> round(float(relative_feed_value(0.41, 0.53)), 2)
    99.98

    Source
    ------
    [ForageQuality2026]_ and [OntarioTrade2026]_ (constants 41, 53, 120, 1.29).
    """
    ddm = digestible_dry_matter(adf_frac) * 100
    dmi = intake_of_ndf(ndf_frac) * 100
    return ddm * dmi / 1.29


def tdn_of_adf(adf_frac: ArrayLike, *, intercept_coef: float = 82.38, slope_coef: float = 0.7515) -> Figures:
    """Total digestible nutrients from ADF, as used with hay grades.

    Parameters
    ----------
    adf_frac : float or array
        ADF in dry matter. [fraction]
    intercept_coef, slope_coef : float, keyword
        Constants of the western equation, from memory. [per cent, per cent per per cent]

    Returns
    -------
    array, same shape
        TDN in dry matter; times 0.9 for hay of 90 % dry matter. [fraction]

    Valid
    -----
    Alfalfa hay; it does not see ash.

    Raises
    ------
    OutOfRange
        If ADF lies outside 0 to 1.

    Example
    -------
    >>> round(float(tdn_of_adf(0.27)) * 100, 2)
    62.09

    Source
    ------
    Constants from memory; they meet every TDN edge of [UsdaHay2003]_.
    """
    adf = fraction("adf_frac", adf_frac) * 100
    return (intercept_coef - slope_coef * adf) / 100


def nitrogen_free_ndf(
    ndf_frac: ArrayLike, ndf_protein_frac: ArrayLike | None = None, *, kept_frac: float = 0.93
) -> Figures:
    """NDF without the protein bound in it.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter. [fraction]
    ndf_protein_frac : float or array, optional
        Protein bound in NDF, in dry matter, where the lab reports it. [fraction]
    kept_frac : float, keyword
        Share of NDF taken as free of nitrogen where the lab does not report it. [fraction]

    Returns
    -------
    array, same shape
        Nitrogen-free NDF in dry matter. [fraction]

    Valid
    -----
    Legume and grass forage.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or more protein is bound in NDF than there is NDF.

    Example
    -------
    >>> round(float(nitrogen_free_ndf(0.40)) * 100, 2)
    37.2

    Source
    ------
    [Georgia2026]_ NDFn.
    """
    ndf = fraction("ndf_frac", ndf_frac)
    if ndf_protein_frac is None:
        return fraction("kept_frac", kept_frac) * ndf
    return fraction("ndf_frac less ndf_protein_frac", ndf - fraction("ndf_protein_frac", ndf_protein_frac))


def non_fibre_carbohydrate(
    cp_frac: ArrayLike,
    ndf_frac: ArrayLike,
    ash_frac: ArrayLike,
    fat_frac: ArrayLike,
    ndf_protein_frac: ArrayLike | None = None,
) -> Figures:
    """Non-fibre carbohydrate: what protein, fibre, fat and ash leave.

    Parameters
    ----------
    cp_frac, ndf_frac, ash_frac, fat_frac : float or array
        Crude protein, NDF, ash and fat (ether extract) in dry matter. [fraction]
    ndf_protein_frac : float or array, optional
        Protein bound in NDF, in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Non-fibre carbohydrate in dry matter. [fraction]

    Valid
    -----
    Legume and grass forage.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or the shares add up to more than the whole.

    Example
    -------
    >>> round(float(non_fibre_carbohydrate(0.20, 0.40, 0.09, 0.03)) * 100, 2)
    30.8

    Source
    ------
    [Georgia2026]_ NFC.
    """
    cp = fraction("cp_frac", cp_frac) * 100
    ndfn = nitrogen_free_ndf(ndf_frac, ndf_protein_frac) * 100
    ash = fraction("ash_frac", ash_frac) * 100
    ee = fraction("fat_frac", fat_frac) * 100
    nfc = 100 - (ndfn + cp + ee + ash)
    if np.any(nfc < 0):
        raise OutOfRange(
            "cp_frac, ndf_frac, ash_frac and fat_frac must add up to no more than 1 (100 %), "
            "for example 0.20, 0.40, 0.09 and 0.03"
        )
    return nfc / 100


def tdn_legume(
    cp_frac: ArrayLike,
    ndf_frac: ArrayLike,
    ndfd_frac: ArrayLike,
    ash_frac: ArrayLike,
    fat_frac: ArrayLike,
    ndf_protein_frac: ArrayLike | None = None,
) -> Figures:
    """Total digestible nutrients of legume and legume-grass forage, summed over its parts.

    Parameters
    ----------
    cp_frac, ndf_frac, ash_frac, fat_frac : float or array
        Crude protein, NDF, ash and fat (ether extract) in dry matter. [fraction]
    ndfd_frac : float or array
        NDF digestibility, 48 h in vitro. [fraction of NDF]
    ndf_protein_frac : float or array, optional
        Protein bound in NDF, in dry matter. [fraction]

    Returns
    -------
    array, same shape
        TDN in dry matter. [fraction]

    Valid
    -----
    Stands in which legumes dominate. Each point of ash costs 0.98 point.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or the shares add up to more than the whole.

    Example
    -------
    >>> round(float(tdn_legume(0.20, 0.40, 0.45, 0.09, 0.03)) * 100, 3)
    62.889

    Source
    ------
    [Georgia2026]_ legume equation; [UndersanderAsh2026]_ writes it with NDF in place of nitrogen-free NDF.
    """
    nfc = non_fibre_carbohydrate(cp_frac, ndf_frac, ash_frac, fat_frac, ndf_protein_frac) * 100
    cp = np.asarray(cp_frac, dtype=float) * 100
    fa = _fatty_acids(fat_frac) * 100
    ndfn = nitrogen_free_ndf(ndf_frac, ndf_protein_frac) * 100
    ndfd = fraction("ndfd_frac", ndfd_frac) * 100
    return (0.98 * nfc + 0.93 * cp + 0.97 * 2.25 * fa + ndfn * ndfd / 100 - 7) / 100


def tdn_grass(
    cp_frac: ArrayLike,
    ndf_frac: ArrayLike,
    ndfd_frac: ArrayLike,
    ash_frac: ArrayLike,
    fat_frac: ArrayLike,
    ndf_protein_frac: ArrayLike | None = None,
) -> Figures:
    """Total digestible nutrients of grass forage, summed over its parts.

    Parameters
    ----------
    cp_frac, ndf_frac, ash_frac, fat_frac : float or array
        Crude protein, NDF, ash and fat (ether extract) in dry matter. [fraction]
    ndfd_frac : float or array
        NDF digestibility, 48 h in vitro. [fraction of NDF]
    ndf_protein_frac : float or array, optional
        Protein bound in NDF, in dry matter. [fraction]

    Returns
    -------
    array, same shape
        TDN in dry matter. [fraction]

    Valid
    -----
    Stands in which cool-season grasses dominate.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or the shares add up to more than the whole.

    Example
    -------
    >>> round(float(tdn_grass(0.13, 0.54, 0.50, 0.09, 0.03)) * 100, 2)
    58.03

    Source
    ------
    [Georgia2026]_ grass equation; the example is derived.
    """
    nfc = non_fibre_carbohydrate(cp_frac, ndf_frac, ash_frac, fat_frac, ndf_protein_frac) * 100
    cp = np.asarray(cp_frac, dtype=float) * 100
    fa = _fatty_acids(fat_frac) * 100
    ndfn = nitrogen_free_ndf(ndf_frac, ndf_protein_frac) * 100
    ndfdp = 22.7 + 0.664 * fraction("ndfd_frac", ndfd_frac) * 100
    return (0.98 * nfc + 0.87 * cp + 0.97 * 2.25 * fa + ndfn * ndfdp / 100 - 10) / 100


def intake_legume(
    ndf_frac: ArrayLike, ndfd_frac: ArrayLike, *, ndfd_base_frac: float = 0.45, slope_coef: float = 0.374 / 1350 * 100
) -> Figures:
    """Dry matter a cow can eat of legume forage, by NDF and its digestibility.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter. [fraction]
    ndfd_frac : float or array
        NDF digestibility, 48 h in vitro. [fraction of NDF]
    ndfd_base_frac, slope_coef : float, keyword
        Digestibility that changes nothing, and points of intake per point of it; from memory. [fraction, per cent]

    Returns
    -------
    array, same shape
        Daily dry matter intake per body weight. [fraction of body weight]

    Valid
    -----
    Stands in which legumes dominate; an index, not a ration figure.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.05 to 0.95 or NDFD outside 0 to 1.

    Example
    -------
    >>> round(float(intake_legume(0.40, 0.45)) * 100, 4)
    3.0

    Source
    ------
    [UndersanderMoore2002]_; the terms as restated by others (secondary), constants from memory.
    """
    ndf_term = intake_of_ndf(ndf_frac) * 100
    ndfd = fraction("ndfd_frac", ndfd_frac) * 100
    return (ndf_term + (ndfd - ndfd_base_frac * 100) * slope_coef) / 100


def intake_grass(
    cp_frac: ArrayLike,
    tdn_frac: ArrayLike,
    adf_frac: ArrayLike,
    *,
    constant_coef: float = -2.318,
    cp_coef: float = 0.442,
    cp_squared_coef: float = -0.0100,
    tdn_coef: float = -0.0638,
    tdn_squared_coef: float = 0.000922,
    adf_coef: float = 0.180,
    adf_squared_coef: float = -0.00196,
    cp_adf_coef: float = -0.00529,
) -> Figures:
    """Dry matter a cow can eat of grass forage, by protein, TDN and ADF.

    Parameters
    ----------
    cp_frac, tdn_frac, adf_frac : float or array
        Crude protein, TDN and ADF in dry matter. [fraction]
    constant_coef, cp_coef, ... : float, keyword
        Coefficients in per cent, from memory. [per cent]

    Returns
    -------
    array, same shape
        Daily dry matter intake per body weight. [fraction of body weight]

    Valid
    -----
    Stands in which grasses dominate; an estimate only, the lab's own figure comes first.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1.

    Example
    -------
    >>> round(float(intake_grass(0.13, 0.5803, 0.345)) * 100, 2)
    2.65

    Source
    ------
    [UndersanderMoore2002]_ names the form; every coefficient from memory, tested for plausibility only.
    """
    cp = fraction("cp_frac", cp_frac) * 100
    tdn = fraction("tdn_frac", tdn_frac) * 100
    adf = fraction("adf_frac", adf_frac) * 100
    protein = cp_coef * cp + cp_squared_coef * cp**2
    energy = tdn_coef * tdn + tdn_squared_coef * tdn**2
    fibre = adf_coef * adf + adf_squared_coef * adf**2 + cp_adf_coef * cp * adf
    return (constant_coef + protein + energy + fibre) / 100


def relative_forage_quality(intake_frac: ArrayLike, tdn_frac: ArrayLike) -> Figures:
    """Relative forage quality from intake and TDN.

    Parameters
    ----------
    intake_frac : float or array
        Daily dry matter intake per body weight. [fraction of body weight]
    tdn_frac : float or array
        TDN in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Relative forage quality. [index]

    Valid
    -----
    Forage; labs with another digestibility time report other figures, so keep the lab's own beside it.

    Raises
    ------
    OutOfRange
        If intake lies outside 0 to 0.10 of body weight or TDN outside 0 to 1.

    Example
    -------
    >>> round(float(relative_forage_quality(0.03, 0.62889)), 2)
    153.39

    Source
    ------
    [UndersanderMoore2002]_ RFQ = DMI x TDN / 1.23.
    """
    dmi = within("intake_frac", intake_frac, INTAKE_FRAC, "of body weight") * 100
    tdn = fraction("tdn_frac", tdn_frac) * 100
    return dmi * tdn / 1.23


def _fatty_acids(fat_frac: ArrayLike) -> Figures:
    """Fat less one point of wax and pigment; forage with less fat than that has none to digest."""
    return np.maximum(fraction("fat_frac", fat_frac) - 0.01, 0.0)
