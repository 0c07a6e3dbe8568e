"""Figures for the browser's chart library: plain JSON with gaps for what is not known."""

import json
import math

import plotly.graph_objects as go
import pytest

from app.charts.figures import PALETTE, line_figure
from app.charts.lines import Level, Line, Mark
from tests.charts.test_lines import DAYS, balance, falling


def full():
    marks = (Mark(DAYS[40], "runs out <b>"), Mark(DAYS[41], "new crop"))
    return balance(marks=marks, levels=(Level(50, "reserve"),), today=DAYS[0], today_label="today")


def test_the_library_accepts_every_property_of_the_figure():
    """plotly's own validators (installed package) refuse unknown names and wrong values."""
    figure = line_figure(full())
    assert len(go.Figure(figure, skip_invalid=False).data) == len(figure["data"])


def test_it_is_json_without_nan():
    lines = (Line("Milking", (math.nan, *falling(50, 1)[1:])),)
    text = json.dumps(line_figure(balance(lines=lines)), allow_nan=False)
    assert json.loads(text)["data"][0]["y"][0] is None


def test_colours_follow_the_order_of_the_series_and_names_are_no_markup():
    figure = line_figure(full())
    lines = [trace for trace in figure["data"] if trace.get("name")]
    assert [trace["line"]["color"] for trace in lines] == list(PALETTE[:2])
    assert "runs out &lt;b&gt;" in [note["text"] for note in figure["layout"]["annotations"]]


def test_nothing_in_it_asks_for_an_address():
    assert "http" not in json.dumps(line_figure(full()))


def test_labels_that_end_together_are_moved_apart():
    lines = (Line("One", falling(100, 1)), Line("Two", falling(100.5, 1)))
    notes = line_figure(balance(lines=lines))["layout"]["annotations"]
    shifts = sorted(note["ay"] for note in notes)
    assert shifts[-1] - shifts[0] == pytest.approx(16, abs=3)
