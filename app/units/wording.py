"""Figures and sentences in a reader's language and units. Language names are the ones Babel knows."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from typing import Any

from babel.dates import format_date, format_time
from babel.numbers import format_decimal

from app.units.kinds import KINDS, System
from app.units.sentences import Quantity, Sentence, Span

UNKNOWN = "–"


@dataclass(frozen=True)
class Reader:
    """Someone who reads: language, unit system, and how a text is translated for them."""

    language: str = "en"
    units: System = "us"
    translate: Callable[[str], str] = lambda text: text

    def figure(self, value: float | None, kind: str, digits: int | None = None) -> str:
        """The number only, rounded to what the kind deserves: three figures below a hundred, thousands grouped."""
        if value is None or not math.isfinite(value):
            return UNKNOWN
        unit = KINDS[kind].unit(self.units)
        number = unit.shown(float(value))
        places = _places(number, unit.digits) if digits is None else digits
        number = round(number, places) + 0.0
        return format_decimal(number, format="#,##0." + "0" * places if places else "#,##0", locale=self._locale())

    def unit(self, kind: str) -> str:
        label = KINDS[kind].unit(self.units).label
        return self.translate(label) if label else ""

    def amount(self, value: float | None, kind: str, digits: int | None = None) -> str:
        """The number with its unit."""
        number, unit = self.figure(value, kind, digits), self.unit(kind)
        if number == UNKNOWN or not unit:
            return number
        return f"{unit}{number}" if unit == "$" else f"{number}\u00a0{unit}"

    def span(self, low: float | None, high: float | None, kind: str, with_unit: bool = True) -> str:
        """A range written out: 18–23 t DM."""
        left, right = self.figure(low, kind), self.figure(high, kind)
        text = left if left == right else f"{left}–{right}"
        unit = self.unit(kind)
        if not with_unit or not unit or text == UNKNOWN:
            return text
        return f"{unit}{text}" if unit == "$" else f"{text}\u00a0{unit}"

    def day(self, day: date | None, pattern: str = "weekday") -> str:
        """A day: `weekday` Fri 21 May, `short` 21 May, `long` Friday 21 May 2027, `year` 21 May 2027."""
        if day is None:
            return UNKNOWN
        shapes = {"weekday": "EEE d MMM", "short": "d MMM", "long": "EEEE d MMMM y", "year": "d MMM y"}
        return format_date(day, shapes[pattern], locale=self._locale())

    def clock(self, at: datetime, zone: tzinfo) -> str:
        return format_time(at.astimezone(zone), "H:mm", locale=self._locale())

    def when(self, at: datetime, now: datetime, zone: tzinfo) -> str:
        """A moment as people say it: 7:40 today, yesterday, else the day."""
        day, today = at.astimezone(zone).date(), now.astimezone(zone).date()
        if day == today:
            return self.clock(at, zone)
        if day == today - timedelta(days=1):
            return self.translate("yesterday")
        return self.day(day, "short" if day.year == today.year else "year")

    def say(self, sentence: Any) -> str:
        """A Sentence (or anything that may stand in one) as text."""
        if isinstance(sentence, Sentence):
            figures = {name: self.say(value) for name, value in sentence.figures.items()}
            return self.translate(sentence.text).format_map(_Gaps(figures))
        if isinstance(sentence, Quantity):
            return self.amount(sentence.value, sentence.kind)
        if isinstance(sentence, Span):
            return self.span(sentence.low, sentence.high, sentence.kind)
        if isinstance(sentence, date) and not isinstance(sentence, datetime):
            return self.day(sentence, "short")
        if isinstance(sentence, float):
            return format_decimal(round(sentence, 2), locale=self._locale())
        if isinstance(sentence, int) and not isinstance(sentence, bool):
            return format_decimal(sentence, locale=self._locale())
        if isinstance(sentence, tuple | list):
            return ", ".join(self.say(part) for part in sentence)
        return UNKNOWN if sentence is None else str(sentence)

    def _locale(self) -> str:
        return {"en": "en_US", "es": "es_US"}.get(self.language, "en_US")


class _Gaps(dict):
    def __missing__(self, name: str) -> str:
        return "{" + name + "}"


def _places(number: float, digits: int) -> int:
    """Fewer decimals for larger numbers: nobody measures a thousand to the tenth."""
    return 0 if abs(number) >= 1000 else digits


def figures_of(sentence: Sentence) -> Mapping[str, Any]:
    """The figures a sentence carries, for reports that print them apart."""
    return sentence.figures
