"""Sheets of feed: structures, feeds, lots with their readings, and supplies with their deliveries."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy import or_, select

from app.errors import Invalid
from app.records.feeds import Delivery, Feed, Feedout, Load, Lot, LotMeasurement, Structure, Supply
from app.records.herds import Inclusion
from app.services.feeds import FEED_SHAPE, check_dry_matter
from app.services.lots.edits import check_days
from app.services.lots.questions import ask_density
from app.services.lots.shapes import FEEDOUT_SHAPE, LOAD_SHAPE, LOT_SHAPE, MEASUREMENT_SHAPE
from app.services.structures import STRUCTURE_SHAPE, check_sizes
from app.services.supplies.shapes import DELIVERY_SHAPE, SUPPLY_SHAPE
from app.services.workbook.book import Book, Line
from app.services.workbook.readings import ReadingSheet
from app.services.workbook.sheets import Sheet, named
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Shape

PARTS = ("board-figures", "feed-balance", "lots-table", "structures-drawn", "supplies-table")
LOT = named("lot", "Lot", "Bunker 2, first cutting")
FEED = named("feed", "Feed", "Alfalfa haylage")
FIGURES = ("length_m", "height_m", "volume_m3", "bales_count", "mass_af_kg", "mass_dm_kg")


class StructureSheet(Sheet):
    key, title, table, shape, parts = "structures", "Structures", Structure, STRUCTURE_SHAPE, PARTS
    defaults = {"bale_is_round": True}

    def select(self, book: Book) -> Any:
        """Structures that lots still lie in stay with them, even when they were taken off the page."""
        used = select(Lot.structure_id).where(Lot.farm_id == book.farm_id, Lot.removed_at.is_(None))
        there = or_(Structure.removed_at.is_(None), Structure.id.in_(used))
        return (
            select(Structure).where(Structure.farm_id == book.farm_id, there).order_by(Structure.position, Structure.id)
        )

    def check(self, book: Book, line: Line) -> None:
        check_sizes({name: value for name, value in line.values.items() if name != "note"})


class FeedSheet(Sheet):
    key, title, table, shape, parts = "feeds", "Feeds", Feed, FEED_SHAPE, PARTS

    def select(self, book: Book) -> Any:
        """Feeds that something still names stay with it, even when they were taken off the list."""
        live = [select(table.feed_id).where(table.farm_id == book.farm_id, table.removed_at.is_(None))
                for table in (Lot, Supply)]  # fmt: skip
        shares = select(Inclusion.feed_id).where(Inclusion.farm_id == book.farm_id)
        there = or_(Feed.removed_at.is_(None), *(Feed.id.in_(used) for used in (*live, shares)))
        return select(Feed).where(Feed.farm_id == book.farm_id, there).order_by(Feed.id)

    def check(self, book: Book, line: Line) -> None:
        check_dry_matter(line.values["dm_frac"], line.values["kind"], sure=False)


def kind_of(book: Book, feed: Any) -> str:
    """The kind of the feed of that name."""
    place = book.find("feeds", feed)
    return place.values["kind"] if place is not None else "other"


class LotSheet(Sheet):
    key, title, table, parts = "lots", "Lots", Lot, PARTS
    refs = {"feed": "feeds", "structure": "structures"}
    shape = Shape(
        "lots",
        (LOT_SHAPE.columns[0], FEED, named("structure", "Structure", "Bunker 2", required=False),
         *LOT_SHAPE.columns[1:]),
    )  # fmt: skip

    def check(self, book: Book, line: Line) -> None:
        check_days(line.values)
        check_dry_matter(line.values["dm_frac"], kind_of(book, line.values["feed"]), sure=False)
        ask_density(line.values["density_kg_m3"], line.values["dm_frac"], sure=False)


class LotReadingSheet(ReadingSheet):
    """Readings of a lot."""

    parts = PARTS
    refs = {"lot": "lots"}

    def feed_kind(self, book: Book, line: Line) -> str:
        lot = book.find("lots", line.values["lot"])
        return kind_of(book, lot.values["feed"]) if lot is not None else "other"

    def check_reading(self, book: Book, line: Line) -> None:
        check_dry_matter(line.values["dm_frac"], self.feed_kind(book, line), sure=False)


class MeasurementSheet(LotReadingSheet):
    key, title, table = "lot_measurements", "Measurements", LotMeasurement
    identity, day = ("lot", "measured_on", "method"), "measured_on"
    shape = Shape(
        "lot_measurements",
        (
            LOT,
            *(
                replace(column, label="Weight of dry matter") if column.name == "mass_dm_kg" else column
                for column in MEASUREMENT_SHAPE.columns
            ),
        ),
    )

    def check_reading(self, book: Book, line: Line) -> None:
        if all(line.values[name] is None for name in FIGURES):
            raise Invalid({"method": Sentence("Type the amount that was found: sizes, a weight or a count.")})
        super().check_reading(book, line)
        ask_density(line.values["density_kg_m3"], line.values["dm_frac"], sure=False)


class FeedoutSheet(LotReadingSheet):
    key, title, table, corrects = "feedouts", "Feed-out", Feedout, False
    identity, day = ("lot", "from_on"), "from_on"
    shape = Shape("feedouts", (LOT, *FEEDOUT_SHAPE.columns))

    def line(self, row: Any, typed: Any, stored: Any) -> Line:
        """An empty last day is the first one; nothing thrown away is zero."""
        filled = dict(typed)
        for name, other in (("to_on", typed.get("from_on")), ("thrown_af_kg", 0.0)):
            if name in filled and filled[name] is None:
                filled[name] = other
        made = super().line(row, filled, stored)
        made.values["to_on"] = made.values["to_on"] or made.values["from_on"]
        return made

    def check_reading(self, book: Book, line: Line) -> None:
        taken, thrown = line.values["mass_af_kg"], line.values["thrown_af_kg"] or 0.0
        if line.values["to_on"] < line.values["from_on"]:
            raise Invalid({"to_on": Sentence("It ends before it begins, on {day}.", day=line.values["from_on"])})
        if line.values["to_on"] > book.today:
            raise Invalid({"to_on": Sentence("{day} is still to come.", day=line.values["to_on"])})
        if thrown > taken:
            why = Sentence("More was thrown away than the {mass} taken out.", mass=Quantity(taken, "mass_af"))
            raise Invalid({"thrown_af_kg": why})
        lot = book.find("lots", line.values["lot"])
        sealed = lot.values["sealed_on"] if lot is not None else None
        if sealed and line.values["from_on"] < sealed:
            why = Sentence("The lot was sealed on {day}; nothing was fed before that.", day=sealed)
            raise Invalid({"from_on": why})
        super().check_reading(book, line)


class LoadSheet(LotReadingSheet):
    key, title, table, corrects = "loads", "Loads", Load, False
    identity, day, refs = ("lot", "loaded_on"), "loaded_on", {"lot": "lots", "field": "fields"}
    shape = Shape("loads", (LOT, named("field", "Field", "Long Acre", required=False), *LOAD_SHAPE.columns))


class SupplySheet(Sheet):
    key, title, table, parts = "supplies", "Supplies", Supply, PARTS
    refs = {"feed": "feeds"}
    shape = Shape("supplies", (SUPPLY_SHAPE.columns[0], FEED, *SUPPLY_SHAPE.columns[1:]))
    defaults = {"on_hand_af_kg": 0.0}

    def check(self, book: Book, line: Line) -> None:
        check_dry_matter(line.values["dm_frac"], kind_of(book, line.values["feed"]), sure=False)
        if (line.values["ndf_frac"] or 0.0) + (line.values["cp_frac"] or 0.0) > 1:
            raise Invalid({"ndf_frac": Sentence("NDF and crude protein together make more than the whole dry matter.")})


class DeliverySheet(Sheet):
    key, title, table, parts = "deliveries", "Deliveries", Delivery, PARTS
    identity, refs, is_named, is_unique = ("supply", "due_on"), {"supply": "supplies"}, False, False
    shape = Shape(
        "deliveries",
        (named("supply", "Supply", "Wet distillers grains, contract"),
         *(replace(column, ask_if="") if column.name == "due_on" else column for column in DELIVERY_SHAPE.columns)),
    )  # fmt: skip

    def select(self, book: Book) -> Any:
        return super().select(book).order_by(None).order_by(Delivery.supply_id, Delivery.due_on, Delivery.id)

    def check(self, book: Book, line: Line) -> None:
        received = line.values["received_on"]
        if received is not None and received > book.today:
            raise Invalid({"received_on": Sentence("{day} is still to come.", day=received)})
