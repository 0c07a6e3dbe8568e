"""Volume and depth of a bunker: level fill, sloped ends, battered walls, crown."""

from typing import Literal

import numpy as np

from app.ensiling.limits import Values, length, must_hold, plain, within

CrownShape = Literal["triangle", "parabola"]


def bunker_volume(
    width_m: Values,
    height_m: Values,
    length_m: Values,
    *,
    top_width_m: Values | None = None,
    run_ratio: Values = 3.0,
    ramps_count: Values = 1,
) -> Values:
    """Volume of a bunker filled level with its height, with none, one or two sloped ends.

    Parameters
    ----------
    width_m : float or array, width between the walls at the floor [m]
    height_m : float or array, settled height [m]
    length_m : float or array, length of floor covered, to the toe of the ramps [m]
    top_width_m : float or array, width at that height between battered walls [m]; as the floor when not given
    run_ratio : float or array, run of the ramps for one of rise
    ramps_count : float or array, sloped ends: 0, 1 or 2

    Returns
    -------
    float or array of the same shape [m3]

    Valid
    -----
    Plane slopes over the whole width; a crown is added by `crown_volume`.

    Raises
    ------
    OutOfRange
        Sizes no bunker has, walls that lean inward, or ramps that meet before they reach the height.

    Example
    -------
    >>> round(bunker_volume(40 * 0.3048, 12 * 0.3048, 100 * 0.3048) / 0.3048**3)
    39360

    Source
    ------
    Exact solid (derived); compared with the allowances of [Mwps1997]_.
    """
    wb, h, full = _sizes(width_m, height_m, length_m)
    wt = wb if top_width_m is None else length("top_width_m", top_width_m, 200.0)
    s, k = _ratio(run_ratio), within("ramps_count", ramps_count, 0, 2, 1)
    must_hold(~np.less(wt, wb), "top_width_m must lie at or above width_m (for example 12.8 over 11.6).")
    must_hold(
        ~np.less(full - k * s * h, -1e-9),
        "length_m must be at least ramps_count x run_ratio x height_m (for example 30 with one 3:1 ramp to 3.6).",
    )
    section = h * (wb + wt) / 2
    spread = np.where(np.equal(h, 0), 0.0, (wt - wb) / (2 * np.where(np.equal(h, 0), 1.0, h)))
    ramp = s * (wb * h**2 / 2 + spread * h**3 / 3)
    return plain(section * (full - k * s * h) + k * ramp)


def crown_area(width_m: Values, crown_m: Values, *, shape: CrownShape = "parabola") -> Values:
    """Section of the crown above the level fill.

    Parameters
    ----------
    width_m : float or array, width between the walls at that level [m]
    crown_m : float or array, height of the crown at its middle [m]
    shape : "triangle" or "parabola"

    Returns
    -------
    float or array of the same shape [m2]

    Valid
    -----
    A ridge along the middle. Whether its slope may be driven on: `slopes.is_too_steep` with `crown_ratio`.

    Raises
    ------
    OutOfRange
        Width outside 0-200 m or crown outside 0-6 m.

    Example
    -------
    >>> crown_area(12.0, 0.6, shape="triangle")
    3.5999999999999996

    Source
    ------
    Exact section (derived); safe slopes in [Bolsen2016]_.
    """
    share = {"triangle": 1 / 2, "parabola": 2 / 3}[shape]
    return share * length("crown_m", crown_m, 6.0) * length("width_m", width_m, 200.0)


def crown_ratio(width_m: Values, crown_m: Values, *, shape: CrownShape = "parabola") -> Values:
    """Run for one of rise of the crown where it is steepest.

    Parameters
    ----------
    width_m, crown_m, shape : as in `crown_area`; both above nil

    Returns
    -------
    float or array of the same shape [run over rise]

    Valid
    -----
    A parabola is twice as steep at the wall as the triangle of the same height.

    Raises
    ------
    OutOfRange
        Width outside 1-200 m or crown outside 0.01-6 m.

    Example
    -------
    >>> round(crown_ratio(12.0, 0.6, shape="triangle"), 2)
    10.0

    Source
    ------
    Geometry (derived); safe slopes in [Bolsen2016]_ and [Carrabba2018]_.
    """
    steepness = {"triangle": 2.0, "parabola": 4.0}[shape]
    return length("width_m", width_m, 200.0, 1.0) / (steepness * length("crown_m", crown_m, 6.0, 0.01))


def bunker_depth(wall_height_m: Values, peak_height_m: Values) -> Values:
    """Mean depth that the density equation asks for: half of the wall plus the highest point.

    Parameters
    ----------
    wall_height_m : float or array, silage at the wall [m]
    peak_height_m : float or array, silage at its highest [m]

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    Bunkers.

    Raises
    ------
    OutOfRange
        A height outside 0-15 m.

    Example
    -------
    >>> bunker_depth(3.0, 4.0)
    3.5

    Source
    ------
    [MuckHolmes2000]_, D of the density equation.
    """
    return (length("wall_height_m", wall_height_m, 15.0) + length("peak_height_m", peak_height_m, 15.0)) / 2


def _sizes(width_m: Values, height_m: Values, length_m: Values) -> tuple[Values, Values, Values]:
    return length("width_m", width_m, 200.0), length("height_m", height_m, 15.0), length("length_m", length_m)


def _ratio(run_ratio: Values) -> Values:
    return within("run_ratio", run_ratio, 0.0, 20.0, 3.0)
