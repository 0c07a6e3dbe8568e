"""What a stand is still good for, and how many places to look at."""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike

from app.units.quantities import HA_PER_ACRE, PER_M2_PER_FT2
from app.units.ranges import Figures, within

STEMS_PER_M2 = (0.0, 2000.0)
FEWEST_SPOTS = 5


class StemDensity(IntEnum):
    """What the number of stems does to this year's yield."""

    NOT_LIMITING = 0
    SOME_REDUCTION = 1
    POOR = 2


class RootHealth(IntEnum):
    """What roots and crowns say about the years to come."""

    KEEP = 0
    WATCH = 1
    REPLACE = 2


def stem_density_class(stems_per_m2: ArrayLike) -> Figures:
    """Class of a stand by its stems.

    Parameters
    ----------
    stems_per_m2 : float or array
        Stems tall enough for the mower. [1/m2]

    Returns
    -------
    array, same shape
        Rank as in `StemDensity`, 0 not limiting to 2 poor. [class]

    Valid
    -----
    Pure alfalfa past its seeding year. More than 55 to the square foot do not limit, 40 to 55 cost some yield.

    Raises
    ------
    OutOfRange
        If stems lie outside 0 to 2000 per m2.

    Example
    -------
    >>> [StemDensity(int(stem_density_class(n * PER_M2_PER_FT2))).name for n in (56, 40, 39)]
    ['NOT_LIMITING', 'SOME_REDUCTION', 'POOR']

    Source
    ------
    [Undersander2026]_ and [OhioState2019]_; both edges put into the middle class by convention.
    """
    stems = within("stems_per_m2", stems_per_m2, STEMS_PER_M2, "stems/m2") / PER_M2_PER_FT2
    rank = (stems <= 55 + 1e-9).astype(float) + (stems < 40 - 1e-9)
    return np.where(np.isnan(stems), np.nan, rank)


def root_health_class(score_index: ArrayLike) -> Figures:
    """Class of a stand by the mean score of split roots and crowns.

    Parameters
    ----------
    score_index : float or array
        Mean over ten plants or more, 0 healthy to 5 dead. [-]

    Returns
    -------
    array, same shape
        Rank as in `RootHealth`: 0 keep, 1 watch, 2 replace. [class]

    Valid
    -----
    Alfalfa, spring or autumn.

    Raises
    ------
    OutOfRange
        If the score lies outside 0 to 5.

    Example
    -------
    >>> [RootHealth(int(root_health_class(score))).name for score in (1.8, 2.4, 3.0)]
    ['KEEP', 'WATCH', 'REPLACE']

    Source
    ------
    [FallStand2023]_: 0 to 2 keep, 3 to 5 replace; means between two and three are a class of their own
    by convention.
    """
    score = within("score_index", score_index, (0, 5))
    rank = (score > 2 + 1e-9).astype(float) + (score >= 3 - 1e-9)
    return np.where(np.isnan(score), np.nan, rank)


def stems_of_count(stems_count: ArrayLike, area_m2: ArrayLike) -> Figures:
    """Stem density from a count.

    Parameters
    ----------
    stems_count : float or array
        Stems counted. [stems]
    area_m2 : float or array
        Ground they stood on, all spots together. [m2]

    Returns
    -------
    array, same shape
        Stems of the stand. [1/m2]

    Valid
    -----
    Three or four spots of two square feet, or more.

    Raises
    ------
    OutOfRange
        If the count is negative or the area lies outside 0.01 to 100 m2.

    Example
    -------
    >>> from app.units.quantities import M2_PER_FT2
    >>> round(float(stems_of_count(92, 2 * M2_PER_FT2)) / PER_M2_PER_FT2, 6)
    46.0

    Source
    ------
    [Undersander2026]_ stems of two square feet divided by two.
    """
    return within("stems_count", stems_count, (0, 1e6), "stems") / within("area_m2", area_m2, (0.01, 100), "m2")


def spots_to_take(area_ha: ArrayLike) -> Figures:
    """Places to look at in a field.

    Parameters
    ----------
    area_ha : float or array
        Area of the field. [ha]

    Returns
    -------
    array, same shape
        Places: 5 up to 30 ac, one more for each further 10 ac begun. [places]

    Valid
    -----
    Height and stage of a field; four or five places are published, more above 30 ac without a number.

    Raises
    ------
    OutOfRange
        If the area lies outside 0 to 2000 ha.

    Example
    -------
    >>> [int(spots_to_take(acres * HA_PER_ACRE)) for acres in (12, 30, 31, 50)]
    [5, 5, 6, 7]

    Source
    ------
    [IowaState2006]_ four or five, more above 30 ac; one per further 10 ac is derived.
    """
    acres = within("area_ha", area_ha, (0, 2000), "ha") / HA_PER_ACRE
    return FEWEST_SPOTS + np.maximum(0.0, np.ceil((acres - 30) / 10 - 1e-9))
