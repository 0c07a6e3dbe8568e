"""One sample's values as typed, mended to the unit and basis each analyte keeps, and judged."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from app.agronomy.quality import relative_feed_value
from app.errors import OutOfRange
from app.nutrition.lab import (
    ANALYTES,
    NITRATE_PER_NITRATE_N,
    Analyte,
    Verdict,
    as_received_suspects,
    cross_checks,
    dry_basis,
    plausible_units,
    share_of_dry_matter,
    share_of_whole,
)
from app.units.sentences import Quantity, Sentence
from app.units.typed import Cell, TypedNumber, typed_number

NITRATE = " NO3"
"""Ends a unit where the lab prints nitrate, not nitrate-N."""
BASIS_WORDS: dict[str, Sentence] = {
    "AR": Sentence("as received"),
    "DM": Sentence("of dry matter"),
    "NDF": Sentence("of NDF"),
    "CP": Sentence("of protein"),
    "N": Sentence("of total nitrogen"),
    "": Sentence("no basis"),
}


@dataclass(frozen=True)
class Line:
    """One analyte as somebody typed it; an empty text means that it was not measured."""

    text: str = ""
    unit: str = ""
    basis: str = ""
    method: str = ""

    @property
    def written(self) -> str:
        """The line as history and the other editor see it: 20.5 % DM NIR."""
        return " ".join(part for part in (self.text, self.unit, self.basis, self.method) if part) if self.text else ""


@dataclass
class Mended:
    """Values by code in kept units and bases, with what was refused and what is asked, by code."""

    values: dict[str, float] = field(default_factory=dict)
    errors: dict[str, Sentence] = field(default_factory=dict)
    asks: dict[str, Sentence] = field(default_factory=dict)
    together: tuple[Sentence, ...] = ()
    """What cannot be true together."""


def units_of(analyte: Analyte) -> tuple[str, ...]:
    """Units a value may come in, the usual one first; nitrate may be printed instead of its nitrogen."""
    if analyte.code == "NO3N":
        return (*analyte.units, *(unit + NITRATE for unit in analyte.units))
    return analyte.units


def bases_of(analyte: Analyte) -> tuple[str, ...]:
    """Bases a value may come on, the usual one first."""
    return tuple(str(basis) for basis in dict.fromkeys((analyte.basis, *analyte.also_on)))


def methods_of(analyte: Analyte) -> tuple[str, ...]:
    return ("WET", "NIR", "CALC") if "CALC" not in analyte.methods else ("CALC", "NIR", "WET")


def in_kept_unit(analyte: Analyte, number: float, unit: str) -> float:
    """The number in the kept unit."""
    if analyte.code == "NO3N" and unit.endswith(NITRATE):
        return analyte.kept(number, unit.removesuffix(NITRATE)) / NITRATE_PER_NITRATE_N
    return analyte.kept(number, unit)


FIRST = ("DM", "MOIST", "CP", "aNDF", "aNDFom")
"""Others may be shares of these, so these are mended first."""


def mend(lines: Mapping[str, Line], decimal: str | None = None, legume: bool = True) -> Mended:
    """Read, convert and judge all values of one sample together."""
    result = Mended()
    order = [code for code in FIRST if code in lines] + [code for code in lines if code not in FIRST]
    for code in order:
        if lines[code].text.strip():
            _mend_one(ANALYTES[code], lines[code], decimal, result)
    _ask_received(lines, result)
    result.together = _together(result, legume)
    return result


def _mend_one(analyte: Analyte, line: Line, decimal: str | None, result: Mended) -> None:
    number = read_number(line.text, decimal)
    if number.value is None or math.isnan(number.value):
        result.errors[analyte.code] = _no_number(analyte, line.text, number.other)
        return
    try:
        value = in_kept_unit(analyte, number.value, line.unit or analyte.units[0])
    except OutOfRange:
        result.errors[analyte.code] = wrong_unit(analyte, line.unit)
        return
    if (line.basis or str(analyte.basis)) not in bases_of(analyte):
        result.errors[analyte.code] = wrong_basis(analyte, line.basis)
        return
    kept = on_kept_basis(analyte, value, line.basis or str(analyte.basis), result.values)
    if isinstance(kept, Sentence):
        result.errors[analyte.code] = kept
        return
    _judge(analyte, kept, number.value, line, result)


def read_number(cell: Cell, decimal: str | None = None) -> TypedNumber:
    """A value of a report. A point alone is the decimal mark unless the file shows otherwise; a comma may be asked.

    >>> read_number("1.366").value, read_number("12,5 %").value, read_number("1,234").other
    (1.366, 12.5, (1234.0, 1.234))
    """
    if not isinstance(cell, str):
        return typed_number(cell, decimal)
    text = cell.strip().removesuffix("%").strip()
    return typed_number(text, decimal or ("." if "," not in text else None))


def _no_number(analyte: Analyte, text: str, other: tuple[float, float] | None) -> Sentence:
    if other:
        return Sentence(
            "{name}: “{got}” may be {one} or {two}. Type it without the mark for thousands.",
            name=analyte.name, got=text, one=f"{other[0]:g}", two=f"{other[1]:g}",
        )  # fmt: skip
    return Sentence("{name}: “{got}” is not a number. Type digits, such as 20.5.", name=analyte.name, got=text)


def wrong_unit(analyte: Analyte, got: str) -> Sentence:
    allowed = ", ".join(unit for unit in units_of(analyte) if unit) or "–"
    return Sentence("{name} cannot come in “{got}”. Allowed: {allowed}.", name=analyte.name, got=got, allowed=allowed)


def wrong_basis(analyte: Analyte, got: str) -> Sentence:
    allowed = ", ".join(basis for basis in bases_of(analyte) if basis) or "–"
    return Sentence(
        "{name} cannot be on the basis “{got}”. Allowed: {allowed}.", name=analyte.name, got=got, allowed=allowed
    )


def on_kept_basis(analyte: Analyte, value: float, basis: str, known: Mapping[str, float]) -> float | Sentence:
    """The value on the basis the analyte keeps, or what the sample lacks for that."""
    kept = str(analyte.basis)
    if basis == kept or ({basis, kept} == {"N", "CP"} and analyte.code == "NH3N"):
        return value
    try:
        if basis == "AR":
            dm = dry_matter(known)
            return float(dry_basis(value, dm)) if dm else _lacks(analyte, basis, "DM")
        if basis in ("NDF", "CP"):
            whole = fibre(known) if basis == "NDF" else known.get("CP")
            return float(share_of_dry_matter(value, whole)) if whole else _lacks(analyte, basis, basis)
        whole = fibre(known) if kept == "NDF" else known.get("CP")
        return float(share_of_whole(value, whole)) if whole else _lacks(analyte, basis, kept)
    except OutOfRange:
        return Sentence("{name}: the value is larger than the whole it is a share of.", name=analyte.name)


def dry_matter(known: Mapping[str, float]) -> float | None:
    """Dry matter of the sample, from its moisture where only that was printed."""
    return known["DM"] if "DM" in known else 1 - known["MOIST"] if "MOIST" in known else None


def fibre(known: Mapping[str, float]) -> float | None:
    return known.get("aNDFom", known.get("aNDF"))


def _lacks(analyte: Analyte, basis: str, needed: str) -> Sentence:
    whole = {"DM": ANALYTES["DM"], "NDF": ANALYTES["aNDF"], "CP": ANALYTES["CP"], "N": ANALYTES["CP"]}[needed]
    return Sentence(
        "{name} is given {basis}. To convert it the sample needs {whole} as well.",
        name=analyte.name, basis=BASIS_WORDS[basis], whole=whole.name,
    )  # fmt: skip


def _judge(analyte: Analyte, value: float, number: float, line: Line, result: Mended) -> None:
    judged = analyte.judge(value)
    said = judged.sentence
    if said is not None and line.basis in ("", str(analyte.basis)) and analyte.warn[0] > 0:
        others = [unit for unit in plausible_units(analyte.code, number) if unit != (line.unit or analyte.units[0])]
        if others:
            said = Sentence("{why} As “{unit}” it would be usual.", why=said, unit=others[0])
    if judged.verdict is Verdict.REFUSE:
        result.errors[analyte.code] = said
        return
    result.values[analyte.code] = value
    if judged.verdict is Verdict.ASK:
        result.asks[analyte.code] = said


def _ask_received(lines: Mapping[str, Line], result: Mended) -> None:
    """Values typed as of dry matter that only make sense as received."""
    dm = dry_matter(result.values)
    stated = {code: value for code, value in result.values.items() if lines[code].basis in ("", "DM")}
    if dm is None:
        return
    for code, dried in as_received_suspects({**stated, "DM": dm}).items():
        analyte = ANALYTES[code]
        result.asks[code] = Sentence(
            "{name} of {value} looks as received: divided by {dm} dry matter it would be {dried}. "
            "Choose “as received”, or say that it is right.",
            name=analyte.name, value=Quantity(stated[code], analyte.shown_as), dm=Quantity(dm, "percent"),
            dried=Quantity(dried, analyte.shown_as),
        )  # fmt: skip


def _together(result: Mended, legume: bool) -> tuple[Sentence, ...]:
    return cross_checks(result.values, legume=legume, rfv_recomputed_index=recomputed_rfv(result.values))


def recomputed_rfv(values: Mapping[str, float]) -> float:
    """Relative feed value from this sample's ADF and NDF; NaN where one is missing."""
    if "ADF" not in values or "aNDF" not in values:
        return math.nan
    return float(relative_feed_value(values["ADF"], values["aNDF"]))


def plausible_readings(analyte: Analyte, number: float, unit: str, known: Mapping[str, float]) -> Iterator[str]:
    """Bases on which the number would be usual, the kept one first."""
    for basis in bases_of(analyte):
        value = on_kept_basis(analyte, in_kept_unit(analyte, number, unit), basis, known)
        if not isinstance(value, Sentence) and analyte.warn[0] <= value <= analyte.warn[1]:
            yield basis
