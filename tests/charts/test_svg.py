"""SVG is written as well-formed text whatever the names are."""

import math
from xml.etree import ElementTree

from app.charts import svg


def test_a_name_with_markup_stays_text():
    drawn = svg.drawing(10, 10, 'Kiln "A" <b>', "<script>alert(1)</script>", [svg.words(0, 0, "<script>")])
    tree = ElementTree.fromstring(drawn)
    assert "<script" not in drawn
    assert tree[0].text == 'Kiln "A" <b>'
    assert tree.get("aria-label") == 'Kiln "A" <b>'


def test_a_line_breaks_where_a_point_is_not_known():
    drawn = svg.path([(0, 1), (1, 1), (2, math.nan), (3, 1), (4, 1)], "l-0")
    assert drawn.count("M") == 2


def test_nothing_known_draws_nothing():
    assert svg.path([(0, math.nan)], "l-0") == ""
    assert svg.area([(0, math.nan)], [(0, math.nan)], "f-0") == ""


def test_minus_nothing_is_written_as_nothing():
    assert svg.number(-0.01) == "0"
    assert svg.number(-1.25) in ("-1.2", "-1.3")
    assert svg.number(200) == "200"


def test_a_long_name_is_cut_with_an_ellipsis_and_a_short_one_is_not():
    assert svg.shortened("Kiln", 16, 145) == "Kiln"
    cut = svg.shortened("The field behind the old orchard", 16, 145)
    assert cut.endswith("…") and svg.width_of(cut, 16) <= 145
