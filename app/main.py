"""Put the app together."""

from __future__ import annotations

import asyncio
import importlib
import pkgutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress

from anyio import to_thread
from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware

from app import web
from app.access.work import Clock
from app.events.bus import Bus
from app.events.postgres import hear_other_processes
from app.records.base import Database
from app.settings import Settings
from app.web import assets
from app.web.errors import add_error_pages
from app.web.security import Fence

THREADS = 4
"""Requests worked on at once: more threads only queue for the interpreter (measured: twice the tail at 40)."""


def create_app(settings: Settings | None = None, clock: Clock | None = None) -> FastAPI:
    """The whole app on the database of the settings; the database must be migrated already."""
    settings = settings or Settings()
    app = FastAPI(
        title="Swathboard",
        version="1",
        lifespan=_lifespan,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        description="The figures of each farm's board as JSON.",
    )
    app.state.settings = settings
    app.state.clock = clock or Clock(settings.today)
    app.state.database = Database(settings.database)
    app.state.bus = Bus()
    app.state.kept_parts = {}
    for module in pkgutil.iter_modules(web.__path__):
        router = getattr(importlib.import_module(f"app.web.{module.name}"), "router", None)
        if router is not None:
            app.include_router(router)
    add_error_pages(app)
    app.add_middleware(GZipMiddleware, minimum_size=600, compresslevel=5)
    app.add_middleware(Fence)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    to_thread.current_default_thread_limiter().total_tokens = THREADS
    await to_thread.run_sync(assets.built)
    listening = asyncio.create_task(hear_other_processes(app.state.database, app.state.bus))
    try:
        yield
    finally:
        app.state.bus.close()
        listening.cancel()
        with suppress(asyncio.CancelledError):
            await listening
        app.state.database.close()
