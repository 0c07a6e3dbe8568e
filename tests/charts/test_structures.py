"""Structures are drawn to one scale and as full as they are."""

import math
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.charts.structures import Structure, length_left, structures
from app.errors import OutOfRange

SVG = "{http://www.w3.org/2000/svg}"


def floors(drawn: str) -> list[float]:
    lines = ElementTree.fromstring(drawn).iter(f"{SVG}line")
    return [float(line.get("x2")) for line in lines if line.get("stroke-width") == "2"]


def test_all_structures_share_one_scale():
    rows = [Structure("One", "bunker", 60, 4, 0.5, "300 t"), Structure("Two", "bag", 30, 2.7, 0.5, "90 t")]
    one, two = floors(structures("Left", rows))
    assert one / two == pytest.approx(2, rel=0.01)


@given(st.floats(10, 500), st.floats(0, 0.5), st.floats(0, 1))
def test_the_drawn_side_view_holds_the_part_that_is_left(long, ramp_part, part):
    """The area under a slope and a level top, by the trapezium rule, against the part asked for."""
    ramp = long * ramp_part
    end = length_left(long, ramp, part)
    area = end * end / (2 * ramp) if end < ramp else end - ramp / 2
    assert area == pytest.approx(part * (long - ramp / 2), rel=1e-6, abs=1e-6)


def test_an_empty_structure_shows_no_feed_and_an_unknown_one_neither():
    for left in (0.0, math.nan):
        assert 'class="n1"' not in structures("Left", [Structure("One", "pile", 30, 4, left, "0 t")])


def test_a_range_is_drawn_where_it_is_known():
    sure = Structure("One", "tower", 6, 18, 0.4, "120 t")
    unsure = Structure("One", "tower", 6, 18, 0.4, "120 t", low_frac=0.3, high_frac=0.5)
    assert structures("Left", [unsure]).count("<line") == structures("Left", [sure]).count("<line") + 3


def test_a_structure_without_length_is_refused_by_name():
    with pytest.raises(OutOfRange, match="length_m of Bunker"):
        Structure("Bunker", "bunker", 0, 4, 0.5, "")


def test_no_structures_make_an_empty_picture_with_a_name():
    assert ElementTree.fromstring(structures("Nothing stored yet", [])).get("aria-label") == "Nothing stored yet"
