"""Headings are understood however people write them, and never with the wrong unit."""

import pytest

from app.exchange.headings import has_two_units, heading, is_key_row, key_cell, read_headings, system_of, unit_word
from app.units.kinds import KINDS
from app.units.shapes import Column, Shape

SHAPE = Shape(
    "fields",
    (
        Column("name", "Name of the field", required=True),
        Column("area_ha", "Area", "number", "area"),
        Column("share_frac", "Share", "number", "percent"),
        Column("mass_af_kg", "Weight", "number", "mass_af"),
    ),
)


def read(*header, keys=None, system="us", languages=()):
    return read_headings("fields", SHAPE, header, keys, 1, system=system, languages=languages)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if has_two_units(kind)])
def test_every_unit_that_differs_tells_its_system(kind):
    assert unit_word(kind, "us") != unit_word(kind, "metric")
    assert [system_of(kind, unit_word(kind, system)) for system in ("us", "metric")] == ["us", "metric"]


@pytest.mark.parametrize(
    ("text", "system"),
    [("Area (ac)", "us"), ("area (HA)", "metric"), ("Area [acres]", "us"), ("  AREA ( ha ) ", "metric"),
     ("fields.area_ha [ha]", "metric"), ("Area(hectares)", "metric")],
)  # fmt: skip
def test_an_area_is_read_in_the_unit_its_heading_names(text, system):
    found = read(text, system="us" if system == "metric" else "metric")
    assert [(each.column.name, each.system) for each in found.found] == [("area_ha", system)]
    assert found.asks == found.problems == []


@pytest.mark.parametrize("text", ["Area", "area_ha", "fields.area_ha"])
def test_without_a_unit_the_persons_own_is_taken_and_asked_about(text):
    found = read(text, system="metric")
    assert [each.system for each in found.found] == ["metric"] and len(found.asks) == 1


def test_a_ton_that_does_not_say_which_is_asked_about():
    assert len(read("Weight (t as fed)").asks) == 1
    assert read("Weight (t as fed, 1000 kg)").found[0].system == "metric"


def test_units_nobody_knows_are_refused_even_where_only_one_is_used():
    for text in ("Area (furlongs)", "Share (fraction)"):
        found = read(text)
        assert len(found.problems) == 1 and found.found == [] and len(found.unread) == 1


def test_two_headings_of_one_column_are_refused_and_unknown_ones_ignored():
    found = read("Area (ac)", "Colour", "Area (ha)")
    assert found.ignored == ["Colour"] and len(found.problems) == 1 and len(found.found) == 1


def test_the_line_of_keys_is_told_from_a_row_of_text():
    keys = tuple(key_cell("fields", column, "us") for column in SHAPE.columns)
    assert is_key_row(keys) and is_key_row((None, keys[1], ""))
    assert not is_key_row(("Creek", "fields.area_ha [ac]")) and not is_key_row((None, ""))


def test_keys_are_read_whatever_the_headings_say():
    keys = ("fields.name", "fields.area_ha [ac]")
    found = read("Nombre", "Superficie (ac)", keys=keys, system="metric")
    assert [(each.column.name, each.system) for each in found.found][1] == ("area_ha", "us")


def test_a_heading_changed_above_its_key_is_refused():
    assert len(read("Area (ha)", keys=("fields.area_ha [ac]",)).problems) == 1


def test_headings_in_another_language_are_read_when_it_is_given():
    spanish = {"Area": "Superficie"}
    text = heading(SHAPE.column("area_ha"), "metric", lambda word: spanish.get(word, word))
    assert text == "Superficie (ha)"
    found = read(text, languages=(lambda word: spanish.get(word, word),))
    assert [(each.column.name, each.system) for each in found.found] == [("area_ha", "metric")]
