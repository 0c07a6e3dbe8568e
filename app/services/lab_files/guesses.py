"""Unit and basis of a value that a file does not state: a guess with its reason, never taken unseen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.nutrition.lab import ANALYTES, Analyte
from app.services.samples.values import (
    BASIS_WORDS,
    bases_of,
    dry_matter,
    in_kept_unit,
    on_kept_basis,
    plausible_readings,
    units_of,
)
from app.units.sentences import Quantity, Sentence

SMALL_PPM = 5.0
"""Nitrate-N below this is hardly meant in ppm; the higher reading is offered, because the lower could hurt stock."""


@dataclass(frozen=True)
class Guess:
    """A unit or basis; `because` is None where the file states it."""

    value: str
    because: Sentence | None = None


def guess_unit(code: str, number: float, known: Mapping[str, float], basis: str) -> Guess:
    """The unit in which the number would be usual."""
    analyte = ANALYTES[code]
    units = units_of(analyte)
    if units == ("",):
        return Guess("")
    if code == "NO3N" and 0 < number < SMALL_PPM:
        return Guess("%", Sentence("A lab prints ppm in whole hundreds; a small number is more likely %. Please look."))
    fits = tuple(unit for unit in analyte.units if _fits(analyte, number, unit, basis or bases_of(analyte)[0], known))
    if fits:
        return Guess(fits[0], _usual(analyte, fits))
    other = (
        None if basis else next((u for u in analyte.units if any(plausible_readings(analyte, number, u, known))), None)
    )
    if other:
        return Guess(other, Sentence("As {unit} on another basis it would be usual.", unit=other))
    return Guess(units[0], Sentence("Usual in no unit; most reports print {unit}. Please look.", unit=units[0]))


def _fits(analyte: Analyte, number: float, unit: str, basis: str, known: Mapping[str, float]) -> bool:
    return basis in plausible_readings(analyte, number, unit, known)


def _usual(analyte: Analyte, fits: tuple[str, ...]) -> Sentence:
    low, high = (Quantity(limit, analyte.shown_as) for limit in analyte.warn)
    if len(fits) > 1 and fits[0] != analyte.units[0]:
        return Sentence("Usual as {units}; the first is taken.", units=", ".join(fits))
    return Sentence("As {unit} it lies in the usual {low} to {high}.", unit=fits[0], low=low, high=high)


def guess_basis(code: str, number: float, unit: str, known: Mapping[str, float]) -> Guess:
    """The basis on which the number would be usual: the usual basis first, another only when only that one fits."""
    analyte = ANALYTES[code]
    bases = bases_of(analyte)
    if len(bases) == 1:
        return Guess(bases[0])
    fits = list(plausible_readings(analyte, number, unit, known))
    if not fits or fits[0] == bases[0]:
        said = Sentence("Labs usually print it {basis}.", basis=BASIS_WORDS[bases[0]])
        return Guess(bases[0], said)
    value = on_kept_basis(analyte, in_kept_unit(analyte, number, unit), fits[0], known)
    assert not isinstance(value, Sentence), "only readings that can be converted are plausible"
    return Guess(fits[0], _because(analyte, fits[0], value, known))


def _because(analyte: Analyte, basis: str, value: float, known: Mapping[str, float]) -> Sentence:
    shown = Quantity(value, analyte.shown_as)
    dm = dry_matter(known)
    if basis == "AR" and dm is not None:
        return Sentence(
            "Unusual of dry matter; divided by the sample's {dm} dry matter it is a usual {value}.",
            dm=Quantity(dm, "percent"), value=shown,
        )  # fmt: skip
    return Sentence("Only {basis} it is usual: {value}.", basis=BASIS_WORDS[basis], value=shown)
