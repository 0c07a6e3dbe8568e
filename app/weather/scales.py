"""Units of weather columns: what a file may be in, what a header says, and a reasoned guess where nothing is said."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from app.units.findings import Choice, Question
from app.units.quantities import MM_PER_IN, celsius
from app.units.sentences import Sentence
from app.weather.series import Figures

TEMP_UNITS = {
    "f": Sentence("degrees Fahrenheit"),
    "c": Sentence("degrees Celsius"),
    "tenths_c": Sentence("tenths of a degree Celsius"),
}
RAIN_UNITS = {
    "in": Sentence("inches"),
    "mm": Sentence("millimetres"),
    "tenths_mm": Sentence("tenths of a millimetre"),
}
HOTTEST_F, HOTTEST_C = 140.0, 57.0
WARMEST_SPRING_C = 50.0


@dataclass(frozen=True)
class Guess:
    """A unit thought likely, with the reason a person can weigh; None where the figures do not tell."""

    unit: str | None
    because: Sentence


def to_celsius(value: float, unit: str) -> float:
    """A temperature in the unit of the file as degrees Celsius."""
    return celsius(value) if unit == "f" else value / 10 if unit == "tenths_c" else value


def to_mm(value: float, unit: str) -> float:
    """Rain in the unit of the file as millimetres."""
    return value * MM_PER_IN if unit == "in" else value / 10 if unit == "tenths_mm" else value


def unit_in_header(name: str) -> str | None:
    """The unit a column's own name states: "Tmin(C)", "high °F", "rain_mm".

    >>> [unit_in_header(name) for name in ("Tmin(C)", "TMAX", "high °F", "Prcp(mm)", "precip_in", "temp_c")]
    ['c', None, 'f', 'mm', 'in', 'c']
    """
    found = re.search(r"(?:[(\[_ /°]|deg\.? ?)(fahrenheit|celsius|inch(?:es)?|mm|in|f|c)[)\]]?$", name.strip().lower())
    return {"fahrenheit": "f", "celsius": "c", "inch": "in", "inches": "in"}.get(found[1], found[1]) if found else None


def guess_temp_unit(high: ArrayLike) -> Guess:
    """The likely unit of a column of daily highs, judged by its largest value and its decimals."""
    values = _known(high)
    if not len(values):
        return Guess(None, Sentence("There is no temperature in the column."))
    top = float(np.abs(values).max())
    if top > HOTTEST_F:
        return Guess("tenths_c", Sentence("The largest value is {top}, which only tenths of a degree can be.", top=top))
    if values.max() > 60:
        return Guess(
            "f", Sentence("The highest value is {top}; no air is that hot in Celsius.", top=float(values.max()))
        )
    if np.any(values != np.round(values)):
        return Guess(
            "c",
            Sentence("The highest value is {top} and values have decimals, as Celsius has.", top=float(values.max())),
        )
    if len(values) >= 200 and values.max() > 15:
        return Guess("c", Sentence("The highest value of {n} days is {top}.", n=len(values), top=float(values.max())))
    return Guess(None, Sentence("Whole numbers up to {top} could be either.", top=float(values.max())))


def guess_rain_unit(rain: ArrayLike, temp_unit: str | None) -> Guess:
    """The likely unit of a column of daily rain, judged by its largest value, its decimals and the temperatures."""
    values = _known(rain)
    if not len(values) or values.max() == 0:
        return Guess(None, Sentence("There is no rain in the column."))
    top = float(values.max())
    whole = bool(np.all(values == np.round(values)))
    if temp_unit == "tenths_c" and whole:
        return Guess(
            "tenths_mm", Sentence("Temperatures are in tenths and rain is in whole numbers up to {top}.", top=top)
        )
    if top > 12:
        return Guess("mm", Sentence("The largest value is {top}; as inches that is hardly possible in a day.", top=top))
    if np.any(np.abs(values * 10 - np.round(values * 10)) > 1e-9):
        return Guess("in", Sentence("Values have two decimals and the largest is {top}, as inches have.", top=top))
    return Guess(
        "in" if temp_unit == "f" else "mm" if temp_unit == "c" else None,
        Sentence("The largest value is {top}; taken to go with the temperatures.", top=top),
    )


def unit_question(key: str, asked: Sentence, units: dict[str, Sentence], guess: Guess) -> Question:
    """Ask for a unit, the likely one offered first."""
    order = sorted(units, key=lambda unit: unit != guess.unit)
    return Question(key, asked, tuple(Choice(unit, units[unit]) for unit in order), guess.unit, guess.because)


def _known(values: ArrayLike) -> Figures:
    array = np.asarray(values, float)
    return array[~np.isnan(array)]
