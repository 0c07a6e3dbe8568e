"""Machines, the yard lists of three springs, and what the team decided."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from app.access.work import Work
from app.services import checklists, decisions, machines
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON, M2_PER_FT2, M_PER_FT
from seed_demo.story import Story

DRAWN_BEFORE_D = 38
AGREED_BEFORE_D = 6


@dataclass(frozen=True)
class Iron:
    """A machine: weight in pounds, rate in tons as fed an hour, width in feet."""

    name: str
    kind: str
    weight_lb: float | None = None
    share: float | None = None
    tons_h: float | None = None
    width_ft: float | None = None
    custom: bool = False


@dataclass(frozen=True)
class YardList:
    """How this farm works through its list this year."""

    owners: dict[str, str]
    """Role -> the name written beside its items."""
    notes: dict[str, str]
    """Key of an item -> a note somebody put on it."""
    have: dict[str, float] = field(default_factory=dict)
    """Key of an item -> what is on hand, in the kept unit."""
    stays_open: tuple[str, ...] = ()
    """Keys nobody ticks before the start."""
    extra: tuple[dict[str, Any], ...] = ()
    waits: tuple[tuple[str, str], ...] = ()
    """(item, what it waits for), by key."""
    pace: float = 1.6
    """Above 1 the list starts slowly."""
    agreed_before_d: int = AGREED_BEFORE_D
    """Days before the start on which the team agrees on it this year."""


def tell_machines(story: Story, irons: list[Iron]) -> None:
    for number, iron in enumerate(irons):
        values = {
            "name": iron.name,
            "kind": iron.kind,
            "weight_kg": None if iron.weight_lb is None else iron.weight_lb * KG_PER_LB,
            "share_frac": iron.share,
            "rate_kg_h": None if iron.tons_h is None else iron.tons_h * KG_PER_SHORT_TON,
            "width_m": None if iron.width_ft is None else iron.width_ft * M_PER_FT,
            "is_custom": iron.custom,
        }
        story.on(
            story.begun_on,
            "owner",
            lambda work, v=values: story.keep(v["name"], machines.add_machine(work, story.farm_id, v)),
            16 + number / 20,
        )


def tell_lists(story: Story, this_year: YardList) -> None:
    for year in story.years:
        start = story.first_cut(year)
        story.on(start - timedelta(days=DRAWN_BEFORE_D), "owner", lambda work, y=year: _draw(story, work, y), 7)
        agreed = this_year.agreed_before_d if year == story.year else AGREED_BEFORE_D + 1
        story.on(start - timedelta(days=agreed), "owner", lambda work, s=start: _agree(story, work, s), 12.2)
        story.on(story.sealed(year, 1), "owner", lambda work, y=year: _seal(story, work, y, 1), 20)
        if year < story.year:
            _tell_done(story, start)
            for cutting in (2, 3, 4)[: len(story_cuts(story)) - 1]:
                sealed = story.sealed(year, cutting)
                story.on(sealed, "owner", lambda work, y=year, c=cutting: _seal(story, work, y, c), 20)
    _tell_this_year(story, this_year)


def story_cuts(story: Story) -> tuple[int, ...]:
    """Cuttings of a season here."""
    return tuple(range(1, story.ids.get("cuts", 4) + 1))


def _draw(story: Story, work: Work, year: int) -> None:
    story.keep(f"list {year}", checklists.draw_list(work, story.farm_id))


def _agree(story: Story, work: Work, start: date) -> None:
    checklists.agree_start(work, story.farm_id, {"starts_on": start})


def _seal(story: Story, work: Work, year: int, cutting: int) -> None:
    """The crop is in and covered: the coming cutting is the next one."""
    values = {"sealed_on": story.sealed(year, cutting)}
    if cutting > 1:
        values["starts_on"] = story.cut(year, cutting)
    checklists.agree_start(work, story.farm_id, values)


def _tell_done(story: Story, start: date) -> None:
    """A past list: worked through in a few sweeps, some items after their day."""
    sweeps = [
        (-16, "lead"),
        (-11, "owner"),
        (-8, "lead"),
        (-5, "nutritionist"),
        (-3, "lead"),
        (-1, "owner"),
        (0, "lead"),
    ]
    for number, (days, who) in enumerate(sweeps):
        last = number == len(sweeps) - 1

        def sweep(work: Work, who: str = who, number: int = number, last: bool = last) -> None:
            chance = random.Random(f"{story.place.name} {start} {number}")
            page = checklists.list_page(work, story.farm_id)
            assert page.checklist is not None
            due = [line for line in page.lines if not line.is_done]
            today = start + timedelta(days=days_of[number])
            soon = [line for line in due if last or (line.due_on and line.due_on <= today + timedelta(days=2))]
            for line in soon:
                if last or chance.random() < 0.75:
                    checklists.tick_item(work, story.farm_id, page.checklist.id, line.id)

        story.on(start + timedelta(days=days), who, sweep, 17.2)
    days_of = [days for days, _who in sweeps]


def _tell_this_year(story: Story, told: YardList) -> None:
    start = story.first_cut(story.year)
    drawn = start - timedelta(days=DRAWN_BEFORE_D)
    first = drawn + timedelta(days=1)
    story.on(first, "owner", lambda work: _share_out(story, work, told), 7.5)
    for number, _extra in enumerate(told.extra):
        story.on(first, "owner", lambda work, n=number: _add_extra(story, work, told.extra[n]), 7.8)
    for number, key in enumerate(told.notes):
        day = first + timedelta(days=3 + 2 * number)
        who = ("lead", "owner", "packer", "nutritionist")[number % 4]
        story.on(day, who, lambda work, k=key: _say(story, work, k, told.notes[k]), 15.4)
    for number, key in enumerate(told.have):
        day = first + timedelta(days=6 + number)
        story.on(day, "lead", lambda work, k=key: _have(story, work, k, told.have[k]), 16.1)
    for number in range(2, DRAWN_BEFORE_D + 1, 3):
        story.on(drawn + timedelta(days=number), "lead", lambda work, n=number: _tick_some(story, work, told, n), 18.1)
    story.on(start + timedelta(days=1), "lead", lambda work: _tick_rest(story, work), 5.6)
    _tell_second(story)


def _tell_second(story: Story) -> None:
    """Second cutting of this year: its list is drawn once the first is covered, and begun."""
    sealed = story.sealed(story.year, 1)
    story.on(sealed + timedelta(days=2), "owner", lambda work: _draw(story, work, story.year), 7)
    for days in (6, 13, 20):
        story.on(sealed + timedelta(days=days), "lead", lambda work: _tick_few(story, work), 18.1)


def _tick_few(story: Story, work: Work) -> None:
    number = story.ids[f"list {story.year}"]
    todo = [line for line in checklists.list_page(work, story.farm_id, number).lines if line.status == "open"]
    for line in todo[:6]:
        checklists.tick_item(work, story.farm_id, number, line.id)


def _items(story: Story, work: Work) -> dict[str, int]:
    """Items of this year's list by key, and by title for those without."""
    page = checklists.list_page(work, story.farm_id, story.ids[f"list {story.year}"])
    return {line.row.key or line.row.title: line.id for line in page.lines}


def _share_out(story: Story, work: Work, told: YardList) -> None:
    """Names beside the items, and what waits for what."""
    number = story.ids[f"list {story.year}"]
    page = checklists.list_page(work, story.farm_id, number)
    ids = {line.row.key: line.id for line in page.lines}
    waits = {item: ids[other] for item, other in told.waits if item in ids and other in ids}
    for line in page.lines:
        values: dict[str, Any] = {}
        if line.row.role in told.owners:
            values["owner"] = told.owners[line.row.role]
        if line.row.key in waits:
            values["blocked_by_id"] = waits[line.row.key]
        if values:
            checklists.edit_item(work, story.farm_id, number, line.id, {"blocked_by_id": None, **values})


def _add_extra(story: Story, work: Work, values: dict[str, Any]) -> None:
    checklists.add_item(work, story.farm_id, story.ids[f"list {story.year}"], values)


def _say(story: Story, work: Work, key: str, text: str) -> None:
    found = _items(story, work)
    if key in found:
        checklists.add_note(work, story.farm_id, story.ids[f"list {story.year}"], found[key], text)


def _have(story: Story, work: Work, key: str, have: float) -> None:
    found = _items(story, work)
    if key in found:
        number = story.ids[f"list {story.year}"]
        checklists.say_on_item(work, story.farm_id, number, found[key], {"have": have})


def _tick_some(story: Story, work: Work, told: YardList, day: int) -> None:
    """Tick what the pace of the list calls for by that day, each as somebody of its role."""
    number = story.ids[f"list {story.year}"]
    page = checklists.list_page(work, story.farm_id, number)
    ticked = sum(line.is_done for line in page.lines)
    wanted = int(len(page.lines) * min(1.0, day / DRAWN_BEFORE_D) ** told.pace)
    chance = random.Random(f"{story.place.name} {day}")
    open_ = [line for line in page.lines if not line.is_done and (line.row.key or "") not in told.stays_open]
    open_ = sorted((line for line in open_ if not line.waits_for), key=lambda line: line.due_on or date.max)
    for line in open_[: max(0, wanted - ticked)]:
        who = {"owner": "owner", "agronomist": "agronomist", "nutritionist": "nutritionist"}.get(
            line.row.role or "", chance.choice(("lead", "lead", "packer", "mower"))
        )
        as_other = Work(work.session, story.people[who].actor(), work.clock)
        checklists.tick_item(as_other, story.farm_id, number, line.id)


def _tick_rest(story: Story, work: Work) -> None:
    """The mowers are out: what was open is closed that morning."""
    number = story.ids[f"list {story.year}"]
    for line in checklists.list_page(work, story.farm_id, number).lines:
        checklists.tick_item(work, story.farm_id, number, line.id)


@dataclass(frozen=True)
class Question:
    """A decision: when it was asked and settled, in days before the start of first cutting (negative: after)."""

    text: str
    asked_by: str
    asked_d: int
    answer: str | None = None
    why: str | None = None
    settled_by: str = "owner"
    settled_d: int = 0
    years_back: int = 0


def tell_questions(story: Story, questions: list[Question]) -> None:
    for number, question in enumerate(questions):
        start = story.first_cut(story.year - question.years_back)
        asked = start - timedelta(days=question.asked_d)

        def ask(work: Work, question: Question = question, number: int = number) -> None:
            row = decisions.ask_decision(work, story.farm_id, {"question": question.text})
            story.keep(f"question {number}", row)

        def settle(work: Work, question: Question = question, number: int = number) -> None:
            values = {"answer": question.answer, "why": question.why}
            decisions.answer_decision(work, story.farm_id, story.ids[f"question {number}"], values)

        story.on(asked, question.asked_by, ask, 13.3 + number / 50)
        if question.answer is not None:
            story.on(start - timedelta(days=question.settled_d), question.settled_by, settle, 13.8 + number / 50)


def square_feet(area: float) -> float:
    return area * M2_PER_FT2
