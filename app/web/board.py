"""The board of a farm: one page the whole team reads from top to bottom."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from app.access.work import Work
from app.charts.strip import Due
from app.services import board as services
from app.services.board import BoardPage
from app.services.maturity import FieldMaturity
from app.units.wording import Reader
from app.web.pages import kept_part, reader_of, show
from app.web.strips import StripView, season_strip
from app.web.transactions import FarmId, reading

router = APIRouter(include_in_schema=False)
DUES_MOST = 6


@dataclass(frozen=True)
class Figures:
    """What the live part is drawn from."""

    board: BoardPage
    strip: StripView | None


@dataclass(frozen=True)
class Page:
    figures: Markup


@router.get("/farms/{farm_id:int}", name="board.show")
def show_board(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        return show(request, work, "board/show.html", Page(_figures(request, work, farm_id)), farm_id)


@router.get("/farms/{farm_id}/_figures", name="board.figures")
def figures(request: Request, farm_id: FarmId) -> Response:
    """The live part: everything worked out, drawn again when any of it changes."""
    with reading(request) as work:
        return HTMLResponse(_figures(request, work, farm_id), headers={"Cache-Control": "private, no-cache"})


def _figures(request: Request, work: Work, farm_id: int) -> Markup:
    def make() -> Figures:
        board = services.board_page(work, farm_id)
        return Figures(board, _strip(request, farm_id, board, reader_of(request, work.actor)))

    return kept_part(request, work, farm_id, "board/_figures.html", make)


def _strip(request: Request, farm_id: int, board: BoardPage, reader: Reader) -> StripView | None:
    if not board.maturity.fields:
        return None

    def href(field: FieldMaturity) -> str:
        return str(request.app.url_path_for("fields.field", farm_id=farm_id, field_id=field.field_id))

    dues = tuple(
        Due(each.due_on, reader.translate(each.title).rstrip("."))
        for each in board.yard.next_due
        if each.due_on is not None
    )[:DUES_MOST]
    return season_strip(board.maturity, reader, _finding(board, reader), href=href, dues=dues)


def _finding(board: BoardPage, reader: Reader) -> str:
    """The strip's title: what it shows, in one sentence."""
    return reader.say(services.strip_finding(board))
