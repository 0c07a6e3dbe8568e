"""Questions about daily weather that is possible but unlikely: a wrong unit, exchanged columns, spikes, wrong years."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Protocol

import numpy as np

from app.units.findings import Choice, Question
from app.units.sentences import Sentence
from app.weather.scales import WARMEST_SPRING_C, to_celsius
from app.weather.series import Figures

SPIKE_C = 22.0
"""A high or low this far from the mean of both neighbours, and on the same side of each, is asked about (judgement)."""


class Asker(Protocol):
    """Whoever reads a file and can ask: gives the answer, or the guess with the question left open."""

    def ask(self, question: Question) -> str | None: ...


def question_days(asker: Asker, days: Sequence[date | None], today: date | None) -> list[date | None]:
    """Days after today: next year's date typed by mistake is moved back if the person says so, others left out."""
    ahead = [day for day in days if day is not None and today is not None and day >= today]
    if not ahead or today is None:
        return list(days)
    back = {day: _year_before(day) for day in ahead}
    if all(day is not None and day < today for day in back.values()):
        choices: tuple[Choice, ...] = (
            Choice("back", Sentence("one year earlier, from {day}", day=back[min(ahead)])),
            Choice("leave_out", Sentence("leave these days out")),
        )
        because = Sentence("One year earlier all of them lie in the past.")
        answer = asker.ask(Question("next_year", _ahead(ahead), choices, "back", because))
        if answer == "back":
            return [back.get(day, day) if day is not None else None for day in days]
    else:
        choices = (Choice("leave_out", Sentence("leave these days out")),)
        because = Sentence("Weather can be observed only through yesterday.")
        asker.ask(Question("future", _ahead(ahead), choices, "leave_out", because))
    return [day if day is not None and day < today else None for day in days]


def _ahead(ahead: list[date]) -> Sentence:
    return Sentence(
        "Days that are not over yet: {count}, from {first} to {last}. What is meant?",
        count=len(ahead),
        first=min(ahead),
        last=max(ahead),
    )


def _year_before(day: date) -> date | None:
    try:
        return day.replace(year=day.year - 1)
    except ValueError:
        return None


def question_temperatures(
    asker: Asker, days: Sequence[date | None], high: Figures, low: Figures, unit: str
) -> tuple[Figures, Figures]:
    """Highs and lows in the unit of the file after questions on unit, exchanged columns and spikes."""
    high, low = _exchanged(asker, high, low)
    high, low = _wrong_unit(asker, high, low, unit)
    return _spikes(asker, days, high, low, unit)


def _exchanged(asker: Asker, high: Figures, low: Figures) -> tuple[Figures, Figures]:
    both = ~(np.isnan(high) | np.isnan(low))
    upside_down = both & (high < low)
    if both.sum() and upside_down.sum() > both.sum() / 2:
        question = Question(
            "swapped",
            Sentence("Days with the high below the low: {n} of {all}. Exchange the columns?",
                     n=int(upside_down.sum()), all=int(both.sum())),
            (Choice("yes", Sentence("exchange them")), Choice("no", Sentence("keep; leave those days out"))),
            "yes",
            Sentence("A day's high is never below its low."),
        )  # fmt: skip
        if asker.ask(question) == "yes":
            return low, high
    return high, low


def _wrong_unit(asker: Asker, high: Figures, low: Figures, unit: str) -> tuple[Figures, Figures]:
    if unit != "c" or not np.any(high > WARMEST_SPRING_C):
        return high, low
    question = Question(
        "celsius",
        Sentence("The high reaches {top} °C. Are the temperatures in Fahrenheit?", top=float(np.nanmax(high))),
        (Choice("f", Sentence("yes, Fahrenheit")), Choice("c", Sentence("no, Celsius; leave impossible days out"))),
        "f",
        Sentence("Air hotter than {limit} °C is hardly ever measured.", limit=WARMEST_SPRING_C),
    )
    if asker.ask(question) == "f":
        return (high - 32) / 1.8, (low - 32) / 1.8
    return high, low


def _spikes(
    asker: Asker, days: Sequence[date | None], high: Figures, low: Figures, unit: str
) -> tuple[Figures, Figures]:
    limit = SPIKE_C / (to_celsius(1.0, unit) - to_celsius(0.0, unit))
    found = [spikes(high, limit), spikes(low, limit)]
    where = np.flatnonzero(found[0] | found[1])
    if not len(where) or len(days) != len(high):
        return high, low
    question = Question(
        "jumps",
        Sentence(
            "Days over {limit} °C off the days around them: {n}, the first {day}. Is that right?",
            n=len(where),
            day=days[where[0]] or "",
            limit=SPIKE_C,
        ),
        (Choice("leave_out", Sentence("no, leave them out")), Choice("keep", Sentence("yes, keep them"))),
        "leave_out",
        Sentence("A digit too many or a sign left out makes such a jump; a cold front seldom does on both sides."),
    )
    if asker.ask(question) == "keep":
        return high, low
    return np.where(found[0], np.nan, high), np.where(found[1], np.nan, low)


def spikes(values: Figures, limit: float) -> np.ndarray:
    """Values that stick out by more than `limit` above, or below, both neighbours."""
    out = np.zeros(len(values), bool)
    if len(values) < 3:
        return out
    before, after = values[1:-1] - values[:-2], values[1:-1] - values[2:]
    with np.errstate(invalid="ignore"):
        out[1:-1] = (np.minimum(np.abs(before), np.abs(after)) > limit) & (before * after > 0)
    return out
