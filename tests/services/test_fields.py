"""Fields as people keep them."""

import pytest

from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.records.history import Change
from app.services import fields
from tests.builders.crops import FIELD, a_field, a_scouting


def test_a_field_is_added_at_the_end_and_listed(work, team):
    for name in ("Kiln", "Brook Piece"):
        a_field(work, team.farm.id, name=name)
    assert [field.name for field in fields.list_fields(work, team.farm.id)] == ["Kiln", "Brook Piece"]
    assert fields.list_fields(work, team.other.id) == []


def test_two_fields_of_one_name_are_refused(work, team):
    a_field(work, team.farm.id, name="Kiln")
    with pytest.raises(Invalid) as refused:
        a_field(work, team.farm.id, name="kiln")
    assert "kiln" in str(refused.value.fields["name"])
    a_field(work, team.other.id, name="Kiln")


def test_two_people_on_different_things_of_a_field_both_win(work, team):
    field = a_field(work, team.farm.id)
    seen = {name: getattr(field, name) for name in FIELD}
    fields.edit_field(work, team.farm.id, field.id, seen | {"haul_km": 3.5}, seen)
    fields.edit_field(work, team.farm.id, field.id, seen | {"drainage_note": "Wet."}, seen)
    assert (field.haul_km, field.drainage_note) == (3.5, "Wet.")


def test_two_people_on_the_same_thing_see_both_values(work, team):
    field = a_field(work, team.farm.id)
    seen = {name: getattr(field, name) for name in FIELD}
    fields.edit_field(work, team.farm.id, field.id, {"area_ha": 30.0}, seen)
    with pytest.raises(Conflict) as conflict:
        fields.edit_field(work, team.farm.id, field.id, {"area_ha": 31.0}, seen)
    assert conflict.value.fields["area_ha"] == (30.0, 31.0)
    assert field.area_ha == 30.0


def test_a_removed_field_comes_back_with_its_readings(work, team):
    field = a_field(work, team.farm.id)
    a_scouting(work, team.farm.id, field.id)
    fields.remove_field(work, team.farm.id, field.id)
    assert fields.list_fields(work, team.farm.id) == []
    with pytest.raises(NotFound):
        fields.edit_field(work, team.farm.id, field.id, {"haul_km": 1.0})
    assert [each.id for each in fields.list_removed(work, team.farm.id)] == [field.id]
    fields.restore_field(work, team.farm.id, field.id)
    assert [each.id for each in fields.list_fields(work, team.farm.id)] == [field.id]


def test_a_removed_field_does_not_come_back_beside_one_of_its_name(work, team):
    field = a_field(work, team.farm.id)
    fields.remove_field(work, team.farm.id, field.id)
    a_field(work, team.farm.id)
    with pytest.raises(Invalid):
        fields.restore_field(work, team.farm.id, field.id)


def test_who_may_not_is_told_so_and_a_stranger_learns_nothing(work, team):
    field = a_field(work, team.farm.id)
    for role in ("crew", "nutritionist", "viewer"):
        with pytest.raises(NotAllowed):
            fields.edit_field(team.acts(work, role), team.farm.id, field.id, {"haul_km": 1.0})
    for act in (fields.remove_field, fields.restore_field):
        with pytest.raises(NotFound):
            act(team.acts(work, "stranger"), team.farm.id, field.id)
    with pytest.raises(NotFound):
        fields.remove_field(team.acts(work, "stranger"), team.other.id, field.id)


def test_every_change_is_a_line_of_history_that_open_pages_hear(work, team):
    field = a_field(work, team.farm.id)
    fields.edit_field(work, team.farm.id, field.id, {"haul_km": 9.0}, {"haul_km": 2.0})
    line = work.session.query(Change).order_by(Change.id.desc()).first()
    assert (line.verb, line.noun, line.fields["haul_km"]) == ("edit", "fields", [2.0, 9.0])
    assert {"board-figures", "fields-table", f"fields-field-{field.id}"} <= set(line.parts)
