"""Structures: the list drawn to scale, one structure with its lots and cautions, and its form."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.errors import AppError
from app.services import stores as stock
from app.services import structures as services
from app.web.citations import cited
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.stores import StoresView, structures_view
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/structures"


@dataclass(frozen=True)
class Listing:
    stores: StoresView
    removed: list


@dataclass(frozen=True)
class One:
    """One structure; `form` is the sheet to change it, empty for those who may not."""

    store: stock.StorePage
    form: FormView | None
    sources: tuple


@dataclass(frozen=True)
class New:
    """The form of a new structure; without a kind the page asks for it first."""

    kind: str
    kinds: tuple[tuple[str, str], ...]
    form: FormView | None


@router.get(ROOT, name="structures.show")
def show_structures(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = Listing(structures_view(request, work, farm_id), services.list_removed(work, farm_id))
        return show(request, work, "structures/show.html", page, farm_id)


@router.get(ROOT + "/_drawn", name="structures.drawn_part")
def drawn_part(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        page = Listing(structures_view(request, work, farm_id), [])
        return show(request, work, "structures/_drawn.html", page, farm_id)


@router.get(ROOT + "/new", name="structures.new")
def new(request: Request, farm_id: FarmId, kind: str = "") -> Response:
    return _new_page(request, farm_id, kind)


def _new_page(
    request: Request, farm_id: int, kind: str, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        services.access_farm(work, farm_id, Permission.FEED_EDIT)
        form = None
        if kind in dict(services.KIND_NAMES):
            form = form_view(
                services.shape_of(kind), work.actor.units, services.NEW_VALUES, typed, refused, name="structures"
            )
            form.was = {}
        page = New(kind if form else "", services.KIND_NAMES, form)
        return show(request, work, "structures/new.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/new", name="structures.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    kind = typed["kind"]
    try:
        with writing(request, typed) as work:
            services.access_farm(work, farm_id, Permission.FEED_EDIT)
            if kind not in dict(services.KIND_NAMES):
                return go(request, "structures.new", farm_id=farm_id)
            values = typed.read(services.shape_of(kind), work)
            row = services.add_structure(work, farm_id, {**values, "kind": kind})
            return go(request, "structures.structure", farm_id=farm_id, structure_id=row.id)
    except REFUSED as refused:
        return _new_page(request, farm_id, kind, typed, refused)


@router.get(ROOT + "/{structure_id}", name="structures.structure")
def structure(request: Request, farm_id: FarmId, structure_id: Id) -> Response:
    return _page(request, farm_id, structure_id)


def _page(
    request: Request, farm_id: int, structure_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        store = stock.store_page(work, farm_id, structure_id)
        row = services.access_structure(work, farm_id, structure_id)
        shape, form = services.shape_of(row.kind), None
        if work.actor.may(Permission.FEED_EDIT, farm_id):
            form = form_view(shape, work.actor.units, row_values(row, shape), typed, refused)
        view = store.store.structure
        page = One(store, form, cited(request, (*view.capacity.sources, *view.density.sources)))
        return show(request, work, "structures/structure.html", page, farm_id, status_of(refused))


@router.post(ROOT + "/{structure_id}", name="structures.edit")
def edit(request: Request, farm_id: FarmId, structure_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            row = services.access_structure(work, farm_id, structure_id, Permission.FEED_EDIT)
            shape = services.shape_of(row.kind)
            services.edit_structure(work, farm_id, structure_id, typed.read(shape, work), typed.was(shape, work))
            return go(request, "structures.structure", farm_id=farm_id, structure_id=structure_id)
    except REFUSED as refused:
        return _page(request, farm_id, structure_id, typed, refused)


@router.post(ROOT + "/{structure_id}/fills-next", name="structures.fills_next")
def fills_next(request: Request, farm_id: FarmId, structure_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.set_fills_next(work, farm_id, structure_id, typed["fills_next"] == "yes")
        return go(request, "structures.structure", farm_id=farm_id, structure_id=structure_id)


@router.post(ROOT + "/{structure_id}/remove", name="structures.remove")
def remove(request: Request, farm_id: FarmId, structure_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_structure(work, farm_id, structure_id)
        return go(request, "structures.show", "structures-removed", farm_id=farm_id)


@router.post(ROOT + "/{structure_id}/restore", name="structures.restore")
def restore(request: Request, farm_id: FarmId, structure_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_structure(work, farm_id, structure_id)
        return go(request, "structures.show", farm_id=farm_id)
