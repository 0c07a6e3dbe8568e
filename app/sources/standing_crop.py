"""Publications behind the standing crop figures."""

from app.sources.source import Source

STANDING_CROP: dict[str, Source] = {}
