"""Members of a farm: roles, removal and its undoing, leaving."""

import pytest
from sqlalchemy import select

from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.records.accounts import ROLES, Membership
from app.records.history import Change
from app.services import team as services


def membership(work, team, role):
    wanted = select(Membership).where(Membership.farm_id == team.farm.id, Membership.account_id == team.people[role].id)
    return work.session.scalars(wanted).one()


def roles(work, team):
    return {member.name: member.role for member in services.list_members(work, team.farm.id)}


def last_change(work, team):
    return work.session.scalars(
        select(Change).where(Change.farm_id == team.farm.id).order_by(Change.seq.desc())
    ).first()


def test_every_role_of_the_tables_has_its_words():
    assert set(services.ROLES) == set(services.ROLE_SAYS) == set(ROLES)


def test_an_owner_gives_another_role_and_history_says_so(work, team):
    owner = team.acts(work, "owner")
    services.change_role(owner, team.farm.id, membership(work, team, "viewer").id, "agronomist")
    assert roles(work, team)["Viewer"] == "agronomist"
    change = last_change(work, team)
    assert (change.by, change.name, change.fields) == ("Owner", "Viewer", {"role": ["viewer", "agronomist"]})


def test_the_new_role_holds_at_once(work, team):
    services.change_role(team.acts(work, "owner"), team.farm.id, membership(work, team, "viewer").id, "owner")
    services.remove_member(team.acts(work, "viewer"), team.farm.id, membership(work, team, "crew").id)
    assert "Crew" not in roles(work, team)


@pytest.mark.parametrize("role", ["consultant", "nutritionist", "agronomist", "crew", "viewer"])
def test_nobody_else_changes_roles(work, team, role):
    with pytest.raises(NotAllowed):
        services.change_role(team.acts(work, role), team.farm.id, membership(work, team, "viewer").id, "owner")


def test_members_of_another_farm_are_not_found(work, team):
    foreign = work.session.scalars(select(Membership).where(Membership.farm_id == team.other.id)).one()
    for act in (services.remove_member, services.restore_member):
        with pytest.raises(NotFound):
            act(team.acts(work, "owner"), team.farm.id, foreign.id)


def test_the_last_owner_stays(work, team):
    owner, own = team.acts(work, "owner"), membership(work, team, "owner")
    for act in (
        lambda: services.remove_member(owner, team.farm.id, own.id),
        lambda: services.change_role(owner, team.farm.id, own.id, "viewer"),
        lambda: services.leave_farm(owner, team.farm.id),
        lambda: services.check_not_needed(work, team.people["owner"].id),
    ):
        with pytest.raises(Invalid):
            act()
    assert roles(work, team)["Owner"] == "owner"


def test_one_of_two_owners_may_leave(work, team):
    services.change_role(team.acts(work, "owner"), team.farm.id, membership(work, team, "viewer").id, "owner")
    services.leave_farm(team.acts(work, "owner"), team.farm.id)
    assert "Owner" not in roles(work, team)
    services.check_not_needed(work, team.people["owner"].id)


def test_a_removed_member_is_brought_back_in_the_same_role(work, team):
    owner, gone = team.acts(work, "owner"), membership(work, team, "agronomist").id
    services.remove_member(owner, team.farm.id, gone)
    assert "Agronomist" not in roles(work, team)
    services.restore_member(owner, team.farm.id, gone)
    services.restore_member(owner, team.farm.id, gone)
    assert roles(work, team)["Agronomist"] == "agronomist"


def test_somebody_who_left_cannot_be_pulled_back(work, team):
    gone = membership(work, team, "agronomist").id
    services.leave_farm(team.acts(work, "agronomist"), team.farm.id)
    with pytest.raises(NotFound):
        services.restore_member(team.acts(work, "owner"), team.farm.id, gone)


def test_two_owners_who_change_one_role_see_both_values(work, team):
    viewer = membership(work, team, "viewer").id
    services.change_role(team.acts(work, "owner"), team.farm.id, viewer, "agronomist", was="viewer")
    with pytest.raises(Conflict) as both:
        services.change_role(team.acts(work, "owner"), team.farm.id, viewer, "crew", was="viewer")
    assert both.value.fields == {"role": ("agronomist", "crew")}


def test_an_invented_role_is_refused(work, team):
    with pytest.raises(Invalid):
        services.change_role(team.acts(work, "owner"), team.farm.id, membership(work, team, "viewer").id, "king")


def test_owners_are_listed_first_and_the_only_one_is_marked(work, team):
    members = services.list_members(work, team.farm.id)
    assert members[0].role == "owner" and members[0].is_only_owner
    assert [member.is_only_owner for member in members[1:]] == [False] * 5


def test_people_are_listed_with_their_farms(work, team):
    assert (team.people["stranger"], [("Alder Flats", "owner")]) in services.list_people(work)
