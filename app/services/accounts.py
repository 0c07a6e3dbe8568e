"""What people do with their own account: set up, sign in and out, choose language, units and password."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from sqlalchemy import func, select

from app.access import sessions
from app.access.work import Actor, Work
from app.errors import Invalid, NotAllowed, NotFound, TooMany
from app.records.accounts import Account, ApiToken, FailedAttempt, SetupLink, SignIn
from app.services.sendings import forget_old_sendings
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

SIGN_IN_SHAPE = Shape(
    "accounts",
    (
        Column("email", "E-mail", "email", required=True, longest=254, example="ana@example.org"),
        Column("password", "Password", "secret", required=True, longest=200),
    ),
)
ACCOUNT_SHAPE = Shape(
    "accounts",
    (
        Column("name", "Your name", required=True, longest=80, example="Ana"),
        Column("email", "E-mail", "email", required=True, longest=254, example="ana@example.org"),
        Column("password", "Password", "secret", required=True, longest=200, hint="At least ten characters."),
    ),
)
LANGUAGES = (("en", "English"), ("es", "Español"))
UNITS = (("us", "US units"), ("metric", "metric units"))
PASSWORD_SHORTEST = 10


@dataclass(frozen=True)
class NewSignIn:
    """A fresh sign-in: the token for the cookie (never stored) and until when it holds."""

    token: str
    days: int
    account_id: int


def is_empty(work: Work) -> bool:
    """Whether nobody has an account yet."""
    return work.session.scalar(select(func.count()).select_from(Account)) == 0


def make_setup_link(work: Work) -> str:
    """A new one-time token for the first owner; earlier ones stop working."""
    for row in work.session.scalars(select(SetupLink).where(SetupLink.used_at.is_(None))):
        row.used_at = work.now()
    token = sessions.new_token()
    work.session.add(SetupLink(token_hash=sessions.token_hash(token), created_at=work.now()))
    return token


def find_setup_link(work: Work, token: str) -> SetupLink:
    wanted = select(SetupLink).where(SetupLink.token_hash == sessions.token_hash(token), SetupLink.used_at.is_(None))
    link = work.session.scalar(wanted)
    if link is None:
        raise NotFound("setup link")
    return link


def use_setup_link(work: Work, token: str, values: dict[str, Any], device: str, days: int) -> NewSignIn:
    """Make the first account and sign it in; the link is used up."""
    find_setup_link(work, token).used_at = work.now()
    account = add_account(work, **values)
    return start_sign_in(work, account, device, days)


def add_account(
    work: Work, name: str, email: str, password: str | None, language: str = "en", units: str = "us"
) -> Account:
    """A new person. The e-mail must be new and look like one; the password must be long enough."""
    email = email.strip().lower()
    errors: dict[str, Sentence] = {}
    if not is_email(email):
        errors["email"] = _not_an_email(email)
    elif work.session.scalar(select(Account.id).where(Account.email == email)) is not None:
        errors["email"] = Sentence("There is an account with that e-mail already. Sign in with it.")
    if password is not None and len(password) < PASSWORD_SHORTEST:
        errors["password"] = Sentence(
            "The password has {got} characters; please use at least {least}.",
            got=len(password),
            least=PASSWORD_SHORTEST,
        )
    if errors:
        raise Invalid(errors)
    account = Account(
        name=name,
        email=email,
        language=language,
        units=units,
        created_at=work.now(),
        password_hash=sessions.password_hash(password) if password is not None else None,
    )
    work.session.add(account)
    work.session.flush()
    return account


def is_email(text: str) -> bool:
    return text.count("@") == 1 and "." in text.split("@")[1] and " " not in text


def check_email(text: str) -> None:
    if not is_email(text):
        raise Invalid({"email": _not_an_email(text)})


def _not_an_email(text: str) -> Sentence:
    return Sentence("{got} is not an e-mail address, such as {example}.", got=f"“{text}”", example="ana@example.org")


def start_sign_in(
    work: Work, account: Account, device: str, days: int, farm_id: int | None = None, crew_link_id: int | None = None
) -> NewSignIn:
    """A new sign-in for the account; the old cookie of that browser is not reused."""
    forget_old_sendings(work)
    token = sessions.new_token()
    work.session.add(
        SignIn(
            account_id=account.id,
            farm_id=farm_id,
            crew_link_id=crew_link_id,
            token_hash=sessions.token_hash(token),
            device=device[:80],
            created_at=work.now(),
            seen_at=work.now(),
            expires_at=work.now() + timedelta(days=days),
        )
    )
    work.session.flush()
    return NewSignIn(token, days, account.id)


def sign_in(work: Work, email: str, password: str, address: str, device: str, days: int) -> NewSignIn | None:
    """Sign in with a password. None when e-mail and password do not fit (the attempt is counted)."""
    email = email.strip().lower()
    for who in (email, address):
        if sessions.has_too_many_attempts(work.session, who, work.now()):
            raise TooMany()
    account = work.session.scalar(select(Account).where(Account.email == email, Account.closed_at.is_(None)))
    if not sessions.is_password(account.password_hash if account else None, password) or account is None:
        work.session.add_all(FailedAttempt(who=who, at=work.now()) for who in (email, address))
        return None
    return start_sign_in(work, account, device, days)


def sign_in_as(work: Work, account_id: int, device: str, days: int) -> NewSignIn:
    """One-click people of the demo; the web layer offers it in demo mode only."""
    account = work.session.get(Account, account_id)
    if account is None or account.closed_at is not None:
        raise NotFound("account")
    return start_sign_in(work, account, device, days)


def sign_out(work: Work) -> None:
    row = work.session.get(SignIn, work.actor.sign_in_id) if work.actor.sign_in_id else None
    if row is not None:
        row.revoked_at = work.now()


def own_account(work: Work) -> Account:
    account = work.session.get(Account, work.actor.account_id) if work.actor.account_id else None
    if account is None:
        raise NotFound("account")
    return account


def whole_account(work: Work) -> Account:
    """The account of somebody who may start things of their own, which a crew phone kept to one farm may not."""
    account = own_account(work)
    if work.actor.only_farm_id is not None or account.email is None:
        raise NotAllowed("a crew phone")
    return account


def choose(work: Work, language: str | None = None, units: str | None = None) -> None:
    """The person's language and units; what is stored about farms does not change."""
    account = own_account(work)
    if language in dict(LANGUAGES):
        account.language = language
    if units in dict(UNITS):
        account.units = units


def change_password(work: Work, old: str, new: str) -> None:
    """A new password; every other browser of this person is signed out."""
    account = own_account(work)
    if not sessions.is_password(account.password_hash, old):
        raise Invalid({"old": Sentence("That is not your present password.")})
    if len(new) < PASSWORD_SHORTEST:
        raise Invalid(
            {
                "new": Sentence(
                    "The password has {got} characters; please use at least {least}.",
                    got=len(new),
                    least=PASSWORD_SHORTEST,
                )
            }
        )
    account.password_hash = sessions.password_hash(new)
    for row in work.session.scalars(select(SignIn).where(SignIn.account_id == account.id, SignIn.revoked_at.is_(None))):
        if row.id != work.actor.sign_in_id:
            row.revoked_at = work.now()


def add_api_token(work: Work, account: Account, name: str) -> str:
    """A token for the JSON API, shown once."""
    token = sessions.new_token()
    work.session.add(
        ApiToken(
            account_id=account.id,
            name=name[:80] or "token",
            token_hash=sessions.token_hash(token),
            created_at=work.now(),
        )
    )
    return token


def list_api_tokens(work: Work) -> list[ApiToken]:
    wanted = select(ApiToken).where(ApiToken.account_id == work.actor.account_id, ApiToken.revoked_at.is_(None))
    return list(work.session.scalars(wanted.order_by(ApiToken.id)))


def revoke_api_token(work: Work, token_id: int) -> None:
    row = work.session.get(ApiToken, token_id)
    if row is None or row.account_id != work.actor.account_id:
        raise NotFound("token")
    row.revoked_at = work.now()


def by_api_token(work: Work, token: str) -> Actor:
    """Who an API token stands for; NOBODY when it is unknown or revoked."""
    return sessions.actor_by_api_token(work.session, token, work.now())


def account_by_email(work: Work, email: str) -> Account:
    """The open account with that e-mail, for the command line."""
    account = work.session.scalar(
        select(Account).where(Account.email == email.strip().lower(), Account.closed_at.is_(None))
    )
    if account is None:
        raise Invalid({"email": Sentence("There is no account with the e-mail {got}.", got=f"“{email}”")})
    return account


def set_password(work: Work, account: Account, password: str) -> None:
    """Put a new password in place of a lost one; every browser of this person is signed out."""
    check_password("password", password)
    account.password_hash = sessions.password_hash(password)
    end_sign_ins(work, account.id)


def check_password(name: str, password: str) -> None:
    if len(password) < PASSWORD_SHORTEST:
        why = "The password has {got} characters; please use at least {least}."
        raise Invalid({name: Sentence(why, got=len(password), least=PASSWORD_SHORTEST)})


def end_sign_ins(work: Work, account_id: int, farm_id: int | None = None) -> None:
    """Sign the person out everywhere, or only the phones that were kept to one farm."""
    wanted = select(SignIn).where(SignIn.account_id == account_id, SignIn.revoked_at.is_(None))
    if farm_id is not None:
        wanted = wanted.where(SignIn.farm_id == farm_id)
    for row in work.session.scalars(wanted):
        row.revoked_at = work.now()


def close_account(work: Work, account: Account) -> None:
    """End every way in for this person. What they wrote stays, under their name."""
    account.closed_at = work.now()
    end_sign_ins(work, account.id)
    for token in work.session.scalars(select(ApiToken).where(ApiToken.account_id == account.id)):
        token.revoked_at = token.revoked_at or work.now()


def check_attempts(work: Work, who: str) -> None:
    """TooMany when that name or address has failed too often lately."""
    if sessions.has_too_many_attempts(work.session, who, work.now()):
        raise TooMany()


def count_attempt(work: Work, who: str) -> None:
    """A link or code that does not exist was tried from that address."""
    work.session.add(FailedAttempt(who=who[:254], at=work.now()))


def see(work: Work) -> None:
    """Note that this sign-in is in use, for the lists of who looked when."""
    row = work.session.get(SignIn, work.actor.sign_in_id) if work.actor.sign_in_id else None
    if row is not None:
        row.seen_at = work.now()
