"""Dry matter a herd needs, what storage and feeding lose on the way, and what a shortage costs.

Three losses are kept apart: storage, feed-out and bunk refusals. Two conventions are in print. Dividing by what is left
(1 - loss) follows the mass; extension tables multiply by (1 + loss). `Convention` switches between them.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.nutrition.ranges import DAYS, HEAD, INTAKE, LOSS, MASS, PRICE, SHARE, Possible
from app.units.quantities import KG_PER_LB

YEAR_D = 365
POSITIVE_SHARE = Possible(0.01, 1.0, "(a fraction)")
RFV = Possible(20.0, 400.0, "points")


class Convention(StrEnum):
    """How a loss in per cent is put on a need."""

    DIVIDE = "divide"
    MULTIPLY = "multiply"


def loss_multiplier(
    storage_frac: ArrayLike,
    feedout_frac: ArrayLike,
    refusal_frac: ArrayLike,
    *,
    convention: Convention = Convention.DIVIDE,
) -> NDArray[np.float64]:
    """Mass that must be there for each unit of mass eaten.

    Parameters
    ----------
    storage_frac : float or array
        Still to be lost in store; the full loss for new crop, the rest for feed in store. [fraction]
    feedout_frac : float or array
        Lost between store and bunk. [fraction]
    refusal_frac : float or array
        Left in the bunk and not fed again. [fraction]
    convention : Convention
        Divide by (1 - loss), the mass balance, or multiply by (1 + loss), as extension tables do.

    Returns
    -------
    array, same shape
        Multiplier. [kg/kg]

    Valid
    -----
    Any loss; the two conventions differ by about the square of the loss.

    Raises
    ------
    OutOfRange
        If a loss lies outside 0-0.95.

    Example
    -------
    >>> round(float(loss_multiplier(0.10, 0.03, 0.03)), 4)
    1.1809

    Source
    ------
    [Daugherty2013]_ and [Weiss2004]_ for multiplying; dividing is derived from loss as a share of what went in.
    """
    losses = (
        LOSS("storage_frac", storage_frac),
        LOSS("feedout_frac", feedout_frac),
        LOSS("refusal_frac", refusal_frac),
    )
    if Convention(convention) is Convention.DIVIDE:
        return 1 / ((1 - losses[0]) * (1 - losses[1]) * (1 - losses[2]))
    return (1 + losses[0]) * (1 + losses[1]) * (1 + losses[2])


def mass_needed(
    eaten_kg: ArrayLike,
    storage_frac: ArrayLike,
    feedout_frac: ArrayLike,
    refusal_frac: ArrayLike,
    *,
    convention: Convention = Convention.DIVIDE,
) -> NDArray[np.float64]:
    """Dry matter that must be in the structure, or go into it, so that a given mass is eaten.

    Parameters
    ----------
    eaten_kg : float or array
        Dry matter eaten. [kg DM]
    storage_frac : float or array
        Remaining storage loss for a draw, full storage loss for a harvest need. [fraction]
    feedout_frac, refusal_frac : float or array
        Feed-out loss and refusals. [fraction]
    convention : Convention
        See `loss_multiplier`.

    Returns
    -------
    array, same shape
        Dry matter needed. [kg DM]

    Valid
    -----
    Any loss. Feed measured in the store has already lost most of its storage loss: give only the rest.

    Raises
    ------
    OutOfRange
        If the mass is negative or a loss lies outside 0-0.95.

    Example
    -------
    >>> round(float(mass_needed(3839.75, 0.10, 0.03, 0.03)), 2)
    4534.37

    Source
    ------
    [Daugherty2013]_ for multiplying; dividing is derived.
    """
    factor = loss_multiplier(storage_frac, feedout_frac, refusal_frac, convention=convention)
    return MASS("eaten_kg", eaten_kg) * factor


def mass_eaten(
    stored_kg: ArrayLike,
    storage_frac: ArrayLike,
    feedout_frac: ArrayLike,
    refusal_frac: ArrayLike,
    *,
    convention: Convention = Convention.DIVIDE,
) -> NDArray[np.float64]:
    """Dry matter that reaches the animals out of a given mass in the structure.

    Parameters
    ----------
    stored_kg : float or array
        Dry matter in the structure. [kg DM]
    storage_frac : float or array
        Storage loss still to come. [fraction]
    feedout_frac, refusal_frac : float or array
        Feed-out loss and refusals. [fraction]
    convention : Convention
        See `loss_multiplier`; the inverse of `mass_needed` in both conventions.

    Returns
    -------
    array, same shape
        Dry matter eaten. [kg DM]

    Valid
    -----
    Any loss.

    Raises
    ------
    OutOfRange
        If the mass is negative or a loss lies outside 0-0.95.

    Example
    -------
    >>> round(float(mass_eaten(1000.0, 0.10, 0.03, 0.03)), 2)
    846.81

    Source
    ------
    Derived: mass balance; see [Daugherty2013]_ for the other convention.
    """
    factor = loss_multiplier(storage_frac, feedout_frac, refusal_frac, convention=convention)
    return MASS("stored_kg", stored_kg) / factor


def measured_shrink(into_storage_kg: ArrayLike, fed_kg: ArrayLike) -> NDArray[np.float64]:
    """Share of the dry matter put into storage that was never fed.

    Parameters
    ----------
    into_storage_kg : float or array
        Dry matter weighed in. [kg DM]
    fed_kg : float or array
        Dry matter weighed out and fed. [kg DM]

    Returns
    -------
    array, same shape
        Shrink. [fraction]

    Valid
    -----
    Negative when more was fed than weighed in: a weighing or moisture error to look for.

    Raises
    ------
    OutOfRange
        If nothing went in or a mass is negative.

    Example
    -------
    >>> round(float(measured_shrink(1000.0, 870.0)), 2)
    0.13

    Source
    ------
    Definition; derived, goes with dividing in [Daugherty2013]_.
    """
    went_in = Possible(1e-6, 1e10, "kg")("into_storage_kg", into_storage_kg)
    return (went_in - MASS("fed_kg", fed_kg)) / went_in


def group_need(head_count: ArrayLike, intake_kg_d: ArrayLike, inclusion_frac: ArrayLike) -> NDArray[np.float64]:
    """Dry matter of one feed that a group eats in a day.

    Parameters
    ----------
    head_count : float or array
        Animals in the group. [head]
    intake_kg_d : float or array
        Intake of one animal. [kg DM/d]
    inclusion_frac : float or array
        Share of the feed in the diet DM. [fraction]

    Returns
    -------
    array, same shape
        Eaten by the group. [kg DM/d]

    Valid
    -----
    Any group.

    Raises
    ------
    OutOfRange
        If head lies outside 0-1,000,000, intake 0-60 kg or inclusion 0-1.

    Example
    -------
    >>> round(float(group_need(1000, 54 * 0.45359237, 0.40)) / 0.45359237)
    21600

    Source
    ------
    [AmaralPhillips2026]_ order of the budget (head, intake, share, losses).
    """
    head = HEAD("head_count", head_count)
    return head * INTAKE("intake_kg_d", intake_kg_d) * SHARE("inclusion_frac", inclusion_frac)


def yearly_forage_per_cow(
    intake_kg_d: ArrayLike,
    inclusion_frac: ArrayLike,
    shrink_frac: ArrayLike,
    *,
    convention: Convention = Convention.MULTIPLY,
) -> NDArray[np.float64]:
    """Dry matter of one forage to store for one cow and one year.

    Parameters
    ----------
    intake_kg_d : float or array
        Intake. [kg DM/d]
    inclusion_frac : float or array
        Share of the forage in the diet DM. [fraction]
    shrink_frac : float or array
        All losses together. [fraction]
    convention : Convention
        Multiplying reproduces the published table.

    Returns
    -------
    array, same shape
        Forage to store. [kg DM/yr]

    Valid
    -----
    Milking cows kept all year.

    Raises
    ------
    OutOfRange
        If intake lies outside 0-60 kg, inclusion 0-1 or shrink 0-0.95.

    Example
    -------
    >>> round(float(yearly_forage_per_cow(54 * 0.45359237, 0.40, 0.10)) / 907.18474, 1)
    4.3

    Source
    ------
    [Weiss2004]_ table.
    """
    eaten = INTAKE("intake_kg_d", intake_kg_d) * SHARE("inclusion_frac", inclusion_frac) * YEAR_D
    return eaten * loss_multiplier(shrink_frac, 0.0, 0.0, convention=convention)


def days_of_cover(eaten_kg: ArrayLike, need_kg_d: ArrayLike) -> NDArray[np.float64]:
    """Days a stock lasts at an even need.

    Parameters
    ----------
    eaten_kg : float or array
        What of the stock will be eaten. [kg DM]
    need_kg_d : float or array
        Eaten in a day. [kg DM/d]

    Returns
    -------
    array, same shape
        Days, parts of a day included; infinite where nothing is eaten. [d]

    Valid
    -----
    An even need; use the day-by-day balance where head or inclusion change.

    Raises
    ------
    OutOfRange
        If the mass is negative or the need lies outside 0-1e9 kg/d.

    Example
    -------
    >>> round(float(days_of_cover(276.6246, 3.83975)), 2)
    72.04

    Source
    ------
    Definition; [AmaralPhillips2026]_.
    """
    need = Possible(0.0, 1e9, "kg/d")("need_kg_d", need_kg_d)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(need == 0, np.inf, MASS("eaten_kg", eaten_kg) / need)[()]


def stretch_factor(cover_d: ArrayLike, wanted_d: ArrayLike) -> NDArray[np.float64]:
    """Factor on every inclusion so that the stock lasts a wanted number of days.

    Parameters
    ----------
    cover_d : float or array
        Days the stock lasts now. [d]
    wanted_d : float or array
        Days it should last. [d]

    Returns
    -------
    array, same shape
        Factor, never above 1. [fraction]

    Valid
    -----
    An even need.

    Raises
    ------
    OutOfRange
        If the days covered are negative or the wanted days are not above 0.

    Example
    -------
    >>> round(float(stretch_factor(72.0423, 87.0)), 4)
    0.8281

    Source
    ------
    Derived; better to feed less than to run out [Shaver2026]_.
    """
    cover = Possible(0.0, np.inf, "d")("cover_d", cover_d)
    return np.minimum(1.0, cover / Possible(0.01, 3660.0, "d")("wanted_d", wanted_d))


def carry_over(cover_d: ArrayLike, until_new_crop_d: ArrayLike) -> NDArray[np.float64]:
    """Days of old feed left when the new crop can first be fed.

    Parameters
    ----------
    cover_d : float or array
        Days the stock lasts. [d]
    until_new_crop_d : float or array
        Days until the new crop can be fed. [d]

    Returns
    -------
    array, same shape
        Carry-over; negative when the stock ends first. [d]

    Valid
    -----
    An even need.

    Raises
    ------
    OutOfRange
        If a number of days is negative.

    Example
    -------
    >>> round(float(carry_over(72.0423, 57.0)), 2)
    15.04

    Source
    ------
    Definition; horizon includes fermentation [Eastridge2024]_.
    """
    return Possible(0.0, np.inf, "d")("cover_d", cover_d) - DAYS("until_new_crop_d", until_new_crop_d)


def old_share_in_blend(day_count: ArrayLike, blend_d: ArrayLike) -> NDArray[np.float64]:
    """Share of old feed on a day of the change to new feed.

    Parameters
    ----------
    day_count : float or array
        Day of the change, 1 on the first day; 0 or less is before it. [count]
    blend_d : float or array
        Days the change is spread over; 0 changes at once. [d]

    Returns
    -------
    array, same shape
        Old share: 1 before, 1 - k/N on day k, 0 from day N. [fraction]

    Valid
    -----
    Spread over about 10 days; 7 at the least.

    Raises
    ------
    OutOfRange
        If the blend lies outside 0-120 days.

    Example
    -------
    >>> [round(float(s), 1) for s in old_share_in_blend([0, 1, 5, 10, 12], 10)]
    [1.0, 0.9, 0.5, 0.0, 0.0]

    Source
    ------
    Common practice, no source, for the 10 days; the line is derived. Horizon as [Eastridge2024]_.
    """
    k = np.asarray(day_count, dtype=float)
    n = Possible(0.0, 120.0, "d")("blend_d", blend_d)
    return np.where(k < 1, 1.0, np.clip(1 - k / np.maximum(n, 1.0), 0.0, 1.0))[()] + 0.0 * k


def old_feed_in_blend(blend_d: ArrayLike) -> NDArray[np.float64]:
    """Days of full use of old feed that the change to new feed takes.

    Parameters
    ----------
    blend_d : float or array
        Days the change is spread over. [d]

    Returns
    -------
    array, same shape
        Old feed in days of full use, (N - 1)/2. [d]

    Valid
    -----
    A linear blend.

    Raises
    ------
    OutOfRange
        If the blend lies outside 1-120 days.

    Example
    -------
    >>> float(old_feed_in_blend(10))
    4.5

    Source
    ------
    Derived from the linear blend; see [Eastridge2024]_ for the horizon.
    """
    return (Possible(1.0, 120.0, "d")("blend_d", blend_d) - 1) / 2


def cow_equivalents(head_count: ArrayLike, weight_kg: ArrayLike) -> NDArray[np.float64]:
    """Animals counted as mature cows by weight.

    Parameters
    ----------
    head_count : float or array
        Animals. [head]
    weight_kg : float or array
        Body weight. [kg]

    Returns
    -------
    array, same shape
        Cow equivalents of 1,350 lb. [count]

    Valid
    -----
    Acreage and stocking rules; not for feeding. The source rounds each class to two figures.

    Raises
    ------
    OutOfRange
        If head lies outside 0-1,000,000 or weight outside 25-1,200 kg.

    Example
    -------
    >>> round(float(cow_equivalents(1, 350 * 0.45359237)), 2)
    0.26

    Source
    ------
    [Ishler2020]_.
    """
    weight = Possible(25.0, 1200.0, "kg")("weight_kg", weight_kg)
    return HEAD("head_count", head_count) * weight / (1350 * KG_PER_LB)


def mass_as_fed(mass_dm_kg: ArrayLike, dm_frac: ArrayLike) -> NDArray[np.float64]:
    """Mass as fed that holds a given mass of dry matter.

    Parameters
    ----------
    mass_dm_kg : float or array
        Dry matter. [kg DM]
    dm_frac : float or array
        Dry matter share of the feed as fed. [fraction]

    Returns
    -------
    array, same shape
        Mass as fed. [kg AF]

    Valid
    -----
    Any feed.

    Raises
    ------
    OutOfRange
        If the mass is negative or dry matter lies outside 0.01-1.

    Example
    -------
    >>> round(float(mass_as_fed(405.0, 0.35)))
    1157

    Source
    ------
    Definition; example of [Weiss2004]_.
    """
    return MASS("mass_dm_kg", mass_dm_kg) / POSITIVE_SHARE("dm_frac", dm_frac)


def mass_at_dry_matter(mass_af_kg: ArrayLike, dm_frac: ArrayLike, wanted_dm_frac: ArrayLike) -> NDArray[np.float64]:
    """Mass a feed would have at another dry matter, such as haylage counted as hay.

    Parameters
    ----------
    mass_af_kg : float or array
        Mass as fed. [kg AF]
    dm_frac : float or array
        Its dry matter. [fraction]
    wanted_dm_frac : float or array
        Dry matter to count it at. [fraction]

    Returns
    -------
    array, same shape
        Mass at the wanted dry matter. [kg AF]

    Valid
    -----
    No loss on the way.

    Raises
    ------
    OutOfRange
        If the mass is negative or a dry matter lies outside 0.01-1.

    Example
    -------
    >>> round(float(mass_at_dry_matter(6.0, 0.35, 0.85)), 3)
    2.471

    Source
    ------
    [Wisconsin2018]_ haylage-to-hay yield; [Maine2026]_ hay-to-silage factor.
    """
    dry = MASS("mass_af_kg", mass_af_kg) * POSITIVE_SHARE("dm_frac", dm_frac)
    return dry / POSITIVE_SHARE("wanted_dm_frac", wanted_dm_frac)


def price_at_dry_matter(hay_usd_kg: ArrayLike, hay_dm_frac: ArrayLike, feed_dm_frac: ArrayLike) -> NDArray[np.float64]:
    """Price of a wet feed that costs the same per dry matter as hay.

    Parameters
    ----------
    hay_usd_kg : float or array
        Hay price as sold. [USD/kg AF]
    hay_dm_frac : float or array
        Dry matter of the hay. [fraction]
    feed_dm_frac : float or array
        Dry matter of the feed; 1 gives the price of dry matter. [fraction]

    Returns
    -------
    array, same shape
        Price of the feed as fed. [USD/kg AF]

    Valid
    -----
    Same quality; correct for feeding value apart.

    Raises
    ------
    OutOfRange
        If the price lies outside 0-100 USD/kg or a dry matter outside 0.01-1.

    Example
    -------
    >>> round(float(price_at_dry_matter(60.0, 0.85, 0.50)), 2)
    35.29

    Source
    ------
    [Manitoba2026]_ table.
    """
    dry = PRICE("hay_usd_kg", hay_usd_kg) / POSITIVE_SHARE("hay_dm_frac", hay_dm_frac)
    return dry * POSITIVE_SHARE("feed_dm_frac", feed_dm_frac)


def rfv_price_slope(
    better_usd_kg: ArrayLike, better_rfv_index: ArrayLike, poorer_usd_kg: ArrayLike, poorer_rfv_index: ArrayLike
) -> NDArray[np.float64]:
    """What one point of relative feed value is worth in a market report.

    Parameters
    ----------
    better_usd_kg, poorer_usd_kg : float or array
        Prices of two grades in one report. [USD/kg AF]
    better_rfv_index, poorer_rfv_index : float or array
        Their mid relative feed values. [points]

    Returns
    -------
    array, same shape
        Price slope. [USD/kg AF per point]

    Valid
    -----
    Two grades of one report; unstable in a drought. Divide by hay dry matter for the slope per kg DM.

    Raises
    ------
    OutOfRange
        If a price lies outside 0-100 USD/kg or the grades do not differ.

    Example
    -------
    >>> round(float(rfv_price_slope(176 / 1000, 137.5, 145 / 1000, 113.5)) * 1000, 3)
    1.292

    Source
    ------
    [Wisconsin2022]_ prices; the slope is derived.
    """
    gap = RFV("better_rfv_index", better_rfv_index) - RFV("poorer_rfv_index", poorer_rfv_index)
    gap = Possible(0.5, 400.0, "points above the poorer grade")("better_rfv_index", gap)
    return (PRICE("better_usd_kg", better_usd_kg) - PRICE("poorer_usd_kg", poorer_usd_kg)) / gap


def price_by_rfv_slope(
    price_usd_kg: ArrayLike, rfv_index: ArrayLike, reference_rfv_index: ArrayLike, slope_usd_kg: ArrayLike
) -> NDArray[np.float64]:
    """Price corrected for feeding value by a market's slope.

    Parameters
    ----------
    price_usd_kg : float or array
        Price at the reference value. [USD/kg]
    rfv_index, reference_rfv_index : float or array
        Relative feed value of the lot and of the reference. [points]
    slope_usd_kg : float or array
        Worth of one point, on the basis of the price. [USD/kg per point]

    Returns
    -------
    array, same shape
        Corrected price, not below 0. [USD/kg]

    Valid
    -----
    Differences of less than 10 points lie within lab error.

    Raises
    ------
    OutOfRange
        If a price or slope lies outside 0-100 USD/kg or a value outside 20-400 points.

    Example
    -------
    >>> round(float(price_by_rfv_slope(0.200, 160.0, 150.0, 0.0015)), 4)
    0.215

    Source
    ------
    [Wisconsin2022]_ slope of one report.
    """
    gap = RFV("rfv_index", rfv_index) - RFV("reference_rfv_index", reference_rfv_index)
    return np.maximum(0.0, PRICE("price_usd_kg", price_usd_kg) + gap * PRICE("slope_usd_kg", slope_usd_kg))


def price_by_rfv_ratio(
    price_usd_kg: ArrayLike, rfv_index: ArrayLike, reference_rfv_index: ArrayLike
) -> NDArray[np.float64]:
    """Price corrected for feeding value in proportion, where no market slope is at hand.

    Parameters
    ----------
    price_usd_kg : float or array
        Price at the reference value. [USD/kg]
    rfv_index, reference_rfv_index : float or array
        Relative feed value of the lot and of the reference. [points]

    Returns
    -------
    array, same shape
        Corrected price. [USD/kg]

    Valid
    -----
    A fallback: it implies less per point than markets paid.

    Raises
    ------
    OutOfRange
        If the price lies outside 0-100 USD/kg or a value outside 20-400 points.

    Example
    -------
    >>> round(float(price_by_rfv_ratio(62.353, 165.0, 146.6)), 2)
    70.18

    Source
    ------
    [Urness2017]_ steps.
    """
    ratio = RFV("rfv_index", rfv_index) / RFV("reference_rfv_index", reference_rfv_index)
    return PRICE("price_usd_kg", price_usd_kg) * ratio


def shortfall_cost(
    short_dm_kg: ArrayLike,
    hay_usd_kg: ArrayLike,
    freight_usd_kg: ArrayLike,
    hay_dm_frac: ArrayLike,
    hay_loss_frac: ArrayLike,
) -> NDArray[np.float64]:
    """Money to replace missing dry matter with bought hay.

    Parameters
    ----------
    short_dm_kg : float or array
        Dry matter missing. [kg DM]
    hay_usd_kg, freight_usd_kg : float or array
        Price and freight of hay as sold. [USD/kg AF]
    hay_dm_frac : float or array
        Dry matter of the hay. [fraction]
    hay_loss_frac : float or array
        Hay lost before it is eaten. [fraction]

    Returns
    -------
    array, same shape
        Cost. [USD]

    Valid
    -----
    Milk lost while rations change is not in it.

    Raises
    ------
    OutOfRange
        If a mass is negative, a price outside 0-100 USD/kg, dry matter outside 0.01-1 or the loss outside 0-0.95.

    Example
    -------
    >>> round(float(shortfall_cost(100 * 907.18474, 222 / 907.18474, 30 / 907.18474, 0.85, 0.05)))
    31207

    Source
    ------
    Derived; holds for the published saving of [Daugherty2013]_.
    """
    left = POSITIVE_SHARE("hay_dm_frac", hay_dm_frac) * (1 - LOSS("hay_loss_frac", hay_loss_frac))
    price = PRICE("hay_usd_kg", hay_usd_kg) + PRICE("freight_usd_kg", freight_usd_kg)
    return MASS("short_dm_kg", short_dm_kg) / left * price


def load_use_time(load_af_kg: ArrayLike, head_count: ArrayLike, fed_af_kg_d: ArrayLike) -> NDArray[np.float64]:
    """Days a herd takes to feed out a load of wet byproduct.

    Parameters
    ----------
    load_af_kg : float or array
        Load as fed. [kg AF]
    head_count : float or array
        Animals fed. [head]
    fed_af_kg_d : float or array
        Fed per animal. [kg AF/d]

    Returns
    -------
    array, same shape
        Days; infinite when none is fed. [d]

    Valid
    -----
    Compare with `BYPRODUCT_LIFE_D`.

    Raises
    ------
    OutOfRange
        If a mass is negative or head lies outside 0-1,000,000.

    Example
    -------
    >>> float(load_use_time(25 * 907.18474, 200, 20 * 0.45359237))
    12.5

    Source
    ------
    [Chase2026]_ for storage life; the division is derived.
    """
    daily = HEAD("head_count", head_count) * Possible(0.0, 200.0, "kg/d")("fed_af_kg_d", fed_af_kg_d)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(daily == 0, np.inf, np.round(MASS("load_af_kg", load_af_kg) / daily, 9))[()]


def herd_for_load(load_af_kg: ArrayLike, life_d: ArrayLike, fed_af_kg_d: ArrayLike) -> NDArray[np.float64]:
    """Animals needed to feed out a load before it spoils.

    Parameters
    ----------
    load_af_kg : float or array
        Load as fed. [kg AF]
    life_d : float or array
        Days it keeps. [d]
    fed_af_kg_d : float or array
        Fed per animal. [kg AF/d]

    Returns
    -------
    array, same shape
        Animals, not rounded. [head]

    Valid
    -----
    One load at a time.

    Raises
    ------
    OutOfRange
        If a mass is negative, the life is under half a day or the amount fed is not above 0.

    Example
    -------
    >>> round(float(herd_for_load(25 * 907.18474, 5, 20 * 0.45359237)))
    500

    Source
    ------
    [Chase2026]_ for storage life; the division is derived.
    """
    life = Possible(0.5, 3660.0, "d")("life_d", life_d)
    fed = Possible(0.001, 200.0, "kg/d")("fed_af_kg_d", fed_af_kg_d)
    return MASS("load_af_kg", load_af_kg) / (life * fed)


BYPRODUCT_LIFE_D = {
    "wet, cool": (5.0, 10.0),
    "wet, hot and humid": (2.0, 4.0),
}
"""Days wet brewers and distillers grains keep [Chase2026]_; bagged or mixed with roughage they keep longer."""


def contract_mass(
    head_count: ArrayLike, fed_kg_d: ArrayLike, fed_d: ArrayLike, shrink_frac: ArrayLike
) -> NDArray[np.float64]:
    """Byproduct to buy for a period.

    Parameters
    ----------
    head_count : float or array
        Animals fed. [head]
    fed_kg_d : float or array
        Fed per animal. [kg/d]
    fed_d : float or array
        Days. [d]
    shrink_frac : float or array
        Lost before feeding: 0.03-0.08 dry, 0.08-0.15 wet (from memory). [fraction]

    Returns
    -------
    array, same shape
        To buy, on the basis of the amount fed. [kg]

    Valid
    -----
    Any feed.

    Raises
    ------
    OutOfRange
        If head lies outside 0-1,000,000, the amount 0-200 kg, the days 0-3,660 or shrink 0-0.95.

    Example
    -------
    >>> round(float(contract_mass(100, 5.0, 30, 0.10)), 1)
    16666.7

    Source
    ------
    Derived mass balance; see [Chase2026]_.
    """
    fed = HEAD("head_count", head_count) * Possible(0.0, 200.0, "kg/d")("fed_kg_d", fed_kg_d) * DAYS("fed_d", fed_d)
    return fed / (1 - LOSS("shrink_frac", shrink_frac))


def ndf_replacement(replaced_ndf_frac: ArrayLike, replacing_ndf_frac: ArrayLike) -> NDArray[np.float64]:
    """Dry matter of one forage that a unit of a more fibrous one replaces at equal NDF.

    Parameters
    ----------
    replaced_ndf_frac : float or array
        NDF of the forage to save. [fraction]
    replacing_ndf_frac : float or array
        NDF of the forage fed instead, such as straw. [fraction]

    Returns
    -------
    array, same shape
        Replaced per unit fed. [kg/kg]

    Valid
    -----
    Forage fibre only; fibre of byproducts counts for about half (from memory).

    Raises
    ------
    OutOfRange
        If an NDF lies outside 0.05-1.

    Example
    -------
    >>> round(float(ndf_replacement(0.34, 0.76)), 3)
    2.235

    Source
    ------
    [Linn2011]_ straw for hay.
    """
    fibre = Possible(0.05, 1.0, "(a fraction)")
    return fibre("replacing_ndf_frac", replacing_ndf_frac) / fibre("replaced_ndf_frac", replaced_ndf_frac)


def tdn_price(price_usd_kg: ArrayLike, dm_frac: ArrayLike, tdn_frac: ArrayLike) -> NDArray[np.float64]:
    """Price of a unit of digestible nutrients in a feed.

    Parameters
    ----------
    price_usd_kg : float or array
        Price as fed. [USD/kg AF]
    dm_frac : float or array
        Dry matter. [fraction]
    tdn_frac : float or array
        Total digestible nutrients, of DM. [fraction]

    Returns
    -------
    array, same shape
        Price of digestible nutrients. [USD/kg]

    Valid
    -----
    To compare energy feeds.

    Raises
    ------
    OutOfRange
        If the price lies outside 0-100 USD/kg or a share outside 0.01-1.

    Example
    -------
    >>> round(float(tdn_price(180 / 2000, 0.90, 0.75)), 4)
    0.1333

    Source
    ------
    [Alabama2026]_ soybean hulls.
    """
    return PRICE("price_usd_kg", price_usd_kg) / (
        POSITIVE_SHARE("dm_frac", dm_frac) * POSITIVE_SHARE("tdn_frac", tdn_frac)
    )


def digestibility_return(
    ndfd_gain_pct_pt: ArrayLike, milk_usd_kg: ArrayLike, feed_usd_kg: ArrayLike
) -> NDArray[np.float64]:
    """Money per cow and day from better fibre digestibility, less the extra feed.

    Parameters
    ----------
    ndfd_gain_pct_pt : float or array
        More digestible NDF, in units of per cent of NDF. [points]
    milk_usd_kg : float or array
        Milk price. [USD/kg]
    feed_usd_kg : float or array
        Price of dry matter. [USD/kg DM]

    Returns
    -------
    array, same shape
        Return. [USD/cow/d]

    Valid
    -----
    Lots fed to milking cows whose intake is limited by fill; the response varies between trials.

    Raises
    ------
    OutOfRange
        If the gain lies outside -50 to 50 points or a price outside 0-100 USD/kg.

    Example
    -------
    >>> lb = 0.45359237
    >>> round(float(digestibility_return(2.0, 0.20 / lb, 0.12 / lb)), 4)
    0.1152

    Source
    ------
    [Miner2026]_ 0.37 lb intake and 0.51 lb milk per unit.
    """
    gain = Possible(-50.0, 50.0, "points")("ndfd_gain_pct_pt", ndfd_gain_pct_pt)
    milk = 0.51 * KG_PER_LB * PRICE("milk_usd_kg", milk_usd_kg)
    return gain * (milk - 0.37 * KG_PER_LB * PRICE("feed_usd_kg", feed_usd_kg))
