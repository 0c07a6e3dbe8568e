"""Everybody's farms on one page: a strip row and four figures each, the one that needs attention first."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.charts.strip import Row, Strip, strip, strip_table
from app.services import farm_rows as services
from app.services.farm_rows import FarmRow
from app.units.wording import Reader
from app.web.pages import reader_of, show
from app.web.strips import strip_words
from app.web.transactions import reading, writing

router = APIRouter(include_in_schema=False)
ORDERS = ("attention", "name", "start")


@dataclass(frozen=True)
class Page:
    rows: tuple[FarmRow, ...]
    strip: str
    table: tuple | None
    order: str
    looked_for: str


@router.get("/farms", name="farms.show")
def show_farms(request: Request, order: str = "attention", q: str = "") -> Response:
    with reading(request) as work:
        rows, fresh = services.farm_rows(work)
        shown = tuple(_ordered([row for row in rows if q.lower() in row.name.lower()], order))
        reader = reader_of(request, work.actor)
        picture = _picture(request, shown, reader) if shown else None
        page = Page(
            shown,
            strip(picture) if picture else "",
            strip_table(picture) if picture else None,
            order if order in ORDERS else "attention",
            q,
        )
        answer = show(request, work, "farms/show.html", page)
    if fresh:
        with writing(request) as work:
            services.keep_rows(work, fresh)
    return answer


def _ordered(rows: list[FarmRow], order: str) -> list[FarmRow]:
    if order == "name":
        return sorted(rows, key=lambda row: row.name)
    if order == "start":
        return sorted(rows, key=lambda row: (row.day("start") is None, row.day("start") or row.today, row.name))
    return rows


def _picture(request: Request, rows: tuple[FarmRow, ...], reader: Reader) -> Strip:
    """One axis for all farms; each row is the farm's mean feeding value, weighted by area."""
    days, today = rows[0].days, rows[0].today
    ticks = tuple((day, reader.day(day)) for day in days if day.weekday() == 0)
    blank = (float("nan"),) * len(days)
    title = (
        reader.say(rows[0].reasons[0])
        if len(rows) == 1
        else reader.translate("The farm that needs you most stands first")
    )
    return Strip(
        title,
        days,
        today,
        ticks,
        blank,
        ("",) * len(days),
        tuple(_row(request, row, reader) for row in rows),
        words=strip_words(reader),
    )


def _row(request: Request, row: FarmRow, reader: Reader) -> Row:
    start = row.day("start")
    href = str(request.app.url_path_for("board.show", farm_id=row.farm_id))
    label = reader.day(start, "short") if start else ""
    return Row(
        row.name,
        "",
        row.series("ndf"),
        row.series("ndf_low"),
        row.series("ndf_high"),
        target=start,
        target_label=label,
        reason=reader.translate("No field's feeding value can be projected yet"),
        cells=("", "", "", "", label, ""),
        href=href,
    )
