"""Figures of the caution cards: silo gas, distance from a face, shafts, heat, and the acid that stops clostridia.

They remind. None of them clears anyone to enter a silo or to go near a face.
"""

from datetime import date, timedelta

import numpy as np

from app.ensiling.limits import Values, fraction, length, plain, within

NO2_CEILING_OSHA_PPM = 5.0
NO2_SHORT_TERM_NIOSH_PPM = 1.0
NO2_DANGER_PPM = 13.0
"""Immediately dangerous to life or health, the revision of 2017; it was 20 ppm in 1994. [Niosh1994]_, [Aiha2017]_"""

NO2_KEEP_OUT_D = 21
"""The longest of the published periods (10-14 days, two to three weeks)."""

VENTILATE_BEFORE_ENTRY_H = 0.5
"""The longer of the published times, and only together with a gas test and trained people. [Griswold2020]_"""

FACE_STANDOFF_HEIGHTS_COUNT = 3.0
POWER_LINE_CLEARANCE_M = 10 * 0.3048
"""Read in [ExtensionFresh2013]_; some utilities ask for half as much again."""

WIND_STOP_KM_H = 20 * 1.609344
"""Wind at which to leave large sheets alone, from memory (20-25 mph)."""


def critical_ph(dm_frac: Values, *, base_ph: float = 4.40, slope_ph: float = 0.06) -> Values:
    """Acidity below which clostridia stop growing in alfalfa silage.

    Parameters
    ----------
    dm_frac : float or array, dry matter of the silage [0-1]
    base_ph, slope_ph : float, pH at 25 % DM and its rise per point of DM

    Returns
    -------
    float or array of the same shape [pH]; NaN outside 25-35 % DM, where nothing is published

    Valid
    -----
    Alfalfa at 25-35 % DM. Butyric silage has been found in drier crop too: a good pH is no promise.

    Raises
    ------
    OutOfRange
        Dry matter outside 0-1.

    Example
    -------
    >>> round(critical_ph(0.30), 2)
    4.7

    Source
    ------
    [McCary2023]_, 25 and 35 % DM; straight line between them (derived), which meets the 4.7 at 30 % of [Muck2010]_.
    """
    dm_pct = fraction("dm_frac", dm_frac, example=0.32) * 100
    known = (np.asarray(dm_pct) >= 25 - 1e-9) & (np.asarray(dm_pct) <= 35 + 1e-9)
    return plain(np.where(known, base_ph + slope_ph * (dm_pct - 25), np.nan))


def keep_out_until(filled_on: date, keep_out_d: int = NO2_KEEP_OUT_D) -> date:
    """Last day on which a filled structure and the rooms around it are kept clear for silo gas.

    Parameters
    ----------
    filled_on : date, the day the last load went in
    keep_out_d : int, days to keep clear [d]

    Returns
    -------
    date

    Valid
    -----
    Every kind of structure; towers, chutes, feed rooms and gaps between bags most of all.

    Raises
    ------
    OutOfRange
        Fewer than 21 days.

    Example
    -------
    >>> keep_out_until(date(2026, 6, 1))
    datetime.date(2026, 6, 22)

    Source
    ------
    [Griswold2020]_, three weeks.
    """
    within("keep_out_d", keep_out_d, NO2_KEEP_OUT_D, 365, 21)
    return filled_on + timedelta(days=keep_out_d)


def standoff(face_height_m: Values, *, heights_count: float = FACE_STANDOFF_HEIGHTS_COUNT) -> Values:
    """Least distance to keep from the face of a bunker or pile.

    Parameters
    ----------
    face_height_m : float or array, height of the face [m]
    heights_count : float, face heights to stay away

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    On foot. A face falls without warning.

    Raises
    ------
    OutOfRange
        Height outside 0-30 m.

    Example
    -------
    >>> round(standoff(14 * 0.3048) / 0.3048)
    42

    Source
    ------
    [Carrabba2018]_, three times the height.
    """
    return length("face_height_m", face_height_m, 30.0) * heights_count


def shaft_pull(reaction_s: Values = 0.75, *, pull_m_s: float = 7 * 0.3048) -> Values:
    """Length of clothing or limb that a turning shaft takes in before a person can react.

    Parameters
    ----------
    reaction_s : float or array, time to react [s]
    pull_m_s : float, speed of a 540 rpm shaft's wrap [m/s]

    Returns
    -------
    float or array of the same shape [m]

    Valid
    -----
    540 rpm; a 1,000 rpm shaft takes more.

    Raises
    ------
    OutOfRange
        Time outside 0-10 s.

    Example
    -------
    >>> round(shaft_pull(0.75) / 0.3048, 2)
    5.25

    Source
    ------
    [MissouriExtension1998]_, 7 ft/s and 0.75 s.
    """
    return within("reaction_s", reaction_s, 0.0, 10.0, 0.75) * pull_m_s


def heat_share(day_count: Values, *, step_frac: float = 0.20) -> Values:
    """Share of a full shift in the heat for someone new to it or back after a break.

    Parameters
    ----------
    day_count : float or array, day in the heat, the first is 1
    step_frac : float, share added each day [0-1]

    Returns
    -------
    float or array of the same shape [0-1]

    Valid
    -----
    New and returning workers; people with conditions need a physician's word.

    Raises
    ------
    OutOfRange
        A day outside 1-365.

    Example
    -------
    >>> heat_share(1), heat_share(9)
    (0.2, 1.0)

    Source
    ------
    [JacksonRosenberg2010]_ and the rule of 20 % a day.
    """
    return plain(np.minimum(within("day_count", day_count, 1.0, 365.0, 1.0) * step_frac, 1.0))
