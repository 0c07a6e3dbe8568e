"""A page with two live parts and a stream that the test speaks through, for tests of the browser's small client."""

from __future__ import annotations

import asyncio
import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace

import uvicorn
from fastapi import FastAPI, Request
from fastapi.responses import HTMLResponse, StreamingResponse
from markupsafe import Markup

from app.web import assets
from app.web.pages import environment
from app.web.security import Fence

PAGE = """<!doctype html><html lang="en" data-theme="day">
<head>{% include "layout/_head.html" %}<title>x</title></head>
<body data-stream="/stream" data-seq="7" {% include "layout/_words.html" %}>
<p class="live"><b id="layout-connection" role="status"></b><span id="layout-presence"></span></p>
<form action="/theme" method="post" data-theme-form>
  <button name="theme" value="day" aria-pressed="true">Day</button>
  <button name="theme" value="night">Night</button></form>
<div id="layout-message" role="alert"></div>
{{ part('one') }}{{ part('two') }}
<div class="stepper"><button type="button" data-step="-1">-</button>
  <input id="height" value="24" data-low="1" data-high="25">
  <button type="button" data-step="1">+</button></div>
<form id="save" action="/save" method="post" hx-post="/save" hx-target="#save" hx-swap="outerHTML">
  <input id="area" name="area" value=""><button>Save</button></form>
</body></html>"""


PART = """<div id="{name}" data-live="{name}" data-from="/parts/{name}"><p class="says">{text}</p>
<form method="post" action="/x"><input id="{name}-note" value="{text}"><button id="{name}-tick">Tick</button></form>
<details id="{name}-more"><summary>More</summary>{text}</details></div>"""


class SmallPage:
    """The server's state: what each part says, and the streams that are open."""

    def __init__(self) -> None:
        self.says = {"one": "first", "two": "first"}
        self.gone: set[str] = set()
        self.seqs: list[str] = []
        self.queues: list[asyncio.Queue] = []
        self.loop: asyncio.AbstractEventLoop | None = None
        self.address = ""
        self.refuses = False

    def part(self, name: str) -> str:
        return Markup(PART).format(name=name, text=self.says[name])

    def send(self, kind: str, **what) -> None:
        assert self.loop
        text = f"event: {kind}\ndata: {json.dumps(what)}\n\n"
        self.loop.call_soon_threadsafe(lambda: [queue.put_nowait(text) for queue in self.queues])

    def change(self, name: str, text: str, seq: int, by: str = "Ana") -> None:
        self.says[name] = text
        self.send("message", seq=seq, by=by, parts=[name])

    def cut_streams(self) -> None:
        assert self.loop
        self.loop.call_soon_threadsafe(lambda: [queue.put_nowait(None) for queue in self.queues])


def small_app(page: SmallPage) -> FastAPI:
    app = FastAPI()
    app.include_router(assets.router)
    app.add_middleware(Fence)
    words = {"_": lambda text, **gaps: text % gaps if gaps else text, "asset": assets.asset, "part": page.part}

    @app.get("/")
    def show() -> HTMLResponse:
        return HTMLResponse(environment().from_string(PAGE).render(**words))

    @app.get("/parts/{name}")
    def part(name: str) -> HTMLResponse:
        return HTMLResponse("", 404) if name in page.gone else HTMLResponse(page.part(name))

    @app.get("/stream")
    async def stream(request: Request) -> StreamingResponse:
        page.loop = asyncio.get_running_loop()
        page.seqs.append(request.query_params["seq"])
        queue: asyncio.Queue = asyncio.Queue()
        page.queues.append(queue)

        async def lines():
            yield ": hello\n\n"
            while (text := await queue.get()) is not None:
                yield text
            page.queues.remove(queue)

        return StreamingResponse(lines(), media_type="text/event-stream")

    @app.post("/theme")
    def theme() -> HTMLResponse:
        return HTMLResponse("", 303, {"location": "/"})

    @app.post("/save")
    async def save(request: Request) -> HTMLResponse:
        typed = (await request.form())["area"]
        if page.refuses:
            return HTMLResponse('<p class="message">Your role does not allow that.</p>', 403)
        field = f'<input id="area" name="area" value="{typed}" aria-invalid="true">'
        return HTMLResponse(
            f'<form id="save" action="/save" method="post">{field}<p class="error">Too large</p></form>', 422
        )

    return app


@contextmanager
def serving(page: SmallPage) -> Iterator[SimpleNamespace]:
    """The page on a free port of this machine, until the block ends."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    config = uvicorn.Config(
        small_app(page), host="127.0.0.1", port=port, log_level="error", timeout_graceful_shutdown=1
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)

    def stop() -> None:
        server.should_exit = True
        if page.loop and thread.is_alive():
            page.cut_streams()
        thread.join(5)

    try:
        yield SimpleNamespace(address=f"http://127.0.0.1:{port}/", stop=stop)
    finally:
        stop()
