"""The table behind the strip has a cell for every head."""

from app.charts.strip import strip_table
from tests.charts.strip.season import season


def test_a_missing_text_reads_as_not_known():
    heads, rows = strip_table(season())
    assert [len(row) for row in rows] == [len(heads)] * 3
    assert rows[0] == ("Kiln", "62 ac", "33 %", "17-21 May", "not known", "not known", "not known")
