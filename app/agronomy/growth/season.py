"""Yield of a season and the share each cutting has in it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from app.errors import OutOfRange
from app.units.quantities import KG_HA_PER_TON_ACRE, PER_M2_PER_FT2
from app.units.ranges import Figures, within

STEMS_PER_M2 = (0.0, 2000.0)
FULL_STEMS_PER_FT2 = 55.0


@dataclass(frozen=True)
class SeasonShares:
    """Published shares of the season's dry matter, first cutting first."""

    shares_frac: tuple[float, ...]
    source: str
    mark: str


SEASON_SHARES = {
    3: SeasonShares((0.43, 0.31, 0.26), "Blonde2018", "read"),
    4: SeasonShares((0.36, 0.25, 0.21, 0.18), "Blonde2018", "read"),
    5: SeasonShares((0.32, 0.22, 0.18, 0.16, 0.12), "Blonde2018", "derived"),
}
"""Three and four cuttings as published; five: the first is common practice, the rest derived. [Blonde2018]_

First cuttings of open plots ran from 17 to 35 % of the season by year and date: starting values, and a
farm's own come first.
"""


def season_yield(stems_per_m2: ArrayLike, *, more_than_full: bool = False) -> Figures:
    """Dry matter an alfalfa stand can yield in a season, from its stems.

    Parameters
    ----------
    stems_per_m2 : float or array
        Stems tall enough for the mower (over 2 in), counted in spring at 4 to 6 in. [1/m2]
    more_than_full : bool, keyword
        Let stems above 55 per square foot count further, as the printed line does. [yes or no]

    Returns
    -------
    array, same shape
        Season yield, dry matter. [kg/ha]

    Valid
    -----
    Pure alfalfa, upper Midwest, all cuttings of the season; a potential, the real yield may be lower.

    Raises
    ------
    OutOfRange
        If stems lie outside 0 to 2000 per m2.

    Example
    -------
    >>> from app.units.quantities import KG_HA_PER_TON_ACRE, PER_M2_PER_FT2
    >>> round(float(season_yield(45 * PER_M2_PER_FT2)) / KG_HA_PER_TON_ACRE, 2)
    4.88

    Source
    ------
    [Undersander2026]_ and [Blonde2018]_: t/ac = 0.10 stems/ft2 + 0.38. Departure: stems above 55 per square foot do not
    raise it, since density does not limit there.
    """
    stems = within("stems_per_m2", stems_per_m2, STEMS_PER_M2, "stems/m2") / PER_M2_PER_FT2
    counted = stems if more_than_full else np.minimum(stems, FULL_STEMS_PER_FT2)
    return (0.10 * counted + 0.38) * KG_HA_PER_TON_ACRE


def stem_factor(stems_per_m2: ArrayLike) -> Figures:
    """Share of full growth that a stand's stems allow.

    Parameters
    ----------
    stems_per_m2 : float or array
        Stems of the stand. [1/m2]

    Returns
    -------
    array, same shape
        Stems per 55 to the square foot, at most 1. [fraction]

    Valid
    -----
    Pure alfalfa.

    Raises
    ------
    OutOfRange
        If stems lie outside 0 to 2000 per m2.

    Example
    -------
    >>> from app.units.quantities import PER_M2_PER_FT2
    >>> round(float(stem_factor(44 * PER_M2_PER_FT2)), 6)
    0.8

    Source
    ------
    [Undersander2026]_ 55 stems per square foot do not limit; [CountryFolks2026]_ 40 of 50 stems give 80 %.
    """
    stems = within("stems_per_m2", stems_per_m2, STEMS_PER_M2, "stems/m2")
    return np.minimum(1.0, stems / PER_M2_PER_FT2 / FULL_STEMS_PER_FT2)


def season_share(cutting_count: int, cutting_index: int) -> float:
    """Share of the season's dry matter that one cutting brings.

    Parameters
    ----------
    cutting_count : int
        Cuttings in the season: 3, 4 or 5. [cuttings]
    cutting_index : int
        Which cutting, 1 for the first. [-]

    Returns
    -------
    float
        Share of the season. [fraction]

    Valid
    -----
    Wisconsin; own tonnages come first. Five cuttings: the first is common practice, the rest derived.

    Raises
    ------
    OutOfRange
        If there is no table for that many cuttings or no such cutting in it.

    Example
    -------
    >>> season_share(3, 1)
    0.43

    Source
    ------
    [Blonde2018]_ three and four cuttings; five as `SEASON_SHARES` says.
    """
    if cutting_count not in SEASON_SHARES:
        raise OutOfRange(f"cutting_count must be 3, 4 or 5, or the farm's own shares be given; it was {cutting_count}")
    if not 1 <= cutting_index <= cutting_count:
        raise OutOfRange(f"cutting_index must lie within 1 to {cutting_count}, for example 1; it was {cutting_index}")
    return SEASON_SHARES[cutting_count].shares_frac[cutting_index - 1]
