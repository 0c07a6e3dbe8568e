"""Volume of a silage bag and what a metre of it holds."""

import numpy as np

from app.ensiling.limits import Values, dm_density_range, length, must_hold, within


def bag_usable_length(filled_length_m: Values, diameter_m: Values, *, tied_diameters_count: float = 2.0) -> Values:
    """Length of a bag that is filled to its full section.

    Parameters
    ----------
    filled_length_m : float or array, length from tie to tie [m]
    diameter_m : float or array, nominal diameter [m]
    tied_diameters_count : float, diameters lost to both tied ends together, from memory

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    Bags longer than their two ends.

    Raises
    ------
    OutOfRange
        A bag shorter than its two ends.

    Example
    -------
    >>> bag_usable_length(60.0, 3.0)
    54.0

    Source
    ------
    Geometry (derived); one diameter per end is from memory, bags as in [Muck2000]_.
    """
    full, d = length("filled_length_m", filled_length_m, 300.0), _diameter(diameter_m)
    usable = full - tied_diameters_count * d
    must_hold(~np.less(usable, 0), "filled_length_m must be longer than both tied ends (for example 60 at 3 across).")
    return usable


def bag_volume(usable_length_m: Values, diameter_m: Values) -> Values:
    """Volume of the fully filled part of a bag.

    Parameters
    ----------
    usable_length_m : float or array, result of `bag_usable_length` [m]
    diameter_m : float or array, nominal diameter [m]

    Returns
    -------
    float or array of the same shape [m3]

    Valid
    -----
    A full circle; real bags are a little flatter.

    Raises
    ------
    OutOfRange
        Length outside 0-300 m or diameter outside 1-5 m.

    Example
    -------
    >>> round(bag_volume(1.0, 9 * 0.3048) / 0.3048**2, 2)
    63.62

    Source
    ------
    Exact solid (derived); densities of bags in [Muck2000]_.
    """
    return (np.pi / 4) * _diameter(diameter_m) ** 2 * length("usable_length_m", usable_length_m, 300.0)


def bag_mass_per_length(diameter_m: Values, density_dm_kg_m3: Values) -> Values:
    """Dry matter in a metre of bag.

    Parameters
    ----------
    diameter_m : float or array, nominal diameter [m]
    density_dm_kg_m3 : float or array, density [kg DM/m3]

    Returns
    -------
    float or array of the same shape [kg DM/m]

    Valid
    -----
    As `bag_volume`.

    Raises
    ------
    OutOfRange
        Diameter outside 1-5 m or density outside 20-900 kg/m3.

    Example
    -------
    >>> round(bag_mass_per_length(9 * 0.3048, 12 * 16.01846) * 0.3048 / 0.45359237, 1)
    763.4

    Source
    ------
    Exact solid (derived); densities of bags in [Muck2000]_.
    """
    return bag_volume(1.0, diameter_m) * dm_density_range(density_dm_kg_m3)


def _diameter(diameter_m: Values) -> Values:
    return within("diameter_m", diameter_m, 1.0, 5.0, 2.7)
