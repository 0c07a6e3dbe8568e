"""The Feed page: what is in store, what the herd eats, how long it lasts, and what first cutting must bring."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, Response

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import balance as services
from app.services import farms, feed, herds
from app.units import shapes
from app.web.citations import cited
from app.web.feed_charts import ChartView, balance_chart
from app.web.forms import REFUSED, FormView, Typed, form_view, status_of, typed_form
from app.web.pages import go, reader_of, show
from app.web.stores import StoresView, stores_view
from app.web.transactions import FarmId, reading, writing

router = APIRouter(include_in_schema=False)
ROOT = "/farms/{farm_id}/feed"
PRIVATE = {"Cache-Control": "private, no-cache"}


@dataclass(frozen=True, eq=False)
class FeedPage:
    """The whole page. `lines` are the herd's groups; `query` carries what is tried to the live part."""

    balance: services.BalancePage
    chart: ChartView | None
    form: FormView
    query: str
    sources: tuple
    lines: tuple[herds.GroupLine, ...]
    stores: StoresView | None = None
    refused: bool = False


def _page(
    request: Request, work: Work, farm_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> FeedPage:
    """The page with what is tried in the address (GET) or in a form that was refused (POST)."""
    loaded = services.load(work, farm_id)
    texts = typed.values if typed else request.query_params
    read = shapes.read(services.WHAT_IF_SHAPE, texts, work.actor.units, loaded.today, partial=True)
    present = services.present_values(loaded)
    form = form_view(services.WHAT_IF_SHAPE, work.actor.units, present, typed, refused)
    tried = services.what_if_of(read.values, loaded)
    if typed is None:
        columns = [column.name for column in services.WHAT_IF_SHAPE.columns if column.name in texts]
        form.texts = {**form.texts, **{name: texts[name] for name in columns}}
        form = replace(form, errors=read.errors)
    balance = services.balance_of(loaded, services.WhatIf() if read.errors else tried)
    query = urlencode({name: form.texts[name] for name in tried.changed}) if not read.errors else ""
    chart = balance_chart(balance, reader_of(request, work.actor))
    return FeedPage(balance, chart, form, query, cited(request, feed.SOURCES), loaded.herd)


def _status(page: FeedPage, refused: AppError | None = None) -> int:
    return 422 if refused is None and page.form.errors else status_of(refused)


@router.get(ROOT, name="feed.show")
def show_feed(request: Request, farm_id: FarmId) -> Response:
    with reading(request) as work:
        return _whole(request, work, farm_id, _page(request, work, farm_id))


def _whole(request: Request, work: Work, farm_id: int, page: FeedPage, refused: AppError | None = None) -> Response:
    stores = stores_view(request, work, farm_id, page.balance.loaded.stores)
    page = replace(page, stores=stores, refused=refused is not None)
    return show(request, work, "feed/show.html", page, farm_id, _status(page, refused))


@router.get(ROOT + "/_balance", name="feed.balance_part")
def balance_part(request: Request, farm_id: FarmId) -> Response:
    """The live part; with something tried in the address it is worked out beside the present."""
    with reading(request) as work:
        page = _page(request, work, farm_id)
        return show(request, work, "feed/_balance.html", page, farm_id, _status(page))


@router.get(ROOT + "/_figure", name="feed.figure")
def figure(request: Request, farm_id: FarmId) -> Response:
    """The chart as a figure for the desk, with what is tried in the address."""
    with reading(request) as work:
        chart = _page(request, work, farm_id).chart
    return JSONResponse(chart.figure if chart else {"data": [], "layout": {}}, headers=PRIVATE)


@router.post(ROOT + "/keep", name="feed.keep")
def keep(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    """Write what was tried, with its lines of history."""
    try:
        with writing(request, typed) as work:
            farm = farms.access_farm(work, farm_id, Permission.HERD_EDIT)
            shape = services.WHAT_IF_SHAPE
            values = typed.read(shape, work, work.today(farm.time_zone), partial=True)
            services.keep_what_if(work, farm_id, values, typed.was(shape, work))
    except REFUSED as refused:
        with reading(request) as work:
            return _whole(request, work, farm_id, _page(request, work, farm_id, typed, refused), refused)
    return go(request, "feed.show", farm_id=farm_id, fragment=f"feed-balance-{farm_id}")
