"""How ripe every field is today and when it will be ready: scoutings, heat and the farm's own settings put together."""

from app.services.maturity.board import (
    MaturityBoard,
    board_of,
    expected_first_cut,
    maturity_board,
    projected_start,
    start_of,
)
from app.services.maturity.farm import FarmMaturity, farm_maturity, field_maturity
from app.services.maturity.field import FieldMaturity
from app.services.maturity.rows import latest_count, season_walk, walk_of
from app.services.maturity.sky import Sky, sky_of

__all__ = [
    "FarmMaturity",
    "FieldMaturity",
    "MaturityBoard",
    "Sky",
    "board_of",
    "expected_first_cut",
    "farm_maturity",
    "field_maturity",
    "latest_count",
    "maturity_board",
    "projected_start",
    "season_walk",
    "sky_of",
    "start_of",
    "walk_of",
]
