"""Dry matter in a tower silo by inside diameter and settled depth, whole or partly fed."""

import numpy as np

from app.ensiling.limits import Values, must_hold, plain, within
from app.errors import OutOfRange
from app.units.quantities import KG_PER_SHORT_TON, M_PER_FT

TABLE_SPREAD_FRAC = 0.10
"""Range to show around a tabled capacity: older tables are known to overstate."""

DIAMETERS_FT = (10, 12, 14, 16, 18, 20, 22, 24)
DEPTHS_FT = (0, 4, 8, 10, 14, 20, 24, 28, 30, 34, 36, 40, 44, 46)
TONS_DM = (
    (0, 0, 0, 0, 0, 0, 0, 0),
    (1, 1, 2, 2, 3, 3, 4, 5),
    (2, 3, 4, 6, 7, 9, 11, 13),
    (3, 4, 6, 8, 10, 12, 15, 18),
    (5, 7, 10, 13, 16, 20, 24, 29),
    (8, 12, 16, 21, 27, 33, 40, 48),
    (11, 15, 21, 27, 35, 43, 52, 62),
    (13, 19, 26, 34, 43, 54, 65, 77),
    (15, 21, 29, 38, 48, 59, 71, 85),
    (18, 25, 35, 45, 57, 71, 85, 102),
    (19, 28, 38, 49, 62, 77, 93, 110),
    (22, 32, 44, 57, 72, 89, 108, 128),
    (26, 37, 50, 65, 83, 102, 124, 147),
    (27, 39, 53, 70, 88, 109, 132, float("nan")),
)
"""Short tons of dry matter, a row per depth and a column per diameter; the last cell is cut off in print."""

_D_FT, _H_FT, _TONS = (np.array(part, dtype=float) for part in (DIAMETERS_FT, DEPTHS_FT, TONS_DM))


def tower_dm(diameter_m: Values, depth_m: Values) -> Values:
    """Dry matter in a tower, from the table, linear between its cells.

    Parameters
    ----------
    diameter_m : float or array, inside diameter [m]
    depth_m : float or array, settled depth [m]

    Returns
    -------
    float or array of the same shape [kg DM]; show it with `TABLE_SPREAD_FRAC` on either side

    Valid
    -----
    Diameter 3.05-7.32 m (10-24 ft), depth to 14.02 m (46 ft); beyond 13.41 m (44 ft) only to 22 ft across.

    Raises
    ------
    OutOfRange
        A size outside the table: nothing is extrapolated.

    Example
    -------
    >>> round(tower_dm(20 * 0.3048, 35 * 0.3048) / 907.18474, 1)
    74.0

    Source
    ------
    [Cropp2000]_, table of tower silos; nil depth added as nil.
    """
    d, h = np.broadcast_arrays(_diameter(diameter_m) / M_PER_FT, _depth(depth_m) / M_PER_FT)
    column, across = _place(d, _D_FT)
    row, down = _place(h, _H_FT)
    tons = _corner(row, column, (1 - down) * (1 - across)) + _corner(row, column + 1, (1 - down) * across)
    tons = tons + _corner(row + 1, column, down * (1 - across)) + _corner(row + 1, column + 1, down * across)
    cut_off = np.isnan(tons) & ~np.isnan(d) & ~np.isnan(h)
    if cut_off.any():
        raise OutOfRange("depth_m must lie within 0 and 13.41 for towers wider than 6.71 m (for example 12.2).")
    return plain(tons * KG_PER_SHORT_TON)


def tower_dm_fit(diameter_m: Values, depth_m: Values, *, scale: float = 0.001155, power: float = 1.4266) -> Values:
    """Dry matter in a tower by a smooth curve through the table.

    Parameters
    ----------
    diameter_m : float or array, inside diameter [m]
    depth_m : float or array, settled depth [m]
    scale, power : float, fitted coefficients [short tons, ft]

    Returns
    -------
    float or array of the same shape [kg DM]

    Valid
    -----
    10-24 ft across and 10-44 ft deep: within 3.2 % of every cell of 10 tons or more.

    Raises
    ------
    OutOfRange
        A size outside the table.

    Example
    -------
    >>> round(tower_dm_fit(20 * 0.3048, 40 * 0.3048) / 907.18474, 1)
    89.2

    Source
    ------
    [Cropp2000]_, curve fitted to the table (derived).
    """
    d_ft, h_ft = _diameter(diameter_m) / M_PER_FT, _depth(depth_m) / M_PER_FT
    return scale * d_ft**2 * h_ft**power * KG_PER_SHORT_TON


def tower_remaining(diameter_m: Values, settled_depth_m: Values, removed_depth_m: Values) -> Values:
    """Dry matter left in a tower that is unloaded from the top: the whole less what the removed depth held.

    Parameters
    ----------
    diameter_m : float or array, inside diameter [m]
    settled_depth_m : float or array, settled depth before feeding began [m]
    removed_depth_m : float or array, depth fed since [m]

    Returns
    -------
    float or array of the same shape [kg DM]

    Valid
    -----
    As `tower_dm`; the usual method, recalled.

    Raises
    ------
    OutOfRange
        More removed than there was, or a size outside the table.

    Example
    -------
    >>> round(tower_remaining(20 * 0.3048, 40 * 0.3048, 20 * 0.3048) / 907.18474, 1)
    56.0

    Source
    ------
    [Cropp2000]_, table read twice (method from memory).
    """
    settled, removed = _depth(settled_depth_m), _depth(removed_depth_m)
    must_hold(~np.greater(removed, settled), "removed_depth_m must lie within 0 and settled_depth_m (for example 6).")
    return tower_dm(diameter_m, settled) - tower_dm(diameter_m, removed)


def _place(values: np.ndarray, edges: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Index of the cell and how far into it; NaN stays in the second."""
    known = np.where(np.isnan(values), edges[0], values)
    index = np.clip(np.searchsorted(edges, known, side="right") - 1, 0, len(edges) - 2)
    into = (values - edges[index]) / (edges[index + 1] - edges[index])
    return index, np.where(np.isnan(into), into, np.clip(into, 0.0, 1.0))


def _corner(row: np.ndarray, column: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """A cell's share; a cut-off cell counts only where it has weight."""
    return np.where(np.abs(weight) < 1e-9, 0.0, weight * _TONS[row, column])


def _diameter(diameter_m: Values) -> Values:
    return within("diameter_m", diameter_m, 10 * M_PER_FT - 1e-6, 24 * M_PER_FT + 1e-6, 6.1)


def _depth(depth_m: Values) -> Values:
    return within("depth_m", depth_m, 0.0, 46 * M_PER_FT + 1e-6, 12.2)
