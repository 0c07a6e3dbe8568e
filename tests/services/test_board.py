"""The board's figures, known ones against worked examples, unknown ones with their reason."""

from datetime import UTC, date, datetime, timedelta

import pytest

from app.access.work import Clock, Work
from app.errors import NotFound
from app.services import board, checklists, decisions, farms, fields
from app.units.quantities import KG_PER_SHORT_TON
from tests.builders.crops import a_field, a_scouting, a_stand
from tests.builders.herd import REFERENCE_DAY
from tests.builders.whole_board import QUESTION, STARTS_ON, fill_board

TON = KG_PER_SHORT_TON


@pytest.fixture
def spring(work, team):
    """1 May 2026 on a farm of which everything is known."""
    then = Work(work.session, work.actor, Clock(REFERENCE_DAY))
    fill_board(then, team.farm.id)
    return then


def test_need_is_the_worked_example(spring, team):
    """The reference herd worked by hand: empty on 12 July, new crop on 27 June, 62 t DM short of thirty days."""
    need = board.board_page(spring, team.farm.id).need
    assert need.run_out_all.on == date(2026, 7, 12)
    assert need.usable.on == date(2026, 6, 27)
    assert need.short_target.dm.value / TON == pytest.approx(62.3, abs=0.1)
    assert need.short_target.days.value == pytest.approx(15.0, abs=0.1)


def test_a_bare_farm_says_why_it_knows_nothing(work, team):
    found = board.board_page(work, team.farm.id)
    assert not found.need.must_bring.known and str(found.need.must_bring.reason) == (
        "No haylage is on the farm's list of feeds yet.")  # fmt: skip
    assert found.ready.start.on is None and str(found.ready.says) == "No field is on file yet."
    assert found.cut.on is None and str(found.cut.ndf.reason) == str(board.NO_START)
    assert [str(said) for said in found.cut.says] == [str(board.NO_START), "No field is on file yet."]
    assert found.yard.checklist_id is None and not found.decisions.open
    assert str(board.strip_finding(found)) == "No field's feeding value can be projected yet"


def test_the_start_is_the_agreed_one_else_the_projected_one(spring, team):
    agreed = board.board_page(spring, team.farm.id).cut
    assert (agreed.on, agreed.is_agreed, agreed.earliest) == (STARTS_ON, True, None)
    checklists.agree_start(spring, team.farm.id, {"starts_on": None})
    found = board.board_page(spring, team.farm.id)
    assert (found.cut.on, found.cut.is_agreed) == (found.ready.start.on, False)
    assert found.cut.earliest <= found.cut.on <= found.cut.latest
    assert str(found.cut.says[0]) == "Projected; no start is agreed yet."


def test_ndf_of_the_cutting_is_the_mean_by_what_each_field_brings(spring, team):
    found = board.board_page(spring, team.farm.id)
    brings, ndf = [], []
    for field in found.maturity.fields:
        brings.append(field.area_ha * field.yields.first_cut.value)
        ndf.append(field.fed_daily[field.days.index(STARTS_ON)])
    mean = sum(a * b for a, b in zip(brings, ndf, strict=True)) / sum(brings)
    assert found.cut.ndf.value == pytest.approx(mean)
    assert found.cut.ndf.low < mean < found.cut.ndf.high
    assert found.cut.tons.value == pytest.approx(sum(brings))


def test_a_field_nobody_can_project_leaves_the_ndf_of_the_cutting_unknown(spring, team):
    field = a_field(spring, team.farm.id, name="Mixed")
    a_stand(spring, team.farm.id, field.id, seeded_on=date(2022, 4, 1), share_alfalfa=0.5, share_orchardgrass=0.5)
    a_scouting(spring, team.farm.id, field.id, 20, 20, 20, 20, scouted_on=REFERENCE_DAY, grass_frac=0.5)
    cut = board.board_page(spring, team.farm.id).cut
    assert not cut.ndf.known and "grass, whose NDF was not sampled" in str(cut.ndf.reason)
    assert cut.tons.known and str(cut.says[-1]).startswith("Brings")


def test_settings_of_the_farm_are_what_is_cut_at(spring, team):
    farms.set_value(spring, team.farm.id, "stubble_cm", 10.16)
    farms.set_value(spring, team.farm.id, "swath_share_frac", 0.5)
    cut = board.board_page(spring, team.farm.id).cut
    assert (cut.stubble_cm, cut.swath_frac) == (10.16, 0.5)


def test_what_changed_reaches_back_to_the_beginning_of_yesterday_on_the_farm(work, team):
    def at(hours):
        moment = datetime(2027, 5, 10, 17, tzinfo=UTC) + timedelta(hours=hours)
        return Work(work.session, work.actor, Clock(read=lambda: moment))

    fields.add_field(at(-37), team.farm.id, {"name": "North", "area_ha": 5.0})  # 8 May, 23:00 in Chicago
    fields.add_field(at(-35), team.farm.id, {"name": "South", "area_ha": 5.0})
    fields.add_field(at(0), team.farm.id, {"name": "West", "area_ha": 5.0})
    said = [str(line.says) for line in board.changed_since_yesterday(at(0), team.farm.id)]
    assert [text.split()[1] for text in said] == ["West", "South"]


def test_the_newest_changes_are_shown_and_no_more_than_fit(work, team):
    for n in range(9):
        decisions.ask_decision(work, team.farm.id, {"question": f"Question {n}?"})
    said = [str(line.says) for line in board.changed_since_yesterday(work, team.farm.id)]
    assert [f"Question {n}?" in text for n, text in zip(range(8, -1, -1), said, strict=False)] == [True] * 6
    assert len(said) == board.CHANGES_MOST == 6


def test_questions_stand_on_the_board_until_they_are_answered(spring, team):
    (asked,) = board.board_page(spring, team.farm.id).decisions.open
    assert asked.question == QUESTION
    decisions.answer_decision(spring, team.farm.id, asked.id, {"question": QUESTION, "answer": "Yes", "why": None})
    assert not board.board_page(spring, team.farm.id).decisions.open


def test_a_stranger_finds_no_board(spring, team):
    with pytest.raises(NotFound):
        board.board_page(team.acts(spring, "stranger"), team.farm.id)


@pytest.mark.parametrize("role", ["owner", "nutritionist", "agronomist", "crew", "viewer", "consultant"])
def test_everyone_of_the_farm_reads_it(spring, team, role):
    assert board.board_page(team.acts(spring, role), team.farm.id).need.must_bring.known
