"""A row per farm: kept until the farm or the day changes, and never another farm's."""

import json
import time
from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import event, func, select

from app.access.sessions import actor_of
from app.access.work import Clock, Work
from app.records.accounts import Account, Membership
from app.records.farms import Farm, Snapshot
from app.services import decisions, farm_rows, farms, fields
from app.services.board import board_page
from tests.builders.herd import REFERENCE_DAY
from tests.builders.whole_board import QUESTION, STARTS_ON, fill_board


@pytest.fixture
def spring(work, team):
    then = Work(work.session, work.actor, Clock(REFERENCE_DAY))
    fill_board(then, team.farm.id)
    return then


def acting(work, person):
    return replace(work, actor=actor_of(work.session, person))


def rounds(work, count):
    """A consultant of so many farms, each with a field of its own."""
    person = Account(name="Round", email=f"round{count}@example.org", created_at=work.now())
    work.session.add(person)
    work.session.flush()
    for n in range(count):
        farm = Farm(name=f"Farm {n:02}", time_zone="America/Chicago", created_at=work.now())
        work.session.add(farm)
        work.session.flush()
        member = Membership(farm_id=farm.id, account_id=person.id, role="consultant", created_at=work.now())
        work.session.add(member)
        fields.add_field(work, farm.id, {"name": f"Field of {n:02}", "area_ha": 5.0 + n})
    work.session.flush()
    return acting(work, person)


def keep(work):
    rows, fresh = farm_rows.farm_rows(work)
    farm_rows.keep_rows(work, fresh)
    work.session.flush()
    return rows, fresh


def test_a_row_says_what_the_board_says(spring, team):
    (row,), _fresh = farm_rows.farm_rows(team.acts(spring, "consultant"))
    found = board_page(spring, team.farm.id)
    assert (row.name, row.role, row.today) == (team.farm.name, "consultant", REFERENCE_DAY)
    assert row.figure("need") == found.need.must_bring.value
    assert row.figure("ndf_most") == found.need.ndf_ceiling.value
    assert row.day("ready_first") == found.ready.first.reached.on
    assert row.day("start") == STARTS_ON and row.body["is_agreed"]
    assert (row.body["done"], row.body["total"]) == (found.yard.done, found.yard.total)
    assert row.questions == (QUESTION,)
    assert [due.title for due in row.dues] == [due.title for due in found.yard.next_due]
    assert str(row.says("need_says")) == str(found.need.says)
    assert row.presses == {"questions"} and row.weight == 2.0


def test_the_strip_is_the_mean_of_the_fields_weighted_by_area(spring, team):
    (row,), _fresh = farm_rows.farm_rows(team.acts(spring, "owner"))
    day = REFERENCE_DAY + timedelta(days=10)
    of = board_page(spring, team.farm.id).maturity.fields
    mean = sum(f.area_ha * f.fed_daily[f.days.index(day)] for f in of) / sum(f.area_ha for f in of)
    assert row.value_on("ndf", day) == pytest.approx(mean)
    assert row.value_on("ndf", date(2020, 1, 1)) != row.value_on("ndf", date(2020, 1, 1))


def test_a_kept_row_is_used_until_the_farm_changes_or_the_day_is_over(spring, team):
    reader = team.acts(spring, "owner")
    (first,), fresh = keep(reader)
    assert fresh
    (again,), fresh = keep(reader)
    assert not fresh
    assert json.loads(json.dumps(first.body, allow_nan=False)) == again.body and again.reasons == first.reasons
    decisions.ask_decision(spring, team.farm.id, {"question": "Wide swaths?"})
    (changed,), fresh = keep(reader)
    assert fresh and changed.questions == (QUESTION, "Wide swaths?")
    tomorrow = replace(reader, clock=Clock(REFERENCE_DAY + timedelta(days=1)))
    assert keep(tomorrow)[1] and not keep(tomorrow)[1]
    count = select(func.count()).select_from(Snapshot)
    assert spring.session.scalar(count) == 1


def test_a_row_kept_in_an_older_shape_is_worked_out_anew(spring, team):
    reader = team.acts(spring, "owner")
    keep(reader)
    snapshot = spring.session.scalar(select(Snapshot))
    snapshot.body = {key: value for key, value in snapshot.body.items() if key != "questions"} | {"shape": 1}
    spring.session.flush()
    (row,), fresh = keep(reader)
    assert fresh and row.questions == (QUESTION,)


def test_what_another_process_kept_meanwhile_is_no_error(spring, team):
    reader = team.acts(spring, "owner")
    (row,), _fresh = farm_rows.farm_rows(reader)
    keep(reader)
    farm_rows.keep_rows(reader, [row])
    assert spring.session.scalar(select(func.count()).select_from(Snapshot)) == 1


def test_the_farm_that_presses_most_stands_first(spring, team):
    person = team.people["owner"]
    spring.session.add(Membership(farm_id=team.other.id, account_id=person.id, role="viewer", created_at=spring.now()))
    spring.session.flush()
    rows, _fresh = farm_rows.farm_rows(acting(spring, person))
    assert [(row.name, row.weight) for row in rows] == [("Alder Flats", 6.0), ("Marl Hollow", 2.0)]
    assert str(rows[0].reasons[0]) == "No weather is on file."


def test_a_farm_on_which_nothing_presses_says_so(spring, team):
    (asked,) = decisions.list_decisions(spring, team.farm.id).open
    decisions.remove_decision(spring, team.farm.id, asked.id)
    (row,), _fresh = farm_rows.farm_rows(team.acts(spring, "owner"))
    assert (row.reasons, row.weight, row.presses) == ((farm_rows.NOTHING,), 0.0, frozenset())


def test_nobody_sees_the_rows_of_farms_they_do_not_belong_to(spring, team):
    keep(team.acts(spring, "owner"))
    rows, _fresh = farm_rows.farm_rows(team.acts(spring, "stranger"))
    assert [row.name for row in rows] == ["Alder Flats"]
    assert rows[0].figure("need") != rows[0].figure("need")


def test_each_row_holds_its_own_farm(work, team):
    reader = rounds(work, 12)
    for _ in range(2):
        rows, _fresh = keep(reader)
        for row in rows:
            assert board_page(reader, row.farm_id).maturity.fields[0].name == f"Field of {row.name.split()[1]}"
            assert row.seq == work.session.get(Farm, row.farm_id).seq


def test_farms_are_found_by_name_by_what_presses_and_by_ticking(spring, team):
    reader = rounds(spring, 3)
    rows, _fresh = farm_rows.farm_rows(reader)

    def names(**asked):
        return [row.name for row in farm_rows.chosen(rows, **asked)]

    assert names(named=" farm 01 ") == ["Farm 01"]
    assert names(presses="weather") == ["Farm 00", "Farm 01", "Farm 02"] and names(presses="feed") == []
    assert names(presses="nonsense") == names()
    assert names(only=[rows[2].farm_id, 10**6]) == [rows[2].name]
    assert names(order="name") == sorted(names())


def test_the_earliest_start_stands_first_and_farms_without_one_last(spring, team):
    person = team.people["owner"]
    spring.session.add(Membership(farm_id=team.other.id, account_id=person.id, role="owner", created_at=spring.now()))
    spring.session.flush()
    rows, _fresh = farm_rows.farm_rows(acting(spring, person))
    assert [row.name for row in farm_rows.chosen(rows, order="start")] == ["Marl Hollow", "Alder Flats"]


@pytest.mark.parametrize("count", [1, 50])
def test_kept_rows_take_as_few_reads_for_fifty_farms_as_for_one(work, team, count):
    reader = rounds(work, count)
    keep(reader)
    asked = []
    engine = work.session.get_bind()
    listener = lambda *each: asked.append(each[2])
    event.listen(engine, "before_cursor_execute", listener)
    took = []
    for _ in range(3):
        asked.clear()
        work.session.expire_all()
        began = time.perf_counter()
        rows, fresh = farm_rows.farm_rows(reader)
        took.append(time.perf_counter() - began)
    event.remove(engine, "before_cursor_execute", listener)
    assert len(rows) == count and not fresh
    assert len(asked) == 2, asked
    assert min(took) <= 0.005 * max(count, 4)


def test_the_name_of_a_farm_is_never_kept(spring, team):
    reader = team.acts(spring, "owner")
    keep(reader)
    farms.edit_farm(spring, team.farm.id, {"name": "Marl Hollow West"})
    (row,), _fresh = farm_rows.farm_rows(reader)
    assert row.name == "Marl Hollow West"
