"""Figures of a report about the crop: when it is ready, how it is cut, and each field."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

from app.planning.estimates import DateEstimate, Estimate, unknown
from app.services.board import NO_START, BoardPage
from app.services.maturity import FieldMaturity
from app.services.reports.figure import Figure, Values, joined
from app.units.sentences import Sentence

HEAT_KEYS = ("heat_start_rule", "heat_method", "heat_base_c")
TARGET_KEYS = ("target_stored_ndf_frac", "allowance_ndf_frac")
NO_PAST = Sentence("There is no heat yet, or no past year to hold it against.")
STATUS = {
    "past": "at its target or past it",
    "now": "to be started now",
    "soon": "to be started within a week",
    "later": "later than a week",
    "incomplete": "scouting incomplete",
    "unknown": "not known",
}
RESTS_ON = {
    "scouting": "scouting",
    "heat": "heat alone",
    "old-scouting": "a scouting that is old",
    "none": "nothing yet",
}


def crop_figures(board: BoardPage, values: Values) -> Iterator[Figure]:
    ready, fields = board.ready, board.maturity.fields
    today, seen = board.maturity.today, board.maturity.heat.last_observed_on
    heat = values.sources(*HEAT_KEYS)
    dates = joined(*(reached_sources(field, values) for field in fields)) or heat
    none = DateEstimate(None, reason=ready.start.reason or ready.says)
    yield Figure("ready.start", "Start projected from the fields", ready.start, ready.as_of or today, dates)
    for name, field in (("first", ready.first), ("last", ready.last)):
        label = f"The {name} field reaches its target when fed"
        yield Figure(f"ready.{name}", label, field.reached if field else none, ready.as_of or today, dates)
        yield Figure(f"ready.{name}.field", f"The {name} field to reach it", field.name if field else ready.says,
                     ready.as_of or today, dates)  # fmt: skip
    yield Figure("ready.heat", "Heat so far", ready.heat, seen or today, heat)
    yield Figure("ready.days_ahead", "Days the heat is ahead of the middle past year", _ahead(ready.ahead_d),
                 seen or today, heat)  # fmt: skip
    yield Figure("ready.fields", "Fields in all", ready.fields_count, today, unit="fields")
    yield Figure("ready.fields_scouted", "Fields scouted this season", ready.scouted_count, today, unit="fields")
    yield Figure("ready.says", "When it is ready", ready.says, ready.as_of or today, dates)


def _ahead(days: float) -> Estimate:
    return unknown("days", NO_PAST) if math.isnan(days) else Estimate(days, "days")


def reached_sources(field: FieldMaturity, values: Values) -> tuple[str, ...]:
    """What the day a field reaches its target rests on: the reading, the rate it moves with, the target."""
    rate = ("heat_error_frac",) if field.rests_on == "heat" else ("ndf_rate_per_c_d", "scouting_error_frac")
    return joined(field.reached.sources, field.standing.sources, values.sources(*TARGET_KEYS, *rate))


def cut_figures(board: BoardPage, values: Values) -> Iterator[Figure]:
    cut, fields, today = board.cut, board.maturity.fields, board.maturity.today
    as_of = today if cut.is_agreed else board.ready.as_of or today
    start = DateEstimate(cut.on, cut.earliest, cut.latest, None if cut.on else NO_START)
    dates = joined(*(reached_sources(field, values) for field in fields)) or values.sources(*TARGET_KEYS)
    yields = joined(*(yield_sources(field, values) for field in fields)) or values.sources("season_yield_kg_ha")
    yield Figure("cut.start", "Start, agreed or projected", start, as_of, ("farm",) if cut.is_agreed else dates)
    yield Figure("cut.is_agreed", "The start is agreed", cut.is_agreed, today)
    yield Figure("cut.stubble", "Stubble", Estimate(cut.stubble_cm, "height"), today, values.sources("stubble_cm"))
    yield Figure("cut.swath", "Swath, share of the cut", Estimate(cut.swath_frac, "percent"), today,
                 values.sources("swath_share_frac"))  # fmt: skip
    yield Figure("cut.mass_dm", "Dry matter first cutting brings, standing", cut.tons, as_of, yields)
    yield Figure("cut.ndf_fed", "NDF when fed, every field cut on the start", cut.ndf, as_of, dates)


def yield_sources(field: FieldMaturity, values: Values) -> tuple[str, ...]:
    return joined(
        field.yields.season.sources or ("farm",),
        field.yields.first_cut.sources,
        () if field.yields.season.sources else ("farm",),
    )


def field_figures(field: FieldMaturity, values: Values, today: date) -> Iterator[Figure]:
    """One field; as of its latest scouting, moved on to today with heat."""
    scouted = field.reading.scouted_on if field.reading else today
    allowance, rfv = values.sources("allowance_ndf_frac"), values.sources("allowance_rfv_index")
    reached, heat = reached_sources(field, values), values.sources(*HEAT_KEYS)
    bud, flower = (values.sources(f"{key}_heat_c_d") for key in ("bud", "first_flower"))
    standing = joined(field.standing.sources or values.sources("heat_error_frac"))
    first = field.yields.first_cut
    grown = yield_sources(field, values)

    def figure(key: str, label: str, value: Any, as_of: date, sources: tuple[str, ...]) -> Figure:
        return Figure(f"field.{field.field_id}.{key}", f"{field.name}: {label}", value, as_of, sources)

    own = ("farm",)
    yield figure("area", "area", Estimate(field.area_ha, "area"), today, own)
    yield figure("grass", "grass in the stand", Estimate(field.grass_frac, "percent"), scouted, own)
    yield figure("target", "NDF wanted when fed", Estimate(field.target_fed_frac, "ndf"), today,
                 values.sources("target_stored_ndf_frac"))  # fmt: skip
    yield figure("ready_height", "height to start at", _height(field.ready_height_cm), today,
                 joined(("WisconsinTable2021",), values.sources(*TARGET_KEYS)))  # fmt: skip
    yield figure("ndf_standing", "NDF standing today", field.standing, scouted, standing)
    yield figure("ndf_fed", "NDF when fed if cut today", field.fed, scouted, joined(standing, allowance))
    yield figure("rfv_standing", "RFV standing today", field.rfv, scouted, field.rfv.sources or standing)
    yield figure("rfv_fed", "RFV when fed if cut today", field.rfv_fed, scouted,
                 joined(field.rfv.sources or standing, rfv))  # fmt: skip
    if not math.isnan(field.trait_index):
        yield figure("trait", "RFV points credited to reduced lignin", Estimate(field.trait_index, "index"), today,
                     values.sources("reduced_lignin_credit_index"))  # fmt: skip
    yield figure("reached", "reaches its target when fed", field.reached, scouted, reached)
    yield figure("start", "day to start", field.start, scouted, joined(reached, values.sources("sealing_d")))
    yield figure("bud", "buds", field.bud, today, joined(heat, bud))
    yield figure("first_flower", "first flower", field.first_flower, today, joined(heat, flower))
    yield figure("season_yield", "yield of the season", field.yields.season, today,
                 field.yields.season.sources or own)  # fmt: skip
    yield figure("first_cut", "yield of first cutting, standing", _yield(field), today, grown)
    yield figure("first_cut_dm", "dry matter of first cutting, standing", _brings(field, first), today, grown)
    yield figure("rests_on", "rests on", RESTS_ON.get(field.rests_on, field.rests_on.replace("-", " ")), scouted,
                 reached)  # fmt: skip
    yield figure("status", "stands", STATUS[field.status], scouted, reached)
    for number, caution in enumerate(field.cautions, 1):
        yield figure(f"caution.{number}", "caution", caution, scouted, standing)


def _height(height_cm: float) -> Estimate:
    if math.isnan(height_cm):
        return unknown("height", Sentence("No height is published for such a stand."))
    return Estimate(height_cm, "height")


def _yield(field: FieldMaturity) -> Estimate:
    first = field.yields.first_cut
    return first if first.known or first.reason else replace(first, reason=field.yields.share_says)


def _brings(field: FieldMaturity, first: Estimate) -> Estimate:
    if not first.known:
        return unknown("mass_dm", first.reason or field.yields.share_says)
    value, low, high = (end * field.area_ha for end in (first.value, first.low, first.high))
    return Estimate(value, "mass_dm", low, high, None, first.sources)
