"""Two people on one row: different fields merge, the same field shows both values, and every change leaves a line."""

import pytest

from app.errors import Conflict
from app.events.edits import apply_edit
from app.records.fields import Field
from app.records.history import list_changes_since


@pytest.fixture
def field(work, team):
    field = Field(farm_id=team.farm.id, name="Kiln", area_ha=25.0)
    work.session.add(field)
    work.session.flush()
    return field


def test_two_people_on_different_fields_both_win(work, field):
    seen = {"name": "Kiln", "area_ha": 25.0}
    apply_edit(work, field, {"name": "Kiln north", "area_ha": 25.0}, seen, noun="fields")
    apply_edit(work, field, {"name": "Kiln", "area_ha": 26.0}, seen, noun="fields")
    assert (field.name, field.area_ha, field.version) == ("Kiln north", 26.0, 3)


def test_on_the_same_field_the_second_sees_both_values_and_nothing_changes(work, field):
    seen = {"name": "Kiln", "area_ha": 25.0}
    apply_edit(work, field, {"area_ha": 26.0}, seen, noun="fields")
    with pytest.raises(Conflict) as clash:
        apply_edit(work, field, {"name": "Other", "area_ha": 27.0}, seen, noun="fields")
    assert clash.value.fields == {"area_ha": (26.0, 27.0)} and field.name == "Kiln"


def test_typing_what_stands_there_already_is_no_conflict_and_no_change(work, field):
    apply_edit(work, field, {"area_ha": 26.0}, {"area_ha": 25.0}, noun="fields")
    assert apply_edit(work, field, {"area_ha": 26.0}, {"area_ha": 25.0}, noun="fields") == {}


def test_the_history_says_who_changed_what_from_what_to_what(work, team, field):
    as_agronomist = team.acts(work, "agronomist")
    before = team.farm.seq
    apply_edit(as_agronomist, field, {"area_ha": 26.0}, noun="fields", parts=("fields-table",))
    line = list_changes_since(work.session, team.farm.id, before)[-1]
    assert (line.by, line.noun, line.row_id, line.fields) == (
        "Agronomist",
        "fields",
        field.id,
        {"area_ha": [25.0, 26.0]},
    )
    assert line.parts == ["fields-table"] and as_agronomist.told[-1] == (team.farm.id, line.seq)


def test_lines_are_numbered_without_gaps_by_farm(work, team, field):
    for area in (26.0, 27.0, 28.0):
        apply_edit(work, field, {"area_ha": area}, noun="fields")
    seqs = [line.seq for line in list_changes_since(work.session, team.farm.id, 0)]
    assert seqs == list(range(1, len(seqs) + 1))
