"""Where every formula and default comes from, by the key that docstrings cite as `[Key]_`."""

from app.sources.herd_feed_lab import HERD_FEED_LAB
from app.sources.source import Source
from app.sources.standing_crop import STANDING_CROP
from app.sources.storage import STORAGE
from app.sources.weather_drying import WEATHER_DRYING

SOURCES: dict[str, Source] = STANDING_CROP | STORAGE | HERD_FEED_LAB | WEATHER_DRYING

__all__ = ["SOURCES", "Source"]
