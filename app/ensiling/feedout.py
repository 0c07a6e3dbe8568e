"""How fast a herd eats into a face, and how wide a face it can keep fresh."""

import numpy as np

from app.ensiling.limits import Values, dm_density_range, length, must_hold, within
from app.units.quantities import CM_PER_IN

FACE_RATE_TARGET_CM_D = 12 * CM_PER_IN
"""Design for the whole year, so that halving it still leaves 6 in. Read in [Holmes2009]_."""

FACE_RATE_WINTER_CM_D = 6 * CM_PER_IN
"""From memory, common dairy advice for a mean temperature below `WINTER_BELOW_C`."""

FACE_RATE_FLOOR_CM_D = 4 * CM_PER_IN
"""Least recommended at any time; read in [Holmes2009]_."""

WINTER_BELOW_C = (40 - 32) / 1.8


def feedout_volume(dm_kg_d: Values, density_dm_kg_m3: Values) -> Values:
    """Silage volume a herd takes in a day.

    Parameters
    ----------
    dm_kg_d : float or array, dry matter fed from the structure [kg DM/d]
    density_dm_kg_m3 : float or array, density [kg DM/m3]

    Returns
    -------
    float or array of the same shape [m3/d]

    Valid
    -----
    Any structure.

    Raises
    ------
    OutOfRange
        Feed outside 0-500,000 kg/d or density outside 20-900 kg/m3.

    Example
    -------
    >>> round(feedout_volume(3000 * 0.45359237, 14 * 16.01846) / 0.3048**3, 1)
    214.3

    Source
    ------
    [Holmes2009]_, sizing example.
    """
    return within("dm_kg_d", dm_kg_d, 0.0, 500_000.0, 2_700.0) / dm_density_range(density_dm_kg_m3)


def face_rate(volume_m3_d: Values, face_area_m2: Values) -> Values:
    """Depth taken off the face in a day.

    Parameters
    ----------
    volume_m3_d : float or array, result of `feedout_volume` [m3/d]
    face_area_m2 : float or array, area of the face [m2]

    Returns
    -------
    float or array of the same shape [cm/d]

    Valid
    -----
    The whole face taken each day.

    Raises
    ------
    OutOfRange
        Volume outside 0-10,000 m3/d or face outside 0.5-3,000 m2.

    Example
    -------
    >>> round(face_rate(400 * 0.3048**3, 720 * 0.3048**2) / 2.54, 1)
    6.7

    Source
    ------
    [Holmes2009]_, sizing example.
    """
    return 100 * _volume(volume_m3_d) / within("face_area_m2", face_area_m2, 0.5, 3_000.0, 37.0)


def face_area_ceiling(volume_m3_d: Values, rate_cm_d: Values = FACE_RATE_TARGET_CM_D) -> Values:
    """Largest face that is still taken fast enough.

    Parameters
    ----------
    volume_m3_d : float or array, result of `feedout_volume` [m3/d]
    rate_cm_d : float or array, depth to take each day [cm/d]

    Returns
    -------
    float or array of the same shape [m2]

    Valid
    -----
    Any face.

    Raises
    ------
    OutOfRange
        Volume outside 0-10,000 m3/d or rate outside 1-500 cm/d.

    Example
    -------
    >>> round(face_area_ceiling(400 * 0.3048**3) / 0.3048**2)
    400

    Source
    ------
    [Holmes2009]_, sizing example.
    """
    return _volume(volume_m3_d) / (_rate(rate_cm_d) / 100)


def face_width_ceiling(volume_m3_d: Values, height_m: Values, rate_cm_d: Values = FACE_RATE_TARGET_CM_D) -> Values:
    """Widest face of one height that is still taken fast enough.

    Parameters
    ----------
    volume_m3_d, rate_cm_d : as in `face_area_ceiling`
    height_m : float or array, height of the face [m]

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    A rectangular face.

    Raises
    ------
    OutOfRange
        As `face_area_ceiling`, or a height outside 0.3-15 m.

    Example
    -------
    >>> round(face_width_ceiling(214.2857 * 0.3048**3, 10 * 0.3048) / 0.3048, 1)
    21.4

    Source
    ------
    [Holmes2009]_, sizing example divided by the height (derived).
    """
    return face_area_ceiling(volume_m3_d, rate_cm_d) / length("height_m", height_m, 15.0, 0.3)


def length_used(days_d: Values, rate_cm_d: Values) -> Values:
    """Length of silo that is fed in a number of days.

    Parameters
    ----------
    days_d : float or array, days of feeding [d]
    rate_cm_d : float or array, depth taken each day [cm/d]

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    A face of one size.

    Raises
    ------
    OutOfRange
        Days outside 0-1,500 or rate outside 1-500 cm/d.

    Example
    -------
    >>> round(length_used(180, 30.48) / 0.3048)
    180

    Source
    ------
    [Holmes2009]_, sizing (days times rate).
    """
    return within("days_d", days_d, 0.0, 1_500.0, 180.0) * _rate(rate_cm_d) / 100


def overfilled_rate(rate_cm_d: Values, wall_height_m: Values, filled_height_m: Values) -> Values:
    """Depth taken off a face that was filled above the walls it was sized for.

    Parameters
    ----------
    rate_cm_d : float or array, depth taken at wall height [cm/d]
    wall_height_m, filled_height_m : float or array, height sized for and height filled to [m]

    Returns
    -------
    float or array of the same shape [cm/d]

    Valid
    -----
    The same herd and width. Filling above the wall also loads it beyond its design: an engineer decides.

    Raises
    ------
    OutOfRange
        A fill lower than the wall, a height outside 0.3-30 m or a rate outside 1-500 cm/d.

    Example
    -------
    >>> round(overfilled_rate(6 * 2.54, 8.0, 16.0) / 2.54, 2)
    3.0

    Source
    ------
    [Holmes2010]_, overfilled bunker.
    """
    wall = length("wall_height_m", wall_height_m, 30.0, 0.3)
    filled = length("filled_height_m", filled_height_m, 30.0, 0.3)
    must_hold(~np.less(filled, wall), "filled_height_m must lie at or above wall_height_m (for example 4.8 over 2.4).")
    return _rate(rate_cm_d) * wall / filled


def exposure(hot_depth_m: Values, rate_cm_d: Values) -> Values:
    """Days that silage lies in the zone behind the face where air heats it.

    Parameters
    ----------
    hot_depth_m : float or array, depth of that zone [m]; up to 0.91 m (3 ft) is published
    rate_cm_d : float or array, depth taken each day [cm/d]

    Returns
    -------
    float or array of the same shape [d]

    Valid
    -----
    Bunkers and piles.

    Raises
    ------
    OutOfRange
        Zone outside 0-5 m or rate outside 1-500 cm/d.

    Example
    -------
    >>> round(exposure(3 * 0.3048, 6 * 2.54), 2)
    6.0

    Source
    ------
    [Holmes2011]_, 3 ft behind a cool-looking face.
    """
    return length("hot_depth_m", hot_depth_m, 5.0) * 100 / _rate(rate_cm_d)


def yearly_need(animals_count: Values, dm_kg_d: Values, days_d: Values = 365.0) -> Values:
    """Dry matter that a group eats of one feed in a year or other time.

    Parameters
    ----------
    animals_count : float or array, animals fed
    dm_kg_d : float or array, dry matter of this feed per animal [kg DM/d]
    days_d : float or array, days [d]

    Returns
    -------
    float or array of the same shape, fed, without losses [kg DM]

    Valid
    -----
    A steady group.

    Raises
    ------
    OutOfRange
        Animals outside 0-100,000, feed outside 0-40 kg/d or days outside 0-1,500.

    Example
    -------
    >>> round(yearly_need(500, 12 * 0.45359237) / 907.18474)
    1095

    Source
    ------
    [Mwps1997]_, need from dry-matter intake (product of the three).
    """
    animals = within("animals_count", animals_count, 0.0, 100_000.0, 500.0)
    eaten = within("dm_kg_d", dm_kg_d, 0.0, 40.0, 5.4)
    return animals * eaten * within("days_d", days_d, 0.0, 1_500.0, 365.0)


def face_verdict(rate_cm_d: Values, mean_temp_c: Values) -> np.ndarray:
    """How a removal rate stands: good, slow (below the season's rate), too slow (below the floor) or unknown.

    Parameters
    ----------
    rate_cm_d : float or array, depth taken each day [cm/d]
    mean_temp_c : float or array, mean air temperature of the season [C]

    Returns
    -------
    array of str of the same shape

    Valid
    -----
    Bunkers and piles; winter is a mean below 4.4 C (40 F).

    Raises
    ------
    OutOfRange
        Rate outside 0-500 cm/d or temperature outside -50 to 50 C.

    Example
    -------
    >>> str(face_verdict(20.0, 0.0)), str(face_verdict(20.0, 20.0)), str(face_verdict(8.0, 0.0))
    ('good', 'slow', 'too slow')

    Source
    ------
    [Holmes2009]_ for 12 and 4 in; 6 in in winter is from memory.
    """
    rate = np.asarray(within("rate_cm_d", rate_cm_d, 0.0, 500.0, 30.0))
    temp = np.asarray(within("mean_temp_c", mean_temp_c, -50.0, 50.0, 12.0))
    wanted = np.where(temp < WINTER_BELOW_C, FACE_RATE_WINTER_CM_D, FACE_RATE_TARGET_CM_D)
    unknown = np.isnan(rate) | np.isnan(temp)
    return np.select(
        [unknown, rate < FACE_RATE_FLOOR_CM_D - 1e-9, rate < wanted - 1e-9], ["unknown", "too slow", "slow"], "good"
    )


def _volume(volume_m3_d: Values) -> Values:
    return within("volume_m3_d", volume_m3_d, 0.0, 10_000.0, 11.3)


def _rate(rate_cm_d: Values) -> Values:
    return within("rate_cm_d", rate_cm_d, 1.0, 500.0, 30.0)
