"""Every table, imported in one place so that the metadata is whole."""

from app.records import accounts, checklists, farms, feeds, fields, herds, history, samples, scoutings, stations
from app.records.base import Row

__all__ = [
    "Row",
    "accounts",
    "checklists",
    "farms",
    "feeds",
    "fields",
    "herds",
    "history",
    "samples",
    "scoutings",
    "stations",
]
