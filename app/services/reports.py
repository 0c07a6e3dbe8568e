"""Every figure of a farm's board as plain values: unit, as-of, range and source, for the command line and the API."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.access.gate import access_farm
from app.access.work import Work
from app.planning.estimates import DateEstimate, Estimate
from app.services import lots
from app.services.board import BoardPage, board_page
from app.units.kinds import KINDS, System
from app.units.sentences import Sentence
from app.units.wording import Reader


@dataclass(frozen=True)
class Figure:
    """One figure: `value` is an Estimate, a DateEstimate, a day, a count or a text."""

    key: str
    label: str
    value: Any
    as_of: date | None = None
    sources: tuple[str, ...] = ()


def report_farm(work: Work, farm_id: int, units: System | None = None) -> dict[str, Any]:
    """Every figure of the board. Numbers come in the asked units (the account's by default), unrounded."""
    farm = access_farm(work, farm_id)
    board = board_page(work, farm_id)
    system: System = units or work.actor.units
    return {
        "farm": {"id": farm.id, "name": farm.name, "time_zone": farm.time_zone, "seq": farm.seq},
        "today": work.today(farm.time_zone).isoformat(),
        "units": system,
        "figures": [_said(figure, Reader("en", system)) for figure in figures_of(work, farm_id, board)],
    }


def figures_of(work: Work, farm_id: int, board: BoardPage) -> Iterator[Figure]:
    """The board's figures in the order of the page."""
    yield from _need(board)
    yield from _ready(board)
    yield from _cut(board)
    yield from _yard(board)
    for lot in lots.list_lots_on_hand(work, farm_id):
        yield Figure(f"lot.{lot.id}.mass_dm", f"{lot.name}: dry matter on hand", lot.mass_dm, lot.as_of, lot.sources)
        yield Figure(f"lot.{lot.id}.mass_af", f"{lot.name}: as fed on hand", lot.mass_af, lot.as_of, lot.sources)
        yield Figure(f"lot.{lot.id}.dm", f"{lot.name}: dry matter content", lot.dm_frac, lot.as_of)
    for field in board.maturity.fields:
        yield from _field(field)


def _need(board: BoardPage) -> Iterator[Figure]:
    need = board.need
    yield Figure("need.must_bring", "Dry matter first cutting must bring into storage", need.must_bring, need.as_of)
    yield Figure("need.must_bring_af", "The same as fed", need.must_bring_af, need.as_of)
    yield Figure("need.ndf_ceiling", "NDF it may have at most", need.ndf_ceiling, need.as_of)
    for must in need.by_class:
        yield Figure(f"need.must_bring.{must.use_class}", f"Dry matter for {must.use_class}", must.dm, need.as_of)
        yield Figure(
            f"need.ndf_ceiling.{must.use_class}", f"NDF ceiling for {must.use_class}", must.ndf_ceiling, need.as_of
        )
    for use_class, day in need.run_out:
        yield Figure(f"need.run_out.{use_class}", f"First day {use_class} cannot be fed in full", day, need.as_of)
    yield Figure("need.run_out", "First day the herd cannot be fed in full", need.run_out_all, need.as_of)
    yield Figure("need.new_crop_fed", "First day the new crop can be fed", need.usable, need.as_of)
    yield Figure("need.carry_over", "Feed left when the new crop can be fed", need.carry_over, need.as_of)
    for short in (need.short, need.short_target, need.short_next_year):
        for name, value in (("dm", short.dm), ("af", short.af), ("days", short.days), ("cost", short.cost)):
            yield Figure(f"need.short.{short.key}.{name}", f"Short {short.label} ({name})", value, need.as_of)
    yield Figure("need.says", "What we need", need.says, need.as_of)


def _ready(board: BoardPage) -> Iterator[Figure]:
    ready = board.ready
    yield Figure("ready.start", "Start projected from the fields", ready.start, ready.as_of)
    yield Figure("ready.heat", "Heat so far", ready.heat, board.maturity.heat.last_observed_on)
    yield Figure("ready.days_ahead", "Days ahead of the middle past year", Estimate(ready.ahead_d, "days"))
    yield Figure("ready.fields_scouted", "Fields scouted", ready.scouted_count)
    yield Figure("ready.says", "When it is ready", ready.says)


def _cut(board: BoardPage) -> Iterator[Figure]:
    cut = board.cut
    yield Figure("cut.start", "Start, agreed or projected", DateEstimate(cut.on, cut.earliest, cut.latest))
    yield Figure("cut.is_agreed", "Start is agreed", cut.is_agreed)
    yield Figure("cut.stubble", "Stubble", Estimate(cut.stubble_cm, "height"))
    yield Figure("cut.swath", "Swath, share of the cut", Estimate(cut.swath_frac, "percent"))
    yield Figure("cut.mass_dm", "Dry matter first cutting brings", cut.tons)
    yield Figure("cut.ndf_fed", "NDF when fed, cut on the start", cut.ndf)


def _yard(board: BoardPage) -> Iterator[Figure]:
    yard = board.yard
    yield Figure("yard.done", "Items done", yard.done)
    yield Figure("yard.total", "Items in all", yard.total)
    yield Figure("yard.left_before_start", "Open items due before the start", yard.left_before_start)
    yield Figure("yard.late", "Items late", yard.late)
    yield Figure("yard.short", "Items short", yard.short)
    yield Figure("yard.worst", "Worst shortage", yard.worst)


def _field(field: Any) -> Iterator[Figure]:
    key, name, as_of = f"field.{field.field_id}", field.name, field.reading.scouted_on if field.reading else None
    yield Figure(f"{key}.ndf_standing", f"{name}: NDF standing today", field.standing, as_of)
    yield Figure(f"{key}.ndf_fed", f"{name}: NDF when fed if cut today", field.fed, as_of)
    yield Figure(f"{key}.rfv_standing", f"{name}: RFV standing today", field.rfv, as_of)
    yield Figure(f"{key}.rfv_fed", f"{name}: RFV when fed if cut today", field.rfv_fed, as_of)
    yield Figure(f"{key}.reached", f"{name}: reaches its target when fed", field.reached, as_of)
    yield Figure(f"{key}.start", f"{name}: day to start", field.start, as_of)
    yield Figure(f"{key}.bud", f"{name}: buds", field.bud)
    yield Figure(f"{key}.first_flower", f"{name}: first flower", field.first_flower)
    yield Figure(f"{key}.first_cut", f"{name}: yield of first cutting", field.yields.first_cut)


def _said(figure: Figure, reader: Reader) -> dict[str, Any]:
    said = {
        "key": figure.key,
        "label": figure.label,
        "value": None,
        "unit": None,
        "low": None,
        "high": None,
        "as_of": figure.as_of.isoformat() if figure.as_of else None,
        "reason": None,
        "sources": list(figure.sources),
    }
    value = figure.value
    if isinstance(value, Estimate):
        unit = KINDS[value.kind].unit(reader.units)
        ends = (value.value, value.low, value.high)
        said["value"], said["low"], said["high"] = (unit.shown(end) if math.isfinite(end) else None for end in ends)
        said["unit"], said["sources"] = unit.label, sorted({*figure.sources, *value.sources})
        said["reason"] = reader.say(value.reason) if value.reason else None
    elif isinstance(value, DateEstimate):
        days = (value.on, value.earliest, value.latest)
        said["value"], said["low"], said["high"] = (day.isoformat() if day else None for day in days)
        said["unit"], said["sources"] = "day", sorted({*figure.sources, *value.sources})
        said["reason"] = reader.say(value.reason) if value.reason else None
    elif isinstance(value, date):
        said["value"], said["unit"] = value.isoformat(), "day"
    elif isinstance(value, Sentence):
        said["value"], said["unit"] = reader.say(value), "text"
    else:
        said["value"] = value
    return said
