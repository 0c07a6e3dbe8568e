"""Publications behind the herd feed lab figures."""

from app.sources.source import Source

HERD_FEED_LAB: dict[str, Source] = {}
