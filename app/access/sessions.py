"""Secrets: tokens in cookies and links (their SHA-256 in the database) and passwords (argon2id)."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.access.work import NOBODY, Actor
from app.records.accounts import Account, ApiToken, FailedAttempt, Membership, SignIn

_HASHER = PasswordHasher(time_cost=2, memory_cost=19456, parallelism=1)
_NO_ONE = _HASHER.hash("nobody has this password")
ATTEMPTS_MOST = 8
ATTEMPTS_WITHIN = timedelta(minutes=15)


def new_token() -> str:
    """An opaque token of 43 characters."""
    return secrets.token_urlsafe(32)


def token_hash(token: str) -> str:
    """What the database keeps of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def password_hash(password: str) -> str:
    return _HASHER.hash(password)


def is_password(stored: str | None, password: str) -> bool:
    """Whether the password fits; takes the same time when there is no such account."""
    try:
        return _HASHER.verify(stored or _NO_ONE, password) and stored is not None
    except VerificationError:
        return False


def has_too_many_attempts(session: Session, who: str, now: datetime) -> bool:
    """Whether that name or address has failed too often lately."""
    recent = select(func.count()).where(FailedAttempt.who == who, FailedAttempt.at > now - ATTEMPTS_WITHIN)
    return (session.scalar(recent) or 0) >= ATTEMPTS_MOST


def actor_of(session: Session, account: Account, sign_in: SignIn | None = None) -> Actor:
    """The account as an actor, with its roles."""
    rows = session.execute(select(Membership.farm_id, Membership.role).where(Membership.account_id == account.id))
    return Actor(
        account_id=account.id,
        name=account.name,
        email=account.email,
        language=account.language,
        units=account.units,  # type: ignore[arg-type]
        roles={row.farm_id: row.role for row in rows},
        sign_in_id=sign_in.id if sign_in else None,
        only_farm_id=sign_in.farm_id if sign_in else None,
        seen_at=sign_in.seen_at if sign_in else None,
    )


def actor_by_cookie(session: Session, token: str | None, now: datetime) -> Actor:
    """Who this browser is, or NOBODY: unknown, ended, revoked and closed ones alike."""
    if not token:
        return NOBODY
    found = session.execute(
        select(SignIn, Account)
        .join(Account, Account.id == SignIn.account_id)
        .where(
            SignIn.token_hash == token_hash(token),
            SignIn.revoked_at.is_(None),
            SignIn.expires_at > now,
            Account.closed_at.is_(None),
        )
    ).first()
    return actor_of(session, found[1], found[0]) if found else NOBODY


def actor_by_api_token(session: Session, token: str, now: datetime) -> Actor:
    """The account behind an API token, or NOBODY."""
    found = session.execute(
        select(ApiToken, Account)
        .join(Account, Account.id == ApiToken.account_id)
        .where(ApiToken.token_hash == token_hash(token), ApiToken.revoked_at.is_(None), Account.closed_at.is_(None))
    ).first()
    return actor_of(session, found[1]) if found else NOBODY
