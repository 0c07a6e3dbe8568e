"""The Readiness page: the list of the coming cutting and its items."""

from fastapi import APIRouter

from app.web.checklists import items, lists

router = APIRouter(include_in_schema=False)
router.include_router(lists.router)
router.include_router(items.router)
