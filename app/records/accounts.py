"""Tables of people: accounts, memberships, and the links, sessions and tokens they come in by."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from app.records.base import Edited, OfFarm, Row

ROLES = ("owner", "nutritionist", "agronomist", "crew", "consultant", "viewer")
_ROLES = "role in ({})".format(", ".join(f"'{role}'" for role in ROLES))


class Account(Edited, Row):
    """A person, or a named phone of the crew (which has no e-mail and no password)."""

    __tablename__ = "accounts"
    __table_args__ = (
        CheckConstraint("language in ('en', 'es')", name="language"),
        CheckConstraint("units in ('us', 'metric')", name="units"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(80))
    email: Mapped[str | None] = mapped_column(String(254), unique=True)
    password_hash: Mapped[str | None] = mapped_column(String(255))
    language: Mapped[str] = mapped_column(String(2), default="en", server_default="en")
    units: Mapped[str] = mapped_column(String(6), default="us", server_default="us")
    created_at: Mapped[datetime]
    closed_at: Mapped[datetime | None]


class Membership(OfFarm, Row):
    """A person's role on a farm."""

    __tablename__ = "memberships"
    __table_args__ = (
        CheckConstraint(_ROLES, name="role"),
        Index("uq_memberships_farm_account", "farm_id", "account_id", unique=True),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    role: Mapped[str] = mapped_column(String(16))
    created_at: Mapped[datetime]


class Invitation(OfFarm, Row):
    """A single-use link that makes a person a member of a farm."""

    __tablename__ = "invitations"
    __table_args__ = (CheckConstraint(_ROLES, name="role"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    email: Mapped[str] = mapped_column(String(254))
    role: Mapped[str] = mapped_column(String(16))
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    invited_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]


class SetupLink(Row):
    """The one-time link by which the first owner of an empty database comes in."""

    __tablename__ = "setup_links"
    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    created_at: Mapped[datetime]
    used_at: Mapped[datetime | None]


class CrewLink(OfFarm, Row):
    """The opaque code behind a crew QR; whoever scans it names a phone and gets a session of this farm."""

    __tablename__ = "crew_links"
    id: Mapped[int] = mapped_column(primary_key=True)
    code_hash: Mapped[str] = mapped_column(String(64), unique=True)
    created_by: Mapped[int | None] = mapped_column(ForeignKey("accounts.id"))
    created_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    revoked_at: Mapped[datetime | None]


class SignIn(Row):
    """A browser that is signed in: the cookie's SHA-256. With `farm_id` it is a crew phone kept to one farm."""

    __tablename__ = "sign_ins"
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    farm_id: Mapped[int | None] = mapped_column(ForeignKey("farms.id", ondelete="CASCADE"), index=True)
    crew_link_id: Mapped[int | None] = mapped_column(ForeignKey("crew_links.id", ondelete="SET NULL"))
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    device: Mapped[str] = mapped_column(String(80), default="", server_default="")
    created_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    expires_at: Mapped[datetime]
    revoked_at: Mapped[datetime | None]


class ApiToken(Row):
    """A token for the JSON API; it may do what its account may do."""

    __tablename__ = "api_tokens"
    id: Mapped[int] = mapped_column(primary_key=True)
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    name: Mapped[str] = mapped_column(String(80))
    token_hash: Mapped[str] = mapped_column(String(64), unique=True)
    created_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]


class FailedAttempt(Row):
    """A failed sign-in, kept for the limit on attempts."""

    __tablename__ = "failed_attempts"
    id: Mapped[int] = mapped_column(primary_key=True)
    who: Mapped[str] = mapped_column(String(254), index=True)
    at: Mapped[datetime] = mapped_column(index=True)
