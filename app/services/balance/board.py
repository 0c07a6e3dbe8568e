"""What the board says about need: tons first cutting must bring, when feed runs out, when the new crop can be fed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from app.access.work import Work
from app.planning.estimates import DateEstimate, Estimate
from app.services.balance.cases import Case, Must, Short, make_case
from app.services.balance.inputs import load
from app.services.herds import CLASS_WORDS
from app.units.sentences import Sentence

IN_TEXT = {"growing": Sentence("growing stock"), "dry": Sentence("dry cows")}


@dataclass(frozen=True)
class NeedBoard:
    """`must_bring` goes into storage; `short` is missing to the new crop, `short_target` with the carry-over wanted."""

    says: Sentence
    must_bring: Estimate
    must_bring_af: Estimate
    ndf_ceiling: Estimate
    by_class: tuple[Must, ...]
    run_out: tuple[tuple[str, DateEstimate], ...]
    """(use class, day) of each class that is fed it."""
    run_out_all: DateEstimate
    usable: DateEstimate
    short: Short
    short_target: Short
    short_next_year: Short
    carry_over: Estimate
    as_of: date
    reason: Sentence | None


def need_board(work: Work, farm_id: int) -> NeedBoard:
    """The board's figures on need, from the present values."""
    loaded = load(work, farm_id)
    return board_of(make_case(loaded.given, loaded.sealing, loaded.spreads))


def board_of(case: Case) -> NeedBoard:
    none = DateEstimate(None, reason=case.reason)
    run_out = tuple((c, case.feed.run_out[c]) for c in case.classes) if case.feed else ()
    return NeedBoard(
        says(case),
        case.must_all.dm,
        case.must_all.af,
        case.must_all.ndf_ceiling,
        tuple(each for each in case.must if each.use_class in case.classes),
        run_out,
        case.feed.run_out_all if case.feed else none,
        case.usable,
        case.short("new_crop"),
        case.short("target"),
        case.short("next_year"),
        case.carry_over,
        case.given.today,
        case.reason,
    )


def says(case: Case) -> Sentence:
    """Who runs out when, against the day the new crop can be fed, in two sentences at most."""
    if case.feed is None or case.feed.gaps:
        return case.reason or Sentence("Nothing of it is fed in this time.")
    days = {c: case.feed.run_out[c].on for c in case.classes}
    out = {c: day for c, day in days.items() if day}
    if not out:
        return _together(Sentence("What is on hand lasts beyond the days the balance looks ahead."), _new_crop(case))
    first = min(out.values())
    who = [c for c, day in out.items() if day == first]
    runs_out = _runs_out(case, who, first)
    rest = [_covered(c, day) for c, day in days.items() if c not in who]
    return _together(runs_out, *rest)


def _runs_out(case: Case, who: list[str], day: date) -> Sentence:
    new = case.usable.on
    if new is None:
        return _together(Sentence("{who} run out on {day}.", who=_named(case, who), day=day), _new_crop(case))
    text = "{who} run out on {day}; the new crop can be fed from {new}."
    return Sentence(text, who=_named(case, who), day=day, new=new)


def _named(case: Case, who: list[str]) -> Sentence:
    if len(who) == len(case.classes) > 1:
        return Sentence("All groups")
    first, *rest = (CLASS_WORDS[c] for c in who)
    return Sentence("{one} and {other}", one=first, other=IN_TEXT[who[1]]) if rest else first


def _new_crop(case: Case) -> Sentence:
    if case.usable.on is None:
        return case.usable.reason or Sentence("The day the new crop is sealed is not known.")
    return Sentence("The new crop can be fed from {new}.", new=case.usable.on)


def _covered(use_class: str, day: date | None) -> Sentence:
    if day is None:
        return Sentence("{who} are covered beyond the days the balance looks ahead.", who=CLASS_WORDS[use_class])
    return Sentence("{who} are covered to {day}.", who=CLASS_WORDS[use_class], day=day)


def _together(*each: Sentence) -> Sentence:
    first, *rest = each
    for one in rest:
        first = Sentence("{first} {then}", first=first, then=one)
    return first
