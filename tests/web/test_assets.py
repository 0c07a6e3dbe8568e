"""Browser files are served under names that never change their content."""

import asyncio

import brotli
import httpx
import pytest
from fastapi import FastAPI

from app.errors import NotFound
from app.web import assets


def ask(path: str, encoding: str = "identity") -> httpx.Response:
    app = FastAPI()
    app.include_router(assets.router)

    async def get() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://swathboard.test") as client:
            return await client.get(path, headers={"Accept-Encoding": encoding})

    return asyncio.run(get())


@pytest.mark.parametrize("name", ["app.css", "app.js", "desk.js", "icon.svg", "plotly.js"])
def test_each_file_is_there_and_may_be_kept_for_ever(name):
    answer = ask(assets.asset(name))
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert answer.headers["vary"] == "Accept-Encoding"
    assert "content-encoding" not in answer.headers


@pytest.mark.parametrize(("accepted", "sent"), [("gzip, deflate, br", "br"), ("gzip", "gzip"), ("deflate", None)])
def test_the_smallest_form_the_browser_takes_is_sent(accepted, sent):
    answer = ask(assets.asset("app.css"), accepted)
    assert answer.headers.get("content-encoding") == sent
    assert "--ground" in answer.text and answer.headers["content-type"].startswith("text/css")


def test_a_brotli_file_is_what_its_length_says():
    answer = ask(assets.asset("app.js"), "br")
    path = assets.outside_folder("static") / "built" / (assets.built()["app.js"] + ".br")
    assert int(answer.headers["content-length"]) == path.stat().st_size
    assert brotli.decompress(path.read_bytes()) == answer.content


@pytest.mark.parametrize("name", ["app.css", "live.js", "bundle.py", "..%2Fbundle.py", "app.0000000000.css"])
def test_nothing_else_of_the_folder_is_served(name):
    try:
        assert ask(f"/static/{name}").status_code == 404
    except NotFound:
        return  # without the app's error pages the refusal arrives as it was raised


def test_an_unknown_name_in_a_template_is_a_mistake_at_once():
    with pytest.raises(KeyError):
        assets.asset("app.cs")


def test_plotly_is_sent_as_it_is_where_nothing_may_be_written(monkeypatch):
    def refuse(static):
        raise PermissionError("read-only")

    monkeypatch.setattr(assets.bundling, "prepare_plotly", refuse)
    assets.built.cache_clear()
    try:
        assert ask(assets.asset("plotly.js"), "br").content[:9] == assets.bundling.plotly_source().read_bytes()[:9]
    finally:
        assets.built.cache_clear()
