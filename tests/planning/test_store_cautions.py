"""Cautions at one structure; figures from published advice."""

from datetime import date

import pytest

from app.planning.store_cautions import cautions_at
from app.planning.stores import Sizes
from app.units.quantities import M_PER_FT

FT, TODAY = M_PER_FT, date(2027, 5, 10)


def keys(sizes, **more):
    cards = cautions_at(sizes, **{"sealed_on": None, "today": TODAY, "is_filling": False, **more})
    return [card.key for card in cards]


@pytest.mark.parametrize(("ratio", "steep"), [(2.9, True), (3.0, False), (6.0, False)])
def test_three_to_one_is_the_steepest_to_drive(ratio, steep):
    """3:1 in line of travel ([Bolsen2016]_)."""
    sizes = Sizes("pile", 60.0, 60.0, peak_height_m=3.0, side_slope=ratio, end_slope=6.0)
    cards = cautions_at(sizes, sealed_on=None, today=TODAY, is_filling=False)
    said = [str(fact) for card in cards if card.key == "slopes-here" for fact in card.facts]
    assert any("too steep to drive" in fact for fact in said) is steep


def test_six_to_one_may_be_driven_across():
    """6:1 across ([Carrabba2018]_): no word on slopes where nothing is steeper and the top is wide."""
    sizes = Sizes("pile", 90.0, 60.0, peak_height_m=3.0, side_slope=6.0, end_slope=6.0)
    assert "slopes-here" not in keys(sizes)


def test_a_tower_carries_entry_and_no_face():
    found = keys(Sizes("tower", diameter_m=6.0, peak_height_m=12.0))
    assert "tower-entry" in found
    assert "face-here" not in found


def test_a_structure_to_be_filled_carries_the_rollover_card():
    assert "tractor-rollover" in keys(Sizes("bunker", wall_height_m=3.0), is_filling=True)
    assert "tractor-rollover" not in keys(Sizes("bunker", wall_height_m=3.0))


def test_every_card_ends_with_stop_and_names_who_decides():
    sizes = Sizes("bunker", 60.0, 12.0, None, 3.0, 4.0)
    for card in cautions_at(sizes, sealed_on=TODAY, today=TODAY, is_filling=True):
        assert "stop" in str(card.facts[-1])
        assert str(card.defer_to)
        assert card.publishers
        assert card.sources
