"""What a forage report measures: names, units, bases, limits, conversions and the checks between values.

Inside, a share is a fraction of its basis, nitrate-N is in ppm, energy in Mcal/kg; pH and relative values are plain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from app.errors import OutOfRange
from app.nutrition.ranges import SHARE, Possible
from app.units.quantities import KG_PER_LB
from app.units.sentences import Quantity, Sentence

DRY_MATTER = Possible(0.05, 1.0, "(a fraction)")
NITRATE_PER_NITRATE_N = 4.427

Kept = float
"""A value in the unit and basis its analyte keeps."""


class Basis(StrEnum):
    """What a value is a share of."""

    AR = "AR"
    DM = "DM"
    NDF = "NDF"
    CP = "CP"
    N = "N"
    NONE = ""


class Method(StrEnum):
    """How a lab came to a value."""

    WET = "WET"
    NIR = "NIR"
    CALC = "CALC"


class Verdict(StrEnum):
    """What to do with a typed value."""

    FINE = "fine"
    ASK = "ask"
    REFUSE = "refuse"


@dataclass(frozen=True)
class Judgement:
    """A verdict on a value with the sentence to show; no sentence when it is fine."""

    verdict: Verdict
    sentence: Sentence | None = None


@dataclass(frozen=True)
class Analyte:
    """One thing a lab reports. Limits are in the kept unit: outside `warn` a person is asked, outside `reject` refused.

    `judged` says that the limits are this app's own judgement, to be confirmed by a nutritionist.
    """

    code: str
    name: Sentence
    kind: str
    basis: Basis
    warn: tuple[float, float]
    reject: tuple[float, float]
    methods: tuple[Method, ...] = (Method.WET, Method.NIR)
    hours: int | None = None
    also_on: tuple[Basis, ...] = (Basis.AR,)
    judged: bool = False

    @property
    def units(self) -> tuple[str, ...]:
        """Units in which the value may be typed, the usual one first."""
        return tuple(UNITS[self.kind])

    @property
    def shown_as(self) -> str:
        """Kind to show it by: small shares such as minerals and acids with one more decimal."""
        return "percent_fine" if self.kind == "percent" and self.warn[1] <= 0.05 else self.kind

    def kept(self, value: Kept, unit: str) -> Kept:
        """The value in the kept unit; the unit must be one of `units`."""
        if unit not in UNITS[self.kind]:
            allowed = ", ".join(UNITS[self.kind])
            raise OutOfRange(f"{self.code} may be given in {allowed}, not in {unit!r}")
        return value * UNITS[self.kind][unit]

    def judge(self, value: Kept) -> Judgement:
        """Fine, to ask about, or to refuse; NaN (not measured) is fine."""
        for limits, verdict, text in (
            (self.reject, Verdict.REFUSE, "{name} of {value} cannot be right: it must lie within {low} to {high}."),
            (self.warn, Verdict.ASK, "{name} of {value} is unusual: most lie within {low} to {high}. Is it right?"),
        ):
            if value < limits[0] or value > limits[1]:
                low, high = (Quantity(limit, self.shown_as) for limit in limits)
                said = Sentence(text, name=self.name, value=Quantity(value, self.shown_as), low=low, high=high)
                return Judgement(verdict, said)
        return Judgement(Verdict.FINE)


UNITS: dict[str, dict[str, float]] = {
    "percent": {"%": 0.01, "g/kg": 0.001, "fraction": 1.0, "mg/kg": 1e-6, "ppm": 1e-6},
    "ppm": {"ppm": 1.0, "mg/kg": 1.0, "%": 10_000.0, "g/kg": 1000.0},
    "energy": {"Mcal/lb": 1 / KG_PER_LB, "Mcal/kg": 1.0, "MJ/kg": 1 / 4.184},
    "index": {"": 1.0},
    "score": {"": 1.0},
}
"""Factor from each unit a value may come in to the unit kept, by kind."""


def _share(code, name, warn_pct, reject_pct, basis=Basis.DM, **more):
    warn, reject = ((round(low / 100, 6), round(high / 100, 6)) for low, high in (warn_pct, reject_pct))
    return Analyte(code, Sentence(name), "percent", basis, warn, reject, **more)


_WET = (Method.WET,)
_CALC = (Method.CALC,)
_NDF_OR_DM = (Basis.DM,)
_CP_OR_DM = (Basis.CP, Basis.AR)

_ALL = (
    _share("DM", "Dry matter", (28, 65), (10, 95), Basis.AR, also_on=()),
    _share("MOIST", "Moisture", (35, 72), (5, 90), Basis.AR, also_on=()),
    _share("CP", "Crude protein", (12, 28), (4, 40)),
    _share("SP", "Soluble protein", (25, 80), (0, 100), Basis.CP, also_on=(Basis.DM,)),
    _share("NH3N", "Ammonia nitrogen", (2, 15), (0, 60), Basis.N, also_on=(Basis.CP, Basis.DM)),
    _share("NDICP", "Protein in NDF", (1, 6), (0, 20), also_on=_CP_OR_DM, judged=True),
    _share("ADICP", "Protein in ADF (heat-bound)", (0.3, 3), (0, 15), also_on=_CP_OR_DM, judged=True),
    _share("ADF", "Acid detergent fibre", (22, 46), (10, 65)),
    _share("aNDF", "Neutral detergent fibre", (28, 60), (15, 85)),
    _share("aNDFom", "Neutral detergent fibre, ash-free", (28, 60), (15, 85)),
    _share(
        "NDFD24", "NDF digestibility, 24 h", (22, 60), (3, 95), Basis.NDF, hours=24, also_on=_NDF_OR_DM, judged=True
    ),
    _share("NDFD30", "NDF digestibility, 30 h", (28, 65), (5, 95), Basis.NDF, hours=30, also_on=_NDF_OR_DM),
    _share("NDFD48", "NDF digestibility, 48 h", (35, 75), (5, 98), Basis.NDF, hours=48, also_on=_NDF_OR_DM),
    _share("uNDF240", "Undigested NDF, 240 h", (9, 28), (2, 50), hours=240, also_on=(Basis.NDF,)),
    _share("LIG", "Lignin", (4, 12), (1, 20), also_on=(Basis.NDF, Basis.AR)),
    _share("ASH", "Ash", (7, 13), (2, 40)),
    _share("FAT", "Fat (ether extract)", (1.5, 5), (0, 12)),
    _share("TFA", "Total fatty acids", (0.5, 4), (0, 12), judged=True),
    _share("STARCH", "Starch", (0, 8), (0, 50)),
    _share("WSC", "Water-soluble carbohydrates", (0.5, 12), (0, 35)),
    _share("ESC", "Ethanol-soluble carbohydrates", (0.5, 12), (0, 35), judged=True),
    _share("NFC", "Non-fibre carbohydrates", (12, 40), (0, 75), methods=_CALC, judged=True),
    Analyte("PH", Sentence("pH"), "score", Basis.NONE, (3.9, 5.2), (3.0, 9.0), _WET, also_on=()),
    _share("LACT", "Lactic acid", (1, 11), (0, 20)),
    _share("ACET", "Acetic acid", (0, 5), (0, 15)),
    _share("PROP", "Propionic acid", (0, 0.5), (0, 10), judged=True),
    _share("BUT", "Butyric acid", (0, 0.5), (0, 10)),
    _share("ETOH", "Ethanol", (0, 1), (0, 10), judged=True),
    _share("CA", "Calcium", (0.6, 2.0), (0, 4)),
    _share("P", "Phosphorus", (0.2, 0.5), (0, 2)),
    _share("MG", "Magnesium", (0.15, 0.5), (0, 2)),
    _share("K", "Potassium", (1.2, 4.0), (0, 8)),
    _share("S", "Sulfur", (0.12, 0.45), (0, 2)),
    _share("NA", "Sodium", (0, 0.5), (0, 4), judged=True),
    _share("CL", "Chloride", (0.1, 1.5), (0, 5), judged=True),
    Analyte("NO3N", Sentence("Nitrate nitrogen"), "ppm", Basis.DM, (0.0, 1000.0), (0.0, 30_000.0), _WET),
    _share("TDN", "Total digestible nutrients", (50, 75), (30, 95), methods=_CALC, judged=True),
    Analyte(
        "NEL",
        Sentence("Net energy for lactation"),
        "energy",
        Basis.DM,
        (0.50 / KG_PER_LB, 0.75 / KG_PER_LB),
        (0.3 / KG_PER_LB, 1.0 / KG_PER_LB),
        _CALC,
    ),
    Analyte(
        "RFV", Sentence("Relative feed value"), "index", Basis.NONE, (90.0, 220.0), (40.0, 350.0), _CALC, also_on=()
    ),
    Analyte(
        "RFQ", Sentence("Relative forage quality"), "index", Basis.NONE, (90.0, 220.0), (40.0, 350.0), _CALC, also_on=()
    ),
)

ANALYTES: dict[str, Analyte] = {analyte.code: analyte for analyte in _ALL}
"""Every analyte by code. Digestibilities of different hours are different analytes and never share a mean."""

MINERALS = ("CA", "P", "MG", "K", "S", "NA", "CL")
"""Ask the lab for wet chemistry: near-infrared is poor for these (from memory)."""


def dry_basis(received_frac: ArrayLike, dm_frac: ArrayLike) -> NDArray[np.float64]:
    """Share of dry matter of a value given as received.

    Parameters
    ----------
    received_frac : float or array
        Value as received; any unit. [fraction]
    dm_frac : float or array
        Dry matter as received. [fraction]

    Returns
    -------
    array, same shape
        Value of dry matter, same unit. [fraction]

    Valid
    -----
    Anything that is not water. Not pH, not relative values.

    Raises
    ------
    OutOfRange
        If dry matter lies outside 0.05-1.

    Example
    -------
    >>> round(float(dry_basis(0.084, 0.42)), 3)
    0.2

    Source
    ------
    Definition; the form of [NRC2001]_ tables.
    """
    return np.asarray(received_frac, dtype=float) / DRY_MATTER("dm_frac", dm_frac)


def received_basis(dry_frac: ArrayLike, dm_frac: ArrayLike) -> NDArray[np.float64]:
    """As-received share of a value given of dry matter.

    Parameters
    ----------
    dry_frac : float or array
        Value of dry matter; any unit. [fraction]
    dm_frac : float or array
        Dry matter as received. [fraction]

    Returns
    -------
    array, same shape
        Value as received, same unit. [fraction]

    Valid
    -----
    The inverse of `dry_basis`.

    Raises
    ------
    OutOfRange
        If dry matter lies outside 0.05-1.

    Example
    -------
    >>> round(float(received_basis(0.20, 0.42)), 3)
    0.084

    Source
    ------
    Definition; the form of [NRC2001]_ tables.
    """
    return np.asarray(dry_frac, dtype=float) * DRY_MATTER("dm_frac", dm_frac)


def share_of_whole(part_frac: ArrayLike, whole_frac: ArrayLike) -> NDArray[np.float64]:
    """Share that a part of dry matter is of a larger part, such as undigested fibre of NDF.

    Parameters
    ----------
    part_frac : float or array
        Part, of DM. [fraction]
    whole_frac : float or array
        The whole it belongs to, of DM. [fraction]

    Returns
    -------
    array, same shape
        Part of the whole. [fraction]

    Valid
    -----
    uNDF240 of aNDFom, ADICP of CP, lignin of NDF.

    Raises
    ------
    OutOfRange
        If a share lies outside 0-1 or the whole is 0.

    Example
    -------
    >>> round(100 * float(share_of_whole(0.17, 0.42)), 2)
    40.48

    Source
    ------
    Definition; of NDF as in [NASEM2021]_.
    """
    return SHARE("part_frac", part_frac) / Possible(1e-6, 1.0, "(a fraction)")("whole_frac", whole_frac)


def share_of_dry_matter(part_frac: ArrayLike, whole_frac: ArrayLike) -> NDArray[np.float64]:
    """Share of dry matter that a share of a larger part is, such as soluble protein.

    Parameters
    ----------
    part_frac : float or array
        Part of the whole. [fraction]
    whole_frac : float or array
        The whole, of DM. [fraction]

    Returns
    -------
    array, same shape
        Part of DM; for ammonia-N of total N with crude protein, its protein equivalent. [fraction]

    Valid
    -----
    The inverse of `share_of_whole`.

    Raises
    ------
    OutOfRange
        If a share lies outside 0-1.

    Example
    -------
    >>> round(float(share_of_dry_matter(0.10, 0.20)), 3)
    0.02

    Source
    ------
    Definition; ammonia as protein equivalent as in [Kung2001]_.
    """
    return SHARE("part_frac", part_frac) * SHARE("whole_frac", whole_frac)


def nonfibre_carbohydrate(
    ndf_frac: ArrayLike,
    protein_frac: ArrayLike,
    fat_frac: ArrayLike,
    ash_frac: ArrayLike,
    *,
    ndf_protein_frac: ArrayLike = 0.0,
) -> NDArray[np.float64]:
    """Non-fibre carbohydrate by difference.

    Parameters
    ----------
    ndf_frac, protein_frac, fat_frac, ash_frac : float or array
        NDF, crude protein, ether extract and ash, of DM. [fraction]
    ndf_protein_frac : float or array
        Protein in NDF, of DM, so that it is not taken off twice. [fraction]

    Returns
    -------
    array, same shape
        Non-fibre carbohydrate; below 0 means that a value is wrong. [fraction]

    Valid
    -----
    Every error of the other four lands in it.

    Raises
    ------
    OutOfRange
        If a share lies outside 0-1.

    Example
    -------
    >>> round(float(nonfibre_carbohydrate(0.42, 0.20, 0.03, 0.10, ndf_protein_frac=0.03)), 2)
    0.28

    Source
    ------
    [NRC2001]_ definition (read as restated).
    """
    ndf = SHARE("ndf_frac", ndf_frac) - SHARE("ndf_protein_frac", ndf_protein_frac)
    return 1 - (ndf + SHARE("protein_frac", protein_frac) + SHARE("fat_frac", fat_frac) + SHARE("ash_frac", ash_frac))


def digestibility_from_lignin(ndf_frac: ArrayLike, lignin_frac: ArrayLike) -> NDArray[np.float64]:
    """Digestible share of NDF from lignin, where no digestibility was measured.

    Parameters
    ----------
    ndf_frac : float or array
        NDF, of DM. [fraction]
    lignin_frac : float or array
        Lignin, of DM. [fraction]

    Returns
    -------
    array, same shape
        Digestible NDF, of NDF. [fraction]

    Valid
    -----
    A fallback; a measured digestibility comes first.

    Raises
    ------
    OutOfRange
        If NDF lies outside 0.01-1, lignin outside 0-1 or lignin above NDF.

    Example
    -------
    >>> round(float(digestibility_from_lignin(0.42, 0.07)), 4)
    0.4358

    Source
    ------
    [NASEM2021]_ base digestibility of NDF.
    """
    ndf = 100 * Possible(0.01, 1.0, "(a fraction)")("ndf_frac", ndf_frac)
    lignin = 100 * SHARE("lignin_frac", lignin_frac)
    if np.any(lignin > ndf):
        raise OutOfRange("lignin_frac must not be above ndf_frac")
    return 0.75 * (ndf - lignin) * (1 - (lignin / ndf) ** 0.667) / ndf


def net_energy_lactation(tdn_frac: ArrayLike) -> NDArray[np.float64]:
    """Net energy for lactation from total digestible nutrients.

    Parameters
    ----------
    tdn_frac : float or array
        Total digestible nutrients, of DM. [fraction]

    Returns
    -------
    array, same shape
        Net energy. [Mcal/kg DM]

    Valid
    -----
    Forages; for comparison with lab reports, not for ration work.

    Raises
    ------
    OutOfRange
        If TDN lies outside 0.05-1.

    Example
    -------
    >>> round(float(net_energy_lactation(0.62)), 3)
    1.399

    Source
    ------
    [NRC1989]_ (from memory).
    """
    tdn = 100 * Possible(0.05, 1.0, "(a fraction)")("tdn_frac", tdn_frac)
    return 0.0245 * tdn - 0.12


def nitrate(nitrate_n_ppm: ArrayLike) -> NDArray[np.float64]:
    """Nitrate from nitrate nitrogen.

    Parameters
    ----------
    nitrate_n_ppm : float or array
        Nitrate-N, of DM. [ppm]

    Returns
    -------
    array, same shape
        Nitrate (NO3), of DM. [ppm]

    Valid
    -----
    Any; a lab sheet says which of the two it prints.

    Raises
    ------
    OutOfRange
        If nitrate-N lies outside 0-30,000 ppm.

    Example
    -------
    >>> round(float(nitrate(1000.0)))
    4427

    Source
    ------
    Molar masses; as in [Clemson2026]_.
    """
    return NITRATE_PER_NITRATE_N * Possible(0.0, 30_000.0, "ppm")("nitrate_n_ppm", nitrate_n_ppm)


def nitrate_nitrogen(nitrate_ppm: ArrayLike) -> NDArray[np.float64]:
    """Nitrate nitrogen from nitrate.

    Parameters
    ----------
    nitrate_ppm : float or array
        Nitrate (NO3), of DM. [ppm]

    Returns
    -------
    array, same shape
        Nitrate-N, of DM. [ppm]

    Valid
    -----
    The inverse of `nitrate`.

    Raises
    ------
    OutOfRange
        If nitrate lies outside 0-132,810 ppm.

    Example
    -------
    >>> round(float(nitrate_nitrogen(4427.0)))
    1000

    Source
    ------
    Molar masses; as in [Clemson2026]_.
    """
    return Possible(0.0, 132_810.0, "ppm")("nitrate_ppm", nitrate_ppm) / NITRATE_PER_NITRATE_N


def _inside(limits: tuple[float, float], value: float) -> bool:
    return limits[0] <= value <= limits[1]


def _dried_if_received(code: str, value: Kept, dm: Kept) -> Kept | None:
    """The value of dry matter if the value only makes sense as received, else None."""
    analyte = ANALYTES[code]
    if analyte.basis is not Basis.DM or Basis.AR not in analyte.also_on or not 0.05 <= dm < 1:
        return None
    dried = value / dm
    return dried if _inside(analyte.warn, dried) and not _inside(analyte.warn, value) else None


def _quantities(values: Mapping[str, float], *codes: str) -> dict[str, Quantity]:
    return {code: Quantity(values[code], ANALYTES[code].shown_as) for code in codes}


_NOT_ABOVE = (
    ("LIG", "ADF", "Lignin {LIG} must be below ADF {ADF}."),
    ("ADF", "aNDF", "ADF {ADF} must be below NDF {aNDF}."),
    ("aNDFom", "aNDF", "Ash-free NDF {aNDFom} must not be above NDF {aNDF}."),
    ("NDFD24", "NDFD30", "Digestibility after 24 h {NDFD24} must not be above that after 30 h {NDFD30}."),
    ("NDFD30", "NDFD48", "Digestibility after 30 h {NDFD30} must not be above that after 48 h {NDFD48}."),
    ("ADICP", "NDICP", "Protein in ADF {ADICP} must not be above protein in NDF {NDICP}."),
    ("NDICP", "CP", "Protein in NDF {NDICP} must not be above crude protein {CP}."),
    ("ADICP", "CP", "Protein in ADF {ADICP} must not be above crude protein {CP}."),
    ("ESC", "WSC", "Ethanol-soluble {ESC} must not be above water-soluble carbohydrates {WSC}."),
)
_STRICT = {("LIG", "ADF"), ("ADF", "aNDF")}


def _order(values):
    for part, whole, text in _NOT_ABOVE:
        if values[part] > values[whole] or ((part, whole) in _STRICT and values[part] == values[whole]):
            yield Sentence(text, **_quantities(values, part, whole))


def _water(values):
    if abs(values["DM"] + values["MOIST"] - 1) > 0.005:
        yield Sentence(
            "Dry matter {DM} and moisture {MOIST} do not add up to 100 %.", **_quantities(values, "DM", "MOIST")
        )


def _ratios(values, legume):
    fibre = values["aNDF"]
    if legume and not np.isnan(fibre) and fibre > 0:
        ratio = values["ADF"] / fibre
        if ratio < 0.70 or ratio > 0.88:
            yield Sentence(
                "ADF is {ratio} of NDF; legume haylage has 70 to 88 %. Lower suggests grass.",
                ratio=Quantity(ratio, "percent"),
            )
    if not np.isnan(fibre) and fibre > 0:
        ratio = values["LIG"] / fibre
        if ratio < 0.12 or ratio > 0.24:
            yield Sentence("Lignin is {ratio} of NDF; most haylage has 12 to 24 %.", ratio=Quantity(ratio, "percent"))


def _undigested(values):
    fibre = values["aNDFom"] if not np.isnan(values["aNDFom"]) else values["aNDF"]
    if fibre > 0 and values["uNDF240"] / fibre > 1 - values["NDFD30"] + 1e-9:
        yield Sentence(
            "Undigested fibre (240 h) is {undigested} of NDF, more than the {left} left after 30 h.",
            undigested=Quantity(values["uNDF240"] / fibre, "percent"),
            left=Quantity(1 - values["NDFD30"], "percent"),
        )


def _sums(values):
    bound = 0.0 if np.isnan(values["NDICP"]) else values["NDICP"]
    total = values["aNDF"] - bound + values["CP"] + values["FAT"] + values["ASH"]
    if total > 1 + 1e-9:
        yield Sentence(
            "NDF, protein, fat and ash add up to {total} of dry matter, more than all of it.",
            total=Quantity(total, "percent"),
        )
    acids = sum(values[code] for code in ("LACT", "ACET", "PROP", "BUT") if not np.isnan(values[code]))
    if acids > 0.15:
        yield Sentence("The acids add up to {total} of dry matter, more than 15 %.", total=Quantity(acids, "percent"))


def _printed_rfv(values, rfv_recomputed_index):
    if abs(values["RFV"] - rfv_recomputed_index) > 2:
        yield Sentence(
            "RFV on the report is {printed}, but its ADF and NDF give {ours}: a basis or typing error.",
            printed=Quantity(values["RFV"], "index"),
            ours=Quantity(rfv_recomputed_index, "index"),
        )


def cross_checks(
    values: Mapping[str, float], *, legume: bool = True, rfv_recomputed_index: float = np.nan
) -> tuple[Sentence, ...]:
    """What in a sample's values cannot be true together.

    Parameters
    ----------
    values : mapping of analyte code to value
        Kept unit and kept basis; a missing code or NaN is not measured. [fraction, ppm, Mcal/kg]
    legume : bool
        Whether the lot is mostly legume; the ADF to NDF test is for legumes.
    rfv_recomputed_index : float
        Relative feed value from this sample's ADF and NDF; NaN when not computed. [points]

    Returns
    -------
    tuple of Sentence
        One sentence for each contradiction. [text]

    Valid
    -----
    Haylage and hay. A contradiction means a typing, unit or basis error in one of the two values.

    Raises
    ------
    OutOfRange
        If a code is not an analyte.

    Example
    -------
    >>> [str(s) for s in cross_checks({"ADF": 0.45, "aNDF": 0.42}, legume=False)]
    ['ADF 0.45 must be below NDF 0.42.']

    Source
    ------
    Definitions, and ranges derived from [Paulson2009]_.
    """
    if unknown := sorted(set(values) - set(ANALYTES)):
        raise OutOfRange(f"values holds codes that are no analyte: {', '.join(unknown)}")
    known = {code: values.get(code, np.nan) for code in ANALYTES}
    return (
        *_order(known),
        *_water(known),
        *_ratios(known, legume),
        *_undigested(known),
        *_sums(known),
        *_printed_rfv(known, rfv_recomputed_index),
    )


def as_received_suspects(values: Mapping[str, float]) -> dict[str, float]:
    """Values that look as received where dry matter is meant, with what they would be of dry matter.

    Parameters
    ----------
    values : mapping of analyte code to value
        Kept unit; must hold DM to find anything. [fraction, ppm, Mcal/kg]

    Returns
    -------
    dict of code to value
        Suspected values, converted to dry matter. [fraction, ppm, Mcal/kg]

    Valid
    -----
    A value that lies in its usual range only after division by dry matter; always asked, never changed unasked.

    Raises
    ------
    OutOfRange
        If a code is not an analyte.

    Example
    -------
    >>> {code: round(value, 3) for code, value in as_received_suspects({"DM": 0.42, "CP": 0.084}).items()}
    {'CP': 0.2}

    Source
    ------
    Derived from the usual ranges of [Paulson2009]_ and [Kung2001]_.
    """
    if unknown := sorted(set(values) - set(ANALYTES)):
        raise OutOfRange(f"values holds codes that are no analyte: {', '.join(unknown)}")
    dm = values.get("DM", np.nan)
    found = {code: _dried_if_received(code, value, dm) for code, value in values.items()}
    return {code: dried for code, dried in found.items() if dried is not None}


def plausible_units(code: str, typed_frac: float) -> tuple[str, ...]:
    """Units in which a typed number would be usual for an analyte.

    Parameters
    ----------
    code : str
        Analyte code.
    typed_frac : float
        The number as typed, unit not known. [fraction]

    Returns
    -------
    tuple of str
        Units that put it into the usual range, the commonest first; empty when none does. [text]

    Valid
    -----
    To guess on an import preview, where a person confirms; 0.40 for NDF is a fraction, 40 per cent.

    Raises
    ------
    OutOfRange
        If the code is not an analyte.

    Example
    -------
    >>> plausible_units("aNDF", 0.40), plausible_units("aNDF", 40.0), plausible_units("CP", 205.0)
    (('fraction',), ('%',), ('g/kg',))

    Source
    ------
    Derived from the usual ranges of [Paulson2009]_.
    """
    if code not in ANALYTES:
        raise OutOfRange(f"code must be one of {', '.join(ANALYTES)}; it was {code!r}")
    analyte = ANALYTES[code]
    return tuple(unit for unit in analyte.units if _inside(analyte.warn, analyte.kept(typed_frac, unit)))
