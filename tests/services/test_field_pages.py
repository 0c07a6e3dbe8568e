"""What the Fields page and the page of one field are given."""

from datetime import date

import pytest
from sqlalchemy import event

from app.errors import NotFound
from app.services import field_pages, scoutings, stands
from tests.builders.crops import COUNT, WALK, a_field, a_scouting, a_stand, a_station, spots


def test_a_field_shows_its_stands_newest_first_and_each_scouting_with_what_it_corrects(work, team):
    field = a_field(work, team.farm.id)
    old = a_stand(work, team.farm.id, field.id, seeded_on=date(2018, 4, 20))
    stands.end_stand(work, team.farm.id, old.id, date(2023, 9, 1))
    new = a_stand(work, team.farm.id, field.id, seeded_on=date(2024, 4, 20))
    stands.add_count(work, team.farm.id, new.id, COUNT)
    first = a_scouting(team.acts(work, "agronomist"), team.farm.id, field.id, 24, 24, 24, 24)
    scoutings.correct_scouting(team.acts(work, "crew"), team.farm.id, first.id, WALK, spots(26, 26, 26, 26), WALK)
    page = field_pages.field_page(work, team.farm.id, field.id)
    assert [stand.id for stand in page.stands] == [new.id, old.id] and page.stand.id == new.id
    assert page.year_of_stand == 4
    (line,) = page.scoutings
    assert (line.by, [older.by for older in line.corrected]) == ("Crew", ["Agronomist"])
    assert line.reading.ndf.value == pytest.approx(0.354, abs=0.001)  # 26 in vegetative, [WisconsinTable2021]


def test_a_reading_taken_back_is_shown_as_such_and_counts_no_more(work, team):
    field = a_field(work, team.farm.id)
    row = a_scouting(work, team.farm.id, field.id)
    scoutings.withdraw_scouting(work, team.farm.id, row.id)
    page = field_pages.field_page(work, team.farm.id, field.id)
    assert page.scoutings[0].is_withdrawn and page.now.reading is None


def test_a_reading_is_read_by_what_stood_there_that_day(work, team):
    """The old mixture's grass does not follow the field into its new stand of alfalfa."""
    field = a_field(work, team.farm.id)
    old = a_stand(work, team.farm.id, field.id, seeded_on=date(2018, 4, 20), share_alfalfa=0.5, share_timothy=0.5)
    a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24, scouted_on=date(2026, 5, 10))
    stands.end_stand(work, team.farm.id, old.id, date(2026, 8, 1))
    a_stand(work, team.farm.id, field.id, seeded_on=date(2026, 8, 20))
    a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24)
    page = field_pages.field_page(work, team.farm.id, field.id)
    assert [line.reading.grass_frac for line in page.scoutings] == [0.0, 0.5]


def test_a_strangers_field_is_not_found(work, team):
    field = a_field(work, team.farm.id)
    with pytest.raises(NotFound):
        field_pages.field_page(team.acts(work, "stranger"), team.farm.id, field.id)
    with pytest.raises(NotFound):
        field_pages.field_page(team.acts(work, "stranger"), team.other.id, field.id)
    with pytest.raises(NotFound):
        field_pages.fields_page(team.acts(work, "stranger"), team.farm.id)


@pytest.mark.parametrize("count", [1, 12])
def test_pages_ask_the_database_a_fixed_number_of_times(work, team, count):
    a_station(work, team.farm.id)
    field = a_field(work, team.farm.id)
    stand = a_stand(work, team.farm.id, field.id)
    for _ in range(count):
        a_scouting(work, team.farm.id, field.id)
        stands.add_count(work, team.farm.id, stand.id, COUNT)
    field_pages.field_page(work, team.farm.id, field.id)
    asked = []
    event.listen(work.session.get_bind(), "before_cursor_execute", lambda *each: asked.append(each[2]))
    for page in (lambda: field_pages.field_page(work, team.farm.id, field.id),
                 lambda: field_pages.fields_page(work, team.farm.id)):  # fmt: skip
        work.session.expire_all()
        asked.clear()
        page()
        assert len(asked) <= 15, asked
