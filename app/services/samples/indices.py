"""Feed value indices worked out again from a sample's own values, to stand beside the lab's."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from app.agronomy.quality import (
    intake_grass,
    intake_legume,
    relative_forage_quality,
    tdn_grass,
    tdn_legume,
)
from app.errors import OutOfRange
from app.nutrition.lab import ANALYTES
from app.services.samples.values import recomputed_rfv
from app.units.sentences import Sentence

RFV_WITHIN_INDEX = 2.0
"""Printed and recomputed relative feed value agree to rounding; more is a basis or typing error (derived)."""
FOR_RFQ = ("CP", "aNDF", "NDFD48", "ASH", "FAT")
GRASS_RULES_FROM = 0.5
"""The equation follows the dominant species. [Georgia2026]_"""


@dataclass(frozen=True)
class Indices:
    """Indices of one sample: printed by the lab, and ours; NaN with `lacks` where ours needs more values."""

    sample_id: int
    sampled_on: date
    printed_rfv: float
    rfv: float
    printed_rfq: float
    rfq: float
    tdn_frac: float
    lacks: tuple[Sentence, ...]
    grass: bool

    @property
    def rfv_differs(self) -> bool:
        return abs(self.printed_rfv - self.rfv) > RFV_WITHIN_INDEX


def indices_of(sample_id: int, sampled_on: date, values: Mapping[str, float], grass_frac: float = 0.0) -> Indices:
    """RFV from ADF and NDF; TDN and RFQ summed over the parts, by the equations of the dominant species."""
    grass = grass_frac > GRASS_RULES_FROM
    needed = (*FOR_RFQ, "ADF") if grass else FOR_RFQ
    lacks = tuple(ANALYTES[code].name for code in needed if code not in values)
    tdn, rfq = (math.nan, math.nan) if lacks else _quality(values, grass)
    printed = (values.get("RFV", math.nan), values.get("RFQ", math.nan))
    return Indices(
        sample_id, sampled_on, printed[0], recomputed_rfv(values), printed[1], rfq, tdn, lacks, grass
    )  # fmt: skip


def _quality(values: Mapping[str, float], grass: bool) -> tuple[float, float]:
    tdn_of = tdn_grass if grass else tdn_legume
    try:
        tdn = tdn_of(values["CP"], values["aNDF"], values["NDFD48"], values["ASH"], values["FAT"], values.get("NDICP"))
        if grass:
            intake = intake_grass(values["CP"], tdn, values["ADF"])
        else:
            intake = intake_legume(values["aNDF"], values["NDFD48"])
        return float(tdn), float(relative_forage_quality(intake, tdn))
    except OutOfRange:  # the parts add up to more than the whole: the cross check says so
        return math.nan, math.nan
