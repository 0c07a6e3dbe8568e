"""Groups of the herd, their head over the year and what share of each feed they get."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from app.access.work import Work
from app.services import herds
from app.units.quantities import KG_PER_LB
from seed_demo.story import Story


@dataclass(frozen=True)
class Pen:
    """One group. `values` in the service's own names except weights, which are in pounds; shares of today's diet."""

    name: str
    use_class: str
    head: int
    shares: dict[str, float]
    intake_lb: float | None = None
    way: str = "measured"
    more: dict[str, Any] = field(default_factory=dict)
    last_year: dict[str, float] = field(default_factory=dict)
    """Shares that were otherwise until 1 February of this year."""
    head_steps: tuple[tuple[int, int, int], ...] = ()
    """(month, day, head) of this year."""
    later: tuple[tuple[int, int, str, float], ...] = ()
    """(month, day, feed, share) planned for this year, known since 1 March."""


def tell_herd(story: Story, pens: list[Pen]) -> None:
    for number, pen in enumerate(pens):
        _tell_pen(story, pen, 13.5 + number / 10)


def _tell_pen(story: Story, pen: Pen, hour: float) -> None:
    values = {
        "name": pen.name,
        "use_class": pen.use_class,
        "head_count": pen.head,
        "intake_method": pen.way,
        "intake_kg": None if pen.intake_lb is None else pen.intake_lb * KG_PER_LB,
        **{key: value * KG_PER_LB if key.endswith("_kg") else value for key, value in pen.more.items()},
    }
    story.on(
        story.begun_on,
        "nutritionist",
        lambda work: story.keep(pen.name, herds.add_group(work, story.farm_id, values)),
        hour,
    )
    for feed, share in {**pen.shares, **pen.last_year}.items():
        _tell_share(story, pen, feed, story.begun_on, share, story.begun_on, hour + 0.02)
    turned = date(story.year, 2, 1)
    for feed in sorted(pen.last_year, key=lambda name: pen.shares.get(name, 0.0) - pen.last_year[name]):
        _tell_share(story, pen, feed, turned, pen.shares.get(feed, 0.0), turned, 8 + hour / 100)
    for month, day, head in pen.head_steps:
        on = date(story.year, month, day)
        told = min(on, date(story.year, 2, 25))
        story.on(told, "nutritionist", lambda work, d=on, n=head: _head(story, pen, work, d, n), 15)
    for month, day, feed, share in pen.later:
        _tell_share(story, pen, feed, date(story.year, month, day), share, date(story.year, 2, 26), 15)


def _tell_share(story: Story, pen: Pen, feed: str, on: date, share: float, told: date, hour: float) -> None:
    def add(work: Work) -> None:
        values = {"feed_id": story.ids[feed], "from_on": on, "share_frac": share}
        herds.add_inclusion(work, story.farm_id, story.ids[pen.name], values)

    story.on(told, "nutritionist", add, hour)


def _head(story: Story, pen: Pen, work: Work, on: date, head: int) -> None:
    herds.add_head_change(work, story.farm_id, story.ids[pen.name], {"from_on": on, "head_count": head})
