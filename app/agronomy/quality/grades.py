"""Grades of hay by its analysis."""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike

from app.units.ranges import Figures, fraction, within


class HayGrade(IntEnum):
    """Grades from best to poorest."""

    SUPREME = 0
    PREMIUM = 1
    GOOD = 2
    FAIR = 3
    UTILITY = 4


ADF_EDGES = (0.27, 0.29, 0.32, 0.35)
NDF_EDGES = (0.34, 0.36, 0.40, 0.44)
RFV_EDGES = (185.0, 170.0, 150.0, 130.0)
TDN_EDGES = (0.62, 0.605, 0.58, 0.56)
CP_EDGES = (0.22, 0.20, 0.18, 0.16)
GRASS_CP_EDGES = (0.13, 0.09, 0.05)
ROUNDING = 1e-9


def hay_grade(
    *,
    adf_frac: ArrayLike = np.nan,
    ndf_frac: ArrayLike = np.nan,
    rfv_index: ArrayLike = np.nan,
    tdn_frac: ArrayLike = np.nan,
    cp_frac: ArrayLike = np.nan,
) -> Figures:
    """Grade of alfalfa hay: the poorest of the grades its measured figures reach.

    Parameters
    ----------
    adf_frac, ndf_frac, tdn_frac, cp_frac : float or array, keyword
        ADF, NDF, TDN and crude protein in dry matter; leave out what was not measured. [fraction]
    rfv_index : float or array, keyword
        Relative feed value. [index]

    Returns
    -------
    array, shape of the inputs together
        Rank as in `HayGrade`, 0 supreme to 4 utility; NaN where nothing was measured. [grade]

    Valid
    -----
    Alfalfa hay with a tenth of grass or less. There is no such grade for haylage: orientation only. What the eye sees
    (damage, weeds, mould) counts as well. Where two bands touch the edge belongs to the better, except that supreme
    needs more than its edge.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or relative feed value outside 20 to 500.

    Example
    -------
    >>> HayGrade(int(hay_grade(adf_frac=0.28, ndf_frac=0.35, rfv_index=178, cp_frac=0.21))).name
    'PREMIUM'

    Source
    ------
    [UsdaHay2003]_ quality guidelines, alfalfa; the lower TDN edges are derived.
    """
    ranks = [
        _rank_falling(fraction("adf_frac", adf_frac), ADF_EDGES),
        _rank_falling(fraction("ndf_frac", ndf_frac), NDF_EDGES),
        _rank_rising(within("rfv_index", rfv_index, (20, 500)), RFV_EDGES),
        _rank_rising(fraction("tdn_frac", tdn_frac), TDN_EDGES),
        _rank_rising(fraction("cp_frac", cp_frac), CP_EDGES),
    ]
    return _poorest(ranks)


def grass_hay_grade(cp_frac: ArrayLike) -> Figures:
    """Grade of grass hay by its crude protein.

    Parameters
    ----------
    cp_frac : float or array
        Crude protein in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Rank as in `HayGrade`, 1 premium to 4 utility. [grade]

    Valid
    -----
    Grass hay; the guideline knows no supreme for it. Premium needs more than its edge.

    Raises
    ------
    OutOfRange
        If crude protein lies outside 0 to 1.

    Example
    -------
    >>> HayGrade(int(grass_hay_grade(0.10))).name
    'GOOD'

    Source
    ------
    [UsdaHay2003]_ quality guidelines, grass hay.
    """
    return 1 + _rank_rising(fraction("cp_frac", cp_frac), GRASS_CP_EDGES)


def _rank_rising(values: Figures, edges: tuple[float, ...]) -> Figures:
    """How many edges the values miss; more is better, only the first edge itself is a miss."""
    missed = (values <= edges[0] + ROUNDING).astype(float)
    for edge in edges[1:]:
        missed = missed + (values < edge - ROUNDING)
    return np.where(np.isnan(values), np.nan, missed)


def _rank_falling(values: Figures, edges: tuple[float, ...]) -> Figures:
    return _rank_rising(-values, tuple(-edge for edge in edges))


def _poorest(ranks: list[Figures]) -> Figures:
    together = np.stack(np.broadcast_arrays(*ranks))
    return np.where(np.isnan(together).all(axis=0), np.nan, np.nanmax(together, axis=0, initial=0.0))
