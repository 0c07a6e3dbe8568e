"""The herd: its groups, what each eats, its head over time, and its share of each feed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import farms
from app.services import herds as services
from app.units import shapes
from app.units.shapes import Shape
from app.web.citations import cited
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/herds"


@dataclass(frozen=True)
class HerdPage:
    lines: tuple[services.GroupLine, ...]
    removed: tuple[Any, ...]


@dataclass(frozen=True)
class NewPage:
    form: FormView
    ways: tuple[Any, ...]
    intake: Any = None


@dataclass(frozen=True)
class GroupPage:
    group: services.GroupPage
    form: FormView
    head: FormView
    share: FormView
    ways: tuple[Any, ...]
    intake: Any


@dataclass(frozen=True)
class StepPage:
    """One dated line of a group with its form."""

    id: int
    group_id: int
    name: str
    noun: str
    form: FormView


@dataclass(frozen=True)
class Intake:
    """A computed intake and the links to its sources."""

    found: services.GroupIntake
    sources: tuple


def _lines(work: Work, farm_id: int) -> tuple[services.GroupLine, ...]:
    farm = services.access_farm(work, farm_id)
    names, values = services.feed_names(work, farm_id), farms.values_of(work, farm_id)
    today = work.today(farm.time_zone)
    return tuple(services.line_of(group, names, values, today) for group in services.list_groups(work, farm_id))


def _herd_page(work: Work, farm_id: int) -> HerdPage:
    return HerdPage(_lines(work, farm_id), services.removed_groups(work, farm_id))


@router.get(ROOT, name="herds.show")
def show_herds(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        return show(request, work, "herds/show.html", _herd_page(work, farm_id), farm_id)


@router.get(ROOT + "/_table", name="herds.table_part")
def table_part(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        return show(request, work, "herds/_table.html", _herd_page(work, farm_id), farm_id)


@router.get(ROOT + "/new", name="herds.new")
def new(request: Request, farm_id: FarmId) -> Response:
    return _new_page(request, farm_id)


def _new_page(request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        services.access_farm(work, farm_id, Permission.HERD_EDIT)
        form = form_view(services.GROUP_SHAPE, work.actor.units, typed=typed, refused=refused)
        page = NewPage(form, tuple(services.WAYS.values()))
        return show(request, work, "herds/new.html", page, farm_id, status_of(refused))


@router.post(ROOT, name="herds.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_farm(work, farm_id, Permission.HERD_EDIT)
            group = services.add_group(work, farm_id, typed.read(services.GROUP_SHAPE, work))
            group_id = group.id
    except REFUSED as refused:
        return _new_page(request, farm_id, typed, refused)
    return go(request, "herds.group", farm_id=farm_id, group_id=group_id)


@router.get(ROOT + "/_intake", name="herds.intake")
def intake(request: Request, farm_id: FarmId) -> Response:
    """The intake of what stands in the form now; nothing is written."""
    with reading(request) as work:
        services.access_farm(work, farm_id)
        typed = shapes.read(services.GROUP_SHAPE, request.query_params, work.actor.units).values
        page = _intake(request, services.try_intake(typed, farms.values_of(work, farm_id)))
        return show(request, work, "herds/_intake.html", page, farm_id)


def _intake(request: Request, found: services.GroupIntake) -> Intake:
    return Intake(found, cited(request, found.way.sources))


@router.get(ROOT + "/{group_id}", name="herds.group")
def group(request: Request, farm_id: FarmId, group_id: Id) -> Response:
    return _group_page(request, farm_id, group_id)


@router.get(ROOT + "/{group_id}/_steps", name="herds.steps_part")
def steps_part(request: Request, farm_id: FarmId, group_id: Id) -> Response:
    return _group_page(request, farm_id, group_id, template="herds/_steps.html")


def _group_page(
    request: Request,
    farm_id: int,
    group_id: int,
    typed: Typed | None = None,
    refused: AppError | None = None,
    part: str = "groups",
    template: str = "herds/group.html",
) -> Response:
    """The group with its three forms; what was typed and refused stands in the one it was typed into."""

    def again(shape: Shape, values: dict[str, Any] | None = None) -> FormView:
        mine = shape.noun == part
        return form_view(
            shape, work.actor.units, values, typed if mine else None, refused if mine else None, name=shape.noun
        )

    with reading(request) as work:
        farm = services.access_farm(work, farm_id)
        row = services.access_group(work, farm_id, group_id)
        values = farms.values_of(work, farm_id)
        found = services.group_page(work, farm_id, group_id, values, work.today(farm.time_zone))
        page = GroupPage(
            found,
            again(services.GROUP_SHAPE, row_values(row, services.GROUP_SHAPE)),
            again(services.HEAD_SHAPE),
            again(services.inclusion_shape(work, farm_id)),
            tuple(services.WAYS.values()),
            _intake(request, found.line.intake),
        )
        return show(request, work, template, page, farm_id, status_of(refused))


@router.post(ROOT + "/{group_id}", name="herds.edit")
def edit(request: Request, farm_id: FarmId, group_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_group(work, farm_id, group_id, Permission.HERD_EDIT)
            values, was = typed.read(services.GROUP_SHAPE, work), typed.was(services.GROUP_SHAPE, work)
            services.edit_group(work, farm_id, group_id, values, was)
    except REFUSED as refused:
        return _group_page(request, farm_id, group_id, typed, refused)
    return go(request, "herds.group", farm_id=farm_id, group_id=group_id)


@router.post(ROOT + "/{group_id}/remove", name="herds.remove")
def remove(request: Request, farm_id: FarmId, group_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_group(work, farm_id, group_id)
    return go(request, "herds.show", farm_id=farm_id)


@router.post(ROOT + "/{group_id}/restore", name="herds.restore")
def restore(request: Request, farm_id: FarmId, group_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_group(work, farm_id, group_id)
    return go(request, "herds.show", farm_id=farm_id)


@router.post(ROOT + "/{group_id}/heads", name="herds.add_head")
def add_head(request: Request, farm_id: FarmId, group_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _add_step(request, farm_id, group_id, typed, services.HEAD_SHAPE.noun)


@router.post(ROOT + "/{group_id}/inclusions", name="herds.add_share")
def add_share(request: Request, farm_id: FarmId, group_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _add_step(request, farm_id, group_id, typed, services.INCLUSION_SHAPE.noun)


def _add_step(request: Request, farm_id: int, group_id: int, typed: Typed, noun: str) -> Response:
    heads = noun == services.HEAD_SHAPE.noun
    try:
        with writing(request, typed) as work:
            services.access_group(work, farm_id, group_id, Permission.HERD_EDIT)
            shape = services.HEAD_SHAPE if heads else services.inclusion_shape(work, farm_id)
            today = work.today(services.access_farm(work, farm_id).time_zone)
            values = typed.read(shape, work, today)
            if heads:
                services.add_head_change(work, farm_id, group_id, values)
            else:
                services.add_inclusion(work, farm_id, group_id, values, sure=typed.sure)
    except REFUSED as refused:
        return _group_page(request, farm_id, group_id, typed, refused, part=noun)
    return go(request, "herds.group", farm_id=farm_id, group_id=group_id)


@router.post(ROOT + "/{group_id}/put-back", name="herds.put_back")
def put_back(request: Request, farm_id: FarmId, group_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_group(work, farm_id, group_id, Permission.HERD_EDIT)
            seq = typed["seq"]
            services.put_back(work, farm_id, group_id, int(seq) if seq.isdecimal() and len(seq) < 10 else 0)
    except REFUSED as refused:
        return _group_page(request, farm_id, group_id, None, refused, part="inclusions")
    return go(request, "herds.group", farm_id=farm_id, group_id=group_id)


@router.get(ROOT + "/heads/{change_id}", name="herds.head")
def head(request: Request, farm_id: FarmId, change_id: Id) -> Response:
    return _step_page(request, farm_id, change_id, heads=True)


@router.get(ROOT + "/inclusions/{inclusion_id}", name="herds.share")
def share(request: Request, farm_id: FarmId, inclusion_id: Id) -> Response:
    return _step_page(request, farm_id, inclusion_id, heads=False)


def _step_page(
    request: Request,
    farm_id: int,
    row_id: int,
    *,
    heads: bool,
    typed: Typed | None = None,
    refused: AppError | None = None,
) -> Response:
    with reading(request) as work:
        row = services.access_step(work, farm_id, row_id, heads=heads)
        shape = services.HEAD_SHAPE if heads else services.inclusion_shape(work, farm_id, getattr(row, "feed_id", None))
        group = services.access_group(work, farm_id, row.group_id)
        form = form_view(shape, work.actor.units, row_values(row, shape), typed, refused)
        page = StepPage(row.id, group.id, group.name, shape.noun, form)
        return show(request, work, "herds/step.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/heads/{change_id}", name="herds.edit_head")
def edit_head(request: Request, farm_id: FarmId, change_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _edit_step(request, farm_id, change_id, typed, heads=True)


@router.post(ROOT + "/inclusions/{inclusion_id}", name="herds.edit_share")
def edit_share(request: Request, farm_id: FarmId, inclusion_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _edit_step(request, farm_id, inclusion_id, typed, heads=False)


def _edit_step(request: Request, farm_id: int, row_id: int, typed: Typed, *, heads: bool) -> Response:
    try:
        with writing(request, typed) as work:
            row = services.access_step(work, farm_id, row_id, heads=heads)
            shape = (
                services.HEAD_SHAPE if heads else services.inclusion_shape(work, farm_id, getattr(row, "feed_id", None))
            )
            same_day = typed["from_on"] == typed.seen.get("from_on")
            today = None if same_day else work.today(services.access_farm(work, farm_id).time_zone)
            values, was = typed.read(shape, work, today), typed.was(shape, work)
            if heads:
                services.edit_head_change(work, farm_id, row_id, values, was)
            else:
                services.edit_inclusion(work, farm_id, row_id, values, was, sure=typed.sure)
            group_id = row.group_id
    except REFUSED as refused:
        return _step_page(request, farm_id, row_id, heads=heads, typed=typed, refused=refused)
    return go(request, "herds.group", farm_id=farm_id, group_id=group_id)


@router.post(ROOT + "/heads/{change_id}/remove", name="herds.remove_head")
def remove_head(request: Request, farm_id: FarmId, change_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _remove_step(request, farm_id, typed, lambda work: services.remove_head_change(work, farm_id, change_id))


@router.post(ROOT + "/inclusions/{inclusion_id}/remove", name="herds.remove_share")
def remove_share(request: Request, farm_id: FarmId, inclusion_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return _remove_step(request, farm_id, typed, lambda work: services.remove_inclusion(work, farm_id, inclusion_id))


def _remove_step(request: Request, farm_id: int, typed: Typed, act: Callable[[Work], int]) -> Response:
    with writing(request, typed) as work:
        group_id = act(work)
    return go(request, "herds.group", farm_id=farm_id, group_id=group_id)
