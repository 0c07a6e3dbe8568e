"""The report of a farm: its board's figures in the order of the page, then what they rest on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from app.access.gate import access_farm
from app.access.work import Work
from app.services import farms, lots, supplies
from app.services.board import BoardPage, board_page
from app.services.reports.crop import crop_figures, cut_figures, field_figures
from app.services.reports.feed import lot_figures, need_figures, supply_figures
from app.services.reports.figure import Figure, Values, told
from app.services.reports.rules import rule_figures
from app.services.reports.yard import decision_figures, yard_figures
from app.units.kinds import System
from app.units.wording import Reader


def report_farm(work: Work, farm_id: int, units: System | None = None) -> dict[str, Any]:
    """Every figure of the board. Numbers come in the asked units (the account's by default), unrounded."""
    farm = access_farm(work, farm_id)
    system: System = units or work.actor.units
    reader = Reader("en", system)
    return {
        "farm": {"id": farm.id, "name": farm.name, "time_zone": farm.time_zone, "seq": farm.seq},
        "today": work.today(farm.time_zone).isoformat(),
        "units": system,
        "figures": [told(figure, reader) for figure in figures_of(work, farm_id, board_page(work, farm_id))],
    }


def figures_of(work: Work, farm_id: int, board: BoardPage) -> Iterator[Figure]:
    """The board's figures in the order of the page, then each lot, supply and field, then the rules of the farm."""
    values = Values.of(board.maturity.values, farms.own_values(work, farm_id))
    today = board.maturity.today
    yield from need_figures(board.need, values)
    yield from crop_figures(board, values)
    yield from cut_figures(board, values)
    yield from yard_figures(board.yard, today)
    yield from decision_figures(board.decisions, today)
    for lot in lots.list_lots_on_hand(work, farm_id):
        yield from lot_figures(lot, values)
    for supply in supplies.list_supplies_on_hand(work, farm_id):
        yield from supply_figures(supply, today)
    for field in board.maturity.fields:
        yield from field_figures(field, values, today)
    yield from rule_figures(board.maturity, values)
