"""What the templates of the Readiness page are given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.access.work import Work
from app.errors import AppError
from app.services import checklists as services
from app.units.shapes import Shape
from app.web.forms import FormView, Typed, form_view, row_values

QUICK = ("note", "have")


@dataclass(frozen=True)
class ReadinessPage:
    """The list, a small form for every item, the start, and an item that was just removed."""

    list: services.ListPage
    forms: Mapping[int, FormView]
    start_form: FormView
    removed_id: int | None = None


@dataclass(frozen=True)
class ItemPart:
    """One item of the list; `is_open` shows its small form."""

    line: services.ItemLine
    forms: Mapping[int, FormView]
    is_open: bool = False


@dataclass(frozen=True)
class GroupPart:
    checklist_id: int
    group: services.DueGroup


@dataclass(frozen=True)
class ItemPage:
    """One item with everything about it."""

    checklist_id: int
    line: services.ItemLine | None
    form: FormView
    story: tuple[services.Told, ...] = ()


@dataclass(frozen=True)
class NotePage:
    checklist_id: int
    form: FormView
    lines: tuple[services.ItemLine, ...]
    chosen: str


def quick_shape(line: services.ItemLine) -> Shape:
    """The note, and what is on hand where something is counted."""
    counted = line.need is not None or line.row.have is not None
    return services.item_shape(line.kind).only(*(QUICK if counted else QUICK[:1]))


def quick_form(
    work: Work, line: services.ItemLine, typed: Typed | None = None, refused: AppError | None = None
) -> FormView:
    """The small form in the row of an item: its note and what is on hand."""
    shape = quick_shape(line)
    values = row_values(line.row, shape)
    return form_view(shape, work.actor.units, values, typed, refused, name=f"checklists-{line.id}")


def readiness_page(
    work: Work,
    farm_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
    removed_id: int | None = None,
    checklist_id: int | None = None,
) -> ReadinessPage:
    page = services.list_page(work, farm_id, checklist_id)
    may = work.actor.may("checklists:tick", farm_id)
    return ReadinessPage(
        page,
        {line.id: quick_form(work, line) for line in page.lines} if may else {},
        start_form(work, page, typed, refused),
        removed_id,
    )


def start_form(
    work: Work, page: services.ListPage, typed: Typed | None = None, refused: AppError | None = None
) -> FormView:
    agreed = {"starts_on": page.start.on if page.start.is_agreed else None}
    return form_view(services.START_SHAPE, work.actor.units, agreed, typed, refused)


def item_part(
    work: Work,
    farm_id: int,
    checklist_id: int,
    item_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
) -> ItemPart:
    line = services.item_line(work, farm_id, checklist_id, item_id)
    return ItemPart(line, {line.id: quick_form(work, line, typed, refused)}, is_open=refused is not None)


def blockers_of(page: services.ListPage, item_id: int | None) -> tuple[tuple[str, str], ...]:
    """The other items of the list, to wait for."""
    return tuple((str(line.id), line.row.title) for line in page.lines if line.id != item_id)
