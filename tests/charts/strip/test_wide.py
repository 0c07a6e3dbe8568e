"""The wide strip says its finding, names every field and stays light."""

import math
from xml.etree import ElementTree

from app.charts.strip import Row, strip
from tests.charts.strip.season import DAYS, season

SVG = "{http://www.w3.org/2000/svg}"


def texts(drawn: str) -> list[str]:
    return [element.text for element in ElementTree.fromstring(drawn).iter(f"{SVG}text")]


def test_the_finding_is_its_name_for_those_who_hear_it():
    tree = ElementTree.fromstring(strip(season()))
    assert tree.get("role") == "group"  # it holds a link, which an image may not
    assert ElementTree.fromstring(strip(season(rows=()))).get("role") == "img"
    assert tree.find(f"{SVG}title").text == "Two of three fields are still under 40 %"


def test_every_field_is_named_and_a_name_is_never_markup():
    drawn = strip(season())
    assert {"Kiln", "Sand <Lot>", "Twelve Elms"} <= set(texts(drawn))
    assert "<Lot>" not in drawn


def test_a_field_without_a_value_says_why():
    assert "no scouting since 20 April" in texts(strip(season()))


def test_the_cut_is_named_and_without_one_the_day_of_the_target_is():
    said = texts(strip(season()))
    assert "40 % · pile" in said and "21 May" in said


def test_the_key_names_only_marks_that_are_there():
    said = texts(strip(season(rows=(Row("Kiln", ndf_frac=(0.3,) * 36),))))
    assert "planned cut" not in said and "buds: 8 years in 10" not in said
    assert {"under 36", "over 45", "chance of a dry day"} <= set(said)


def test_a_season_before_or_after_today_has_no_line_for_today():
    assert "today" not in texts(strip(season(today=DAYS[0].replace(year=2026))))


def test_weather_that_is_not_known_is_a_gap():
    whole = strip(season()).count("w-climate")
    gaps = (0.6,) * 12 + (math.nan,) * 24
    assert whole == 24 and strip(season(dry_frac=gaps)).count("w-climate") == 0


def test_forty_fields_stay_under_a_hundred_kilobytes():
    row = season().rows[0]
    assert len(strip(season(rows=(row,) * 40)).encode()) < 100_000


def test_it_carries_no_style_attribute_and_no_script():
    drawn = strip(season())
    assert "style=" not in drawn and "<style" not in drawn and "<script" not in drawn
