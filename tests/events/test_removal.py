"""What is taken off a page is gone from every list, and one step brings it back as it was."""

import pytest

from app.access.gate import access_removed, access_row
from app.access.permissions import Permission
from app.errors import NotFound
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.fields import Field
from app.records.history import list_changes_since


@pytest.fixture
def field(work, team):
    field = Field(farm_id=team.farm.id, name="Kiln", area_ha=25.0)
    work.session.add(field)
    work.session.flush()
    return field


def test_a_row_taken_off_is_not_found_but_can_be_brought_back(work, team, field):
    remove_row(work, field, noun="fields", parts=("fields-table",))
    with pytest.raises(NotFound):
        access_row(work, Field, team.farm.id, field.id, Permission.FIELDS_EDIT)
    gone = access_removed(work, Field, team.farm.id, field.id, Permission.FIELDS_EDIT)
    assert restore_row(work, gone, noun="fields") and field.removed_at is None
    assert access_row(work, Field, team.farm.id, field.id, Permission.FIELDS_EDIT) is field


def test_both_steps_leave_a_line_and_count_as_a_change_of_the_row(work, team, field):
    remove_row(work, field, noun="fields", parts=("fields-table",))
    restore_row(work, field, noun="fields", name="Kiln field")
    lines = list_changes_since(work.session, team.farm.id, 0)[-2:]
    assert [(line.verb, line.noun, line.row_id, line.name) for line in lines] == [
        ("remove", "fields", field.id, "Kiln"),
        ("restore", "fields", field.id, "Kiln field"),
    ]
    assert lines[0].parts == ["fields-table"] and field.version == 3


def test_bringing_back_what_is_there_changes_and_notes_nothing(work, team, field):
    before = team.farm.seq
    assert not restore_row(work, field, noun="fields")
    assert list_changes_since(work.session, team.farm.id, before) == [] and field.version == 1


def test_the_list_of_removed_rows_shows_the_last_ones_of_this_farm(work, team, field):
    other = Field(farm_id=team.farm.id, name="Weir", area_ha=9.0)
    work.session.add(other)
    work.session.flush()
    for row in (field, other):
        remove_row(work, row, noun="fields")
    assert {row.id for row in removed_rows(work, Field, team.farm.id)} == {field.id, other.id}
    assert len(removed_rows(work, Field, team.farm.id, most=1)) == 1
    assert removed_rows(work, Field, team.farm.id + 1) == []
