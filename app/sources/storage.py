"""Publications behind the storage figures."""

from app.sources.source import Source

STORAGE: dict[str, Source] = {}
