"""Publications behind the weather drying figures."""

from app.sources.source import Source

WEATHER_DRYING: dict[str, Source] = {}
