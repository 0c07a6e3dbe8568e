"""The season strip of a farm in its reader's words."""

from datetime import timedelta

from app.services import maturity
from app.units.wording import Reader
from app.web.strips import LEAST_AHEAD_D, PAST_D, season_strip
from tests.builders.crops import a_field, a_scouting, a_stand, a_station


def strip_of(work, team, reader=Reader()):
    return season_strip(maturity.farm_maturity(work, team.farm.id), reader, "What it shows", href=lambda field: "/f")


def test_every_field_has_a_row_with_its_dates_and_a_table_says_the_same(work, team):
    a_station(work, team.farm.id)
    for name in ("Kiln", "Sand Lot"):
        field = a_field(work, team.farm.id, name=name)
        a_stand(work, team.farm.id, field.id)
        a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24)
    view = strip_of(work, team)
    found = maturity.farm_maturity(work, team.farm.id).fields[0]
    assert "Kiln" in view.svg and "Sand Lot" in view.svg and "What it shows" in view.svg
    assert [name for name, _svg in view.ones] == ["Kiln", "Sand Lot"]
    heads, rows = view.table
    assert len(heads) == len(rows[0]) and rows[0][:3] == ("Kiln", "88\xa0ac", "36.0")
    day = found.reached.on
    assert f"{day.day} {day:%b}" in rows[0][5]
    assert f"40 % · {day.day} {day:%b}" in view.svg


def test_a_field_without_a_value_says_why(work, team):
    a_field(work, team.farm.id)
    view = strip_of(work, team)
    assert "Not scouted yet this season." in view.svg


def test_the_axis_runs_from_before_today_past_the_last_target(work, team):
    a_station(work, team.farm.id)
    field = a_field(work, team.farm.id)
    a_scouting(work, team.farm.id, field.id, 17, 17, 17, 17)
    found = maturity.farm_maturity(work, team.farm.id)
    view = strip_of(work, team)
    last = found.fields[0].reached.latest
    monday = last - timedelta(days=last.weekday())
    assert f"Mon {monday.day} {monday:%b}" in view.svg
    assert PAST_D > 0 and LEAST_AHEAD_D >= 28
