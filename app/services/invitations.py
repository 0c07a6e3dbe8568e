"""Links by which one person joins a farm: made by an owner, used once, ended by time or by hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select

from app.access import sessions
from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, NotFound
from app.events.history import note
from app.records.accounts import Account, Invitation, Membership
from app.records.farms import Farm
from app.services import accounts, team
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

INVITATION_D = 7
INVITATION_SHAPE = Shape(
    "invitations",
    (
        Column("email", "E-mail", "email", required=True, longest=254, example="ana@example.org"),
        Column(
            "role",
            "Role",
            "choice",
            required=True,
            choices=tuple((role, words.text) for role, words in team.ROLES.items()),
        ),
    ),
)


@dataclass(frozen=True)
class Open:
    """An invitation nobody has used yet, as the Team page lists it."""

    id: int
    email: str
    role: str
    expires_at: datetime


@dataclass(frozen=True)
class Invited:
    """What the person who opens the link sees."""

    farm_id: int
    farm: str
    role: str
    email: str
    by: str
    is_member: bool


def invite(work: Work, farm_id: int, values: dict[str, Any]) -> str:
    """A new link, given back once; the database keeps only its hash."""
    access_farm(work, farm_id, Permission.TEAM_EDIT)
    email = values["email"].strip().lower()
    accounts.check_email(email)
    token = sessions.new_token()
    row = Invitation(
        farm_id=farm_id,
        email=email,
        role=values["role"],
        token_hash=sessions.token_hash(token),
        invited_by=work.actor.account_id,
        created_at=work.now(),
        expires_at=work.now() + timedelta(days=INVITATION_D),
    )
    work.session.add(row)
    work.session.flush()
    note(work, farm_id, "add", "invitations", row.id, name=email, fields={"role": (None, row.role)}, parts=team.PARTS)
    return token


def list_invitations(work: Work, farm_id: int) -> tuple[Open, ...]:
    access_farm(work, farm_id, Permission.TEAM_VIEW)
    wanted = select(Invitation).where(
        Invitation.farm_id == farm_id, Invitation.used_at.is_(None), Invitation.expires_at > work.now()
    )
    rows = work.session.scalars(wanted.order_by(Invitation.id))
    return tuple(Open(row.id, row.email, row.role, row.expires_at) for row in rows)


def withdraw_invitation(work: Work, farm_id: int, invitation_id: int) -> None:
    """End an invitation that was not used yet."""
    row = access_row(work, Invitation, farm_id, invitation_id, Permission.TEAM_EDIT)
    if row.used_at is None and row.expires_at > work.now():
        row.expires_at = work.now()
        note(work, farm_id, "remove", "invitations", row.id, name=row.email, parts=team.PARTS)


def find_invited(work: Work, token: str) -> Invited:
    """What the link stands for; used, ended and invented ones are all not found."""
    row = _find(work, token)
    farm = work.session.get_one(Farm, row.farm_id)
    by = work.session.get(Account, row.invited_by) if row.invited_by else None
    is_member = farm.id in work.actor.roles
    return Invited(farm.id, farm.name, row.role, row.email, by.name if by else "Swathboard", is_member)


def _find(work: Work, token: str) -> Invitation:
    wanted = select(Invitation).where(
        Invitation.token_hash == sessions.token_hash(token),
        Invitation.used_at.is_(None),
        Invitation.expires_at > work.now(),
    )
    row = work.session.scalar(wanted)
    if row is None:
        raise NotFound("invitation")
    return row


def join(work: Work, token: str) -> int:
    """The signed-in person joins the farm; the link is used up. Gives the farm."""
    row = _find(work, token)
    person = accounts.own_account(work)
    if work.actor.only_farm_id is not None or person.email is None:
        raise Invalid({"email": Sentence("A crew phone cannot use an invitation. Make an account of your own.")})
    return _use(work, row, person)


def join_as_new(work: Work, token: str, values: dict[str, Any], device: str, days: int) -> accounts.NewSignIn:
    """Make an account, join the farm with it and sign in; the link is used up."""
    row = _find(work, token)
    person = accounts.add_account(work, **values)
    new = accounts.start_sign_in(work, person, device, days)
    work.actor = sessions.actor_of(work.session, person)
    _use(work, row, person)
    return new


def _use(work: Work, row: Invitation, person: Account) -> int:
    taken = select(Membership.id).where(Membership.farm_id == row.farm_id, Membership.account_id == person.id)
    if work.session.scalar(taken) is not None:
        raise Invalid({"email": Sentence("You belong to this farm already; the link stays unused.")})
    row.used_at = work.now()
    team.join_farm(work, row.farm_id, person, row.role)
    return row.farm_id
