"""The JSON API: the figures of a board for whoever holds a token. Its description is served at /api/openapi.json."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Request
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from pydantic import BaseModel, Field

from app.access.work import NOBODY, Work
from app.errors import SignInNeeded
from app.services import accounts, farms, reports
from app.web.transactions import FarmId

router = APIRouter(prefix="/api/v1", tags=["board"])
bearer = HTTPBearer(auto_error=False, description="A token made on the account page.")
Token = Annotated[HTTPAuthorizationCredentials | None, Depends(bearer)]


class FarmName(BaseModel):
    """A farm the token may read."""

    id: int
    name: str
    role: str


class FigureOut(BaseModel):
    """One figure; `value` is null where it is not known, and `reason` then says why."""

    key: str
    label: str
    value: bool | float | int | str | None
    unit: str = Field(description="Unit of value, low and high; `day` for dates, `text` for sentences.")
    low: float | str | None = Field(
        description="Lower end of the range: 8 of 10 cases for dates, one standard error for readings; "
        "null where none can be given."
    )
    high: float | str | None
    as_of: date = Field(description="Day of the newest reading behind it; the day itself for what is counted anew.")
    reason: str | None = Field(description="Why it is not known, or what to bear in mind about it.")
    sources: list[str] = Field(
        description="Keys of the publications behind it, which the help page lists; `practice` for common practice "
        "without one, `judgement` for a default chosen by this app, `farm` for the farm's own entries."
    )


class FarmOut(BaseModel):
    id: int
    name: str
    time_zone: str
    seq: int = Field(description="Number of the farm's newest change.")


class BoardOut(BaseModel):
    """The board of a farm."""

    farm: FarmOut
    today: date
    units: Literal["us", "metric"]
    figures: list[FigureOut]


class Refused(BaseModel):
    detail: str


REFUSALS: dict[int | str, dict[str, Any]] = {
    401: {"model": Refused, "description": "No token, or one that is not known or was revoked."},
    404: {"model": Refused, "description": "No such farm, or not one of yours."},
    422: {"model": Refused, "description": "A parameter could not be read."},
    503: {"model": Refused, "description": "The database did not answer in time."},
}


@contextmanager
def _reading(request: Request, token: HTTPAuthorizationCredentials | None) -> Iterator[Work]:
    state = request.app.state
    with state.database.reading() as session:
        work = Work(session, NOBODY, state.clock)
        if token is not None:
            work.actor = accounts.by_api_token(work, token.credentials)
        if work.actor is NOBODY:
            raise SignInNeeded()
        yield work


@router.get("/farms", responses={code: REFUSALS[code] for code in (401, 503)})
def list_farms(request: Request, token: Token) -> list[FarmName]:
    """The farms the token may read."""
    with _reading(request, token) as work:
        return [FarmName(id=farm.id, name=farm.name, role=work.actor.roles[farm.id]) for farm in farms.list_farms(work)]


@router.get("/farms/{farm_id}/board", responses=REFUSALS)
def board(request: Request, farm_id: FarmId, token: Token, units: Literal["us", "metric"] | None = None) -> BoardOut:
    """Every figure of the farm's board: value, unit, range, as-of, sources, and the reason where one is not known."""
    with _reading(request, token) as work:
        return BoardOut.model_validate(reports.report_farm(work, farm_id, units))
