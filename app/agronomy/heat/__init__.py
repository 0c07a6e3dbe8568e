"""Heat of a day, when its counting starts, and the totals a crop's dates are read from."""

from app.agronomy.heat.daily import (
    BASE_C,
    Method,
    degree_days,
    degree_days_average,
    degree_days_horizontal_cap,
    degree_days_raised,
    degree_days_sine,
    degree_days_sine_horizontal_cap,
    degree_days_sine_vertical_cap,
    degree_days_three_case,
)
from app.agronomy.heat.starts import (
    HARD_FREEZE_C,
    NEVER,
    Start,
    start_after_hard_freeze,
    start_after_warm_highs,
    start_after_warm_means,
    start_on,
    start_on_first_of_march,
)
from app.agronomy.heat.totals import accumulated_heat, index_of_total

__all__ = [
    "BASE_C",
    "HARD_FREEZE_C",
    "NEVER",
    "Method",
    "Start",
    "accumulated_heat",
    "degree_days",
    "degree_days_average",
    "degree_days_horizontal_cap",
    "degree_days_raised",
    "degree_days_sine",
    "degree_days_sine_horizontal_cap",
    "degree_days_sine_vertical_cap",
    "degree_days_three_case",
    "index_of_total",
    "start_after_hard_freeze",
    "start_after_warm_highs",
    "start_after_warm_means",
    "start_on",
    "start_on_first_of_march",
]
