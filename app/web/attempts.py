"""A limit on guessing: links and codes that do not exist are counted by the address they were tried from."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import Request

from app.errors import NotFound
from app.services import accounts
from app.web.transactions import reading, writing


@contextmanager
def limited(request: Request) -> Iterator[None]:
    """Refuse after too many misses from one address; count a miss and pass it on."""
    who = f"link:{request.client.host if request.client else ''}"
    with reading(request, anyone=True) as work:
        accounts.check_attempts(work, who)
    try:
        yield
    except NotFound:
        with writing(request, anyone=True) as work:
            accounts.count_attempt(work, who)
        raise
