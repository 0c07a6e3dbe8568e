"""Machines of the farm: the list, and each one added, changed, removed and put back."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.errors import AppError
from app.services import machines as services
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/machines"


@dataclass(frozen=True)
class MachinesPage:
    machines: list
    removed: list
    form: FormView


@dataclass(frozen=True)
class MachinePage:
    id: int
    name: str
    form: FormView


@router.get(ROOT, name="machines.show")
def show_machines(request: Request, farm_id: FarmId) -> Response:
    return _page(request, farm_id)


def _page(request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        page = MachinesPage(
            services.list_machines(work, farm_id),
            services.list_removed(work, farm_id),
            form_view(services.MACHINE_SHAPE, work.actor.units, typed=typed, refused=refused),
        )
        return show(request, work, "machines/show.html", page, farm_id, status_of(refused))


@router.get(ROOT + "/_table", name="machines.table_part")
def table_part(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = MachinesPage(
            services.list_machines(work, farm_id), [], form_view(services.MACHINE_SHAPE, work.actor.units)
        )
        return show(request, work, "machines/_table.html", page, farm_id)


@router.post(ROOT, name="machines.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_farm(work, farm_id, Permission.CHECKLISTS_EDIT)
            services.add_machine(work, farm_id, typed.read(services.MACHINE_SHAPE, work))
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused)
    return go(request, "machines.show", farm_id=farm_id)


@router.get(ROOT + "/{machine_id}", name="machines.edit_page")
def edit_page(request: Request, farm_id: FarmId, machine_id: Id) -> Response:
    return _edit_page(request, farm_id, machine_id)


def _edit_page(
    request: Request, farm_id: int, machine_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        row = services.access_machine(work, farm_id, machine_id, Permission.CHECKLISTS_EDIT)
        values = row_values(row, services.MACHINE_SHAPE)
        form = form_view(services.MACHINE_SHAPE, work.actor.units, values, typed, refused)
        return show(
            request, work, "machines/edit.html", MachinePage(row.id, row.name, form), farm_id, status_of(refused)
        )


@router.post(ROOT + "/{machine_id}", name="machines.edit")
def edit(request: Request, farm_id: FarmId, machine_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_machine(work, farm_id, machine_id, Permission.CHECKLISTS_EDIT)
            values, was = typed.read(services.MACHINE_SHAPE, work), typed.was(services.MACHINE_SHAPE, work)
            services.edit_machine(work, farm_id, machine_id, values, was)
    except REFUSED as refused:
        return _edit_page(request, farm_id, machine_id, typed, refused)
    return go(request, "machines.show", farm_id=farm_id)


@router.post(ROOT + "/{machine_id}/remove", name="machines.remove")
def remove(request: Request, farm_id: FarmId, machine_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_machine(work, farm_id, machine_id)
    return go(request, "machines.show", farm_id=farm_id)


@router.post(ROOT + "/{machine_id}/restore", name="machines.restore")
def restore(request: Request, farm_id: FarmId, machine_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_machine(work, farm_id, machine_id)
    return go(request, "machines.show", farm_id=farm_id)
