"""Analytes as a form shows them: the common dozen first."""

from __future__ import annotations

from dataclasses import dataclass

from app.nutrition.lab import ANALYTES, MINERALS
from app.services.samples.values import BASIS_WORDS, bases_of, methods_of, units_of
from app.units.sentences import Sentence


@dataclass(frozen=True)
class Entry:
    """One row of the form: the analyte with every unit, basis and method it may have."""

    code: str
    name: Sentence
    units: tuple[str, ...]
    bases: tuple[tuple[str, Sentence], ...]
    methods: tuple[str, ...]
    kind: str
    judged: bool


@dataclass(frozen=True)
class Group:
    key: str
    title: Sentence
    entries: tuple[Entry, ...]


COMMON = ("DM", "CP", "ADF", "aNDF", "aNDFom", "NDFD30", "NDFD48", "uNDF240", "LIG", "ASH", "RFV", "RFQ")


def entry_of(code: str) -> Entry:
    analyte = ANALYTES[code]
    bases = tuple((basis, BASIS_WORDS[basis]) for basis in bases_of(analyte))
    return Entry(
        code, analyte.name, units_of(analyte), bases, methods_of(analyte), analyte.shown_as, analyte.judged
    )  # fmt: skip


def _group(key: str, title: str, *codes: str) -> Group:
    return Group(key, Sentence(title), tuple(entry_of(code) for code in codes))


GROUPS: tuple[Group, ...] = (
    _group("common", "The usual dozen", *COMMON),
    _group("protein", "Water, protein and fibre", "MOIST", "SP", "NH3N", "NDICP", "ADICP", "NDFD24"),
    _group("sugar", "Fat, starch and sugars", "FAT", "TFA", "STARCH", "WSC", "ESC", "NFC"),
    _group("acids", "Fermentation", "PH", "LACT", "ACET", "PROP", "BUT", "ETOH"),
    _group("minerals", "Minerals and nitrate", *MINERALS, "NO3N"),
    _group("energy", "Energy", "TDN", "NEL"),
)
"""Every analyte once; a test holds this against the dictionary."""
