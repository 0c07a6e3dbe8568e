"""History in words."""

from app.events.history import note
from app.services import changes as services
from app.services.farms import edit_farm
from app.units.sentences import Quantity
from app.units.wording import Reader


def said(line):
    reader = Reader()
    return reader.say(line.says), line.before and reader.say(line.before), line.after and reader.say(line.after)


def test_each_changed_field_is_a_line_with_what_stood_there_before(work, team):
    edit_farm(team.acts(work, "owner"), team.farm.id, {"name": "Marl Hill", "cuts_count": 5})
    lines = services.list_lines(work, team.farm.id).lines
    assert {said(line) for line in lines} == {
        ("Farm Marl Hill changed, Name of the farm", "Marl Hollow", "Marl Hill"),
        ("Farm Marl Hill changed, Cuttings in a season", "4", "5"),
    }
    assert {line.by for line in lines} == {"Owner"}


def test_a_figure_is_said_in_the_readers_unit(work, team):
    note(work, team.farm.id, "edit", "fields", 1, name="North", fields={"area_ha": (10.0, 20.0)})
    line = services.list_lines(work, team.farm.id).lines[0]
    assert line.after == Quantity(20.0, "area")
    assert Reader(units="us").say(line.after) == "49.4\u00a0ac"


def test_lines_come_newest_first_and_in_pages(work, team):
    for number in range(7):
        note(work, team.farm.id, "tick", "items", number, name=f"Item {number}")
    first = services.list_lines(work, team.farm.id, most=4)
    second = services.list_lines(work, team.farm.id, before=first.older, most=4)
    names = [Reader().say(line.says) for line in (*first.lines, *second.lines)]
    assert names == [f"Checklist item Item {number} ticked" for number in range(6, -1, -1)]
    assert second.older is None


def test_other_farms_do_not_show(work, team):
    note(work, team.other.id, "add", "fields", 1, name="Elsewhere")
    assert services.list_lines(work, team.farm.id).lines == ()


def test_a_noun_or_field_nobody_named_is_still_told(work, team):
    note(work, team.farm.id, "polish", "new_things", 1, fields={"some_field": (None, 1.23456)})
    assert said(services.list_lines(work, team.farm.id).lines[0]) == ("New things polish, some field", None, "1.2346")
