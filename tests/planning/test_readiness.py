"""The checklist: what is on it, when, for whom, and what it says of a yard."""

from dataclasses import replace

import pytest

from app.planning.cautions import BY_KEY as CAUTIONS
from app.planning.cautions import PLACES
from app.planning.readiness import (
    BY_KEY,
    READINESS,
    ROLES,
    FillStructure,
    PackingTractor,
    YardInputs,
    draw_checklist,
)

BUNKER = FillStructure("North", "bunker", 45.0, 12.0, 3.6, 4.2)
YARD = YardInputs(
    delivery_af_kg_h=90_000,
    expected_af_kg=1_000_000,
    dm_frac=0.38,
    structures=(BUNKER,),
    packing_tractors=(PackingTractor(18_000), PackingTractor(14_000, 0.5)),
)


def keys(yard):
    return [item.key for item in draw_checklist(yard)]


@pytest.mark.parametrize("entry", READINESS, ids=lambda entry: entry.key)
def test_every_entry_has_a_place_a_role_a_day_and_a_card_that_exists(entry):
    assert entry.place in PLACES and entry.role in ROLES
    assert 0 < entry.days_before <= 60
    assert entry.caution is None or entry.caution in CAUTIONS
    assert entry.sentence.text.endswith(".") and not entry.sentence.figures
    assert len(entry.key) <= 40 and len(entry.sentence.text) <= 200


def test_no_key_is_used_twice():
    assert len(BY_KEY) == len(READINESS)


def test_what_can_hurt_someone_always_shows_its_card():
    for key, caution in {
        "packing-weight": "tractor-rollover",
        "frames-and-belts": "tractor-rollover",
        "gas-signs": "silo-gas",
        "traffic-plan": "run-over",
        "children-visitors": "children-visitors",
        "power-lines": "power-lines",
        "heat-plan": "heat-fatigue",
        "mower-knives": "shafts-and-knives",
        "walls-inspected": "structures",
        "haul-units": "road",
        "tires": "falls",
    }.items():
        assert BY_KEY[key].caution == caution


def test_a_bunker_draws_everything_a_first_cutting_needs():
    wanted = [
        "structure-cleared",
        "floor-drained",
        "walls-inspected",
        "packing-weight",
        "sheet",
        "tires",
        "liners",
        "inoculant",
        "mower-knives",
        "stubble",
        "swath-doors",
        "merger",
        "moisture-tester",
        "scale",
        "sample-bags",
        "haul-units",
        "radios",
        "lights",
        "people",
        "frames-and-belts",
        "emergency-card",
        "gas-signs",
        "traffic-plan",
        "children-visitors",
        "power-lines",
        "heat-plan",
    ]
    assert set(wanted) <= set(keys(YARD))


def test_the_earliest_due_comes_first():
    days = [item.days_before for item in draw_checklist(YARD)]
    assert days == sorted(days, reverse=True)


def test_a_bag_needs_no_packing_and_no_liner():
    drawn = keys(replace(YARD, structures=(FillStructure("A", "bag"),)))
    assert "bags" in drawn
    assert not {"packing-weight", "sheet", "tires", "liners", "frames-and-belts"} & set(drawn)


def test_a_pile_needs_no_liner_and_no_wall():
    drawn = keys(replace(YARD, structures=(FillStructure("Pad", "pile", 60, 30, peak_height_m=3.5),)))
    assert {"sheet", "packing-weight"} <= set(drawn)
    assert not {"liners", "walls-inspected"} & set(drawn)


def test_the_label_is_asked_only_where_something_was_sprayed():
    assert "spray-interval" not in keys(YARD)
    assert "spray-interval" in keys(replace(YARD, fungicide_interval_d=14))


def test_the_packing_item_carries_what_is_short():
    """800 lb per ton and hour is 0.40 (Kaatz 2009): 90 t/h asks for 36 t, 18 t and half of 14 t are there."""
    need = next(item.need for item in draw_checklist(YARD) if item.key == "packing-weight")
    assert (need.need, need.have, need.kind) == (pytest.approx(36_000), 25_000, "weight")
    assert need.short == pytest.approx(11_000)


def test_safety_items_are_drawn_even_for_an_empty_yard():
    drawn = set(keys(YardInputs()))
    assert {"emergency-card", "traffic-plan", "children-visitors", "power-lines", "heat-plan", "shields"} <= drawn


def test_what_cannot_be_counted_carries_no_figure():
    items = {item.key: item for item in draw_checklist(YARD)}
    assert items["mower-knives"].need is None
    assert items["emergency-card"].need is None
