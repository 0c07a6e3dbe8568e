"""Ash of forage: what the plant holds, what soil added, and what it costs."""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike

from app.units.ranges import Figures, fraction, within

ALFALFA_ASH_PCT = 8.0
GRASS_ASH_PCT = 6.0
BAND_EDGES_PCT = (10.0, 12.0, 14.0)
TDN_PER_ASH = 0.98
ASH_FRAC = (0.0, 0.60)


class AshBand(IntEnum):
    """How much a forage's ash asks for."""

    GOOD = 0
    USUAL = 1
    INVESTIGATE = 2
    SERIOUS = 3


def plant_ash(grass_frac: ArrayLike) -> Figures:
    """Ash that the plants themselves hold.

    Parameters
    ----------
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        Ash in dry matter without soil. [fraction]

    Valid
    -----
    Alfalfa 6 to 8 %, cool-season grass 5 to 6 %.

    Raises
    ------
    OutOfRange
        If the share lies outside 0 to 1.

    Example
    -------
    >>> round(float(plant_ash(0.5)) * 100, 6)
    7.0

    Source
    ------
    [UndersanderAsh2026]_ about 8 % in alfalfa and 6 % in grass; straight line between derived.
    """
    grass = fraction("grass_frac", grass_frac)
    return (ALFALFA_ASH_PCT - (ALFALFA_ASH_PCT - GRASS_ASH_PCT) * grass) / 100


def external_ash(ash_frac: ArrayLike, grass_frac: ArrayLike = 0.0) -> Figures:
    """Ash above what the plants hold.

    Parameters
    ----------
    ash_frac : float or array
        Ash in dry matter. [fraction]
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        External ash in dry matter; negative when the plants held less than usual. [fraction]

    Valid
    -----
    Forage; about four points are typical, three or less a goal.

    Raises
    ------
    OutOfRange
        If ash lies outside 0 to 0.60 or the share outside 0 to 1.

    Example
    -------
    >>> round(float(external_ash(0.11)) * 100, 6)
    3.0

    Source
    ------
    [OhioState2017]_ three points external are 11 % in alfalfa and 9 % in grass.
    """
    return within("ash_frac", ash_frac, ASH_FRAC, "(a fraction: 11 % is 0.11)") - plant_ash(grass_frac)


def soil_share(ash_frac: ArrayLike, grass_frac: ArrayLike = 0.0) -> Figures:
    """Soil in the dry matter of a forage.

    Parameters
    ----------
    ash_frac : float or array
        Ash in dry matter. [fraction]
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        Soil in dry matter, 0 when ash is that of the plants or less. [fraction]

    Valid
    -----
    Soil taken as all ash. It dilutes every organic part by 1 less this share.

    Raises
    ------
    OutOfRange
        If ash lies outside 0 to 0.60 or the share outside 0 to 1.

    Example
    -------
    >>> round(float(soil_share(0.123)) * 100, 1)
    4.7

    Source
    ------
    Derived from the ash of [UndersanderAsh2026]_: (ash - plant ash) / (100 - plant ash).
    """
    return np.maximum(0.0, external_ash(ash_frac, grass_frac) / (1 - plant_ash(grass_frac)))


def tdn_change_of_ash(ash_change_frac: ArrayLike) -> Figures:
    """Change of TDN that goes with a change of ash.

    Parameters
    ----------
    ash_change_frac : float or array
        Change of ash in dry matter. [fraction]

    Returns
    -------
    array, same shape
        Change of TDN in dry matter, negative when ash rises. [fraction]

    Valid
    -----
    Summative TDN, other analyses unchanged; TDN from ADF does not see ash.

    Raises
    ------
    OutOfRange
        If the change lies outside -0.6 to 0.6.

    Example
    -------
    >>> round(float(tdn_change_of_ash(0.03)) * 100, 2)
    -2.94

    Source
    ------
    [UndersanderAsh2026]_ 0.98 points of TDN for each point of ash.
    """
    return -TDN_PER_ASH * within("ash_change_frac", ash_change_frac, (-0.6, 0.6))


def rfq_change_of_ash(ash_change_frac: ArrayLike, intake_frac: ArrayLike) -> Figures:
    """Change of relative forage quality that goes with a change of ash.

    Parameters
    ----------
    ash_change_frac : float or array
        Change of ash in dry matter. [fraction]
    intake_frac : float or array
        Daily dry matter intake per body weight in the index. [fraction of body weight]

    Returns
    -------
    array, same shape
        Change of relative forage quality, negative when ash rises. [index]

    Valid
    -----
    Legume forage, other analyses unchanged.

    Raises
    ------
    OutOfRange
        If the change lies outside -0.6 to 0.6 or intake outside 0 to 0.10.

    Example
    -------
    >>> round(float(rfq_change_of_ash(0.01, 0.03)), 1)
    -2.4

    Source
    ------
    Derived from [UndersanderAsh2026]_ and RFQ = DMI x TDN / 1.23 of [UndersanderMoore2002]_.
    """
    intake = within("intake_frac", intake_frac, (0.0, 0.10), "of body weight") * 100
    return intake * tdn_change_of_ash(ash_change_frac) * 100 / 1.23


def ash_band(ash_frac: ArrayLike, grass_frac: ArrayLike = 0.0) -> Figures:
    """Band of a forage's ash.

    Parameters
    ----------
    ash_frac : float or array
        Ash in dry matter. [fraction]
    grass_frac : float or array
        Grass in the dry matter of the stand; pure grass has every edge two points lower. [fraction]

    Returns
    -------
    array, same shape
        Rank as in `AshBand`, 0 good (10 % and less in alfalfa) to 3 serious (more than 14 %). [band]

    Valid
    -----
    Hay and haylage; above 14 % the risk of a butyric fermentation is real.

    Raises
    ------
    OutOfRange
        If ash lies outside 0 to 0.60 or the share outside 0 to 1.

    Example
    -------
    >>> [AshBand(int(ash_band(ash))).name for ash in (0.10, 0.113, 0.13, 0.15)]
    ['GOOD', 'USUAL', 'INVESTIGATE', 'SERIOUS']

    Source
    ------
    [UndersanderGoal2026]_ 10 % and less is the goal; the other edges derived.
    """
    as_alfalfa = external_ash(ash_frac, grass_frac) * 100 + ALFALFA_ASH_PCT
    rank = sum((as_alfalfa > edge + 1e-9).astype(float) for edge in BAND_EDGES_PCT)
    return np.where(np.isnan(as_alfalfa), np.nan, rank)
