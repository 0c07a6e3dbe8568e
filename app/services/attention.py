"""Why a farm needs attention today: what presses, in words, with a weight to sort farms by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from app.services.board import BoardPage
from app.units.sentences import Sentence

PRESSES = {
    "feed": Sentence("feed runs out"),
    "crop": Sentence("fields past their target"),
    "yard": Sentence("the yard is not ready"),
    "weather": Sentence("weather is missing or old"),
    "scouting": Sentence("fields not scouted"),
    "questions": Sentence("questions to decide"),
}
"""Every way a farm may press, in the words of the filter."""

STALE_WEATHER_D = 4
STALE_SCOUTING_D = 10
YARD_FROM_D, SCOUTING_FROM_D = 21, 14
"""Days before the start from which the yard and fresh scoutings press. Judgement."""


@dataclass(frozen=True)
class Press:
    """One reason. The larger the weight, the more it presses; weights are a judgement, not a measurement."""

    key: str
    weight: float
    says: Sentence


def attention(board: BoardPage, today: date) -> Iterator[Press]:
    """What presses: feed running out, fields past their target, the yard, stale readings, open questions."""
    yield from _feed(board)
    yield from _crop(board)
    yield from _yard(board, today)
    yield from _weather(board, today)
    yield from _scouting(board, today)
    yield from _questions(board)


def _feed(board: BoardPage) -> Iterator[Press]:
    short = board.need.short.days
    if short.known and short.value >= 0.5:
        days = max(1, round(short.value))
        yield Press(
            "feed",
            20.0 + min(short.value, 60.0),
            Sentence("Feed runs out {days} before the new crop can be fed.", days=_days(days)),
        )


def _crop(board: BoardPage) -> Iterator[Press]:
    past = sorted(
        (field for field in board.maturity.fields if field.status == "past"),
        key=lambda field: (field.reached.on or date.max, field.name),
    )
    if len(past) == 1:
        yield Press("crop", 35.0, Sentence("{field} is past its target.", field=past[0].name))
    elif past:
        says = Sentence("{n} fields are past their target; {field} longest.", n=len(past), field=past[0].name)
        yield Press("crop", 30.0 + 5 * len(past), says)


def _yard(board: BoardPage, today: date) -> Iterator[Press]:
    on, yard = board.cut.on, board.yard
    if on is None or not 0 <= (on - today).days <= YARD_FROM_D:
        return
    days = (on - today).days
    starts = _when(days)
    if yard.checklist_id is None:
        yield Press("yard", 25.0 - days, Sentence("Cutting starts {when} and no list is drawn up.", when=starts))
    elif yard.late or yard.short:
        says = Sentence("Cutting starts {when}; items late: {late}, items short: {short}.",
                        when=starts, late=yard.late, short=yard.short)  # fmt: skip
        yield Press("yard", 25.0 - days + yard.late + 2 * yard.short, says)


def _weather(board: BoardPage, today: date) -> Iterator[Press]:
    last = board.maturity.heat.last_observed_on
    if last is None:
        yield Press("weather", 6.0, Sentence("No weather is on file."))
    elif (today - last).days > STALE_WEATHER_D:
        age = _days((today - last).days)
        yield Press("weather", 8.0, Sentence("The newest weather is {age} old.", age=age))


def _scouting(board: BoardPage, today: date) -> Iterator[Press]:
    on, fields = board.cut.on, board.maturity.fields
    if on is None or not 0 <= (on - today).days <= SCOUTING_FROM_D:
        return
    stale = [each for each in fields if each.reading is None or _age(each.reading.scouted_on, today) > STALE_SCOUTING_D]
    if stale:
        says = Sentence("{n} of {all} fields have no scouting in ten days.", n=len(stale), all=len(fields))
        yield Press("scouting", 10.0 + len(stale), says)


def _age(day: date, today: date) -> int:
    return (today - day).days


def _questions(board: BoardPage) -> Iterator[Press]:
    asked = len(board.decisions.open)
    if asked:
        yield Press("questions", 1.0 + asked, Sentence("Questions to decide: {n}.", n=asked))


def _days(days: int) -> Sentence:
    return Sentence("one day") if days == 1 else Sentence("{n} days", n=days)


def _when(days: int) -> Sentence:
    return (Sentence("today"), Sentence("tomorrow"))[days] if days < 2 else Sentence("in {n} days", n=days)
