"""How quality moves: day by day in the field, and from the field into the store."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from app.errors import OutOfRange
from app.units.quantities import F_D_PER_C_D
from app.units.ranges import Figures, fraction, within

NDF_PER_F_D_PCT = 0.0245
"""Units of NDF per degree-day F near harvest: mean slope of the published points. [Kaatz2026]_ [Thomas2026]_"""

MOST_RISE_PCT_D = 1.0

NDF_ALLOWANCE_FRAC = 0.02
RFV_ALLOWANCE_HAYLAGE_INDEX = 15.0
RFV_ALLOWANCE_HAY_INDEX = 25.0

DAY_C_D = (0.0, 65.0)
NDF_FRAC = (0.05, 0.95)


def ndf_rise(heat_c_d: ArrayLike, *, most_frac_d: float = MOST_RISE_PCT_D / 100) -> Figures:
    """Rise of NDF of the standing first cutting in one day, from the heat of that day.

    Parameters
    ----------
    heat_c_d : float or array
        Heat of the day above 5 C. [C d]
    most_frac_d : float, keyword
        Most that NDF rises in a day. [fraction/d]

    Returns
    -------
    array, same shape
        Rise of NDF in dry matter. [fraction/d]

    Valid
    -----
    First cutting near harvest, pure alfalfa; published rises run from 0.4 (cool) to 0.7 units a day (warm).

    Raises
    ------
    OutOfRange
        If a day's heat is negative or above 65 C d.

    Example
    -------
    >>> round(float(ndf_rise((70 - 41) / 1.8)) * 100, 2)
    0.71

    Source
    ------
    Slope derived from [Kaatz2026]_ and [Thomas2026]_; the rises it gives are those of [CornellExtension2021]_ and
    [Sulc2011]_.
    """
    gdd41 = within("heat_c_d", heat_c_d, DAY_C_D, "C d") * F_D_PER_C_D
    return np.minimum(NDF_PER_F_D_PCT * gdd41 / 100, most_frac_d)


def ndf_onward(ndf_frac: ArrayLike, heat_c_d: ArrayLike) -> Figures:
    """NDF at the end of each day after a reading.

    Parameters
    ----------
    ndf_frac : float or array, shape (...)
        NDF in dry matter read on the scouting day. [fraction]
    heat_c_d : array, shape (..., n)
        Heat of each day after the scouting day. [C d]

    Returns
    -------
    array, shape (..., n)
        NDF in dry matter of the standing crop; NaN from a missing day on. [fraction]

    Valid
    -----
    First cutting, pure alfalfa, two weeks or so after the reading.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.05 to 0.95 or a day's heat outside 0 to 65 C d.

    Example
    -------
    >>> (ndf_onward(0.36, [10.0, 15.0]) * 100).round(2).tolist()
    [36.44, 37.1]

    Source
    ------
    [Kaatz2026]_ and [Thomas2026]_ through `ndf_rise` (derived).
    """
    reading = within("ndf_frac", ndf_frac, NDF_FRAC, "(a fraction: 40 % is 0.40)")
    return reading[..., None] + np.cumsum(ndf_rise(heat_c_d), axis=-1)


def rfv_change(ndf_rise_frac: ArrayLike, *, rfv_per_ndf_coef: float = -5.7) -> Figures:
    """Change of relative feed value that goes with a rise of NDF near harvest.

    Parameters
    ----------
    ndf_rise_frac : float or array
        Rise of NDF in dry matter. [fraction]
    rfv_per_ndf_coef : float, keyword
        Points of relative feed value per unit (per cent) of NDF. [index per per cent]

    Returns
    -------
    array, same shape
        Change of relative feed value, negative when NDF rises. [index]

    Valid
    -----
    Alfalfa in bud near 165; 5 to 5.7 points per unit between 150 and 170.

    Raises
    ------
    OutOfRange
        If the rise lies outside -0.5 to 0.5.

    Example
    -------
    >>> round(float(rfv_change(0.0071)), 1)
    -4.0

    Source
    ------
    Derived from the height table of [WisconsinTable2021]_; [IowaState2005]_ has 5 points a day in first cutting.
    """
    return within("ndf_rise_frac", ndf_rise_frac, (-0.5, 0.5)) * 100 * rfv_per_ndf_coef


def stored_ndf(ndf_frac: ArrayLike, *, allowance_frac: float = NDF_ALLOWANCE_FRAC) -> Figures:
    """NDF to expect in store from NDF standing.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter of the standing crop. [fraction]
    allowance_frac : float, keyword
        Rise through harvest and storage; more for hay. [fraction]

    Returns
    -------
    array, same shape
        NDF in dry matter of the stored feed. [fraction]

    Valid
    -----
    Well-made silage of alfalfa.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.05 to 0.95 or the allowance outside 0 to 0.15.

    Example
    -------
    >>> round(float(stored_ndf(0.38)) * 100, 6)
    40.0

    Source
    ------
    [Sulc2011]_ two units in silage; [CornellExtension2021]_ about 38 standing for 40 stored.
    """
    standing = within("ndf_frac", ndf_frac, NDF_FRAC, "(a fraction: 40 % is 0.40)")
    return standing + within("allowance_frac", allowance_frac, (0.0, 0.15))


def stored_rfv(rfv_index: ArrayLike, *, allowance_index: float = RFV_ALLOWANCE_HAYLAGE_INDEX) -> Figures:
    """Relative feed value to expect in store from that of the standing crop.

    Parameters
    ----------
    rfv_index : float or array
        Relative feed value standing. [index]
    allowance_index : float, keyword
        Fall through harvest and storage: 15 haylage, 25 hay, 20 a practice between. [index]

    Returns
    -------
    array, same shape
        Relative feed value of the stored feed. [index]

    Valid
    -----
    Alfalfa, good conditions, 10 to 20 % of dry matter lost.

    Raises
    ------
    OutOfRange
        If relative feed value lies outside 20 to 500 or the allowance outside 0 to 60.

    Example
    -------
    >>> float(stored_rfv(165.0))
    150.0

    Source
    ------
    [IowaStateDairy2026]_ 15 haylage, 25 hay; [Minnesota2016]_ 15 to 25 between clip and bunker.
    """
    standing = within("rfv_index", rfv_index, (20, 500))
    return standing - within("allowance_index", allowance_index, (0, 60))


def ndf_to_start(
    stored_ndf_frac: ArrayLike,
    rise_frac_d: ArrayLike,
    harvest_d: ArrayLike,
    *,
    allowance_frac: float = NDF_ALLOWANCE_FRAC,
) -> Figures:
    """NDF standing at which to start, so that the middle of harvest meets the target in store.

    Parameters
    ----------
    stored_ndf_frac : float or array
        NDF wanted in the stored feed. [fraction]
    rise_frac_d : float or array
        Daily rise of NDF. [fraction/d]
    harvest_d : float or array
        Days from first to last field. [d]
    allowance_frac : float, keyword
        Rise through harvest and storage. [fraction]

    Returns
    -------
    array, same shape
        NDF in dry matter of the standing crop on the first day. [fraction]

    Valid
    -----
    First cutting; fields of about the same maturity.

    Raises
    ------
    OutOfRange
        If NDF, rise (0 to 0.02 a day), days (0 to 60) or allowance cannot be one.

    Example
    -------
    >>> round(float(ndf_to_start(0.40, 0.006, 4)) * 100, 1)
    36.8

    Source
    ------
    Derived: target less allowance less half the harvest; allowance of [Sulc2011]_.
    """
    target = within("stored_ndf_frac", stored_ndf_frac, NDF_FRAC, "(a fraction: 40 % is 0.40)")
    rise = within("rise_frac_d", rise_frac_d, (0.0, 0.02), "a day")
    days = within("harvest_d", harvest_d, (0, 60), "d")
    return target - within("allowance_frac", allowance_frac, (0.0, 0.15)) - rise * days / 2


def rfv_to_start(
    stored_rfv_index: ArrayLike,
    harvest_d: ArrayLike,
    *,
    fall_index_d: float = 4.5,
    allowance_index: float = RFV_ALLOWANCE_HAYLAGE_INDEX,
) -> Figures:
    """Relative feed value standing at which to start, so that the middle of harvest meets the target in store.

    Parameters
    ----------
    stored_rfv_index : float or array
        Relative feed value wanted in the stored feed. [index]
    harvest_d : float or array
        Days from first to last field. [d]
    fall_index_d : float, keyword
        Daily fall of relative feed value. [index/d]
    allowance_index : float, keyword
        Fall through harvest and storage. [index]

    Returns
    -------
    array, same shape
        Relative feed value of the standing crop on the first day. [index]

    Valid
    -----
    First cutting, 3 to 5 points a day.

    Raises
    ------
    OutOfRange
        If the target (20 to 500), days (0 to 60), fall (0 to 15) or allowance (0 to 60) cannot be one.

    Example
    -------
    >>> float(rfv_to_start(150, 4))
    174.0

    Source
    ------
    Derived from [IowaStateDairy2026]_ (allowance) and [IowaState2005]_ (fall per day).
    """
    target = within("stored_rfv_index", stored_rfv_index, (20, 500))
    days = within("harvest_d", harvest_d, (0, 60), "d")
    fall = within("fall_index_d", fall_index_d, (0, 15), "a day")
    return target + within("allowance_index", allowance_index, (0, 60)) + fall * days / 2


def ndf_after_losses(ndf_frac: ArrayLike, loss_frac: ArrayLike) -> Figures:
    """NDF after dry matter that holds no fibre has been lost.

    Parameters
    ----------
    ndf_frac : float or array
        NDF in dry matter before. [fraction]
    loss_frac : float or array
        Dry matter lost, all of it free of fibre (respired sugar, effluent). [fraction]

    Returns
    -------
    array, same shape
        NDF in dry matter after. [fraction]

    Valid
    -----
    Upper bound: leaf loss takes some fibre along.

    Raises
    ------
    OutOfRange
        If a share lies outside 0 to 1 or the loss takes more than what is not fibre.

    Example
    -------
    >>> round(float(ndf_after_losses(0.38, 0.05)) * 100, 6)
    40.0

    Source
    ------
    Balance of dry matter (derived); compare [Sulc2011]_.
    """
    before = fraction("ndf_frac", ndf_frac)
    kept = 1 - fraction("loss_frac", loss_frac)
    if np.any(kept < before):
        raise OutOfRange(
            "loss_frac must be smaller than the part that is not fibre (1 less ndf_frac), for example 0.05"
        )
    return np.divide(before, kept, out=np.zeros(np.broadcast(before, kept).shape), where=kept > 0)
