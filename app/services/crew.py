"""Phones of the crew: a code to scan, a name for the phone, and a sign-in kept to one farm."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from sqlalchemy import select

from app.access import sessions
from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, NotFound
from app.events.history import note
from app.records.accounts import Account, CrewLink, SignIn
from app.records.farms import Farm
from app.services import accounts, team
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

USUAL_DAYS = "150"
LINK_SHAPE = Shape(
    "crew",
    (
        Column(
            "days",
            "Code and phones hold for",
            "choice",
            required=True,
            choices=(("7", "a week"), ("30", "a month"), ("150", "the season (150 days)")),
        ),
    ),
)
PHONE_SHAPE = Shape(
    "crew",
    (
        Column(
            "name",
            "Name of this phone",
            required=True,
            longest=80,
            hint="Your name, or what the phone is for. It stands beside what you tick.",
            example="Rosa, packing tractor",
        ),
    ),
)


@dataclass(frozen=True)
class Link:
    """A crew code that still works."""

    id: int
    created_at: datetime
    expires_at: datetime


@dataclass(frozen=True)
class Phone:
    """A phone that came in by a crew code."""

    id: int
    name: str
    device: str
    since: datetime
    seen_at: datetime
    expires_at: datetime


def make_link(work: Work, farm_id: int, days: int) -> str:
    """A new code, given back once; the database keeps only its hash."""
    access_farm(work, farm_id, Permission.TEAM_EDIT)
    code = sessions.new_token()
    row = CrewLink(
        farm_id=farm_id,
        code_hash=sessions.token_hash(code),
        created_by=work.actor.account_id,
        created_at=work.now(),
        expires_at=work.now() + timedelta(days=days),
    )
    work.session.add(row)
    work.session.flush()
    note(work, farm_id, "add", "crew codes", row.id, fields={"days": (None, days)}, parts=team.PARTS)
    return code


def list_links(work: Work, farm_id: int) -> tuple[Link, ...]:
    access_farm(work, farm_id, Permission.TEAM_VIEW)
    rows = work.session.scalars(
        select(CrewLink).where(CrewLink.farm_id == farm_id, *_holds(work)).order_by(CrewLink.id)
    )
    return tuple(Link(row.id, row.created_at, row.expires_at) for row in rows)


def _holds(work: Work) -> tuple:
    return CrewLink.revoked_at.is_(None), CrewLink.expires_at > work.now()


def revoke_link(work: Work, farm_id: int, link_id: int) -> None:
    """No more phones come in by this code; those already in stay until they are signed out."""
    row = access_row(work, CrewLink, farm_id, link_id, Permission.TEAM_EDIT)
    if row.revoked_at is None:
        row.revoked_at = work.now()
        note(work, farm_id, "remove", "crew codes", row.id, parts=team.PARTS)


def find_farm_name(work: Work, code: str) -> str:
    """The farm a code leads to; ended and invented codes are not found."""
    return work.session.get_one(Farm, _find(work, code).farm_id).name


def _find(work: Work, code: str) -> CrewLink:
    row = work.session.scalar(select(CrewLink).where(CrewLink.code_hash == sessions.token_hash(code), *_holds(work)))
    if row is None:
        raise NotFound("crew code")
    return row


def come_in(work: Work, code: str, name: str, device: str, language: str) -> tuple[accounts.NewSignIn, int]:
    """Name the phone and sign it in to this farm only, for as long as the code holds. Gives the farm as well."""
    link = _find(work, code)
    taken = {member.casefold() for member in _names(work, link.farm_id)}
    if name.strip().casefold() in taken:
        why = "Somebody here is called {got} already. Add what you do, such as {example}."
        raise Invalid({"name": Sentence(why, got=f"“{name}”", example=f"{name}, mower")})
    person = Account(name=name.strip(), language=language, created_at=work.now())
    work.session.add(person)
    work.session.flush()
    days = ceil((link.expires_at - work.now()) / timedelta(days=1))
    new = accounts.start_sign_in(work, person, device, days, link.farm_id, link.id)
    work.actor = sessions.actor_of(work.session, person)
    team.join_farm(work, link.farm_id, person, "crew")
    return new, link.farm_id


def _names(work: Work, farm_id: int) -> list[str]:
    wanted = select(Account.name).join(team.Membership, team.Membership.account_id == Account.id)
    return list(work.session.scalars(wanted.where(team.Membership.farm_id == farm_id)))


def list_phones(work: Work, farm_id: int) -> tuple[Phone, ...]:
    """Phones that are signed in to this farm, last seen first."""
    access_farm(work, farm_id, Permission.TEAM_VIEW)
    wanted = (
        select(SignIn, Account.name)
        .join(Account, Account.id == SignIn.account_id)
        .where(SignIn.farm_id == farm_id, SignIn.revoked_at.is_(None), SignIn.expires_at > work.now())
        .order_by(SignIn.seen_at.desc(), SignIn.id)
    )
    return tuple(
        Phone(row.id, name, row.device, row.created_at, row.seen_at, row.expires_at)
        for row, name in work.session.execute(wanted)
    )


def sign_phone_out(work: Work, farm_id: int, phone_id: int) -> None:
    """A lost or returned phone: its sign-in ends at once."""
    access_farm(work, farm_id, Permission.TEAM_EDIT)
    row = work.session.get(SignIn, phone_id)
    if row is None or row.farm_id != farm_id:
        raise NotFound("phone")
    if row.revoked_at is None:
        row.revoked_at = work.now()
        name = work.session.get_one(Account, row.account_id).name
        note(work, farm_id, "sign out", "phones", row.id, name=name, parts=team.PARTS)
