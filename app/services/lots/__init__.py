"""What people do with lots: describe them, measure what is left, note what went in and what was fed out."""

from typing import Any

from app.access.permissions import Permission
from app.records.feeds import Feedout, Load, LotMeasurement
from app.services.lots.edits import (
    access_lot,
    add_lot,
    edit_lot,
    list_removed,
    list_used_up,
    parts_of,
    remove_lot,
    restore_lot,
)
from app.services.lots.entries import (
    access_entry,
    add_feedout,
    add_load,
    add_measurement,
    correct,
    withdraw,
)
from app.services.lots.on_hand import LotOnHand, Quality, list_lots_on_hand
from app.services.lots.pages import Entry, LotPage, choices, field_choices, kind_of_store, lot_page
from app.services.lots.shapes import (
    FEEDOUT_SHAPE,
    LOAD_SHAPE,
    LOT_SHAPE,
    MEASUREMENT_SHAPE,
    METHOD_NAMES,
    load_shape,
    lot_shape,
    measurement_shape,
    methods_for,
)

TABLES: dict[str, type[Any]] = {"measurement": LotMeasurement, "feedout": Feedout, "load": Load}
"""Readings of a lot by the word in their address."""

__all__ = [
    "FEEDOUT_SHAPE",
    "LOAD_SHAPE",
    "LOT_SHAPE",
    "MEASUREMENT_SHAPE",
    "METHOD_NAMES",
    "TABLES",
    "Entry",
    "Feedout",
    "Load",
    "LotMeasurement",
    "LotOnHand",
    "LotPage",
    "Permission",
    "Quality",
    "access_entry",
    "access_lot",
    "add_feedout",
    "add_load",
    "add_lot",
    "add_measurement",
    "choices",
    "correct",
    "edit_lot",
    "field_choices",
    "kind_of_store",
    "list_lots_on_hand",
    "list_removed",
    "list_used_up",
    "load_shape",
    "lot_page",
    "lot_shape",
    "measurement_shape",
    "methods_for",
    "parts_of",
    "remove_lot",
    "restore_lot",
    "withdraw",
]
