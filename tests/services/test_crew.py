"""Crew codes and the phones that come in by them."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.access.sessions import actor_by_cookie
from app.access.work import NOBODY, Clock
from app.errors import Invalid, NotAllowed, NotFound
from app.records.accounts import CrewLink
from app.services import crew as services
from app.services import team as team_services


def code_of(work, team, days=7):
    return services.make_link(team.acts(work, "owner"), team.farm.id, days)


def come_in(work, code, name="Rosa"):
    return services.come_in(replace(work, actor=NOBODY), code, name, "phone", "es")[0]


def later(work, days):
    return replace(work, clock=Clock(work.clock.stands_on, lambda: work.now() + timedelta(days=days)))


def test_a_phone_comes_in_as_crew_of_that_farm_only(work, team):
    new = come_in(work, code_of(work, team))
    actor = actor_by_cookie(work.session, new.token, work.now())
    assert (actor.name, actor.language, actor.only_farm_id) == ("Rosa", "es", team.farm.id)
    assert actor.role_on(team.farm.id) == "crew" and actor.role_on(team.other.id) is None


def test_a_code_lets_several_phones_in_each_with_its_own_name(work, team):
    code = code_of(work, team)
    come_in(work, code), come_in(work, code, "Tom")
    with pytest.raises(Invalid):
        come_in(work, code, "rosa")
    assert {phone.name for phone in services.list_phones(work, team.farm.id)} == {"Rosa", "Tom"}


def test_code_and_phones_end_together(work, team):
    code = code_of(work, team, 7)
    new = come_in(work, code)
    with pytest.raises(NotFound):
        services.find_farm_name(later(work, 7.1), code)
    assert actor_by_cookie(work.session, new.token, work.now() + timedelta(days=6.9)) is not NOBODY
    assert actor_by_cookie(work.session, new.token, work.now() + timedelta(days=8.1)) is NOBODY


def test_an_ended_code_lets_no_more_in_but_leaves_those_who_are(work, team):
    code = code_of(work, team)
    new = come_in(work, code)
    services.revoke_link(team.acts(work, "owner"), team.farm.id, services.list_links(work, team.farm.id)[0].id)
    with pytest.raises(NotFound):
        come_in(work, code, "Tom")
    assert actor_by_cookie(work.session, new.token, work.now()).name == "Rosa"


def test_a_lost_phone_is_signed_out_at_once(work, team):
    new = come_in(work, code_of(work, team))
    phone = services.list_phones(work, team.farm.id)[0]
    services.sign_phone_out(team.acts(work, "owner"), team.farm.id, phone.id)
    assert actor_by_cookie(work.session, new.token, work.now()) is NOBODY
    assert services.list_phones(work, team.farm.id) == ()


def test_removing_the_member_signs_the_phone_out(work, team):
    new = come_in(work, code_of(work, team))
    member = next(each for each in team_services.list_members(work, team.farm.id) if each.name == "Rosa")
    team_services.remove_member(team.acts(work, "owner"), team.farm.id, member.id)
    assert actor_by_cookie(work.session, new.token, work.now()) is NOBODY


def test_a_crew_phone_stays_crew(work, team):
    come_in(work, code_of(work, team))
    member = next(each for each in team_services.list_members(work, team.farm.id) if each.name == "Rosa")
    with pytest.raises(Invalid):
        team_services.change_role(team.acts(work, "owner"), team.farm.id, member.id, "owner")


def test_phones_and_codes_of_another_farm_are_not_found(work, team):
    come_in(work, code_of(work, team))
    phone, link = services.list_phones(work, team.farm.id)[0], services.list_links(work, team.farm.id)[0]
    stranger = team.acts(work, "stranger")
    with pytest.raises(NotFound):
        services.sign_phone_out(stranger, team.other.id, phone.id)
    with pytest.raises(NotFound):
        services.revoke_link(stranger, team.other.id, link.id)


def test_only_the_hash_of_a_code_is_kept_and_only_owners_make_one(work, team):
    code = code_of(work, team)
    assert work.session.scalars(select(CrewLink.code_hash)).one() != code
    with pytest.raises(NotAllowed):
        services.make_link(team.acts(work, "consultant"), team.farm.id, 7)
