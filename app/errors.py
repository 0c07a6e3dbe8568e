"""Errors the app raises on purpose. `app/web/errors.py` gives each one a page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


class AppError(Exception):
    """Base of every error a person may cause and should be able to put right."""


class NotFound(AppError):
    """The row does not exist, or this account may not know that it does."""


class NotAllowed(AppError):
    """The account may see the farm but not do this there."""


class SignInNeeded(AppError):
    """Nobody is signed in on this browser."""


class Conflict(AppError):
    """Someone else changed the same field after this person opened it.

    `fields` maps a field name to (what stands there now, what was typed).
    """

    def __init__(self, fields: Mapping[str, tuple[Any, Any]]) -> None:
        super().__init__("; ".join(f"{name}: now {now!r}, typed {typed!r}" for name, (now, typed) in fields.items()))
        self.fields = dict(fields)


class Invalid(AppError):
    """One or more fields were refused; `fields` maps a field name to the reason (text or Sentence)."""

    def __init__(self, fields: Mapping[str, Any]) -> None:
        super().__init__("; ".join(f"{name}: {why}" for name, why in fields.items()))
        self.fields = dict(fields)


class Unsure(AppError):
    """What was typed is possible but unlikely; the person is asked once and may confirm.

    `fields` maps a field name to the question (text or Sentence). A form sent again with `sure=yes` is taken.
    """

    def __init__(self, fields: Mapping[str, Any]) -> None:
        super().__init__("; ".join(f"{name}: {why}" for name, why in fields.items()))
        self.fields = dict(fields)


class AlreadyDone(AppError):
    """The same form was sent twice; the first sending took effect."""


class TooMany(AppError):
    """Too many attempts in a short time."""


class Unavailable(AppError):
    """The database or an outside service did not answer in time; nothing was changed."""


class OutOfRange(ValueError):
    """A formula was given a value no real crop, herd or silo can have."""
