"""What a crew phone sees after scanning the code in the yard."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from app.errors import AppError
from app.services import crew as services
from app.web.accounts import device_of, signed_in
from app.web.attempts import limited
from app.web.forms import REFUSED, FormView, Typed, form_view, status_of, typed_form
from app.web.pages import language_of, show
from app.web.transactions import reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Page:
    farm: str
    code: str
    form: FormView


@router.get("/crew/{code}", name="crew.show")
def show_code(request: Request, code: str) -> Response:
    with limited(request):
        return _page(request, code)


def _page(request: Request, code: str, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request, anyone=True) as work:
        form = form_view(services.PHONE_SHAPE, "us", typed=typed, refused=refused)
        page = Page(services.find_farm_name(work, code), code, form)
        return show(request, work, "crew/show.html", page, status=status_of(refused))


@router.post("/crew/{code}", name="crew.come_in")
def come_in(request: Request, code: str, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with limited(request), writing(request, anyone=True) as work:
            name = typed.read(services.PHONE_SHAPE, work)["name"]
            new, farm_id = services.come_in(work, code, name, device_of(request), language_of(request))
    except REFUSED as refused:
        return _page(request, code, typed, refused)
    return signed_in(request, new, str(request.app.url_path_for("home.farm", farm_id=farm_id)))
