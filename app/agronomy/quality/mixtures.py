"""Alfalfa grown with grass: fibre of the mixture, and the published points at which to start."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from app.errors import OutOfRange
from app.units.quantities import CM_PER_IN
from app.units.ranges import Figures, fraction

GRASS_SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)
START_HEIGHTS_IN = (28.0, 25.0, 22.0, 18.0, 14.0)
STORED_NDF_PCT = (40.0, 42.0, 44.0, 47.0, 50.0)
NDF_RISES_PCT_D = (0.5, 0.65, 0.8, 0.9, 1.0)


def ndf_of_mixture(ndf_alfalfa_frac: ArrayLike, ndf_grass_frac: ArrayLike, grass_frac: ArrayLike) -> Figures:
    """NDF of a mixed stand from its two parts.

    Parameters
    ----------
    ndf_alfalfa_frac, ndf_grass_frac : float or array
        NDF in dry matter of the alfalfa (by height and stage) and of the grass (a clipped lab sample). [fraction]
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        NDF in dry matter of the mixture. [fraction]

    Valid
    -----
    Always, on the dry matter basis.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1.

    Example
    -------
    >>> round(float(ndf_of_mixture(0.36, 0.50, 0.30)) * 100, 1)
    40.2

    Source
    ------
    Balance of dry matter (derived); [OhioState2024b]_ uses height for the alfalfa part.
    """
    grass = fraction("grass_frac", grass_frac)
    alfalfa_ndf = fraction("ndf_alfalfa_frac", ndf_alfalfa_frac)
    return (1 - grass) * alfalfa_ndf + grass * fraction("ndf_grass_frac", ndf_grass_frac)


def grass_share_of_ndf(ndf_frac: ArrayLike, ndf_alfalfa_frac: ArrayLike, ndf_grass_frac: ArrayLike) -> Figures:
    """Grass in the dry matter of a mixed stand, from the NDF of the whole and of both parts.

    Parameters
    ----------
    ndf_frac, ndf_alfalfa_frac, ndf_grass_frac : float or array
        NDF in dry matter of the mixture, the alfalfa and the grass. [fraction]

    Returns
    -------
    array, same shape
        Grass in dry matter; NaN where both parts have the same NDF. [fraction]

    Valid
    -----
    Both pure NDF values known; within 2.9 units of NDF.

    Raises
    ------
    OutOfRange
        If the NDF of the mixture does not lie between those of its parts.

    Example
    -------
    >>> round(float(grass_share_of_ndf(0.402, 0.36, 0.50)), 6)
    0.3

    Source
    ------
    [Moore1990]_ the component rule solved for the share.
    """
    mixed = fraction("ndf_frac", ndf_frac)
    alfalfa = fraction("ndf_alfalfa_frac", ndf_alfalfa_frac)
    gap = fraction("ndf_grass_frac", ndf_grass_frac) - alfalfa
    share = np.divide(mixed - alfalfa, gap, out=np.full(np.broadcast(mixed, gap).shape, np.nan), where=gap != 0)
    if np.any((share < -1e-9) | (share > 1 + 1e-9)):
        raise OutOfRange(
            "ndf_frac must lie between ndf_alfalfa_frac and ndf_grass_frac, for example 0.40 of 0.36 and 0.50"
        )
    return share


def start_height(grass_frac: ArrayLike) -> Figures:
    """Height of nearby alfalfa at which to start cutting a stand.

    Parameters
    ----------
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        Height of the tallest alfalfa stem near the stand. [cm]

    Valid
    -----
    First cutting, New York; published for 0, 0.5 and 1, straight lines and the quarters between.

    Raises
    ------
    OutOfRange
        If the share lies outside 0 to 1.

    Example
    -------
    >>> round(float(start_height(0.5)) / 2.54, 6)
    22.0

    Source
    ------
    [CornellExtension2017]_ and [CornellExtension2021]_; values at a quarter and three quarters derived.
    """
    return _at_share(grass_frac, START_HEIGHTS_IN) * CM_PER_IN


def stored_ndf_wanted(grass_frac: ArrayLike) -> Figures:
    """NDF of the stored feed that a stand of some grass share is cut for.

    Parameters
    ----------
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        NDF in dry matter of the stored feed. [fraction]

    Valid
    -----
    First cutting for milking cows, New York; published for 0, 0.5 and 1, straight lines and the quarters between.

    Raises
    ------
    OutOfRange
        If the share lies outside 0 to 1.

    Example
    -------
    >>> round(float(stored_ndf_wanted(1.0)) * 100, 6)
    50.0

    Source
    ------
    [CornellExtension2017]_ and [CornellExtension2021]_; values at a quarter and three quarters derived.
    """
    return _at_share(grass_frac, STORED_NDF_PCT) / 100


def ndf_rise_of_mixture(grass_frac: ArrayLike) -> Figures:
    """Daily rise of NDF of a standing first cutting, in typical weather.

    Parameters
    ----------
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        Rise of NDF in dry matter per day. [fraction/d]

    Valid
    -----
    First cutting, New York; 0.4 cool to 0.7 warm units for alfalfa, 0.8 to 1.2 for grass.

    Raises
    ------
    OutOfRange
        If the share lies outside 0 to 1.

    Example
    -------
    >>> round(float(ndf_rise_of_mixture(0.5)) * 100, 6)
    0.8

    Source
    ------
    [CornellExtension2017]_ and [CornellExtension2021]_; values at a quarter and three quarters derived.
    """
    return _at_share(grass_frac, NDF_RISES_PCT_D) / 100


def _at_share(grass_frac: ArrayLike, points: tuple[float, ...]) -> Figures:
    return np.asarray(np.interp(fraction("grass_frac", grass_frac), GRASS_SHARES, points))
