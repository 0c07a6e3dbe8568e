"""What every request passes first: same-site check for writes, and the headers that fence the page in."""

from __future__ import annotations

from urllib.parse import urlsplit

from fastapi import Request
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

EMPTY_STYLE = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
PLOTLY_STYLE = "'sha256-ji27qzEtxXZW+7dun6UwjHXJ18e6WAin1VvNtkzIE/o='"
"""The one `<style>` the pinned plotly bundle adds; it changes with its version."""
POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self'",
        f"style-src 'self' {EMPTY_STYLE} {PLOTLY_STYLE}",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "worker-src 'self'",
        "manifest-src 'self'",
    )
)
FENCE = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), payment=(), geolocation=(self)",
}
SAFE = {"GET", "HEAD", "OPTIONS"}


def is_from_elsewhere(headers: Headers, host: str) -> bool:
    """Whether a write was set off by another site: by Sec-Fetch-Site where sent, and by Origin."""
    if headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        return True
    origin = headers.get("origin")
    return (origin is not None and origin != "null" and urlsplit(origin).netloc != host) or origin == "null"


class Fence:
    """ASGI middleware: refuses cross-site writes and adds the security headers."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)

        async def send_fenced(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in FENCE.items():
                    headers.setdefault(name, value)
            await send(message)

        bearer = request.headers.get("authorization", "").lower().startswith("bearer ")
        if (
            request.method not in SAFE
            and not bearer
            and is_from_elsewhere(request.headers, request.headers.get("host", ""))
        ):
            await send_fenced(
                {
                    "type": "http.response.start",
                    "status": 403,
                    "headers": [(b"content-type", b"text/plain; charset=utf-8")],
                }
            )
            await send(
                {"type": "http.response.body", "body": b"This form was sent from another site, so nothing was done."}
            )
            return
        await self.app(scope, receive, send_fenced)
