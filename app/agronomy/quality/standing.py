"""Fibre of standing alfalfa from the height of the tallest stem and the stage of the most mature one."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.agronomy.quality.indices import relative_feed_value
from app.units.quantities import CM_PER_IN
from app.units.ranges import Figures, fraction, within

HEIGHT_CM = (0.0, 200.0)
TABLE_CM = (16 * CM_PER_IN, 40 * CM_PER_IN)
"""Heights between which the published table runs: below it no value is given, above it the reader is warned."""

READING_ERROR_FRAC = 0.022
"""One standard deviation of a field's NDF by height and stage. [GrassForage2014]_"""

STAGES_SEEN = (2.0, 5.5)


def ndf_of_height(height_cm: ArrayLike, stage_index: ArrayLike) -> Figures:
    """NDF of standing alfalfa.

    Parameters
    ----------
    height_cm : float or array
        Tallest stem of the spot, soil surface to stem tip, straightened. [cm]
    stage_index : float or array
        Most mature stem: 2 vegetative, 3.5 bud, 5.5 flower. [-]

    Returns
    -------
    array, same shape
        NDF in dry matter; NaN below 16 in, where no value may be given. [fraction]

    Valid
    -----
    Pure, healthy alfalfa, 16 to 40 in; cuttings 1 and 2, later ones with doubt. Standard deviation 0.022.

    Raises
    ------
    OutOfRange
        If a height lies outside 0 to 200 cm or a stage outside 2 to 5.5.

    Example
    -------
    >>> round(float(ndf_of_height(28 * 2.54, 2.0)) * 100, 1)
    36.8

    Source
    ------
    [HintzAlbrecht1991]_ form of the equation; coefficients rebuilt (derived) from the points of [OhioState2024]_ and
    the table in [WisconsinTable2021]_. The intercept is 1.03 lower than the one remembered for the original.
    """
    h, s = _height_and_stage(height_cm, stage_index)
    return (15.86 + 0.69 * h + 0.81 * s) / 100


def adf_of_height(height_cm: ArrayLike, stage_index: ArrayLike) -> Figures:
    """ADF of standing alfalfa.

    Parameters
    ----------
    height_cm : float or array
        Tallest stem of the spot, soil surface to stem tip, straightened. [cm]
    stage_index : float or array
        Most mature stem: 2 vegetative, 3.5 bud, 5.5 flower. [-]

    Returns
    -------
    array, same shape
        ADF in dry matter; NaN below 16 in. [fraction]

    Valid
    -----
    Pure, healthy alfalfa, 16 to 40 in; cuttings 1 and 2, later ones with doubt.

    Raises
    ------
    OutOfRange
        If a height lies outside 0 to 200 cm or a stage outside 2 to 5.5.

    Example
    -------
    >>> round(float(adf_of_height(28 * 2.54, 3.5)) * 100, 1)
    28.3

    Source
    ------
    [HintzAlbrecht1991]_ form of the equation; coefficients rebuilt (derived) from the table in [WisconsinTable2021]_.
    """
    h, s = _height_and_stage(height_cm, stage_index)
    return (10.90 + 0.53 * h + 0.73 * s) / 100


def rfv_of_height(height_cm: ArrayLike, stage_index: ArrayLike) -> Figures:
    """Relative feed value of standing alfalfa.

    Parameters
    ----------
    height_cm : float or array
        Tallest stem of the spot, soil surface to stem tip, straightened. [cm]
    stage_index : float or array
        Most mature stem: 2 vegetative, 3.5 bud, 5.5 flower. [-]

    Returns
    -------
    array, same shape
        Relative feed value; NaN below 16 in. [index]

    Valid
    -----
    Pure, healthy alfalfa, 16 to 40 in; about 12 points either side near 150 to 170.

    Raises
    ------
    OutOfRange
        If a height lies outside 0 to 200 cm or a stage outside 2 to 5.5.

    Example
    -------
    >>> round(float(rfv_of_height(30 * 2.54, 3.5)))
    156

    Source
    ------
    [WisconsinTable2021]_ 75 cells, 71 met exactly and 4 within 1 by the rebuilt NDF and ADF (derived).
    """
    return relative_feed_value(adf_of_height(height_cm, stage_index), ndf_of_height(height_cm, stage_index))


def height_of_ndf(ndf_frac: ArrayLike, stage_index: ArrayLike) -> Figures:
    """Height at which standing alfalfa has an NDF.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter of the standing crop. [fraction]
    stage_index : float or array
        Most mature stem: 2 vegetative, 3.5 bud, 5.5 flower. [-]

    Returns
    -------
    array, same shape
        Height of the tallest stem. [cm]

    Valid
    -----
    Pure, healthy alfalfa; `height_is_in_table` tells whether the answer lies within 16 to 40 in.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.20 to 0.70 or a stage outside 2 to 5.5.

    Example
    -------
    >>> round(float(height_of_ndf(0.40, 3.5)) / 2.54, 2)
    30.88

    Source
    ------
    [WisconsinTable2021]_ the rebuilt equation of `ndf_of_height` turned round (derived).
    """
    ndf = within("ndf_frac", ndf_frac, (0.20, 0.70), "(a fraction: 40 % is 0.40)") * 100
    s = within("stage_index", stage_index, STAGES_SEEN)
    return (ndf - 15.86 - 0.81 * s) / 0.69 * CM_PER_IN


def height_is_in_table(height_cm: ArrayLike) -> NDArray[np.bool_]:
    """Whether a height lies within the published table.

    Parameters
    ----------
    height_cm : float or array
        Tallest stem of the spot. [cm]

    Returns
    -------
    array of bool, same shape
        True from 16 to 40 in. [yes or no]

    Valid
    -----
    Alfalfa.

    Raises
    ------
    OutOfRange
        If a height lies outside 0 to 200 cm.

    Example
    -------
    >>> height_is_in_table([30.0, 70.0, 110.0]).tolist()
    [False, True, False]

    Source
    ------
    [WisconsinTable2021]_ first and last row.
    """
    height = within("height_cm", height_cm, HEIGHT_CM, "cm")
    low, high = TABLE_CM
    return (height >= low - 1e-6) & (height <= high + 1e-6)


def digestibility_with_trait(ndfd_frac: ArrayLike, *, gain_frac: float = 0.10) -> Figures:
    """Fibre digestibility of a reduced-lignin variety against the same crop without the trait.

    Parameters
    ----------
    ndfd_frac : float or array
        Fibre digestibility expected without the trait. [fraction of NDF]
    gain_frac : float, keyword
        Relative gain of the trait. [fraction]

    Returns
    -------
    array, same shape
        Fibre digestibility with the trait; NDF, ADF and protein stay as they are. [fraction of NDF]

    Valid
    -----
    Four sites, two years, 10 % relative gain; a user's own variety trials come first.

    Raises
    ------
    OutOfRange
        If a digestibility or the result lies outside 0 to 1.

    Example
    -------
    >>> round(float(digestibility_with_trait(0.45)), 6)
    0.495

    Source
    ------
    [Grev2017]_ lignin 8 % lower and NDFD 10 % higher, NDF and CP the same; [Arnold2019]_ height holds as it is.
    """
    base = fraction("ndfd_frac", ndfd_frac)
    return fraction("ndfd_frac with the trait", base * (1 + within("gain_frac", gain_frac, (0.0, 0.5))))


def _height_and_stage(height_cm: ArrayLike, stage_index: ArrayLike) -> tuple[Figures, Figures]:
    height = within("height_cm", height_cm, HEIGHT_CM, "cm")
    tall_enough = height >= TABLE_CM[0] - 1e-6
    return np.where(tall_enough, height, np.nan) / CM_PER_IN, within("stage_index", stage_index, STAGES_SEEN)
