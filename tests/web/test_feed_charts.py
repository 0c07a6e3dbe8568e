"""The feed balance as a chart in a reader's words."""

import pytest

from app.services import balance
from app.services.balance import WhatIf
from app.units.wording import Reader
from app.web.feed_charts import balance_chart
from tests.builders.herd import add_feed, add_group, add_lot, add_reference_farm, on_reference_day


@pytest.fixture
def page(work, team):
    then = on_reference_day(work)
    add_reference_farm(then, team.farm.id)
    return lambda **tried: balance.farm_balance(then, team.farm.id, WhatIf(**tried))


def names(chart):
    return [trace["name"] for trace in chart.figure["data"] if trace.get("name")]


def test_one_store_for_all_is_one_line_and_each_class_misses_its_own(page):
    chart = balance_chart(page(), Reader())
    assert names(chart) == ["left in store", "missing, milking", "missing, growing", "missing, dry"]
    assert chart.title == "All groups run out on 12 Jul; the new crop can be fed from 27 Jun."
    assert "runs out 12 Jul" in chart.svg and "new crop fed 27 Jun" in chart.svg


def test_the_stock_falls_to_nothing_on_the_day_it_runs_out(page):
    figure = balance_chart(page(), Reader()).figure
    left = figure["data"][0]
    at = left["x"].index("2026-07-13")
    assert left["y"][0] == pytest.approx(300, abs=0.5) and left["y"][at] == pytest.approx(0, abs=1e-6)


def test_what_is_tried_is_drawn_beside_the_present(page):
    chart = balance_chart(page(head_frac=-0.1), Reader())
    assert names(chart) == ["left now", "missing now", "left as tried", "missing as tried"]


def test_classes_with_stores_of_their_own_have_a_line_each(work, team):
    then = on_reference_day(work)
    feed = add_feed(then, team.farm.id)
    add_lot(then, team.farm.id, feed, 50, use_class="milking")
    add_lot(then, team.farm.id, feed, 90, "Bag", use_class="growing")
    add_group(then, team.farm.id, feed, 0.25)
    add_group(then, team.farm.id, feed, 0.4, name="Heifers", use_class="growing", intake_lb=23.0)
    chart = balance_chart(balance.farm_balance(then, team.farm.id), Reader())
    assert names(chart) == ["left for milking", "left for growing", "missing, all"]


def test_the_table_tells_the_same_in_the_readers_units(page):
    heads, rows = balance_chart(page(), Reader(units="metric")).table
    assert heads[1] == "left in store, t DM" and rows[0][1] == "272"
    assert len(rows[0]) == len(heads) == 2 + 3 + 3


def test_nothing_fed_is_no_chart(work, team):
    then = on_reference_day(work)
    add_feed(then, team.farm.id)
    assert balance_chart(balance.farm_balance(then, team.farm.id), Reader()) is None
