"""Supplies and their deliveries."""

from fastapi import APIRouter

from app.web.supplies import deliveries, supplies

router = APIRouter(include_in_schema=False)
router.include_router(supplies.router)
router.include_router(deliveries.router)
