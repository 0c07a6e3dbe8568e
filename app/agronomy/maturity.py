"""Stage of development of alfalfa, and what a total of heat says about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange
from app.units.quantities import F_D_PER_C_D
from app.units.ranges import Figures, fraction, within
from app.units.sentences import Sentence


@dataclass(frozen=True)
class Stage:
    """One of the ten stages a single stem is put into."""

    code: int
    name: Sentence
    definition: Sentence


STAGES = (
    Stage(0, Sentence("early vegetative"), Sentence("stem up to 15 cm (6 in), without buds, flowers or pods")),
    Stage(1, Sentence("mid vegetative"), Sentence("stem 16 to 30 cm (6 to 12 in), without buds, flowers or pods")),
    Stage(2, Sentence("late vegetative"), Sentence("stem over 30 cm (12 in), without buds, flowers or pods")),
    Stage(3, Sentence("early bud"), Sentence("buds at one or two nodes")),
    Stage(4, Sentence("late bud"), Sentence("buds at three nodes or more")),
    Stage(5, Sentence("early flower"), Sentence("an open flower at one node")),
    Stage(6, Sentence("late flower"), Sentence("open flowers at two nodes or more")),
    Stage(7, Sentence("early pod"), Sentence("green pods at one to three nodes")),
    Stage(8, Sentence("late pod"), Sentence("green pods at four nodes or more")),
    Stage(9, Sentence("ripe pod"), Sentence("most pods brown")),
)
"""Kalu and Fick 1981, in our own words. [KaluFick1981]_"""


class FieldStage(Enum):
    """The three stages told apart when walking a field; the value is the stage index that height is read with."""

    VEGETATIVE = 2.0
    BUD = 3.5
    FLOWER = 5.5


@dataclass(frozen=True)
class Threshold:
    """A total of heat from 1 March by the average method, and what it has been published to mean."""

    key: str
    heat_c_d: float
    meaning: Sentence
    source: str


def _threshold(key: str, heat_f_d: float, meaning: str, source: str) -> tuple[str, Threshold]:
    return key, Threshold(key, heat_f_d / F_D_PER_C_D, Sentence(meaning), source)


THRESHOLDS = dict(
    (
        _threshold("large-areas", 680, "start on large areas and bunkers; about 38 % NDF standing", "Kaatz2026"),
        _threshold("bud", 700, "bud stage", "ForageGrower2026"),
        _threshold("target-ndf", 750, "40 % NDF standing in most years; start for upright silos", "Kaatz2026"),
        _threshold("first-flower", 880, "first flower", "ForageGrower2026"),
        _threshold("ndf-45", 970, "45 % NDF standing", "Thomas2026"),
        _threshold("full-bloom", 1075, "full bloom", "ForageGrower2026"),
    )
)

NDF_OF_HEAT_ERROR_FRAC = 0.03
"""Published spread of NDF at a total of heat: 3 units. [Kaatz2026]_

In a frost year it read 2.8 units too high on nine fields (root mean square 4.0). [MichiganState2012]_
"""

HEAT_RELATION_C_D = (600 / F_D_PER_C_D, 970 / F_D_PER_C_D)
"""Totals between which heat says something about NDF."""

STAGE_INDEX = (0.0, 9.0)
HEAT_C_D = (0.0, 3000.0)


def mean_stage_by_count(stage_index: ArrayLike, stems_count: ArrayLike) -> Figures:
    """Mean stage of a sample of stems, each stem counting the same.

    Parameters
    ----------
    stage_index : array, shape (..., n)
        Stage codes 0 to 9. [-]
    stems_count : array, shape (..., n)
        Stems found at each stage; 40 or more in all from five or six places. [stems]

    Returns
    -------
    array, shape (...)
        Mean stage by count; NaN when no stem was counted. [-]

    Valid
    -----
    Alfalfa, any cutting.

    Raises
    ------
    OutOfRange
        If a stage lies outside 0 to 9 or a count is negative.

    Example
    -------
    >>> float(mean_stage_by_count([2, 3, 4], [10, 20, 10]))
    3.0

    Source
    ------
    [KaluFick1981]_ mean stage by count.
    """
    return _weighted_stage(stage_index, within("stems_count", stems_count, (0, 1e6), "stems"))


def mean_stage_by_weight(stage_index: ArrayLike, mass_dm_kg: ArrayLike) -> Figures:
    """Mean stage of a sample of stems, each stage counting by its dry weight.

    Parameters
    ----------
    stage_index : array, shape (..., n)
        Stage codes 0 to 9. [-]
    mass_dm_kg : array, shape (..., n)
        Dry matter of the stems at each stage, dried at 60 C. [kg]

    Returns
    -------
    array, shape (...)
        Mean stage by weight; NaN when nothing was weighed. [-]

    Valid
    -----
    Alfalfa, any cutting; the better predictor of quality of the two means.

    Raises
    ------
    OutOfRange
        If a stage lies outside 0 to 9 or a mass is negative.

    Example
    -------
    >>> round(float(mean_stage_by_weight([2, 3, 4], [0.01, 0.02, 0.05])), 6)
    3.5

    Source
    ------
    [KaluFick1981]_ mean stage by weight.
    """
    return _weighted_stage(stage_index, within("mass_dm_kg", mass_dm_kg, (0, 1e4), "kg"))


def digestibility_of_stage(stage_index: ArrayLike) -> Figures:
    """In vitro true digestibility of alfalfa at a mean stage by weight.

    Parameters
    ----------
    stage_index : float or array
        Mean stage by weight. [-]

    Returns
    -------
    array, same shape
        In vitro true digestibility of dry matter. [fraction]

    Valid
    -----
    One stand, n = 11, r2 0.98; its authors warn that it is not a general model.

    Raises
    ------
    OutOfRange
        If a stage lies outside 0 to 9.

    Example
    -------
    >>> round(float(digestibility_of_stage(3.0)) * 100, 2)
    80.99

    Source
    ------
    [KaluFick1981]_ regression of digestibility.
    """
    msw = within("stage_index", stage_index, STAGE_INDEX)
    return (92.93 - 3.98 * msw) / 100


def crude_protein_of_stage(stage_index: ArrayLike) -> Figures:
    """Crude protein of alfalfa at a mean stage by weight.

    Parameters
    ----------
    stage_index : float or array
        Mean stage by weight. [-]

    Returns
    -------
    array, same shape
        Crude protein in dry matter. [fraction]

    Valid
    -----
    One stand, n = 11, R2 0.995; its authors warn that it is not a general model.

    Raises
    ------
    OutOfRange
        If a stage lies outside 0 to 9.

    Example
    -------
    >>> round(float(crude_protein_of_stage(3.0)) * 100, 2)
    23.88

    Source
    ------
    [KaluFick1981]_ regression of crude protein.
    """
    msw = within("stage_index", stage_index, STAGE_INDEX)
    return (40.89 - 7.38 * msw + 0.57 * msw**2) / 100


POINTS_C_D = (680 / F_D_PER_C_D, 750 / F_D_PER_C_D, 970 / F_D_PER_C_D)
"""Totals at which NDF standing is 38, 40 and 45 %. [Kaatz2026]_ [Thomas2026]_"""


def ndf_of_heat(heat_c_d: ArrayLike, *, points_c_d: tuple[float, float, float] = POINTS_C_D) -> Figures:
    """NDF of the standing first cutting at a total of heat.

    Parameters
    ----------
    heat_c_d : float or array
        Heat above 5 C from 1 March, average method, no cap. [C d]
    points_c_d : three floats, keyword
        Totals at which NDF is 38, 40 and 45 %, rising. [C d]

    Returns
    -------
    array, same shape
        NDF in dry matter of the standing crop; one standard error about 0.03. [fraction]

    Valid
    -----
    First cutting, pure alfalfa, 333 to 539 C d (600 to 970 F d), enough soil moisture, no hard frost on tall growth.
    The lines go on outside; `heat_relation_holds` tells.

    Raises
    ------
    OutOfRange
        If the total is negative or above 3000 C d, or the points do not rise.

    Example
    -------
    >>> round(float(ndf_of_heat(750 / 1.8)) * 100, 6)
    40.0

    Source
    ------
    [Kaatz2026]_ (680 F d is 38 %, 750 is 40 %) and [Thomas2026]_ (970 is 45 %); straight lines between are derived.
    """
    heat = within("heat_c_d", heat_c_d, HEAT_C_D, "C d")
    at38, at40, at45 = _rising(points_c_d)
    ndf = np.where(heat <= at40, 38 + (heat - at38) * 2 / (at40 - at38), 40 + (heat - at40) * 5 / (at45 - at40))
    return ndf / 100


def heat_of_ndf(ndf_frac: ArrayLike, *, points_c_d: tuple[float, float, float] = POINTS_C_D) -> Figures:
    """Total of heat at which the standing first cutting has an NDF.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter of the standing crop. [fraction]
    points_c_d : three floats, keyword
        Totals at which NDF is 38, 40 and 45 %, rising. [C d]

    Returns
    -------
    array, same shape
        Heat above 5 C from 1 March, average method. [C d]

    Valid
    -----
    First cutting, pure alfalfa, NDF 0.357 to 0.45; the lines go on outside.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.20 to 0.70 or the points do not rise.

    Example
    -------
    >>> round(float(heat_of_ndf(0.38)) * 1.8, 6)
    680.0

    Source
    ------
    [Kaatz2026]_ and [Thomas2026]_, the relation of `ndf_of_heat` turned round (derived).
    """
    ndf = within("ndf_frac", ndf_frac, (0.20, 0.70), "(a fraction: 40 % is 0.40)") * 100
    at38, at40, at45 = _rising(points_c_d)
    return np.where(ndf <= 40, at38 + (ndf - 38) * (at40 - at38) / 2, at40 + (ndf - 40) * (at45 - at40) / 5)


def heat_relation_holds(heat_c_d: ArrayLike, grass_frac: ArrayLike = 0.0) -> NDArray[np.bool_]:
    """Whether heat alone says something about the NDF of a stand's first cutting.

    Parameters
    ----------
    heat_c_d : float or array
        Heat above 5 C from 1 March. [C d]
    grass_frac : float or array
        Grass in dry matter; up to a tenth counts as pure alfalfa. [fraction]

    Returns
    -------
    array of bool, same shape
        True inside the published range. [yes or no]

    Valid
    -----
    First cutting. Drought and hard frost break the relation too and cannot be seen from heat.

    Raises
    ------
    OutOfRange
        If the total or the share cannot be one.

    Example
    -------
    >>> heat_relation_holds([300.0, 400.0, 600.0]).tolist()
    [False, True, False]

    Source
    ------
    [Kaatz2026]_ (not for mixed stands) and [Thomas2026]_; range 600 to 970 F d derived from their points.
    """
    heat = within("heat_c_d", heat_c_d, HEAT_C_D, "C d")
    low, high = HEAT_RELATION_C_D
    return (heat >= low - 1e-9) & (heat <= high + 1e-9) & (fraction("grass_frac", grass_frac) <= 0.10)


def _rising(points_c_d: tuple[float, float, float]) -> tuple[float, float, float]:
    if not 0 < points_c_d[0] < points_c_d[1] < points_c_d[2]:
        raise OutOfRange(f"points_c_d must rise, for example 378, 417 and 539 C d; they were {points_c_d}")
    return points_c_d


def _weighted_stage(stage_index: ArrayLike, weight: Figures) -> Figures:
    stage = within("stage_index", stage_index, STAGE_INDEX)
    if stage.shape[-1:] != weight.shape[-1:]:
        raise OutOfRange("stage_index and the counts or masses must pair up one to one along the last axis")
    total = np.sum(weight, axis=-1)
    return np.divide(np.sum(stage * weight, axis=-1), total, out=np.full_like(total, np.nan), where=total != 0)
