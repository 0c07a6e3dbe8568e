"""What came in with a form, and what a form macro needs to show it again with everything typed kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from fastapi import Request
from starlette.datastructures import UploadFile

from app.access.work import Work
from app.errors import AppError, Conflict, Invalid, Unsure
from app.units import shapes
from app.units.kinds import KINDS, System
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

REFUSED = (Invalid, Unsure, Conflict)


def status_of(refused: AppError | None) -> int:
    """Of a page with a form: 200 for a fresh one, 409 when someone else changed the same, 422 for anything refused."""
    return 200 if refused is None else 409 if isinstance(refused, Conflict) else 422


@dataclass(frozen=True)
class Typed:
    """A form as it was sent: single values, files, and lists for names sent more than once."""

    values: Mapping[str, str] = field(default_factory=dict)
    lists: Mapping[str, list[str]] = field(default_factory=dict)
    files: Mapping[str, UploadFile] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        return self.values.get(name, "")

    @property
    def once(self) -> str | None:
        return self.values.get("once") or None

    @property
    def sure(self) -> bool:
        return self.values.get("sure") == "yes"

    @property
    def seen(self) -> dict[str, str]:
        """What the person saw when the form was opened (hidden `was_` inputs)."""
        return {name.removeprefix("was_"): text for name, text in self.values.items() if name.startswith("was_")}

    def read(self, shape: Shape, work: Work, today: date | None = None, partial: bool = False) -> dict[str, Any]:
        """The values in kept units; raises Invalid or (unless sent with `sure`) Unsure.

        A field for which the person chose to keep the other's value after a conflict is left out.
        """
        values = shapes.read(shape, self.values, work.actor.units, today, partial).checked(self.sure)
        return {name: value for name, value in values.items() if self[f"keep_{name}"] != "theirs"}

    def was(self, shape: Shape, work: Work) -> dict[str, Any]:
        """The values the person saw when the form was opened, in kept units."""
        columns = tuple(_unlimited(column) for column in shape.columns if column.name in self.seen)
        return shapes.read(Shape(shape.noun, columns), self.seen, work.actor.units).values


def _unlimited(column: Column) -> Column:
    """The column without limits: what stood there is compared, not judged."""
    return replace(column, required=False, low=None, high=None, likely_low=None, likely_high=None, ask_if="")


async def typed_form(request: Request) -> Typed:
    """Dependency: the form of this request."""
    form = await request.form()
    values: dict[str, str] = {}
    lists: dict[str, list[str]] = {}
    files: dict[str, UploadFile] = {}
    for name, value in form.multi_items():
        if isinstance(value, str):
            lists.setdefault(name, []).append(value)
            values.setdefault(name, value)
        else:
            files[name] = value
    return Typed(values, lists, files)


async def sent_file(typed: Typed) -> tuple[str, bytes]:
    """Name and content of the file that was chosen; both empty where none was."""
    file = typed.files.get("file")
    return (file.filename or "", await file.read()) if file else ("", b"")


@dataclass(frozen=True)
class Both:
    """One field that two people changed: what stands there now and what this person typed."""

    name: str
    label: str
    now: str
    typed: str


@dataclass
class FormView:
    """A form ready to be shown: columns with units, texts to put in, refusals and questions by column."""

    shape: Shape
    system: System
    texts: Mapping[str, str] = field(default_factory=dict)
    was: Mapping[str, str] = field(default_factory=dict)
    """What the person saw when the form was opened; empty for a form of a new row."""
    errors: Mapping[str, Any] = field(default_factory=dict)
    asks: Mapping[str, Any] = field(default_factory=dict)
    conflicts: tuple[Both, ...] = ()
    name: str = ""
    """Tells two forms of one noun on one page apart."""

    @property
    def columns(self) -> tuple[Column, ...]:
        return self.shape.columns

    @property
    def noun(self) -> str:
        return self.name or self.shape.noun

    def unit(self, column: Column) -> str:
        return KINDS[column.kind].unit(self.system).label if column.kind else ""

    def low(self, column: Column) -> str:
        return shapes.written(column, column.low, self.system)

    def high(self, column: Column) -> str:
        return shapes.written(column, column.high, self.system)

    def value(self, name: str) -> str:
        return self.texts.get(name, "")

    def error(self, name: str) -> Any:
        return self.errors.get(name)

    def ask(self, name: str) -> Any:
        return self.asks.get(name)

    @property
    def other(self) -> list[Any]:
        """Refusals and questions that belong to no column of this form."""
        known = {column.name for column in self.shape.columns}
        return [why for name, why in (*self.errors.items(), *self.asks.items()) if name not in known]


def _short(column: Column, value: Any, system: System) -> str:
    """Six figures where a value is shown in another unit than it is kept in: 62 ac, not 61.9999998753."""
    return shapes.written(column, value, system, 6 if column.kind else 12)


def form_view(
    shape: Shape,
    system: System,
    values: Mapping[str, Any] | None = None,
    typed: Typed | None = None,
    refused: AppError | None = None,
    name: str = "",
) -> FormView:
    """The form with the row's values, or, after a refusal, with what was typed and why it was refused."""
    stored = {column.name: _short(column, (values or {}).get(column.name), system) for column in shape.columns}
    view = FormView(shape, system, texts=stored, was=stored if values else {}, name=name)
    if typed is not None and typed.values:
        view.texts = {**stored, **{column.name: typed.values.get(column.name, "") for column in shape.columns}}
        view.was = typed.seen or view.was
    if isinstance(refused, Invalid):
        view.errors = refused.fields
    elif isinstance(refused, Unsure):
        view.asks = refused.fields
    elif isinstance(refused, Conflict):
        view.conflicts = tuple(_both(shape, system, name, *pair) for name, pair in refused.fields.items())
        # the next sending is compared with what stands there now, so saving again is a choice, not an accident
        view.was = {**view.was, **{each.name: each.now for each in view.conflicts}}
    return view


def row_values(row: Any, shape: Shape) -> dict[str, Any]:
    """The row's values for the columns of the shape."""
    return {column.name: getattr(row, column.name) for column in shape.columns}


def _both(shape: Shape, system: System, name: str, now: Any, mine: Any) -> Both:
    column = shape.column(name)
    return Both(name, column.label, shapes.written(column, now, system), shapes.written(column, mine, system))


def question_of(refused: AppError) -> Sentence | str:
    """A refusal as one sentence, for places without a form."""
    if isinstance(refused, Invalid | Unsure) and refused.fields:
        return next(iter(refused.fields.values()))
    return str(refused)
