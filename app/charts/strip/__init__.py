"""The season strip: fields or farms as rows on one axis of days, with feeding value, maturity, weather, due dates."""

from app.charts.strip.inputs import Due, Row, Strip, Words
from app.charts.strip.one import each_row, key_of_one, strip_of_one
from app.charts.strip.table import strip_table
from app.charts.strip.wide import strip

__all__ = ["Due", "Row", "Strip", "Words", "each_row", "key_of_one", "strip", "strip_of_one", "strip_table"]
