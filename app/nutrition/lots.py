"""What the samples of a lot say, how far to trust them, and which animals the lot suits.

The classes and flags remind; a nutritionist or veterinarian decides what is fed to whom.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange
from app.nutrition.ranges import MASS, SHARE, Possible
from app.units.sentences import Quantity, Sentence

SPREAD = Possible(0.0, 1e5, "(the unit of the value)")
SAMPLES = Possible(1.0, 1000.0, "samples")
MINERAL = Possible(0.0, 0.15, "(a fraction)")
NITRATE_PPM = Possible(0.0, 30_000.0, "ppm")


def sample_mean(values_frac: ArrayLike) -> NDArray[np.float64]:
    """Plain mean of a lot's samples.

    Parameters
    ----------
    values_frac : array, last axis over samples
        One value per sample; any unit, bases mended before. NaN is left out. [fraction]

    Returns
    -------
    array, last axis averaged
        Mean; NaN where no sample has a value. [fraction]

    Valid
    -----
    Samples of one lot, one method and one number of hours.

    Raises
    ------
    OutOfRange
        If there is no sample at all.

    Example
    -------
    >>> round(float(sample_mean([0.40, 0.42, float("nan")])), 3)
    0.41

    Source
    ------
    Definition; several samples as [Weiss2015]_ advises.
    """
    values = _samples(values_frac)
    n = np.sum(~np.isnan(values), axis=-1)
    with np.errstate(invalid="ignore"):
        return np.where(n > 0, np.nansum(values, axis=-1) / np.maximum(n, 1), np.nan)[()]


def sample_spread(values_frac: ArrayLike) -> NDArray[np.float64]:
    """Sample standard deviation of a lot's samples.

    Parameters
    ----------
    values_frac : array, last axis over samples
        One value per sample; NaN is left out. [fraction]

    Returns
    -------
    array, last axis reduced
        Standard deviation with n - 1; NaN under two values. [fraction]

    Valid
    -----
    Independent samples: the whole procedure repeated.

    Raises
    ------
    OutOfRange
        If there is no sample at all.

    Example
    -------
    >>> round(float(sample_spread([0.40, 0.42, 0.44])), 4)
    0.02

    Source
    ------
    Definition; [Weiss2015]_.
    """
    values = _samples(values_frac)
    n = np.sum(~np.isnan(values), axis=-1)
    mean = np.expand_dims(sample_mean(values), -1)
    squares = np.nansum((values - mean) ** 2, axis=-1)
    return np.where(n > 1, np.sqrt(squares / np.maximum(n - 1, 1)), np.nan)[()]


def standard_error(values_frac: ArrayLike) -> NDArray[np.float64]:
    """Standard error of the mean of a lot's samples.

    Parameters
    ----------
    values_frac : array, last axis over samples
        One value per sample; NaN is left out. [fraction]

    Returns
    -------
    array, last axis reduced
        Standard deviation over the square root of n; NaN under two values. [fraction]

    Valid
    -----
    Independent samples.

    Raises
    ------
    OutOfRange
        If there is no sample at all.

    Example
    -------
    >>> round(float(standard_error([0.40, 0.42, 0.44])), 4)
    0.0115

    Source
    ------
    Definition; [Weiss2015]_.
    """
    n = np.sum(~np.isnan(_samples(values_frac)), axis=-1)
    return sample_spread(values_frac) / np.sqrt(np.maximum(n, 1))


def expected_error(
    sampling_pct_pt: ArrayLike, assay_pct_pt: ArrayLike, samples_count: ArrayLike, *, assays_count: ArrayLike = 1
) -> NDArray[np.float64]:
    """Standard error to expect of a mean before sampling.

    Parameters
    ----------
    sampling_pct_pt : float or array
        Standard deviation between samples of the lot. [points]
    assay_pct_pt : float or array
        Standard deviation of repeated assays. [points]
    samples_count, assays_count : float or array
        Samples, and assays of each. [count]

    Returns
    -------
    array, same shape
        Standard error. [points]

    Valid
    -----
    Sampling is the larger part for everything but dry matter.

    Raises
    ------
    OutOfRange
        If a spread is negative or a number lies outside 1-1,000.

    Example
    -------
    >>> [round(float(expected_error(1.5, 0.5, n)), 3) for n in (1, 2, 4)]
    [1.581, 1.118, 0.791]

    Source
    ------
    Statistics; parts as named in [Weiss2015]_ and [StPierre2016]_.
    """
    n = SAMPLES("samples_count", samples_count)
    m = SAMPLES("assays_count", assays_count)
    between, assay = SPREAD("sampling_pct_pt", sampling_pct_pt), SPREAD("assay_pct_pt", assay_pct_pt)
    return np.sqrt(between**2 / n + assay**2 / (n * m))


def samples_needed(spread_pct_pt: ArrayLike, half_width_pct_pt: ArrayLike) -> NDArray[np.float64]:
    """Samples needed to know a mean within a half-width, 95 times in 100.

    Parameters
    ----------
    spread_pct_pt : float or array
        Standard deviation within the lot. [points]
    half_width_pct_pt : float or array
        Wanted half-width. [points]

    Returns
    -------
    array, same shape
        Samples, rounded up, at least 1. [count]

    Valid
    -----
    Known spread; 2.0-2.5 NDF units within a lot (from memory).

    Raises
    ------
    OutOfRange
        If the spread is negative or the half-width not above 0.

    Example
    -------
    >>> float(samples_needed(2.5, 2.0))
    7.0

    Source
    ------
    Statistics, n = (1.96 s/d)^2; need for repeats as [Weiss2015]_.
    """
    half = Possible(1e-6, 1e5, "points")("half_width_pct_pt", half_width_pct_pt)
    return np.maximum(1.0, np.ceil((1.96 * SPREAD("spread_pct_pt", spread_pct_pt) / half) ** 2))


def half_way(working_frac: ArrayLike, new_frac: ArrayLike) -> NDArray[np.float64]:
    """Working value after a single surprising result: half of the way to it.

    Parameters
    ----------
    working_frac : float or array
        Value worked with so far. [fraction]
    new_frac : float or array
        New single result, same unit. [fraction]

    Returns
    -------
    array, same shape
        New working value. [fraction]

    Valid
    -----
    Published for dry matter; the same caution is used for other single results.

    Raises
    ------
    OutOfRange
        Never; NaN passes.

    Example
    -------
    >>> round(float(half_way(0.38, 0.42)), 3)
    0.4

    Source
    ------
    [StPierre2016]_.
    """
    working, new = np.asarray(working_frac, dtype=float), np.asarray(new_frac, dtype=float)
    return working + 0.5 * (new - working)


def mean_by_mass(values_frac: ArrayLike, mass_dm_kg: ArrayLike) -> NDArray[np.float64]:
    """Mean over lots, each weighted by its dry matter.

    Parameters
    ----------
    values_frac : array, last axis over lots
        Lot means. A lot with NaN or no mass is left out. [fraction]
    mass_dm_kg : array, last axis over lots
        Dry matter of each lot. [kg DM]

    Returns
    -------
    array, last axis reduced
        Weighted mean; NaN when no lot has a value. [fraction]

    Valid
    -----
    Shares of DM mix by DM. Never mix hours of digestion in one mean.

    Raises
    ------
    OutOfRange
        If a mass is negative.

    Example
    -------
    >>> round(float(mean_by_mass([0.36, 0.46], [300.0, 100.0])), 3)
    0.385

    Source
    ------
    Definition; separately filled lots kept apart as [Weiss2015]_.
    """
    values = np.asarray(values_frac, dtype=float)
    weight = np.where(np.isnan(values), 0.0, MASS("mass_dm_kg", mass_dm_kg))
    total = np.sum(weight, axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(total > 0, np.nansum(values * weight, axis=-1) / total, np.nan)[()]


class UseClass(StrEnum):
    """What a lot's fibre suits first."""

    TOP = "1"
    DAIRY = "2"
    GENERAL = "3"
    ROUGH = "4"
    RESTRICTED = "R"


@dataclass(frozen=True)
class UseClassLimits:
    """A working class: what it is fed to first, what it is not for, and the values that place a lot in it.

    A farm may edit every figure; they are judgement built on the targets of [Paulson2009]_, not a standard.
    """

    use_class: UseClass
    ndf_frac: tuple[float, float]
    protein_frac: tuple[float, float]
    ndfd30_frac: tuple[float, float]
    undigested_frac: tuple[float, float]
    ash_below_frac: float
    first_choice: Sentence
    not_for: Sentence


USE_CLASSES = (
    UseClassLimits(
        UseClass.TOP,
        (0.0, 0.38),
        (0.21, 1.0),
        (0.46, 1.0),
        (0.0, 0.15),
        0.11,
        Sentence("Fresh and high groups, with corn silage and a little straw"),
        Sentence("Dry cows and bred heifers: too rich"),
    ),
    UseClassLimits(
        UseClass.DAIRY,
        (0.38, 0.42),
        (0.19, 0.22),
        (0.42, 0.48),
        (0.14, 0.18),
        0.115,
        Sentence("High and low milking groups"),
        Sentence("Close-up dry cows"),
    ),
    UseClassLimits(
        UseClass.GENERAL,
        (0.42, 0.46),
        (0.17, 0.20),
        (0.38, 0.44),
        (0.17, 0.21),
        0.12,
        Sentence("Low milking group and heifers of 6 to 14 months"),
        Sentence("Fresh cows"),
    ),
    UseClassLimits(
        UseClass.ROUGH,
        (0.46, 0.54),
        (0.13, 0.17),
        (0.34, 0.40),
        (0.20, 0.25),
        0.13,
        Sentence("Bred heifers and far-off dry cows, if potassium allows"),
        Sentence("Milking groups"),
    ),
)


@dataclass(frozen=True)
class LotClass:
    """The class of a lot with every reason that placed it there; `use_class` is None when no NDF is known."""

    use_class: UseClass | None
    reasons: tuple[Sentence, ...]


def _restrictions(butyric_frac, ph_index, ash_frac, nitrate_n_ppm, bound_protein_frac):
    checks = (
        (butyric_frac, 0.005, "percent", "Butyric acid {value} is at or above {limit}.", True),
        (ph_index, 5.2, "score", "pH {value} is above {limit}.", False),
        (ash_frac, 0.14, "percent", "Ash {value} is above {limit}.", False),
        (nitrate_n_ppm, 1000.0, "ppm", "Nitrate-N {value} is above {limit}.", False),
        (bound_protein_frac, 0.10, "percent", "Heat-bound protein is {value} of the protein, above {limit}.", False),
    )
    for value, limit, kind, text, at_limit in checks:
        if value > limit or (at_limit and value == limit):
            yield Sentence(text, value=Quantity(value, kind), limit=Quantity(limit, kind))


def _demotions(limits, protein_frac, ndfd30_frac, undigested_frac, ash_frac):
    if protein_frac < limits.protein_frac[0]:
        yield Sentence(
            "Protein {value} is below {limit}.",
            value=Quantity(protein_frac, "percent"),
            limit=Quantity(limits.protein_frac[0], "percent"),
        )
    if ndfd30_frac < limits.ndfd30_frac[0]:
        yield Sentence(
            "Fibre digestibility (30 h) {value} is below {limit}.",
            value=Quantity(ndfd30_frac, "percent"),
            limit=Quantity(limits.ndfd30_frac[0], "percent"),
        )
    if undigested_frac > limits.undigested_frac[1]:
        yield Sentence(
            "Undigested fibre (240 h) {value} is above {limit}.",
            value=Quantity(undigested_frac, "percent"),
            limit=Quantity(limits.undigested_frac[1], "percent"),
        )
    if ash_frac >= limits.ash_below_frac:
        yield Sentence(
            "Ash {value} is not below {limit}.",
            value=Quantity(ash_frac, "percent"),
            limit=Quantity(limits.ash_below_frac, "percent"),
        )


def lot_use_class(
    ndf_frac: float,
    *,
    protein_frac: float = np.nan,
    ndfd30_frac: float = np.nan,
    undigested_frac: float = np.nan,
    ash_frac: float = np.nan,
    butyric_frac: float = np.nan,
    ph_index: float = np.nan,
    nitrate_n_ppm: float = np.nan,
    bound_protein_frac: float = np.nan,
    classes: tuple[UseClassLimits, ...] = USE_CLASSES,
) -> LotClass:
    """Class of animals a lot suits, with reasons.

    Parameters
    ----------
    ndf_frac : float
        NDF (ash-free where measured), of DM. [fraction]
    protein_frac, ndfd30_frac, undigested_frac, ash_frac : float
        Crude protein of DM, 30-h digestibility of NDF, uNDF240 of DM, ash of DM; NaN when not measured. [fraction]
    butyric_frac, ph_index, nitrate_n_ppm, bound_protein_frac : float
        Butyric acid of DM [fraction], pH [index], nitrate-N of DM [ppm], ADICP of crude protein [fraction]; NaN when
        not measured.
    classes : tuple of UseClassLimits
        The farm's classes, best first.

    Returns
    -------
    LotClass
        NDF places the lot; each other measured value that misses the class moves it one class down, once.

    Valid
    -----
    Alfalfa and mostly-alfalfa haylage. NDF above the last class stays in the last class, with a reason.

    Raises
    ------
    OutOfRange
        If a fraction lies outside 0-1, pH outside 3-9 or nitrate-N outside 0-30,000 ppm.

    Example
    -------
    >>> lot_use_class(0.37, protein_frac=0.22).use_class.value
    '1'
    >>> lot_use_class(0.37, butyric_frac=0.006).use_class.value
    'R'

    Source
    ------
    Derived working classes; targets of [Paulson2009]_. Judgement, to be edited by the farm's nutritionist.
    """
    for name, value in (("ndf_frac", ndf_frac), ("protein_frac", protein_frac), ("ndfd30_frac", ndfd30_frac)):
        SHARE(name, value)
    for name, value in (("undigested_frac", undigested_frac), ("ash_frac", ash_frac), ("butyric_frac", butyric_frac)):
        SHARE(name, value)
    SHARE("bound_protein_frac", bound_protein_frac)
    Possible(3.0, 9.0, "pH")("ph_index", ph_index)
    NITRATE_PPM("nitrate_n_ppm", nitrate_n_ppm)
    restrictions = tuple(_restrictions(butyric_frac, ph_index, ash_frac, nitrate_n_ppm, bound_protein_frac))
    if restrictions:
        return LotClass(UseClass.RESTRICTED, restrictions)
    if np.isnan(ndf_frac):
        return LotClass(None, (Sentence("No NDF has been measured."),))
    place = next((i for i, limits in enumerate(classes) if ndf_frac < limits.ndf_frac[1]), len(classes) - 1)
    reasons = [Sentence("NDF {value}.", value=Quantity(ndf_frac, "percent"))]
    if ndf_frac >= classes[-1].ndf_frac[1]:
        reasons.append(Sentence("NDF is above every class."))
    lower = tuple(_demotions(classes[place], protein_frac, ndfd30_frac, undigested_frac, ash_frac))
    return LotClass(classes[min(place + bool(lower), len(classes) - 1)].use_class, (*reasons, *lower))


def butyric_intake(intake_kg_d: ArrayLike, butyric_frac: ArrayLike) -> NDArray[np.float64]:
    """Butyric acid a cow eats with a haylage.

    Parameters
    ----------
    intake_kg_d : float or array
        Haylage eaten. [kg DM/d]
    butyric_frac : float or array
        Butyric acid, of DM. [fraction]

    Returns
    -------
    array, same shape
        Butyric acid. [kg/d]

    Valid
    -----
    Never to transition cows at 0.5 per cent or more; a veterinarian or nutritionist decides.

    Raises
    ------
    OutOfRange
        If intake lies outside 0-60 kg or the share outside 0-1.

    Example
    -------
    >>> round(1000 * float(butyric_intake(12 * 0.45359237, 0.006)), 2)
    32.66

    Source
    ------
    Definition; limit of [Tucker2026]_.
    """
    return Possible(0.0, 60.0, "kg DM/d")("intake_kg_d", intake_kg_d) * SHARE("butyric_frac", butyric_frac)


def butyric_limit(butyric_frac: ArrayLike, *, most_kg_d: ArrayLike = 0.050) -> NDArray[np.float64]:
    """Most of a haylage a cow may eat for its butyric acid.

    Parameters
    ----------
    butyric_frac : float or array
        Butyric acid, of DM. [fraction]
    most_kg_d : float or array
        Butyric acid allowed a day. [kg/d]

    Returns
    -------
    array, same shape
        Haylage; infinite without butyric acid. [kg DM/d]

    Valid
    -----
    Milking cows; none of it to transition cows at 0.5 per cent or more. A veterinarian or nutritionist decides.

    Raises
    ------
    OutOfRange
        If the share lies outside 0-1 or the limit outside 0-0.5 kg.

    Example
    -------
    >>> round(float(butyric_limit(0.005)) / 0.45359237, 2)
    22.05

    Source
    ------
    [Tucker2026]_ 50 g a day; [Hall2026]_ never to transition cows.
    """
    share = SHARE("butyric_frac", butyric_frac)
    with np.errstate(divide="ignore", invalid="ignore"):
        most = Possible(0.0, 0.5, "kg/d")("most_kg_d", most_kg_d)
        return np.where(share == 0, np.inf, most / share)[()]


@dataclass(frozen=True)
class NitrateBand:
    """Feeding advice for a range of nitrate-N in DM; a share is of the ration DM, None means do not feed."""

    below_ppm: float
    share_frac: float | None
    pregnant_share_frac: float | None
    advice: Sentence


NITRATE_BANDS = (
    NitrateBand(1000.0, 1.0, 1.0, Sentence("Considered safe.")),
    NitrateBand(
        1500.0,
        1.0,
        0.5,
        Sentence("Safe for animals that are not pregnant; at most half of the ration for pregnant ones."),
    ),
    NitrateBand(2000.0, 0.5, 0.5, Sentence("At most half of the ration dry matter.")),
    NitrateBand(
        3500.0, 0.35, None, Sentence("At most 35 to 40 per cent of the ration dry matter; not for pregnant animals.")
    ),
    NitrateBand(4000.0, 0.25, None, Sentence("At most a quarter of the ration dry matter; not for pregnant animals.")),
    NitrateBand(np.inf, None, None, Sentence("Do not feed.")),
)
"""Bands of [Clemson2026]_; a veterinarian or nutritionist decides."""


def nitrate_band(nitrate_n_ppm: float) -> NitrateBand:
    """Feeding advice for a nitrate result.

    Parameters
    ----------
    nitrate_n_ppm : float
        Nitrate-N in DM. [ppm]

    Returns
    -------
    NitrateBand
        The band; a value on an edge takes the stricter band above 1,000.

    Valid
    -----
    Ruminants. The stricter of the published tables.

    Raises
    ------
    OutOfRange
        If the value lies outside 0-30,000 ppm or is not a number.

    Example
    -------
    >>> nitrate_band(1200.0).pregnant_share_frac
    0.5
    >>> str(nitrate_band(4100.0).advice)
    'Do not feed.'

    Source
    ------
    [Clemson2026]_ table.
    """
    value = float(NITRATE_PPM("nitrate_n_ppm", nitrate_n_ppm))
    if np.isnan(value):
        raise OutOfRange("nitrate_n_ppm must be a number; there is no advice without a result")
    return next(band for band in NITRATE_BANDS if value < band.below_ppm)


def cation_anion_difference(
    sodium_frac: ArrayLike, potassium_frac: ArrayLike, chloride_frac: ArrayLike, sulfur_frac: ArrayLike
) -> NDArray[np.float64]:
    """Dietary cation-anion difference of a feed.

    Parameters
    ----------
    sodium_frac, potassium_frac, chloride_frac, sulfur_frac : float or array
        Minerals, of DM. [fraction]

    Returns
    -------
    array, same shape
        Difference; divide by 10 for meq/100 g. [meq/kg DM]

    Valid
    -----
    Close-up diets aim below 50 meq/kg, milking diets at 250-350.

    Raises
    ------
    OutOfRange
        If a mineral lies outside 0-0.15.

    Example
    -------
    >>> round(float(cation_anion_difference(0.0005, 0.0275, 0.0060, 0.0028)), 1)
    382.9

    Source
    ------
    [FarmersJournal2026]_ equation and targets; [Beede2026]_ on potassium.
    """
    na = 100 * MINERAL("sodium_frac", sodium_frac)
    k = 100 * MINERAL("potassium_frac", potassium_frac)
    cl = 100 * MINERAL("chloride_frac", chloride_frac)
    s = 100 * MINERAL("sulfur_frac", sulfur_frac)
    return 10 * ((na / 0.023 + k / 0.039) - (cl / 0.0355 + s / 0.016))


@dataclass(frozen=True)
class Fermentation:
    """Typical fermentation of good silage in one range of dry matter; acids of DM, ammonia of total N."""

    dm_frac: tuple[float, float]
    ph_index: tuple[float, float]
    lactic_frac: tuple[float, float]
    acetic_frac: tuple[float, float]
    propionic_frac: tuple[float, float]
    butyric_frac: tuple[float, float]
    ethanol_frac: tuple[float, float]
    ammonia_n_frac: tuple[float, float]


FERMENTATION = {
    "legume_30_40": Fermentation(
        (0.30, 0.40), (4.3, 4.7), (0.07, 0.08), (0.02, 0.03), (0.0, 0.005), (0.0, 0.005), (0.002, 0.01), (0.10, 0.15)
    ),
    "legume_45_55": Fermentation(
        (0.45, 0.55), (4.7, 5.0), (0.02, 0.04), (0.005, 0.02), (0.0, 0.001), (0.0, 0.0), (0.005, 0.005), (0.0, 0.12)
    ),
    "grass_30_35": Fermentation(
        (0.30, 0.35), (4.3, 4.7), (0.06, 0.10), (0.01, 0.03), (0.0, 0.001), (0.005, 0.01), (0.005, 0.01), (0.08, 0.12)
    ),
}
"""Published table [Kung2001]_; nothing is read between its columns."""


def fermentation_flags(
    dm_frac: float,
    *,
    ph_index: float = np.nan,
    lactic_frac: float = np.nan,
    acetic_frac: float = np.nan,
    butyric_frac: float = np.nan,
    ammonia_n_frac: float = np.nan,
) -> tuple[Sentence, ...]:
    """What a fermentation profile suggests went wrong.

    Parameters
    ----------
    dm_frac : float
        Dry matter as fed; NaN when not known. [fraction]
    ph_index, lactic_frac, acetic_frac, butyric_frac, ammonia_n_frac : float
        pH [index], acids of DM [fraction], ammonia-N of total N [fraction]; NaN when not measured.

    Returns
    -------
    tuple of Sentence
        Suspicions, none when nothing stands out. [text]

    Valid
    -----
    Legume and mixed haylage. A suspicion, not a diagnosis: the nutritionist decides.

    Raises
    ------
    OutOfRange
        If a fraction lies outside 0-1 or pH outside 3-9.

    Example
    -------
    >>> [str(flag) for flag in fermentation_flags(0.33, butyric_frac=0.008)]
    ['Clostridial fermentation is suspected: butyric acid 0.008 is at or above 0.005 of dry matter.']

    Source
    ------
    [Kung2001]_ table; the limits on top of it are derived.
    """
    SHARE("dm_frac", dm_frac), SHARE("lactic_frac", lactic_frac), SHARE("acetic_frac", acetic_frac)
    SHARE("butyric_frac", butyric_frac), SHARE("ammonia_n_frac", ammonia_n_frac)
    Possible(3.0, 9.0, "pH")("ph_index", ph_index)
    return tuple(_flags(dm_frac, ph_index, lactic_frac, acetic_frac, butyric_frac, ammonia_n_frac))


def _flags(dm_frac, ph_index, lactic_frac, acetic_frac, butyric_frac, ammonia_n_frac):
    if butyric_frac >= 0.005:
        yield Sentence(
            "Clostridial fermentation is suspected: butyric acid {value} is at or above {limit} of dry matter.",
            value=Quantity(butyric_frac, "percent"),
            limit=Quantity(0.005, "percent"),
        )
    if ammonia_n_frac > 0.15:
        yield Sentence(
            "Clostridial fermentation is suspected: ammonia-N {value} is above {limit} of all nitrogen.",
            value=Quantity(ammonia_n_frac, "percent"),
            limit=Quantity(0.15, "percent"),
        )
    if acetic_frac > 0.03 and lactic_frac < acetic_frac:
        yield Sentence(
            "Slow or wet fermentation, or an inoculant for stability: acetic acid {acetic} with lactic acid {lactic}.",
            acetic=Quantity(acetic_frac, "percent"),
            lactic=Quantity(lactic_frac, "percent"),
        )
    if ph_index > 5.0 and dm_frac < 0.40:
        yield Sentence(
            "Fermentation looks incomplete: pH {ph} at {dm} dry matter.",
            ph=Quantity(ph_index, "score"),
            dm=Quantity(dm_frac, "percent"),
        )


def _samples(values_frac) -> NDArray[np.float64]:
    values = np.atleast_1d(np.asarray(values_frac, dtype=float))
    if values.shape[-1] == 0:
        raise OutOfRange("values_frac must hold at least one sample")
    return values
