"""Stands, their history, and counts that are corrected without losing the first."""

from datetime import date

import pytest
from sqlalchemy.orm import selectinload

from app.access.gate import access_row
from app.access.permissions import Permission
from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.events.corrections import current_rows
from app.records.fields import StandCount
from app.services import stands
from tests.builders.crops import COUNT, STAND, a_field, a_stand


@pytest.fixture
def field(work, team):
    return a_field(work, team.farm.id)


def with_species(work, stand):
    found = access_row(
        work, type(stand), stand.farm_id, stand.id, Permission.FARM_VIEW, selectinload(type(stand).species)
    )
    return {each.species: each.share_frac for each in found.species}


def test_a_mixture_keeps_its_shares(work, team, field):
    stand = a_stand(work, team.farm.id, field.id, share_alfalfa=0.7, share_orchardgrass=0.3)
    assert with_species(work, stand) == {"alfalfa": 0.7, "orchardgrass": 0.3}
    assert stands.grass_share(stand) == pytest.approx(0.3)


@pytest.mark.parametrize("shares", [{"share_alfalfa": 0.7}, {"share_alfalfa": 0.9, "share_timothy": 0.3}, {}])
def test_shares_that_do_not_make_the_whole_are_refused_by_name(work, team, field, shares):
    with pytest.raises(Invalid) as refused:
        stands.add_stand(work, team.farm.id, field.id, STAND | shares)
    assert "share_alfalfa" in refused.value.fields


def test_two_people_on_different_things_of_a_stand_both_win(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    seen = stands.stand_values(stand)
    stands.edit_stand(work, team.farm.id, stand.id, seen | {"is_reduced_lignin": True}, seen)
    mixed = seen | {"share_alfalfa": 0.8, "share_timothy": 0.2}
    stands.edit_stand(work, team.farm.id, stand.id, mixed, seen)
    assert stand.is_reduced_lignin is True
    assert with_species(work, stand) == {"alfalfa": 0.8, "timothy": 0.2}


def test_two_people_on_the_same_share_see_both_values(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    seen = stands.stand_values(stand)
    stands.edit_stand(work, team.farm.id, stand.id, seen | {"share_alfalfa": 0.8, "share_timothy": 0.2}, seen)
    with pytest.raises(Conflict) as conflict:
        stands.edit_stand(work, team.farm.id, stand.id, seen | {"share_alfalfa": 0.6, "share_bromegrass": 0.4}, seen)
    assert conflict.value.fields["share_alfalfa"] == (0.8, 0.6)


def test_edits_that_together_miss_the_whole_are_refused(work, team, field):
    """Both took alfalfa down to 80 %, each for another grass: merged they would make 120 %."""
    stand = a_stand(work, team.farm.id, field.id)
    seen = stands.stand_values(stand)
    stands.edit_stand(work, team.farm.id, stand.id, seen | {"share_alfalfa": 0.8, "share_timothy": 0.2}, seen)
    with pytest.raises(Invalid) as refused:
        stands.edit_stand(work, team.farm.id, stand.id, seen | {"share_alfalfa": 0.8, "share_ryegrass": 0.2}, seen)
    assert refused.value.fields["share_alfalfa"].figures["got"].value == pytest.approx(1.2)


def test_a_new_stand_waits_for_the_end_of_the_old_one_and_both_stay(work, team, field):
    old = a_stand(work, team.farm.id, field.id)
    with pytest.raises(Invalid):
        a_stand(work, team.farm.id, field.id, seeded_on=date(2026, 9, 1))
    stands.end_stand(work, team.farm.id, old.id, date(2026, 8, 20))
    with pytest.raises(Invalid):
        a_stand(work, team.farm.id, field.id, seeded_on=date(2026, 8, 1))
    new = a_stand(work, team.farm.id, field.id, seeded_on=date(2026, 8, 25))
    assert (old.ended_on, new.ended_on) == (date(2026, 8, 20), None)
    with pytest.raises(Invalid):
        stands.resume_stand(work, team.farm.id, old.id)


def test_an_end_is_undone(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    stands.end_stand(work, team.farm.id, stand.id, date(2026, 8, 20))
    with pytest.raises(Conflict):
        stands.end_stand(work, team.farm.id, stand.id, date(2026, 8, 21))
    stands.resume_stand(work, team.farm.id, stand.id)
    assert stand.ended_on is None


def test_a_stand_cannot_end_before_it_was_seeded(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    with pytest.raises(Invalid):
        stands.end_stand(work, team.farm.id, stand.id, date(2020, 1, 1))


def test_a_count_is_corrected_by_a_new_row_and_the_first_is_kept(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    first = stands.add_count(work, team.farm.id, stand.id, COUNT)
    second = stands.correct_count(work, team.farm.id, first.id, COUNT | {"stems_per_m2": 450.0}, COUNT)
    rows = work.session.query(StandCount).order_by(StandCount.id).all()
    assert [(row.stems_per_m2, row.corrects_id) for row in rows] == [(500.0, None), (450.0, first.id)]
    assert current_rows(rows) == [second]


def test_two_corrections_of_one_count_see_both_values(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    first = stands.add_count(work, team.farm.id, stand.id, COUNT)
    stands.correct_count(work, team.farm.id, first.id, COUNT | {"stems_per_m2": 450.0}, COUNT)
    with pytest.raises(Conflict) as conflict:
        stands.correct_count(work, team.farm.id, first.id, COUNT | {"stems_per_m2": 470.0}, COUNT)
    assert conflict.value.fields == {"stems_per_m2": (450.0, 470.0)}
    both = stands.correct_count(work, team.farm.id, first.id, COUNT | {"root_score": 2.0}, COUNT)
    assert (both.stems_per_m2, both.root_score) == (450.0, 2.0)


def test_a_count_taken_back_comes_again(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    count = stands.add_count(work, team.farm.id, stand.id, COUNT)
    stands.withdraw_count(work, team.farm.id, count.id)
    rows = lambda: work.session.query(StandCount).all()
    assert current_rows(rows()) == []
    stands.withdraw_count(work, team.farm.id, count.id, withdrawn=False)
    assert [row.stems_per_m2 for row in current_rows(rows())] == [500.0]
    assert len(rows()) == 3


@pytest.mark.parametrize(
    "wrong",
    [
        {"stems_per_m2": None, "root_score": None},
        {"counted_on": date(2027, 5, 11)},
        {"counted_on": date(2023, 5, 11)},
    ],
)
def test_a_count_that_cannot_be_is_refused(work, team, field, wrong):
    stand = a_stand(work, team.farm.id, field.id)
    with pytest.raises(Invalid):
        stands.add_count(work, team.farm.id, stand.id, COUNT | wrong)


def test_rights(work, team, field):
    stand = a_stand(work, team.farm.id, field.id)
    with pytest.raises(NotAllowed):
        stands.add_count(team.acts(work, "crew"), team.farm.id, stand.id, COUNT)
    with pytest.raises(NotFound):
        stands.edit_stand(team.acts(work, "stranger"), team.other.id, stand.id, {})
