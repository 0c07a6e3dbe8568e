"""Invitation links: made once, used once, ended by time and by hand."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.access.work import NOBODY, Clock
from app.errors import Invalid, NotAllowed, NotFound
from app.records.accounts import Invitation
from app.services import invitations as services
from app.services import team as team_services

NEW = {"name": "Ana", "email": "ana@example.org", "password": "a long password"}


def invite(work, team, role="agronomist"):
    return services.invite(team.acts(work, "owner"), team.farm.id, {"email": "ana@example.org", "role": role})


def later(work, days):
    return replace(work, clock=Clock(work.clock.stands_on, lambda: work.now() + timedelta(days=days)))


def test_a_new_person_joins_with_an_account_of_their_own(work, team):
    token = invite(work, team)
    new = services.join_as_new(replace(work, actor=NOBODY), token, NEW, "laptop", 30)
    member = next(each for each in team_services.list_members(work, team.farm.id) if each.name == "Ana")
    assert (member.account_id, member.role) == (new.account_id, "agronomist")


def test_somebody_with_an_account_joins_with_it(work, team):
    assert services.join(team.acts(work, "stranger"), invite(work, team)) == team.farm.id
    assert "Stranger" in [member.name for member in team_services.list_members(work, team.farm.id)]


def test_the_link_works_once(work, team):
    token = invite(work, team)
    services.join(team.acts(work, "stranger"), token)
    with pytest.raises(NotFound):
        services.find_invited(work, token)
    with pytest.raises(NotFound):
        services.join_as_new(replace(work, actor=NOBODY), token, NEW, "laptop", 30)


def test_looking_uses_nothing_up(work, team):
    token = invite(work, team)
    for _ in range(3):
        assert services.find_invited(work, token).farm == "Marl Hollow"


def test_the_link_ends_after_a_week(work, team):
    token = invite(work, team)
    assert services.find_invited(later(work, 6.9), token)
    with pytest.raises(NotFound):
        services.find_invited(later(work, 7.1), token)


def test_a_withdrawn_link_is_gone(work, team):
    token = invite(work, team)
    row = services.list_invitations(work, team.farm.id)[0]
    services.withdraw_invitation(team.acts(work, "owner"), team.farm.id, row.id)
    assert services.list_invitations(work, team.farm.id) == ()
    with pytest.raises(NotFound):
        services.find_invited(later(work, 0.001), token)


def test_only_the_hash_is_kept(work, team):
    token = invite(work, team)
    row = work.session.scalars(select(Invitation)).one()
    assert token not in (row.token_hash, row.email) and len(row.token_hash) == 64


def test_a_member_is_told_and_the_link_stays(work, team):
    token = invite(work, team)
    with pytest.raises(Invalid):
        services.join(team.acts(work, "viewer"), token)
    assert services.find_invited(work, token)


def test_an_e_mail_that_is_none_and_a_taken_one_are_refused(work, team):
    with pytest.raises(Invalid):
        services.invite(team.acts(work, "owner"), team.farm.id, {"email": "ana", "role": "crew"})
    with pytest.raises(Invalid) as refused:
        taken = {**NEW, "email": "viewer@example.org"}
        services.join_as_new(replace(work, actor=NOBODY), invite(work, team), taken, "laptop", 30)
    assert "email" in refused.value.fields


def test_only_owners_invite(work, team):
    with pytest.raises(NotAllowed):
        services.invite(team.acts(work, "consultant"), team.farm.id, {"email": "a@b.org", "role": "owner"})
