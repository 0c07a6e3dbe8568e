"""Questions the team has to settle, and what was agreed, by whom and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work, zone_of
from app.errors import Conflict
from app.events.edits import apply_edit, same
from app.events.history import note
from app.events.removal import remove_row, restore_row
from app.records.accounts import Account
from app.records.checklists import Decision
from app.units.shapes import Column, Shape

DECISION_SHAPE = Shape(
    "decisions",
    (
        Column(
            "question", "What has to be decided", required=True, longest=300, example="Cut the north field on Thursday?"
        ),
        Column("answer", "What was agreed", required=True, longest=300, example="Yes, at three inches"),
        Column("why", "Why", "long", longest=2000),
    ),
)
QUESTION_SHAPE = DECISION_SHAPE.only("question")


@dataclass(frozen=True)
class DecisionLine:
    """A decision with the name of who made it."""

    id: int
    question: str
    answer: str | None
    why: str | None
    by: str
    decided_at: datetime | None


@dataclass(frozen=True)
class Decisions:
    """What is to decide, oldest question first, and what was decided, newest first."""

    farm_id: int
    open: tuple[DecisionLine, ...]
    settled: tuple[DecisionLine, ...]
    removed: tuple[DecisionLine, ...] = ()


def _parts(farm_id: int) -> tuple[str, ...]:
    return (f"decisions-open-{farm_id}", f"decisions-settled-{farm_id}", "board-figures")


def list_decisions(work: Work, farm_id: int) -> Decisions:
    """Every decision of the farm."""
    access_farm(work, farm_id)
    rows = work.session.execute(
        select(Decision, Account.name)
        .outerjoin(Account, Account.id == Decision.decided_by_id)
        .where(Decision.farm_id == farm_id)
        .order_by(Decision.id)
    )
    gone: list[DecisionLine] = []
    opened: list[DecisionLine] = []
    settled: list[DecisionLine] = []
    for row, name in rows:
        line = DecisionLine(row.id, row.question, row.answer, row.why, name or "", row.decided_at)
        (gone if row.removed_at else opened if row.decided_at is None else settled).append(line)
    settled.sort(key=lambda line: (str(line.decided_at), line.id), reverse=True)
    return Decisions(farm_id, tuple(opened), tuple(settled), tuple(gone))


def access_decision(work: Work, farm_id: int, decision_id: int, permission: Permission) -> Decision:
    return access_row(work, Decision, farm_id, decision_id, permission)


def ask_decision(work: Work, farm_id: int, values: dict[str, Any]) -> Decision:
    """Put a question on the board."""
    access_farm(work, farm_id, Permission.DECISIONS_EDIT)
    decision = Decision(farm_id=farm_id, question=values["question"], created_at=work.now())
    work.session.add(decision)
    work.session.flush()
    note(work, farm_id, "add", "decisions", decision.id, name=decision.question, parts=_parts(farm_id))
    return decision


def answer_decision(
    work: Work, farm_id: int, decision_id: int, values: dict[str, Any], was: dict[str, Any] | None = None
) -> Decision:
    """Write down what was agreed and why. Another answer given meanwhile is shown beside it, never overwritten."""
    decision = access_decision(work, farm_id, decision_id, Permission.DECISIONS_EDIT)
    if decision.decided_at is None:
        farm = access_farm(work, farm_id)
        decision.decided_at = work.clock.moment(zone_of(farm.time_zone))
        decision.decided_by_id = work.actor.account_id
    elif was is None and not same(decision.answer, values.get("answer")):
        raise Conflict({"answer": (decision.answer, values.get("answer"))})
    apply_edit(
        work, decision, values, was, noun="decisions", name=decision.question, parts=_parts(farm_id), verb="decide"
    )
    return decision


def reopen_decision(work: Work, farm_id: int, decision_id: int) -> Decision:
    """Put it back to be decided; the earlier answer stays in the history."""
    decision = access_decision(work, farm_id, decision_id, Permission.DECISIONS_EDIT)
    if decision.decided_at is None:
        return decision
    fields = {"answer": (decision.answer, None), "why": (decision.why, None)}
    decision.answer = decision.why = decision.decided_at = decision.decided_by_id = None
    decision.version += 1
    note(
        work, farm_id, "reopen", "decisions", decision.id, name=decision.question, fields=fields, parts=_parts(farm_id)
    )
    return decision


def remove_decision(work: Work, farm_id: int, decision_id: int) -> Decision:
    decision = access_decision(work, farm_id, decision_id, Permission.DECISIONS_EDIT)
    remove_row(work, decision, noun="decisions", name=decision.question, parts=_parts(farm_id))
    return decision


def restore_decision(work: Work, farm_id: int, decision_id: int) -> Decision:
    decision = access_removed(work, Decision, farm_id, decision_id, Permission.DECISIONS_EDIT)
    restore_row(work, decision, noun="decisions", name=decision.question, parts=_parts(farm_id))
    return decision
