"""Deliveries of a supply: added, changed, received, taken off and put back."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response

from app.access.permissions import Permission
from app.errors import AppError
from app.services import feeds as feed_services
from app.services import supplies as services
from app.units import shapes
from app.web.forms import REFUSED, FormView, Typed, form_view, row_values, status_of, typed_form
from app.web.pages import go, show
from app.web.supplies.views import ROOT, supply_view
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)
DELIVERY = ROOT + "/deliveries/{delivery_id}"


@dataclass(frozen=True)
class DeliveryPage:
    form: FormView
    delivery_id: int
    supply_id: int
    supply_name: str


@router.post(ROOT + "/{supply_id}/deliveries", name="supplies.add_delivery")
def add(request: Request, farm_id: FarmId, supply_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.access_supply(work, farm_id, supply_id, Permission.FEED_EDIT)
            farm = feed_services.access_farm(work, farm_id)
            values = typed.read(services.DELIVERY_SHAPE, work, work.today(farm.time_zone))
            services.add_delivery(work, farm_id, supply_id, values, sure=typed.sure)
            return go(request, "supplies.supply", "supplies-deliveries", farm_id=farm_id, supply_id=supply_id)
    except REFUSED as refused:
        with reading(request) as work:
            page = supply_view(request, work, farm_id, supply_id, typed, refused)
            return show(request, work, "supplies/supply.html", page, farm_id, status_of(refused))


@router.get(DELIVERY, name="supplies.delivery")
def delivery(request: Request, farm_id: FarmId, delivery_id: Id) -> Response:
    return _page(request, farm_id, delivery_id)


def _page(
    request: Request, farm_id: int, delivery_id: int, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        row = services.access_delivery(work, farm_id, delivery_id, Permission.FEED_EDIT)
        supply = services.access_supply(work, farm_id, row.supply_id)
        shape = services.DELIVERY_SHAPE
        form = form_view(shape, work.actor.units, row_values(row, shape), typed, refused)
        page = DeliveryPage(form, row.id, supply.id, supply.name)
        return show(request, work, "supplies/delivery.html", page, farm_id, status_of(refused))


@router.post(DELIVERY, name="supplies.edit_delivery")
def edit(request: Request, farm_id: FarmId, delivery_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            row = services.access_delivery(work, farm_id, delivery_id, Permission.FEED_EDIT)
            farm, shape = feed_services.access_farm(work, farm_id), services.DELIVERY_SHAPE
            values = typed.read(shape, work, work.today(farm.time_zone))
            services.edit_delivery(work, farm_id, delivery_id, values, typed.was(shape, work), sure=typed.sure)
            return go(request, "supplies.supply", "supplies-deliveries", farm_id=farm_id, supply_id=row.supply_id)
    except REFUSED as refused:
        return _page(request, farm_id, delivery_id, typed, refused)


@router.post(DELIVERY + "/receive", name="supplies.receive")
def receive(request: Request, farm_id: FarmId, delivery_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        row = services.receive_delivery(work, farm_id, delivery_id)
        return go(request, "supplies.supply", "supplies-deliveries", farm_id=farm_id, supply_id=row.supply_id)


@router.post(DELIVERY + "/expect", name="supplies.expect")
def expect(request: Request, farm_id: FarmId, delivery_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        row = services.expect_again(work, farm_id, delivery_id)
        return go(request, "supplies.supply", "supplies-deliveries", farm_id=farm_id, supply_id=row.supply_id)


@router.post(DELIVERY + "/remove", name="supplies.remove_delivery")
def remove(request: Request, farm_id: FarmId, delivery_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    """Take a delivery off; the page that follows offers to put it back with the values it had."""
    with writing(request, typed) as work:
        supply_id, kept = services.remove_delivery(work, farm_id, delivery_id)
        texts = shapes.write(services.DELIVERY_SHAPE, kept, work.actor.units)
    query = urlencode({f"off_{name}": text for name, text in texts.items() if text})
    url = str(request.app.url_path_for("supplies.supply", farm_id=farm_id, supply_id=supply_id))
    url = f"{url}?{query}#supplies-deliveries"
    if "HX-Request" in request.headers:
        return Response(status_code=204, headers={"HX-Redirect": url})
    return RedirectResponse(url, status_code=303)
