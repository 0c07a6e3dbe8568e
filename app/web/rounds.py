"""Everybody's farms on one page: a strip row and four figures each, the one that needs attention first."""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from app.access.work import DatabaseAway
from app.charts.strip import Row, Strip, Words, each_row, key_of_one, strip, strip_table
from app.services import farm_rows as services
from app.services.attention import PRESSES
from app.services.farm_rows import FarmRow
from app.units.sentences import Sentence
from app.units.wording import Reader
from app.web.pages import reader_of, show
from app.web.strips import StripView, strip_words
from app.web.transactions import reading, writing

router = APIRouter(include_in_schema=False)
log = logging.getLogger("swathboard")
ORDERS = ("attention", "name", "start")
Farms = Annotated[list[Annotated[int, Query(ge=1, le=2**31 - 1)]], Query()]


@dataclass(frozen=True)
class Page:
    """`count` farms in all; `rows` those looked for."""

    rows: tuple[FarmRow, ...]
    count: int
    strip: StripView | None
    order: str
    looked_for: str
    presses: str
    ways: tuple[tuple[str, Sentence], ...]


@router.get("/farms", name="farms.show")
def show_farms(request: Request, order: str = "attention", q: str = "", presses: str = "") -> Response:
    return _answer(request, "farms/show.html", order, q, presses)


@router.get("/farms/rounds", name="farms.rounds")
def rounds(request: Request, farm: Farms = [], order: str = "attention", q: str = "", presses: str = "") -> Response:  # noqa: B006
    """A sheet to print for a day's visits: a block per farm; all of them where none is ticked."""
    return _answer(request, "farms/rounds.html", order, q, presses, farm)


def _answer(
    request: Request, template: str, order: str, q: str, presses: str, only: list[int] | None = None
) -> Response:
    order = order if order in ORDERS else "attention"
    with reading(request) as work:
        rows, fresh = services.farm_rows(work)
        shown = tuple(services.chosen(rows, q, presses, only or (), order))
        reader = reader_of(request, work.actor)
        picture = _picture(request, shown, reader) if shown and only is None else None
        page = Page(
            shown,
            len(rows),
            picture,
            order,
            q,
            presses,
            tuple(PRESSES.items()),
        )
        answer = show(request, work, template, page)
    _keep(request, fresh)
    return answer


def _keep(request: Request, fresh: list[FarmRow]) -> None:
    """Keep what was worked out anew: worth trying, never worth failing the page."""
    if not fresh:
        return
    try:
        with writing(request, waits=False) as work:
            services.keep_rows(work, fresh)
    except DatabaseAway as busy:
        log.warning("could not keep the rows of farms: %s", busy.orig)


def _picture(request: Request, rows: tuple[FarmRow, ...], reader: Reader) -> StripView:
    """One axis for all farms; each row is the farm's mean feeding value, weighted by area."""
    days, today = rows[0].days, rows[0].today
    ticks = tuple((day, reader.day(day)) for day in days if day.weekday() == 0)
    blank = (float("nan"),) * len(days)
    title = (
        reader.say(rows[0].reasons[0])
        if len(rows) == 1
        else reader.translate("The farm that needs you most stands first")
    )
    picture = Strip(
        title,
        days,
        today,
        ticks,
        blank,
        ("",) * len(days),
        tuple(_row(request, row, days, reader) for row in rows),
        words=_words(reader),
    )
    return StripView(strip(picture), each_row(picture), key_of_one(picture), title, strip_table(picture))


def _words(reader: Reader) -> Words:
    """The words of the strip, with farms for rows and their start for the mark."""
    say = reader.translate
    heads = (say("Farm"), say("NDF when fed today, mean"), say("Start, agreed or projected"))
    return replace(strip_words(reader), target=say("start, agreed or projected"), heads=heads)


def _row(request: Request, row: FarmRow, days: tuple, reader: Reader) -> Row:
    """A farm's row; farms in other time zones may stand on another day, so each value is looked up by its day."""
    start = row.day("start")
    href = str(request.app.url_path_for("board.show", farm_id=row.farm_id))
    label = reader.day(start, "short") if start else ""
    ndf, low, high = (tuple(row.value_on(key, day) for day in days) for key in ("ndf", "ndf_low", "ndf_high"))
    return Row(
        row.name,
        "",
        ndf,
        low,
        high,
        target=start,
        target_label=label,
        reason=reader.translate("No field's feeding value can be projected yet"),
        cells=(reader.figure(row.value_on("ndf", row.today), "ndf"), label),
        href=href,
    )
