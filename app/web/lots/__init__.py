"""Lots and everything noted about them."""

from fastapi import APIRouter

from app.web.lots import entries, lots

router = APIRouter(include_in_schema=False)
router.include_router(lots.router)
router.include_router(entries.router)
