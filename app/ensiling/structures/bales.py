"""Volume and density of bales."""

import numpy as np

from app.ensiling.limits import Values, within
from app.units.quantities import KG_PER_LB

TYPICAL_BALES = {
    "rectangular 2.7 x 3 x 7 ft": 900 * KG_PER_LB,
    "rectangular 4 x 4 x 8 ft": 1800 * KG_PER_LB,
    "round 4 x 4 ft": 500 * KG_PER_LB,
    "round 4 x 5 ft": 850 * KG_PER_LB,
    "round 5 x 4 ft": 1000 * KG_PER_LB,
    "round 5 x 5 ft": 1300 * KG_PER_LB,
    "round 6 x 5 ft": 1900 * KG_PER_LB,
}
"""Usual weight of a hay bale as fed [kg], read in [AlbertaAgriculture2020]_ (diameter x width when round)."""


def round_bale_volume(diameter_m: Values, width_m: Values) -> Values:
    """Volume of a round bale.

    Parameters
    ----------
    diameter_m : float or array, diameter [m]
    width_m : float or array, width [m]

    Returns
    -------
    float or array of the same shape [m3]

    Valid
    -----
    Round bales that have kept their shape.

    Raises
    ------
    OutOfRange
        A side outside 0.3-3 m.

    Example
    -------
    >>> round(round_bale_volume(6 * 0.3048, 5.5 * 0.3048) / 0.3048**3, 1)
    155.5

    Source
    ------
    [Hall2009]_, worked example.
    """
    return (np.pi / 4) * _side("diameter_m", diameter_m) ** 2 * _side("width_m", width_m)


def rectangular_bale_volume(width_m: Values, depth_m: Values, length_m: Values) -> Values:
    """Volume of a rectangular bale.

    Parameters
    ----------
    width_m, depth_m, length_m : float or array, the three sides [m]

    Returns
    -------
    float or array of the same shape [m3]

    Valid
    -----
    Small and large rectangular bales.

    Raises
    ------
    OutOfRange
        A side outside 0.3-3 m.

    Example
    -------
    >>> round(rectangular_bale_volume(4 * 0.3048, 4 * 0.3048, 8 * 0.3048) / 0.3048**3)
    128

    Source
    ------
    [AlbertaAgriculture2020]_, sizes (one volume there is misprinted as 112 ft3).
    """
    return _side("width_m", width_m) * _side("depth_m", depth_m) * _side("length_m", length_m)


def bale_density(mass_kg: Values, volume_m3: Values) -> Values:
    """Density of a bale, wet or dry as its weight is.

    Parameters
    ----------
    mass_kg : float or array, weight of the bale [kg]
    volume_m3 : float or array, its volume [m3]

    Returns
    -------
    float or array of the same shape [kg/m3]

    Valid
    -----
    A weighed sample of the farm's own bales is always better.

    Raises
    ------
    OutOfRange
        Weight outside 0-2,000 kg or volume outside 0.05-10 m3.

    Example
    -------
    >>> round(bale_density(1300 * 0.45359237, 98.17 * 0.3048**3) / 16.01846, 2)
    13.24

    Source
    ------
    [AlbertaAgriculture2020]_, weights and sizes (density derived).
    """
    return within("mass_kg", mass_kg, 0.0, 2_000.0, 590.0) / within("volume_m3", volume_m3, 0.05, 10.0, 2.8)


def _side(name: str, side_m: Values) -> Values:
    return within(name, side_m, 0.3, 3.0, 1.5)
