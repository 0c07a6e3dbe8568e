"""The strip of one field for a phone."""

from xml.etree import ElementTree

import pytest

from app.charts.strip import each_row, key_of_one, strip_of_one
from tests.charts.strip.season import season


@pytest.mark.parametrize("index", [0, 1, 2])
def test_every_row_can_stand_alone_and_nothing_leaves_the_picture(index):
    picture = season()
    tree = ElementTree.fromstring(strip_of_one(picture, picture.rows[index]))
    width = float(tree.get("width"))
    for box in tree.iter("{http://www.w3.org/2000/svg}rect"):
        assert float(box.get("x")) >= -0.1
        assert float(box.get("x")) + float(box.get("width")) <= width + 0.1


def test_its_name_holds_the_field_and_the_finding():
    picture = season()
    tree = ElementTree.fromstring(strip_of_one(picture, picture.rows[0]))
    assert tree.get("aria-label") == "Kiln. Two of three fields are still under 40 %"


def test_rows_come_in_order_with_their_names():
    assert [name for name, _svg in each_row(season())] == ["Kiln", "Sand <Lot>", "Twelve Elms"]


def test_the_key_names_all_six_tints():
    assert all(word in key_of_one(season()) for word in ("under 36", "36-38", "38-40", "40-42", "42-45", "over 45"))
