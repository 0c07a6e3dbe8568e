"""The list of feeds: each one added, changed, removed and brought back."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.access.permissions import Permission
from app.errors import AppError
from app.services import feeds as services
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/feeds"


@dataclass(frozen=True)
class Listing:
    feeds: list
    removed: list
    kinds: dict[str, str]


@dataclass(frozen=True)
class FormPage:
    form: FormView
    feed_id: int | None = None


@router.get(ROOT, name="feeds.show")
def show_feeds(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        kinds = dict(services.KIND_NAMES)
        page = Listing(services.list_feeds(work, farm_id), services.list_removed(work, farm_id), kinds)
        return show(request, work, "feeds/show.html", page, farm_id)


@router.get(ROOT + "/new", name="feeds.new")
def new(request: Request, farm_id: FarmId) -> Response:
    return _form_page(request, farm_id, None)


@router.get(ROOT + "/{feed_id}", name="feeds.feed")
def feed(request: Request, farm_id: FarmId, feed_id: Id) -> Response:
    return _form_page(request, farm_id, feed_id)


def _form_page(
    request: Request, farm_id: int, feed_id: int | None, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        services.access_farm(work, farm_id, Permission.FEED_EDIT)
        row = services.access_feed(work, farm_id, feed_id, Permission.FEED_EDIT) if feed_id else None
        values = row_values(row, services.FEED_SHAPE) if row else None
        form = form_view(services.FEED_SHAPE, work.actor.units, values, typed, refused)
        return show(request, work, "feeds/feed.html", FormPage(form, feed_id), farm_id, status_of(refused))


@router.post(ROOT + "/new", name="feeds.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_farm(work, farm_id, Permission.FEED_EDIT)
            services.add_feed(work, farm_id, typed.read(services.FEED_SHAPE, work), sure=typed.sure)
            return go(request, "feeds.show", farm_id=farm_id)
    except REFUSED as refused:
        return _form_page(request, farm_id, None, typed, refused)


@router.post(ROOT + "/{feed_id}", name="feeds.edit")
def edit(request: Request, farm_id: FarmId, feed_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_feed(work, farm_id, feed_id, Permission.FEED_EDIT)
            values, was = typed.read(services.FEED_SHAPE, work), typed.was(services.FEED_SHAPE, work)
            services.edit_feed(work, farm_id, feed_id, values, was, sure=typed.sure)
            return go(request, "feeds.show", farm_id=farm_id)
    except REFUSED as refused:
        return _form_page(request, farm_id, feed_id, typed, refused)


@router.post(ROOT + "/{feed_id}/remove", name="feeds.remove")
def remove(request: Request, farm_id: FarmId, feed_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_feed(work, farm_id, feed_id)
        return go(request, "feeds.show", "feeds-removed", farm_id=farm_id)


@router.post(ROOT + "/{feed_id}/restore", name="feeds.restore")
def restore(request: Request, farm_id: FarmId, feed_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.restore_feed(work, farm_id, feed_id)
        return go(request, "feeds.show", farm_id=farm_id)
