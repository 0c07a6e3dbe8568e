"""When and how low a stand may be cut, and what spraying it asks for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange
from app.units.quantities import CM_PER_IN, F_D_PER_C_D, KG_HA_PER_TON_ACRE
from app.units.ranges import Figures, fraction, within
from app.units.sentences import Sentence

STUBBLE_CM = (0.0, 60.0)
LOWEST_STUBBLE_CM = 2 * CM_PER_IN
YIELD_SLOPE_KG_HA_CM = -0.14 * KG_HA_PER_TON_ACRE / CM_PER_IN
YIELD_SLOPES_MEASURED_KG_HA_CM = (-0.15 * KG_HA_PER_TON_ACRE / CM_PER_IN, -0.13 * KG_HA_PER_TON_ACRE / CM_PER_IN)
"""First cutting alone, measured: 0.13 and 0.15 t/ac less for each inch higher. [Rankin2026]_ [MinerHeight2026]_"""

PURE_ALFALFA_GRASS_FRAC = 0.10
HEAT_C_D = (0.0, 6000.0)


class AutumnRest(IntEnum):
    """Whether a late cut leaves the stand safe for winter."""

    SAFE = 0
    RISK = 1


@dataclass(frozen=True)
class RestRule:
    """Heat before the killing frost: more than `enough` lets roots refill, less than `little` starts no regrowth."""

    enough_c_d: float
    little_c_d: float
    name: Sentence
    source: str


REST_RULES = {
    "current": RestRule(
        900 / F_D_PER_C_D, 360 / F_D_PER_C_D, Sentence("current: more than 900 or less than 360 F d"), "Wisconsin2026"
    ),
    "legacy": RestRule(
        500 / F_D_PER_C_D, 200 / F_D_PER_C_D, Sentence("older print: more than 500 or less than 200 F d"), "Bland2012"
    ),
}
"""The older figures are degree-days C (500 and 200) read as degree-days F. [Wisconsin2026]_ [Bland2012]_"""


@dataclass(frozen=True)
class CuttingSystem:
    """Days from one cutting to the next in a way of farming alfalfa."""

    name: Sentence
    interval_d: tuple[int, int]
    source: str


SYSTEMS = {
    "bud": CuttingSystem(Sentence("bud, four or five cuttings"), (28, 33), "from memory"),
    "dairy": CuttingSystem(Sentence("dairy practice, Wisconsin"), (28, 30), "Fungicide2026b"),
    "flower": CuttingSystem(Sentence("first flower to a quarter in bloom"), (35, 45), "Massachusetts2026"),
    "three-summer": CuttingSystem(Sentence("three summer cuttings"), (40, 45), "Barnhart2010"),
}
"""[Fungicide2026b]_, [Massachusetts2026]_, [Barnhart2010]_; the bud interval is from memory."""


def yield_change_of_stubble(
    stubble_cm: ArrayLike,
    from_stubble_cm: ArrayLike = LOWEST_STUBBLE_CM,
    *,
    slope_kg_ha_cm: float = YIELD_SLOPE_KG_HA_CM,
) -> Figures:
    """Change of the first cutting's dry matter with stubble, as measured.

    Parameters
    ----------
    stubble_cm, from_stubble_cm : float or array
        Stubble left, and the stubble compared with. [cm]
    slope_kg_ha_cm : float, keyword
        Dry matter for each centimetre higher. [kg/(ha cm)]

    Returns
    -------
    array, same shape
        Change of dry matter taken, negative when cut higher. [kg/ha]

    Valid
    -----
    First cutting alone, 2 to 6 in. The larger figure in print (half a ton an inch) is a season of three cuttings.

    Raises
    ------
    OutOfRange
        If stubble lies outside 0 to 60 cm or the slope outside -400 to 0.

    Example
    -------
    >>> slope = -0.13 * KG_HA_PER_TON_ACRE / CM_PER_IN
    >>> change = yield_change_of_stubble(4 * 2.54, 2.5 * 2.54, slope_kg_ha_cm=slope)
    >>> round(float(change) / KG_HA_PER_TON_ACRE, 3)
    -0.195

    Source
    ------
    [Rankin2026]_ 0.13 t/ac an inch and [MinerHeight2026]_ 0.15; 0.14 between them derived.
    """
    slope = within("slope_kg_ha_cm", slope_kg_ha_cm, (-400, 0), "kg/ha per cm")
    return slope * _higher_by(stubble_cm, from_stubble_cm)


def yield_change_of_stubble_practice(
    stubble_cm: ArrayLike,
    season_yield_kg_ha: ArrayLike,
    from_stubble_cm: ArrayLike = LOWEST_STUBBLE_CM,
    *,
    share_frac_in: float = 0.04,
) -> Figures:
    """Change of a cutting's dry matter with stubble, by the rule of practice.

    Parameters
    ----------
    stubble_cm, from_stubble_cm : float or array
        Stubble left, and the stubble compared with. [cm]
    season_yield_kg_ha : float or array
        Dry matter of the season. [kg/ha]
    share_frac_in : float, keyword
        Share of the season's yield for each inch. [fraction/in]

    Returns
    -------
    array, same shape
        Change of dry matter taken, negative when cut higher. [kg/ha]

    Valid
    -----
    The alternative to the measured slope; a coarse rule.

    Raises
    ------
    OutOfRange
        If stubble (0 to 60 cm), yield (0 to 40,000 kg/ha) or share (0 to 0.2) cannot be one.

    Example
    -------
    >>> round(float(yield_change_of_stubble_practice(3 * 2.54, 10_000.0)), 6)
    -400.0

    Source
    ------
    Common practice, no source.
    """
    season = within("season_yield_kg_ha", season_yield_kg_ha, (0, 40_000), "kg/ha")
    share = within("share_frac_in", share_frac_in, (0.0, 0.2), "an inch")
    return -share * season * _higher_by(stubble_cm, from_stubble_cm) / CM_PER_IN


def ndf_change_of_stubble(
    stubble_cm: ArrayLike, from_stubble_cm: ArrayLike = LOWEST_STUBBLE_CM, *, ndf_frac_in: float = -0.0075
) -> Figures:
    """Change of NDF of what is taken, with stubble.

    Parameters
    ----------
    stubble_cm, from_stubble_cm : float or array
        Stubble left, and the stubble compared with. [cm]
    ndf_frac_in : float, keyword
        NDF for each inch higher. [fraction/in]

    Returns
    -------
    array, same shape
        Change of NDF in dry matter, negative when cut higher. [fraction]

    Valid
    -----
    Alfalfa, 2 to 6 in.

    Raises
    ------
    OutOfRange
        If stubble lies outside 0 to 60 cm or the slope outside -0.05 to 0.

    Example
    -------
    >>> round(float(ndf_change_of_stubble(4 * 2.54)) * 100, 6)
    -1.5

    Source
    ------
    Derived from the 4 points of relative feed value an inch of [Wiersma2026]_.
    """
    slope = within("ndf_frac_in", ndf_frac_in, (-0.05, 0.0), "an inch")
    return slope * _higher_by(stubble_cm, from_stubble_cm) / CM_PER_IN


def rfv_change_of_stubble(
    stubble_cm: ArrayLike, from_stubble_cm: ArrayLike = LOWEST_STUBBLE_CM, *, rfv_index_in: float = 4.0
) -> Figures:
    """Change of relative feed value of what is taken, with stubble.

    Parameters
    ----------
    stubble_cm, from_stubble_cm : float or array
        Stubble left, and the stubble compared with. [cm]
    rfv_index_in : float, keyword
        Relative feed value for each inch higher. [index/in]

    Returns
    -------
    array, same shape
        Change of relative feed value, positive when cut higher. [index]

    Valid
    -----
    Alfalfa, 2 to 6 in.

    Raises
    ------
    OutOfRange
        If stubble lies outside 0 to 60 cm or the slope outside 0 to 20.

    Example
    -------
    >>> round(float(rfv_change_of_stubble(4 * 2.54, 2.5 * 2.54)), 6)
    6.0

    Source
    ------
    [Wiersma2026]_ 4 points an inch.
    """
    slope = within("rfv_index_in", rfv_index_in, (0.0, 20.0), "an inch")
    return slope * _higher_by(stubble_cm, from_stubble_cm) / CM_PER_IN


def stubble_floor(
    grass_frac: ArrayLike = 0.0,
    shoots_cm: ArrayLike = 0.0,
    *,
    stressed: bool = False,
    last_cut_month: int | None = None,
) -> Figures:
    """Lowest stubble a stand should be left with.

    Parameters
    ----------
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]
    shoots_cm : float or array
        Height of new crown shoots; clipping them sets regrowth back by up to a week. [cm]
    stressed : bool, keyword
        Drought, flood, winter injury, or cut early or often. [yes or no]
    last_cut_month : int, keyword
        Month of the year's last cutting, when this is it. [month]

    Returns
    -------
    array, same shape
        Lowest stubble. [cm]

    Valid
    -----
    Alfalfa 2 in, more than a tenth of grass 3 in, two inches more under stress; last cutting 4 in, in November 6 in.

    Raises
    ------
    OutOfRange
        If the share, the shoots (0 to 60 cm) or the month cannot be one.

    Example
    -------
    >>> (stubble_floor([0.0, 0.4]) / 2.54).round(2).tolist()
    [2.0, 3.0]
    >>> round(float(stubble_floor(stressed=True)) / 2.54, 2)
    4.0

    Source
    ------
    [Wiersma2026]_ alfalfa, stress and last cutting; [Thomas2009]_ grass; [Anderson2017]_ shoots; [Sheaffer2026]_
    November. The two inches for stress are derived.
    """
    grass = fraction("grass_frac", grass_frac)
    floor = np.where(grass > PURE_ALFALFA_GRASS_FRAC, 3.0, 2.0) + (2.0 if stressed else 0.0)
    floor = np.maximum(floor, _last_cut_floor(last_cut_month)) * CM_PER_IN
    floor = np.maximum(floor, within("shoots_cm", shoots_cm, STUBBLE_CM, "cm"))
    return np.where(np.isnan(grass), np.nan, floor)


def stubble_advised(grass_frac: ArrayLike = 0.0) -> Figures:
    """Stubble a healthy stand is usually left with.

    Parameters
    ----------
    grass_frac : float or array
        Grass in the dry matter of the stand. [fraction]

    Returns
    -------
    array, same shape
        Stubble. [cm]

    Valid
    -----
    Spring and summer: 3 in for alfalfa (2.5 to 3.5), 4 in with more than a tenth of grass.

    Raises
    ------
    OutOfRange
        If the share lies outside 0 to 1.

    Example
    -------
    >>> (stubble_advised([0.0, 0.4]) / 2.54).round(2).tolist()
    [3.0, 4.0]

    Source
    ------
    [OhioState2017]_; the practical range of alfalfa is also that of [Wiersma2026]_.
    """
    grass = fraction("grass_frac", grass_frac)
    return np.where(np.isnan(grass), np.nan, np.where(grass > PURE_ALFALFA_GRASS_FRAC, 4.0, 3.0) * CM_PER_IN)


def autumn_rest(
    heat_c_d: ArrayLike,
    *,
    enough_c_d: float = REST_RULES["current"].enough_c_d,
    little_c_d: float = REST_RULES["current"].little_c_d,
) -> Figures:
    """Whether a late cutting leaves the stand safe, by the heat still to come before the killing frost.

    Parameters
    ----------
    heat_c_d : float or array
        Heat above 5 C from the cutting to the killing frost. [C d]
    enough_c_d, little_c_d : float, keyword
        More than enough lets roots refill; less than little starts no regrowth. See `REST_RULES`. [C d]

    Returns
    -------
    array, same shape
        Rank as in `AutumnRest`: 0 safe, 1 risk. [class]

    Valid
    -----
    Alfalfa in the northern states; killing frost is taken as 28 to 24 F by different states. The figures themselves
    count as risk.

    Raises
    ------
    OutOfRange
        If the heat is negative or above 6000 C d, or little is more than enough.

    Example
    -------
    >>> [AutumnRest(int(autumn_rest(heat / 1.8))).name for heat in (950, 600, 300)]
    ['SAFE', 'RISK', 'SAFE']

    Source
    ------
    [Wisconsin2026]_ more than 900 or less than 360 F d; [Bland2012]_ the older 500 and 200.
    """
    heat = within("heat_c_d", heat_c_d, HEAT_C_D, "C d")
    if little_c_d > enough_c_d:
        raise OutOfRange("little_c_d must not lie above enough_c_d, for example 200 and 500 C d")
    risk = (heat <= enough_c_d + 1e-9) & (heat >= little_c_d - 1e-9)
    return np.where(np.isnan(heat), np.nan, risk.astype(float))


def fungicide_break_even(cost_usd_ha: ArrayLike, value_usd_kg: ArrayLike) -> Figures:
    """Dry matter a fungicide must add to pay for itself.

    Parameters
    ----------
    cost_usd_ha : float or array
        Product and application. [USD/ha]
    value_usd_kg : float or array
        Worth of forage dry matter. [USD/kg]

    Returns
    -------
    array, same shape
        Dry matter to gain. [kg/ha]

    Valid
    -----
    Any crop. Mean gains measured in alfalfa cut every 30 days were 0.05 to 0.11 t/ac.

    Raises
    ------
    OutOfRange
        If the cost (0 to 2000 USD/ha) or the worth (0.01 to 5 USD/kg) cannot be one.

    Example
    -------
    >>> from app.units.quantities import HA_PER_ACRE, KG_PER_SHORT_TON
    >>> round(float(fungicide_break_even(30 / HA_PER_ACRE, 200 / KG_PER_SHORT_TON)) / KG_HA_PER_TON_ACRE, 6)
    0.15

    Source
    ------
    Cost divided by worth (derived); gains of [Fungicide2026]_.
    """
    cost = within("cost_usd_ha", cost_usd_ha, (0, 2000), "USD/ha")
    return cost / within("value_usd_kg", value_usd_kg, (0.01, 5), "USD/kg")


def earliest_cut_on(sprayed_on: date, interval_d: int) -> date:
    """First day on which a sprayed stand may be cut.

    Parameters
    ----------
    sprayed_on : date
        Day of spraying. [date]
    interval_d : int
        Pre-harvest interval on the label in hand. [d]

    Returns
    -------
    date
        First day allowed; the label decides, and rules of the place add to it. [date]

    Valid
    -----
    Any product. Labels read in 2018 had 14 d and one application for each cutting.

    Raises
    ------
    OutOfRange
        If the interval lies outside 0 to 365 d.

    Example
    -------
    >>> earliest_cut_on(date(2026, 5, 4), 14)
    datetime.date(2026, 5, 18)

    Source
    ------
    [Fungicide2018]_ pre-harvest interval.
    """
    within("interval_d", interval_d, (0, 365), "d")
    return sprayed_on + timedelta(days=int(interval_d))


def latest_spray_heat(cut_heat_c_d: ArrayLike, day_heat_c_d: ArrayLike, interval_d: ArrayLike) -> Figures:
    """Total of heat by which to spray so that the interval ends before the cutting.

    Parameters
    ----------
    cut_heat_c_d : float or array
        Total of heat at which the stand is to be cut. [C d]
    day_heat_c_d : float or array
        Heat of a day in between. [C d]
    interval_d : float or array
        Pre-harvest interval on the label. [d]

    Returns
    -------
    array, same shape
        Total of heat, negative when it cannot be done this spring. [C d]

    Valid
    -----
    A guide for planning; the calendar and the label decide.

    Raises
    ------
    OutOfRange
        If heat (0 to 6000, 0 to 65 a day) or interval (0 to 365 d) cannot be one.

    Example
    -------
    >>> round(float(latest_spray_heat(750 / 1.8, 22 / 1.8, 14)) * 1.8, 6)
    442.0

    Source
    ------
    Derived from the interval of [Fungicide2018]_.
    """
    cut = within("cut_heat_c_d", cut_heat_c_d, HEAT_C_D, "C d")
    days = within("interval_d", interval_d, (0, 365), "d")
    return cut - days * within("day_heat_c_d", day_heat_c_d, (0.0, 65.0), "C d")


def interval_is_kept(interval_d: ArrayLike, wanted_d: ArrayLike) -> NDArray[np.bool_]:
    """Whether the days between two cuttings reach those a system asks for.

    Parameters
    ----------
    interval_d : float or array
        Days from the cutting before. [d]
    wanted_d : float or array
        Fewest days of the system; see `SYSTEMS`. [d]

    Returns
    -------
    array of bool, same shape
        True when the interval is long enough. [yes or no]

    Valid
    -----
    Regrowth of alfalfa.

    Raises
    ------
    OutOfRange
        If days lie outside 0 to 365.

    Example
    -------
    >>> interval_is_kept([26, 28, 33], SYSTEMS["bud"].interval_d[0]).tolist()
    [False, True, True]

    Source
    ------
    [Massachusetts2026]_ intervals and the life of stands; the bud interval from memory.
    """
    return within("interval_d", interval_d, (0, 365), "d") >= within("wanted_d", wanted_d, (0, 365), "d")


def _higher_by(stubble_cm: ArrayLike, from_stubble_cm: ArrayLike) -> Figures:
    stubble = within("stubble_cm", stubble_cm, STUBBLE_CM, "cm")
    return stubble - within("from_stubble_cm", from_stubble_cm, STUBBLE_CM, "cm")


def _last_cut_floor(last_cut_month: int | None) -> float:
    if last_cut_month is None:
        return 0.0
    if last_cut_month not in range(1, 13):
        raise OutOfRange(f"last_cut_month must lie within 1 to 12, for example 10; it was {last_cut_month}")
    return 6.0 if last_cut_month == 11 else 4.0
