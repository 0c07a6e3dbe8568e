"""Volume, top and depth of a drive-over pile: flat top with plane slopes, or a parabolic dome."""

from typing import NamedTuple

import numpy as np

from app.ensiling.limits import Values, length, must_hold, within
from app.units.quantities import M_PER_FT

TOP_WIDTH_LEAST_M = 15 * M_PER_FT
"""Room for a tractor on top, from memory."""


class PileTop(NamedTuple):
    """Level top of a pile."""

    width_m: Values
    length_m: Values


def pile_top(
    base_width_m: Values, base_length_m: Values, height_m: Values, *, side_ratio: Values = 3.0, end_ratio: Values = 3.0
) -> PileTop:
    """Width and length of the level top that the slopes leave.

    Parameters
    ----------
    base_width_m, base_length_m : float or array, base of the pile [m]
    height_m : float or array, settled height [m]
    side_ratio, end_ratio : float or array, run for one of rise of sides and ends

    Returns
    -------
    PileTop of floats or arrays [m]; below `TOP_WIDTH_LEAST_M` a tractor has no room

    Valid
    -----
    Plane slopes.

    Raises
    ------
    OutOfRange
        Slopes that meet below the height: the base is too small for it.

    Example
    -------
    >>> pile_top(30.0, 76.0, 3.5)
    PileTop(width_m=9.0, length_m=55.0)

    Source
    ------
    Geometry (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    b, full, h = _sizes(base_width_m, base_length_m, height_m)
    width = b - 2 * _ratio("side_ratio", side_ratio) * h
    end = full - 2 * _ratio("end_ratio", end_ratio) * h
    must_hold(
        ~np.less(width, -1e-9),
        "height_m must lie within 0 and base_width_m / (2 x side_ratio) (for example 3.6 on a base of 30 at 3:1); "
        f"the top would be {float(np.nanmin(width)):.2f} m wide.",
    )
    must_hold(
        ~np.less(end, -1e-9),
        "height_m must lie within 0 and base_length_m / (2 x end_ratio) (for example 3.6 on a length of 76 at 3:1); "
        f"the top would be {float(np.nanmin(end)):.2f} m long.",
    )
    return PileTop(width, end)


def pile_volume(
    base_width_m: Values, base_length_m: Values, height_m: Values, *, side_ratio: Values = 3.0, end_ratio: Values = 3.0
) -> Values:
    """Volume of a pile with a level top and plane slopes all round.

    Parameters
    ----------
    base_width_m, base_length_m, height_m, side_ratio, end_ratio : as in `pile_top`

    Returns
    -------
    float or array of the same shape [m3]

    Valid
    -----
    Plane slopes, rectangular base.

    Raises
    ------
    OutOfRange
        As `pile_top`.

    Example
    -------
    >>> round(pile_volume(100 * 0.3048, 250 * 0.3048, 12 * 0.3048) / 0.3048**3)
    169536

    Source
    ------
    Exact solid (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    pile_top(base_width_m, base_length_m, height_m, side_ratio=side_ratio, end_ratio=end_ratio)
    b, full, h = _sizes(base_width_m, base_length_m, height_m)
    s, e = _ratio("side_ratio", side_ratio), _ratio("end_ratio", end_ratio)
    return b * full * h - (s * full + e * b) * h**2 + (4 / 3) * s * e * h**3


def pile_depth(base_width_m: Values, height_m: Values, *, side_ratio: Values = 3.0) -> Values:
    """Mean depth that the density equation asks for: section area over base width.

    Parameters
    ----------
    base_width_m : float or array, width of the base [m]
    height_m : float or array, settled height [m]
    side_ratio : float or array, run for one of rise of the sides

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    Level top and plane sides.

    Raises
    ------
    OutOfRange
        As `pile_top`.

    Example
    -------
    >>> round(pile_depth(100 * 0.3048, 12 * 0.3048) / 0.3048, 2)
    7.68

    Source
    ------
    [MuckHolmes2000]_, D for piles (from memory that the same equation serves).
    """
    width = pile_top(base_width_m, 1000.0, height_m, side_ratio=side_ratio).width_m
    b, h = length("base_width_m", base_width_m, 300.0, 1.0), length("height_m", height_m, 15.0)
    return h * (b + width) / 2 / b


def pile_height_ceiling(base_width_m: Values, side_ratio: Values = 3.0, top_width_m: Values = 0.0) -> Values:
    """Greatest height on a base that still leaves a wanted top.

    Parameters
    ----------
    base_width_m : float or array, width of the base [m]
    side_ratio : float or array, run for one of rise of the sides
    top_width_m : float or array, width to keep on top [m]

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    Plane sides.

    Raises
    ------
    OutOfRange
        A top wider than the base, or a ratio outside 0.5-20.

    Example
    -------
    >>> pile_height_ceiling(30.0)
    5.0

    Source
    ------
    Geometry (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    b, top = length("base_width_m", base_width_m, 300.0, 1.0), length("top_width_m", top_width_m, 300.0)
    must_hold(~np.greater(top, b), "top_width_m must lie within 0 and base_width_m (for example 4.6 on 30).")
    return (b - top) / (2 * _ratio("side_ratio", side_ratio))


def dome_area(base_width_m: Values, height_m: Values, *, side_ratio: float = 3.0) -> Values:
    """Section of a pile whose top is one parabola from toe to toe.

    Parameters
    ----------
    base_width_m : float or array, width of the base [m]
    height_m : float or array, settled height at the middle [m]
    side_ratio : float, least run for one of rise at the toe

    Returns
    -------
    float or array of the same shape [m2]; the mean depth is this over the base width

    Valid
    -----
    Height up to `dome_height_ceiling`.

    Raises
    ------
    OutOfRange
        A height that makes the toe steeper than the ratio.

    Example
    -------
    >>> dome_area(30.0, 2.4)
    48.0

    Source
    ------
    Exact section (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    b, h = length("base_width_m", base_width_m, 300.0, 1.0), length("height_m", height_m, 15.0)
    must_hold(
        ~np.greater(h, dome_height_ceiling(b, side_ratio) + 1e-9),
        "height_m must lie within 0 and base_width_m / (4 x side_ratio) (for example 2.5 on a base of 30 at 3:1).",
    )
    return (2 / 3) * b * h


def dome_volume(
    base_width_m: Values, base_length_m: Values, height_m: Values, *, side_ratio: float = 3.0, end_ratio: Values = 3.0
) -> Values:
    """Volume of a parabolic pile with plane slopes at both ends.

    Parameters
    ----------
    base_width_m, height_m, side_ratio : as in `dome_area`
    base_length_m : float or array, length from toe to toe [m]
    end_ratio : float or array, run for one of rise of the ends

    Returns
    -------
    float or array of the same shape [m3]

    Valid
    -----
    Each end takes away 4/15 x base width x end ratio x height squared.

    Raises
    ------
    OutOfRange
        As `dome_area`, or a length shorter than both end slopes.

    Example
    -------
    >>> round(dome_volume(30.0, 60.0, 2.4), 1)
    2603.5

    Source
    ------
    Exact solid (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    area = dome_area(base_width_m, height_m, side_ratio=side_ratio)
    b, full, h = _sizes(base_width_m, base_length_m, height_m)
    e = _ratio("end_ratio", end_ratio)
    must_hold(
        ~np.less(full, 2 * e * h), "base_length_m must hold both end slopes (for example 60 at 3:1 and 2.4 high)."
    )
    return area * full - 2 * (4 / 15) * b * e * h**2


def dome_height_ceiling(base_width_m: Values, side_ratio: Values = 3.0) -> Values:
    """Greatest height of a parabolic pile whose toe is no steeper than the ratio.

    Parameters
    ----------
    base_width_m : float or array, width of the base [m]
    side_ratio : float or array, least run for one of rise at the toe

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    The toe of a parabola rises by four heights per base width.

    Raises
    ------
    OutOfRange
        Width outside 1-300 m or a ratio outside 0.5-20.

    Example
    -------
    >>> round(dome_height_ceiling(100 * 0.3048) / 0.3048, 2)
    8.33

    Source
    ------
    Geometry (derived); slopes of 3:1 in [Bolsen2016]_.
    """
    return length("base_width_m", base_width_m, 300.0, 1.0) / (4 * _ratio("side_ratio", side_ratio))


def _sizes(base_width_m: Values, base_length_m: Values, height_m: Values) -> tuple[Values, Values, Values]:
    return (
        length("base_width_m", base_width_m, 300.0, 1.0),
        length("base_length_m", base_length_m, 1000.0, 1.0),
        length("height_m", height_m, 15.0),
    )


def _ratio(name: str, run_ratio: Values) -> Values:
    return within(name, run_ratio, 0.5, 20.0, 3.0)
