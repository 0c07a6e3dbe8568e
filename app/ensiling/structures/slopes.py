"""Slopes of silage as run over rise, and which of them a tractor may work on."""

import numpy as np

from app.ensiling.limits import Values, plain, within

DRIVE_RATIO = 3.0
"""Steepest to drive up and down; [Bolsen2016]_."""

CROSS_RATIO = 6.0
"""Steepest to drive across, the stricter advice; [Carrabba2018]_."""


def slope_angle(run_ratio: Values) -> Values:
    """Angle of a slope against the level.

    Parameters
    ----------
    run_ratio : float or array, run for one of rise

    Returns
    -------
    float or array of the same shape [deg]

    Valid
    -----
    Any slope.

    Raises
    ------
    OutOfRange
        A ratio outside 0.1-100.

    Example
    -------
    >>> round(slope_angle(3.0), 2)
    18.43

    Source
    ------
    [Bolsen2016]_, 3:1 (angle derived).
    """
    return plain(np.degrees(np.arctan(1 / within("run_ratio", run_ratio, 0.1, 100.0, 3.0))))


def is_too_steep(run_ratio: Values, *, drives_across: bool) -> np.ndarray | bool:
    """Whether published advice keeps a tractor off a slope.

    Parameters
    ----------
    run_ratio : float or array, run for one of rise [m/m]
    drives_across : bool, along the slope instead of up and down it

    Returns
    -------
    bool or array of bool of the same shape; False says nothing about ground, tyres, edges or driver

    Valid
    -----
    Packed silage, tractors with roll-over protection and belts.

    Raises
    ------
    OutOfRange
        A ratio outside 0.1-100.

    Example
    -------
    >>> is_too_steep(3.0, drives_across=False), is_too_steep(3.0, drives_across=True)
    (False, True)

    Source
    ------
    [Bolsen2016]_ for 3:1 in line of travel, [Carrabba2018]_ for 6:1 across.
    """
    least = CROSS_RATIO if drives_across else DRIVE_RATIO
    steep = np.asarray(within("run_ratio", run_ratio, 0.1, 100.0, 3.0)) < least
    return steep if np.ndim(run_ratio) else bool(steep)
