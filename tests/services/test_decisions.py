"""Questions on the board, answers with their why, and a second answer that overwrites nothing."""

from __future__ import annotations

import pytest

from app.errors import Conflict, NotAllowed, NotFound
from app.services import decisions

ANSWER = {"answer": "Yes, Thursday", "why": "three dry days"}
NOTHING = {"answer": None, "why": None}


def ask(work, team):
    return decisions.ask_decision(team.acts(work, "owner"), team.farm.id, {"question": "Cut on Thursday?"})


def test_an_answer_says_who_agreed_and_why(work, team):
    asked = ask(work, team)
    assert [each.question for each in decisions.list_decisions(work, team.farm.id).open] == ["Cut on Thursday?"]
    decisions.answer_decision(team.acts(work, "agronomist"), team.farm.id, asked.id, ANSWER, NOTHING)
    page = decisions.list_decisions(work, team.farm.id)
    assert page.open == ()
    assert (page.settled[0].answer, page.settled[0].why, page.settled[0].by) == (*ANSWER.values(), "Agronomist")


def test_a_second_answer_is_shown_both_values(work, team):
    asked = ask(work, team)
    decisions.answer_decision(work, team.farm.id, asked.id, ANSWER, NOTHING)
    with pytest.raises(Conflict):
        decisions.answer_decision(work, team.farm.id, asked.id, {"answer": "No", "why": None}, NOTHING)
    with pytest.raises(Conflict):
        decisions.answer_decision(work, team.farm.id, asked.id, {"answer": "No", "why": None})
    assert asked.answer == "Yes, Thursday"


def test_it_can_be_decided_again_and_the_history_keeps_the_first_answer(work, team):
    asked = ask(work, team)
    decisions.answer_decision(work, team.farm.id, asked.id, ANSWER, NOTHING)
    decisions.reopen_decision(work, team.farm.id, asked.id)
    assert [each.id for each in decisions.list_decisions(work, team.farm.id).open] == [asked.id]
    assert asked.answer is None


def test_removing_is_undone(work, team):
    asked = ask(work, team)
    decisions.remove_decision(work, team.farm.id, asked.id)
    assert decisions.list_decisions(work, team.farm.id).open == ()
    decisions.restore_decision(work, team.farm.id, asked.id)
    assert len(decisions.list_decisions(work, team.farm.id).open) == 1


def test_the_office_decides_crew_reads_and_strangers_see_nothing(work, team):
    asked = ask(work, team)
    assert decisions.list_decisions(team.acts(work, "crew"), team.farm.id).open
    with pytest.raises(NotAllowed):
        decisions.answer_decision(team.acts(work, "crew"), team.farm.id, asked.id, ANSWER)
    with pytest.raises(NotFound):
        decisions.list_decisions(team.acts(work, "stranger"), team.farm.id)
    with pytest.raises(NotFound):
        decisions.answer_decision(team.acts(work, "stranger"), team.other.id, asked.id, ANSWER)
