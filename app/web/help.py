"""What each number means, and where it comes from. Open to everyone: it holds nothing of any farm."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.services import help as services
from app.web.pages import show
from app.web.transactions import reading

router = APIRouter(include_in_schema=False)


@router.get("/help", name="help.show")
def show_help(request: Request) -> Response:
    with reading(request, anyone=True) as work:
        return show(request, work, "help/show.html", services.help_page())
