"""A form that is sent twice takes effect once."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import delete
from sqlalchemy.exc import IntegrityError

from app.access.work import Work
from app.errors import AlreadyDone
from app.records.history import Sending

KEPT = timedelta(days=14)


def take_sending(work: Work, key: str) -> None:
    """Remember the key in this transaction; AlreadyDone when it was taken before."""
    row = Sending(key=f"{work.actor.account_id or 0}:{key[:64]}", account_id=work.actor.account_id, at=work.now())
    work.session.add(row)
    try:
        work.session.flush()
    except IntegrityError as taken:
        work.session.rollback()
        raise AlreadyDone() from taken


def forget_old_sendings(work: Work) -> None:
    """Keys older than two weeks cannot come again from any open page."""
    work.session.execute(delete(Sending).where(Sending.at < work.now() - KEPT))
