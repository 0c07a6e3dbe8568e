"""Every sheet of the workbook, in the order in which one may name rows of those before it."""

from __future__ import annotations

from app.services.workbook.feed import (
    DeliverySheet,
    FeedoutSheet,
    FeedSheet,
    LoadSheet,
    LotSheet,
    MeasurementSheet,
    StructureSheet,
    SupplySheet,
)
from app.services.workbook.fields import CountSheet, FieldSheet, ScoutingSheet, StandSheet
from app.services.workbook.ground import CuttingSheet, FarmSheet, SettingsSheet, ShareSheet
from app.services.workbook.herd import GroupSheet, HeadSheet, InclusionSheet
from app.services.workbook.lab import AnalyteNameSheet, SampleSheet
from app.services.workbook.sheets import Sheet
from app.services.workbook.weather import DaySheet, StationSheet
from app.services.workbook.yard import DecisionSheet, ItemSheet, MachineSheet

SHEETS: tuple[type[Sheet], ...] = (
    FarmSheet,
    SettingsSheet,
    CuttingSheet,
    ShareSheet,
    FieldSheet,
    StandSheet,
    CountSheet,
    ScoutingSheet,
    StationSheet,
    DaySheet,
    StructureSheet,
    FeedSheet,
    LotSheet,
    MeasurementSheet,
    LoadSheet,
    FeedoutSheet,
    SupplySheet,
    DeliverySheet,
    SampleSheet,
    AnalyteNameSheet,
    GroupSheet,
    HeadSheet,
    InclusionSheet,
    MachineSheet,
    ItemSheet,
    DecisionSheet,
)


def every_sheet() -> dict[str, Sheet]:
    """New sheets by key; they remember things of one workbook while it is read."""
    return {each.key: each() for each in SHEETS}
