"""How much dry matter a cow, dry cow or heifer eats in a day.

No equation replaces a measured pen intake: group predictions still miss by about a tenth [Lee2021]_.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange
from app.nutrition.ranges import COW_WEIGHT, DAYS, HEIFER_WEIGHT, MILK, SHARE, Possible, Tested
from app.units.quantities import KG_PER_LB
from app.units.sentences import Sentence

MATURE_HOLSTEIN_KG = 700.0


def milk_energy(
    milk_kg_d: ArrayLike, fat_frac: ArrayLike, true_protein_frac: ArrayLike, lactose_frac: ArrayLike
) -> NDArray[np.float64]:
    """Energy leaving in milk.

    Parameters
    ----------
    milk_kg_d : float or array
        Milk yield. [kg/d]
    fat_frac, true_protein_frac, lactose_frac : float or array
        Content in the milk. [kg/kg]

    Returns
    -------
    array, same shape
        Milk energy. [Mcal/d]

    Valid
    -----
    Cow's milk.

    Raises
    ------
    OutOfRange
        If milk lies outside 0 to 100 kg/d or a content outside 0 to 0.12.

    Example
    -------
    >>> round(float(milk_energy(40.0, 0.038, 0.031, 0.0485)), 3)
    29.038

    Source
    ------
    [NASEM2021]_ milk energy equation.
    """
    milk = MILK("milk_kg_d", milk_kg_d)
    content = Possible(0.0, 0.12, "kg/kg")
    fat = content("fat_frac", fat_frac)
    protein = content("true_protein_frac", true_protein_frac)
    lactose = content("lactose_frac", lactose_frac)
    return (9.29 * fat + 5.85 * protein + 3.95 * lactose) * milk


def lactating_intake(
    milk_energy_mcal_d: ArrayLike,
    weight_kg: ArrayLike,
    in_milk_d: ArrayLike,
    multiparous_frac: ArrayLike,
    condition_index: ArrayLike,
) -> NDArray[np.float64]:
    """Dry matter intake of a milking group, from the animals.

    Parameters
    ----------
    milk_energy_mcal_d : float or array
        Milk energy. [Mcal/d]
    weight_kg : float or array
        Body weight. [kg]
    in_milk_d : float or array
        Days in milk. [d]
    multiparous_frac : float or array
        Share of cows past their first lactation. [fraction]
    condition_index : float or array
        Body condition score. [1-5]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Holstein groups; use it where groups differ by parity, milk or condition.

    Raises
    ------
    OutOfRange
        If energy lies outside 0-80 Mcal/d, weight 200-1,200 kg, condition 1-5, the share 0-1 or the days 0-3,660.

    Example
    -------
    >>> round(float(lactating_intake(29.0383, 700.0, 120.0, 1.0, 3.0)), 3)
    25.964

    Source
    ------
    [NASEM2021]_ equation 2-1; fitted by [DeSouza2019]_ (authorship from memory).
    """
    energy = Possible(0.0, 80.0, "Mcal/d")("milk_energy_mcal_d", milk_energy_mcal_d)
    bw = COW_WEIGHT("weight_kg", weight_kg)
    dim = DAYS("in_milk_d", in_milk_d)
    p = SHARE("multiparous_frac", multiparous_frac)
    bcs = Possible(1.0, 5.0, "points")("condition_index", condition_index)
    full = 3.7 + 5.7 * p + 0.305 * energy + 0.022 * bw + (-0.689 - 1.87 * p) * bcs
    return full * (1 - (0.212 + 0.136 * p) * np.exp(-0.053 * dim))


LACTATING_BY_DIET_TESTED = Tested(
    ranges={
        "in_milk_d": (60.0, 309.0),
        "milk_kg_d": (20.3, 51.1),
        "diet_ndf_frac": (0.255, 0.482),
        "forage_ndf_frac": (0.099, 0.393),
        "adf_ndf_frac": (0.45, 0.84),
        "forage_ndfd48_frac": (0.241, 0.727),
    },
    kinds={
        "in_milk_d": "days",
        "milk_kg_d": "milk",
        "diet_ndf_frac": "percent",
        "forage_ndf_frac": "percent",
        "adf_ndf_frac": "percent",
        "forage_ndfd48_frac": "percent",
    },
    labels={
        "in_milk_d": Sentence("Days in milk"),
        "milk_kg_d": Sentence("Milk yield"),
        "diet_ndf_frac": Sentence("Diet NDF"),
        "forage_ndf_frac": Sentence("Forage NDF in the diet"),
        "adf_ndf_frac": Sentence("ADF as a share of NDF"),
        "forage_ndfd48_frac": Sentence("Forage NDF digestibility"),
    },
)
"""Range of the data behind equation 2-2 [Allen2019]_; not for fresh cows."""


def lactating_intake_by_diet(
    milk_kg_d: ArrayLike, forage_ndf_frac: ArrayLike, adf_ndf_frac: ArrayLike, forage_ndfd48_frac: ArrayLike
) -> NDArray[np.float64]:
    """Dry matter intake of a milking group, from milk and the filling effect of its diet.

    Parameters
    ----------
    milk_kg_d : float or array
        Milk yield. [kg/d]
    forage_ndf_frac : float or array
        NDF from forage in the diet, of diet DM. [fraction]
    adf_ndf_frac : float or array
        ADF divided by NDF of the diet (high for alfalfa, low for grass and corn). [fraction]
    forage_ndfd48_frac : float or array
        Digestibility of the forage NDF, 48 h in vitro, of NDF. [fraction]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Root mean square error 1.55 kg/d; `LACTATING_BY_DIET_TESTED` holds the range of the data. Not for fresh cows.

    Raises
    ------
    OutOfRange
        If milk lies outside 0-100 kg/d or a fraction outside 0-1.

    Example
    -------
    >>> round(float(lactating_intake_by_diet(35.0, 0.30, 0.75, 0.50)), 3)
    23.988

    Source
    ------
    [NASEM2021]_ equation 2-2; [Allen2019]_.
    """
    my = MILK("milk_kg_d", milk_kg_d)
    fndf = 100 * SHARE("forage_ndf_frac", forage_ndf_frac)
    fragility = SHARE("adf_ndf_frac", adf_ndf_frac)
    ndfd = 100 * SHARE("forage_ndfd48_frac", forage_ndfd48_frac)
    return (
        12.0
        - 0.107 * fndf
        + 8.17 * fragility
        + 0.0253 * ndfd
        - 0.328 * (fragility - 0.602) * (ndfd - 48.3)
        + 0.225 * my
        + 0.00390 * (ndfd - 48.3) * (my - 33.1)
    )


def forage_ndf(shares_frac: ArrayLike, ndf_frac: ArrayLike) -> NDArray[np.float64]:
    """NDF that the forages bring to a diet.

    Parameters
    ----------
    shares_frac : array, last axis over forages
        Share of each forage in diet DM. [fraction]
    ndf_frac : array, last axis over forages
        NDF of each forage, of DM. [fraction]

    Returns
    -------
    array, last axis summed
        Forage NDF, of diet DM. [fraction]

    Valid
    -----
    Always: it is a sum of masses.

    Raises
    ------
    OutOfRange
        If a share or an NDF lies outside 0-1.

    Example
    -------
    >>> round(float(forage_ndf([0.40, 0.20], [0.45, 0.42])), 4)
    0.264

    Source
    ------
    [NASEM2021]_ definition of forage NDF.
    """
    return np.sum(SHARE("shares_frac", shares_frac) * SHARE("ndf_frac", ndf_frac), axis=-1)


def fat_corrected_milk(milk_kg_d: ArrayLike, fat_frac: ArrayLike) -> NDArray[np.float64]:
    """Milk yield corrected to four per cent fat.

    Parameters
    ----------
    milk_kg_d : float or array
        Milk yield. [kg/d]
    fat_frac : float or array
        Fat content. [kg/kg]

    Returns
    -------
    array, same shape
        Four per cent fat-corrected milk. [kg/d]

    Valid
    -----
    Cow's milk.

    Raises
    ------
    OutOfRange
        If milk lies outside 0-100 kg/d or fat outside 0-0.12.

    Example
    -------
    >>> round(float(fat_corrected_milk(40.0, 0.035)), 1)
    37.0

    Source
    ------
    [NRC2001]_ (equation from memory).
    """
    milk = MILK("milk_kg_d", milk_kg_d)
    fat = Possible(0.0, 0.12, "kg/kg")("fat_frac", fat_frac)
    return 0.4 * milk + 15 * milk * fat


def lactating_intake_2001(
    fat_corrected_milk_kg_d: ArrayLike, weight_kg: ArrayLike, in_milk_d: ArrayLike
) -> NDArray[np.float64]:
    """Dry matter intake of milking cows by the older North American equation, to match older tables.

    Parameters
    ----------
    fat_corrected_milk_kg_d : float or array
        Four per cent fat-corrected milk. [kg/d]
    weight_kg : float or array
        Body weight. [kg]
    in_milk_d : float or array
        Days in milk. [d]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Holstein, about 500-750 kg, to about 55 kg milk a day (from memory); published tables are met within 2 per cent.

    Raises
    ------
    OutOfRange
        If milk lies outside 0-100 kg/d, weight 200-1,200 kg or the days 0-3,660.

    Example
    -------
    >>> round(float(lactating_intake_2001(37.0, 650.0, 140.0)), 3)
    25.947

    Source
    ------
    [NRC2001]_ lactating cow equation (from memory, held against the published table).
    """
    fcm = MILK("fat_corrected_milk_kg_d", fat_corrected_milk_kg_d)
    bw = COW_WEIGHT("weight_kg", weight_kg)
    wol = DAYS("in_milk_d", in_milk_d) / 7
    return (0.372 * fcm + 0.0968 * bw**0.75) * (1 - np.exp(-0.192 * (wol + 3.67)))


def lactating_intake_korean(
    fat_corrected_milk_kg_d: ArrayLike, weight_kg: ArrayLike, diet_ndf_frac: ArrayLike
) -> NDArray[np.float64]:
    """Dry matter intake of milking cows by an independent equation, as a cross-check.

    Parameters
    ----------
    fat_corrected_milk_kg_d : float or array
        Four per cent fat-corrected milk. [kg/d]
    weight_kg : float or array
        Body weight. [kg]
    diet_ndf_frac : float or array
        NDF of the diet, of DM. [fraction]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Korean Holstein herds; root mean square prediction error 2.70 kg/d.

    Raises
    ------
    OutOfRange
        If milk lies outside 0-100 kg/d, weight 200-1,200 kg or NDF 0-1.

    Example
    -------
    >>> round(float(lactating_intake_korean(37.0, 650.0, 0.32)), 2)
    25.22

    Source
    ------
    [Lee2021]_ evaluated equation.
    """
    fcm = MILK("fat_corrected_milk_kg_d", fat_corrected_milk_kg_d)
    bw = COW_WEIGHT("weight_kg", weight_kg)
    ndf = 100 * SHARE("diet_ndf_frac", diet_ndf_frac)
    return 4.103 + 0.112 * bw**0.75 + 0.284 * fcm - 0.119 * ndf


def dry_cow_intake(weight_kg: ArrayLike, to_calving_d: ArrayLike, diet_ndf_frac: ArrayLike) -> NDArray[np.float64]:
    """Dry matter intake of a dry cow, falling over the last three weeks before calving.

    Parameters
    ----------
    weight_kg : float or array
        Body weight. [kg]
    to_calving_d : float or array
        Days left to calving; more than 21 counts as 21 (far-off). [d]
    diet_ndf_frac : float or array
        NDF of the diet, of DM; held within 0.30-0.55 as the source does. [fraction]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Diet NDF 0.30-0.55.

    Raises
    ------
    OutOfRange
        If weight lies outside 200-1,200 kg, the days 0-3,660 or NDF 0-1.

    Example
    -------
    >>> round(float(dry_cow_intake(725.0, 21.0, 0.45)), 2)
    13.57

    Source
    ------
    [NASEM2021]_ late gestation (from memory; within 1 per cent of [Hayirli2003]_ over three weeks).
    """
    bw = COW_WEIGHT("weight_kg", weight_kg)
    week = -np.minimum(DAYS("to_calving_d", to_calving_d) / 7, 3.0)
    ndf = np.clip(100 * SHARE("diet_ndf_frac", diet_ndf_frac), 30.0, 55.0)
    percent = 1.47 - (0.365 - 0.0028 * ndf) * week - 0.035 * week**2
    return percent / 100 * bw


@dataclass(frozen=True)
class CloseUpCurve:
    """Coefficients of the fall before calving: per cent of weight = base - drop x exp(rate x days past 280)."""

    base: float
    drop: float
    rate: float


CLOSE_UP_COWS = CloseUpCurve(1.979, 0.756, 0.154)
CLOSE_UP_HEIFERS = CloseUpCurve(1.713, 0.688, 0.344)
CLOSE_UP_COWS_ROUNDED = CloseUpCurve(1.97, 0.75, 0.16)


def close_up_intake(
    weight_kg: ArrayLike, pregnant_d: ArrayLike, *, curve: CloseUpCurve = CLOSE_UP_COWS
) -> NDArray[np.float64]:
    """Dry matter intake over the last three weeks of pregnancy.

    Parameters
    ----------
    weight_kg : float or array
        Body weight. [kg]
    pregnant_d : float or array
        Days pregnant, calving at 280; earlier than 259 takes the value of 259. [d]
    curve : CloseUpCurve
        `CLOSE_UP_COWS` or `CLOSE_UP_HEIFERS`; the `_ROUNDED` pair is the one the older requirement tables print.

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Days 259-280; 699 animals, 49 diets.

    Raises
    ------
    OutOfRange
        If weight lies outside 200-1,200 kg or days pregnant outside 0-300.

    Example
    -------
    >>> round(float(close_up_intake(751.0, 270.0, curve=CLOSE_UP_COWS_ROUNDED)), 2)
    13.66

    Source
    ------
    [Hayirli2003]_ abstract; data of [Hayirli2002]_; rounded pair as printed by [NRC2001]_.
    """
    bw = COW_WEIGHT("weight_kg", weight_kg)
    days = Possible(0.0, 300.0, "d")("pregnant_d", pregnant_d)
    t = np.maximum(days - 280, -21.0)
    return (curve.base - curve.drop * np.exp(curve.rate * t)) / 100 * bw


def heifer_intake(weight_kg: ArrayLike, *, mature_weight_kg: ArrayLike = MATURE_HOLSTEIN_KG) -> NDArray[np.float64]:
    """Dry matter intake of a growing heifer, from her weight.

    Parameters
    ----------
    weight_kg : float or array
        Body weight. [kg]
    mature_weight_kg : float or array
        Weight of the mature cow: Holstein about 700, Jersey about 520. [kg]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Weaned to calving; expect half a kilogram either way and scale by measured pen intake.

    Raises
    ------
    OutOfRange
        If a weight lies outside 25-1,000 kg.

    Example
    -------
    >>> round(float(heifer_intake(300.0)), 2)
    7.44

    Source
    ------
    [NASEM2021]_ heifer equation, animal factors (from memory).
    """
    bw = HEIFER_WEIGHT("weight_kg", weight_kg)
    mature = HEIFER_WEIGHT("mature_weight_kg", mature_weight_kg)
    return 0.022 * mature * (1 - np.exp(-1.54 * bw / mature))


def heifer_intake_by_diet(
    weight_kg: ArrayLike, diet_ndf_frac: ArrayLike, *, mature_weight_kg: ArrayLike = MATURE_HOLSTEIN_KG
) -> NDArray[np.float64]:
    """Dry matter intake of a growing heifer, from her weight and the NDF of her diet.

    Parameters
    ----------
    weight_kg : float or array
        Body weight. [kg]
    diet_ndf_frac : float or array
        NDF of the diet, of DM. [fraction]
    mature_weight_kg : float or array
        Weight of the mature cow. [kg]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Weaned to calving; `heifer_ndf_cap` is the check against fill.

    Raises
    ------
    OutOfRange
        If a weight lies outside 25-1,000 kg, NDF outside 0-1, or the result would be negative.

    Example
    -------
    >>> round(float(heifer_intake_by_diet(300.0, 0.45)), 2)
    7.11

    Source
    ------
    [NASEM2021]_ heifer equation with diet NDF (from memory).
    """
    bw = HEIFER_WEIGHT("weight_kg", weight_kg)
    mature = HEIFER_WEIGHT("mature_weight_kg", mature_weight_kg)
    ndf = 100 * SHARE("diet_ndf_frac", diet_ndf_frac)
    x = bw / mature
    intake = 0.0226 * mature * (1 - np.exp(-1.47 * x)) - 0.082 * (ndf - (23.1 + 56 * x - 30.6 * x**2))
    if np.any(intake < 0):
        raise OutOfRange("diet_ndf_frac is too high for a heifer of this weight_kg: the equation gives no intake")
    return intake


def heifer_ndf_cap(
    weight_kg: ArrayLike, diet_ndf_frac: ArrayLike, *, ndf_of_weight_frac: ArrayLike = 0.010
) -> NDArray[np.float64]:
    """Most dry matter a heifer eats before the fibre fills her.

    Parameters
    ----------
    weight_kg : float or array
        Body weight. [kg]
    diet_ndf_frac : float or array
        NDF of the diet, of DM. [fraction]
    ndf_of_weight_frac : float or array
        NDF eaten a day, of body weight. [fraction]

    Returns
    -------
    array, same shape
        Highest intake. [kg DM/d]

    Valid
    -----
    Heifers; more than 9,000 pen-days behind the one per cent.

    Raises
    ------
    OutOfRange
        If weight lies outside 25-1,000 kg, NDF outside 0.05-1 or the share of weight outside 0-0.03.

    Example
    -------
    >>> round(float(heifer_ndf_cap(453.592, 0.48)), 2)
    9.45

    Source
    ------
    [Hoffman2013]_ one per cent of body weight as NDF.
    """
    bw = HEIFER_WEIGHT("weight_kg", weight_kg)
    ndf = Possible(0.05, 1.0, "(a fraction)")("diet_ndf_frac", diet_ndf_frac)
    return Possible(0.0, 0.03, "(a fraction)")("ndf_of_weight_frac", ndf_of_weight_frac) * bw / ndf


def forage_ndf_cap(
    weight_kg: ArrayLike, forage_ndf_frac: ArrayLike, *, ndf_of_weight_frac: ArrayLike = 0.012
) -> NDArray[np.float64]:
    """Most forage dry matter a milking cow eats before forage fibre fills her.

    Parameters
    ----------
    weight_kg : float or array
        Body weight. [kg]
    forage_ndf_frac : float or array
        NDF of the forage, of DM. [fraction]
    ndf_of_weight_frac : float or array
        Forage NDF eaten a day, of body weight; 0.011-0.012 published. [fraction]

    Returns
    -------
    array, same shape
        Highest forage intake. [kg DM/d]

    Valid
    -----
    Milking cows.

    Raises
    ------
    OutOfRange
        If weight lies outside 200-1,200 kg, NDF outside 0.05-1 or the share of weight outside 0-0.03.

    Example
    -------
    >>> round(float(forage_ndf_cap(680.389, 0.60)), 2)
    13.61

    Source
    ------
    [Hibma2026]_ 1.1-1.2 per cent of body weight as forage NDF.
    """
    bw = COW_WEIGHT("weight_kg", weight_kg)
    ndf = Possible(0.05, 1.0, "(a fraction)")("forage_ndf_frac", forage_ndf_frac)
    return Possible(0.0, 0.03, "(a fraction)")("ndf_of_weight_frac", ndf_of_weight_frac) * bw / ndf


def holstein_planning_intake(milk_kg_d: ArrayLike) -> NDArray[np.float64]:
    """Dry matter intake of Holsteins when only milk is known.

    Parameters
    ----------
    milk_kg_d : float or array
        Milk yield. [kg/d]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Milk 27-45 kg (60-100 lb) a day; a line through three published points.

    Raises
    ------
    OutOfRange
        If milk lies outside 0-100 kg/d.

    Example
    -------
    >>> round(float(holstein_planning_intake(70 * 0.45359237)) / 0.45359237, 1)
    50.5

    Source
    ------
    [Weiss2004]_ table; the line is derived from it.
    """
    return 26 * KG_PER_LB + 0.35 * MILK("milk_kg_d", milk_kg_d)


def jersey_planning_intake(milk_kg_d: ArrayLike) -> NDArray[np.float64]:
    """Dry matter intake of Jerseys when only milk is known.

    Parameters
    ----------
    milk_kg_d : float or array
        Milk yield. [kg/d]

    Returns
    -------
    array, same shape
        Intake. [kg DM/d]

    Valid
    -----
    Milk 18-27 kg (40-60 lb) a day; a line through three published points.

    Raises
    ------
    OutOfRange
        If milk lies outside 0-100 kg/d.

    Example
    -------
    >>> round(float(jersey_planning_intake(50 * 0.45359237)) / 0.45359237, 1)
    39.0

    Source
    ------
    [Weiss2004]_ table; the line is derived from it.
    """
    return 19 * KG_PER_LB + 0.40 * MILK("milk_kg_d", milk_kg_d)
