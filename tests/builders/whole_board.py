"""A farm on which every figure of the board is known: the reference herd, fields with weather, a yard, a question."""

from __future__ import annotations

from datetime import date

from app.access.work import Work
from app.services import checklists, decisions
from tests.builders.herd import REFERENCE_DAY, add_reference_farm
from tests.builders.large_farm import fill_farm
from tests.builders.yard import add_yard

QUESTION = "Cut the north field on Thursday?"
STARTS_ON = date(2026, 5, 25)
"""Three days of filling before the 28 May of the worked example."""


def fill_board(work: Work, farm_id: int, fields_count: int = 3) -> None:
    """The farm on 1 May 2026, with an agreed start."""
    add_reference_farm(work, farm_id, sealed_on=None)
    add_yard(work, farm_id)
    fill_farm(work, farm_id, fields_count, REFERENCE_DAY)
    checklists.agree_start(work, farm_id, {"starts_on": STARTS_ON})
    decisions.ask_decision(work, farm_id, {"question": QUESTION})
