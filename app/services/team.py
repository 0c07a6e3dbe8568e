"""Who belongs to a farm, in which role: change it, end it, bring it back, leave."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, NotFound
from app.events.edits import apply_edit
from app.events.history import note
from app.records.accounts import Account, Membership, SignIn
from app.records.farms import Farm
from app.records.history import Change
from app.services.accounts import end_sign_ins
from app.units.sentences import Sentence

ROLES: dict[str, Sentence] = {
    "owner": Sentence("Owner"),
    "nutritionist": Sentence("Nutritionist"),
    "agronomist": Sentence("Agronomist"),
    "consultant": Sentence("Consultant"),
    "crew": Sentence("Crew"),
    "viewer": Sentence("Viewer"),
}
ROLE_SAYS: dict[str, Sentence] = {
    "owner": Sentence("does everything, and decides who belongs to the farm"),
    "nutritionist": Sentence("feed, lab results and herd"),
    "agronomist": Sentence("fields, scouting and weather"),
    "consultant": Sentence("everything but the team"),
    "crew": Sentence("ticks the checklist, logs feed and scouting"),
    "viewer": Sentence("looks only"),
}
PARTS = ("team-members", "team-phones")


@dataclass(frozen=True)
class Member:
    """One person of the farm as the Team page lists them."""

    id: int
    account_id: int
    name: str
    email: str | None
    role: str
    since: datetime
    seen_at: datetime | None
    is_only_owner: bool


def check_may_edit(work: Work, farm_id: int) -> None:
    """Refuse whoever may not change the team before what they typed is looked at."""
    access_farm(work, farm_id, Permission.TEAM_EDIT)


def list_members(work: Work, farm_id: int) -> tuple[Member, ...]:
    """Everyone of the farm, owners first, with when they last looked (at any farm of theirs)."""
    access_farm(work, farm_id, Permission.TEAM_VIEW)
    seen = select(SignIn.account_id, func.max(SignIn.seen_at).label("at")).group_by(SignIn.account_id).subquery()
    wanted = (
        select(Membership, Account, seen.c.at)
        .join(Account, Account.id == Membership.account_id)
        .outerjoin(seen, seen.c.account_id == Account.id)
        .where(Membership.farm_id == farm_id)
    )
    rows = work.session.execute(wanted).all()
    owners = sum(membership.role == "owner" for membership, *_ in rows)
    members = [
        Member(
            membership.id,
            person.id,
            person.name,
            person.email,
            membership.role,
            membership.created_at,
            seen_at,
            membership.role == "owner" and owners == 1,
        )
        for membership, person, seen_at in rows
    ]
    return tuple(sorted(members, key=lambda member: (list(ROLES).index(member.role), member.name.casefold())))


def change_role(work: Work, farm_id: int, membership_id: int, role: str, was: str | None = None) -> None:
    """Give a member another role. The farm keeps at least one owner."""
    membership = access_row(work, Membership, farm_id, membership_id, Permission.TEAM_EDIT)
    if role not in ROLES:
        raise Invalid({"role": Sentence("{got} is not a role. Roles: {known}.", got=role, known=", ".join(ROLES))})
    if role != "owner":
        _keep_an_owner(work, membership)
    person = _person(work, membership)
    if person.email is None and role != "crew":
        raise Invalid({"role": Sentence("A crew phone stays crew: it has no e-mail and no password.")})
    apply_edit(
        work, membership, {"role": role}, {"role": was} if was else None, noun="members", name=person.name, parts=PARTS
    )


def remove_member(work: Work, farm_id: int, membership_id: int) -> bool:
    """End a membership from the next click on; `restore_member` undoes it. Whether it was one's own."""
    membership = access_row(work, Membership, farm_id, membership_id, Permission.TEAM_EDIT)
    _end(work, membership, "remove")
    return membership.account_id == work.actor.account_id


def leave_farm(work: Work, farm_id: int) -> None:
    """End one's own membership."""
    access_farm(work, farm_id)
    own = select(Membership).where(Membership.farm_id == farm_id, Membership.account_id == work.actor.account_id)
    membership = work.session.scalar(own)
    if membership is None:
        raise NotFound("membership")
    _end(work, membership, "leave")


def _end(work: Work, membership: Membership, verb: str) -> None:
    _keep_an_owner(work, membership)
    person = _person(work, membership)
    fields = {"role": (membership.role, None), "account_id": (membership.account_id, None)}
    note(work, membership.farm_id, verb, "members", membership.id, name=person.name, fields=fields, parts=PARTS)
    end_sign_ins(work, membership.account_id, membership.farm_id)
    work.session.delete(membership)
    work.session.flush()


def restore_member(work: Work, farm_id: int, membership_id: int) -> None:
    """Bring back somebody who was removed from this farm, in the role they had. Phones must scan the code again."""
    access_farm(work, farm_id, Permission.TEAM_EDIT)
    person, role = _removed(work, farm_id, membership_id)
    taken = select(Membership.id).where(Membership.farm_id == farm_id, Membership.account_id == person.id)
    if work.session.scalar(taken) is None:
        join_farm(work, farm_id, person, role, verb="restore")


def removed_name(work: Work, farm_id: int, membership_id: int) -> str:
    """Who was removed, for the line that offers to undo it."""
    return _removed(work, farm_id, membership_id)[0].name


def _removed(work: Work, farm_id: int, membership_id: int) -> tuple[Account, str]:
    wanted = select(Change).where(
        Change.farm_id == farm_id, Change.noun == "members", Change.verb == "remove", Change.row_id == membership_id
    )
    change = work.session.scalar(wanted.order_by(Change.seq.desc()).limit(1))
    person = work.session.get(Account, change.fields["account_id"][0]) if change else None
    if change is None or person is None or person.closed_at is not None:
        raise NotFound("membership")
    return person, change.fields["role"][0]


def join_farm(work: Work, farm_id: int, person: Account, role: str, verb: str = "add") -> Membership:
    """Make the person a member. The caller has checked the right to do so: an invitation, a crew code, an owner."""
    membership = Membership(farm_id=farm_id, account_id=person.id, role=role, created_at=work.now())
    work.session.add(membership)
    work.session.flush()
    note(work, farm_id, verb, "members", membership.id, name=person.name, fields={"role": (None, role)}, parts=PARTS)
    return membership


def _person(work: Work, membership: Membership) -> Account:
    return work.session.get_one(Account, membership.account_id)


def _keep_an_owner(work: Work, membership: Membership) -> None:
    if membership.role == "owner" and _owners_count(work, membership.farm_id) == 1:
        raise Invalid({"role": Sentence("A farm needs an owner. Make somebody else an owner first.")})


def _owners_count(work: Work, farm_id: int) -> int:
    wanted = select(func.count()).where(Membership.farm_id == farm_id, Membership.role == "owner")
    return work.session.scalar(wanted) or 0


def check_not_needed(work: Work, account_id: int) -> None:
    """Refuse to close the account of a farm's only owner."""
    owned = select(Farm).join(Membership, Membership.farm_id == Farm.id)
    for farm in work.session.scalars(owned.where(Membership.account_id == account_id, Membership.role == "owner")):
        if _owners_count(work, farm.id) == 1:
            why = "This is the only owner of {farm}. Make somebody else an owner first."
            raise Invalid({"email": Sentence(why, farm=farm.name)})


def list_people(work: Work) -> list[tuple[Account, list[tuple[str, str]]]]:
    """Every open account with its (farm, role) pairs, for the command line and the demo's one-click people."""
    wanted = (
        select(Account, Farm.name, Membership.role)
        .outerjoin(Membership, Membership.account_id == Account.id)
        .outerjoin(Farm, Farm.id == Membership.farm_id)
        .where(Account.closed_at.is_(None))
        .order_by(Account.id, Farm.id)
    )
    people: dict[int, tuple[Account, list[tuple[str, str]]]] = {}
    for person, farm, role in work.session.execute(wanted):
        people.setdefault(person.id, (person, []))[1].extend([(farm, role)] if farm else [])
    return list(people.values())
