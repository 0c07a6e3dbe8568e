"""Readings of a lot, only ever added to: measurements, feed-out and loads, with corrections and withdrawals."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, Unsure
from app.events.corrections import append_reading, corrected_fields, current_rows, latest_of, merged
from app.events.history import note
from app.planning.stock import amount_found, stock_now
from app.planning.stores import capacity
from app.records.farms import Farm
from app.records.feeds import Feed, Feedout, Load, Lot, LotMeasurement, Structure
from app.records.fields import Field
from app.services import farms
from app.services.feeds import check_dry_matter
from app.services.lots import questions
from app.services.lots.edits import access_lot, parts_of
from app.services.lots.reading import facts_of, found_of, is_open_on
from app.services.lots.shapes import MEASUREMENT_SHAPE, with_ids
from app.units.quantities import KG_PER_SHORT_TON
from app.units.sentences import Quantity, Sentence

Entry = TypeVar("Entry", LotMeasurement, Feedout, Load)
READINGS = (selectinload(Lot.measurements), selectinload(Lot.feedouts), selectinload(Lot.loads))
MEASURED = tuple(column.name for column in MEASUREMENT_SHAPE.columns)
FED = ("from_on", "to_on", "mass_af_kg", "thrown_af_kg", "dm_frac", "note")
LOADED = ("loaded_on", "mass_af_kg", "dm_frac", "field_id", "note")
NAMES: dict[type, tuple[str, ...]] = {LotMeasurement: MEASURED, Feedout: FED, Load: LOADED}
USUAL_LOAD_KG = (0.2 * KG_PER_SHORT_TON, 400 * KG_PER_SHORT_TON)
USUAL_FED_KG = (0.05 * KG_PER_SHORT_TON, 1_500 * KG_PER_SHORT_TON)
FIGURES = ("length_m", "height_m", "volume_m3", "bales_count", "mass_af_kg", "mass_dm_kg")


def add_measurement(work: Work, farm_id: int, lot_id: int, values: dict[str, Any], *, sure: bool = False):
    """What was found of a lot on a day."""
    lot = access_lot(work, farm_id, lot_id, Permission.FEED_LOG, *READINGS)
    values = {**dict.fromkeys(MEASURED), **values}
    _check_measurement(work, lot, values, sure)
    return _append(work, lot, LotMeasurement, values, "add")


def add_feedout(work: Work, farm_id: int, lot_id: int, values: dict[str, Any], *, sure: bool = False) -> Feedout:
    """Feed taken from a lot; opens it where nobody said it was open."""
    lot = access_lot(work, farm_id, lot_id, Permission.FEED_LOG, *READINGS)
    values = _fed_values({**dict.fromkeys(FED), **values})
    _check_feedout(work, lot, values, sure)
    row = _append(work, lot, Feedout, values, "add")
    if lot.opened_on is None:
        lot.opened_on = values["from_on"]
        lot.version += 1
        fields = {"opened_on": (None, lot.opened_on)}
        note(work, farm_id, "edit", "lots", lot.id, name=lot.name, fields=fields, parts=parts_of(lot.id))
    return row


def add_load(work: Work, farm_id: int, lot_id: int, values: dict[str, Any], *, sure: bool = False) -> Load:
    """A load weighed into a lot."""
    lot = access_lot(work, farm_id, lot_id, Permission.FEED_LOG, *READINGS)
    values = with_ids({**dict.fromkeys(LOADED), **values})
    _check_load(work, lot, values, sure)
    return _append(work, lot, Load, values, "add")


def correct(
    work: Work,
    farm_id: int,
    table: type[Entry],
    entry_id: int,
    values: dict[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    sure: bool = False,
) -> Entry:
    """A new row that stands for the old one; the old one is kept."""
    wrong = latest_of(work, table, access_row(work, table, farm_id, entry_id, Permission.FEED_LOG))
    lot = access_lot(work, farm_id, wrong.lot_id, Permission.FEED_LOG, *READINGS)
    now = {name: getattr(wrong, name) for name in NAMES[table]}
    new = merged(now, with_ids(values), with_ids(dict(was)) if was is not None else None)
    if table is Feedout:
        new = _fed_values(new)
        _check_feedout(work, lot, new, sure, wrong)
    elif table is Load:
        _check_load(work, lot, new, sure)
    else:
        _check_measurement(work, lot, new, sure, wrong)
    return _append(work, lot, table, new, "correct", wrong)


def withdraw(work: Work, farm_id: int, table: type[Entry], entry_id: int, withdrawn: bool = True) -> Entry:
    """Take a reading back, or, with `withdrawn` False, undo that."""
    latest = latest_of(work, table, access_row(work, table, farm_id, entry_id, Permission.FEED_LOG))
    lot = access_lot(work, farm_id, latest.lot_id, Permission.FEED_LOG)
    values = {name: getattr(latest, name) for name in NAMES[table]}
    return _append(work, lot, table, values, "withdraw" if withdrawn else "restore", latest, withdrawn)


def access_entry(work: Work, farm_id: int, table: type[Entry], entry_id: int) -> Entry:
    """The reading that stands now for the one of that number."""
    return latest_of(work, table, access_row(work, table, farm_id, entry_id, Permission.FEED_LOG))


def _append(
    work: Work,
    lot: Lot,
    table: type[Entry],
    values: Mapping[str, Any],
    verb: str,
    wrong: Entry | None = None,
    gone: bool = False,
) -> Entry:
    row = append_reading(work, table, {"farm_id": lot.farm_id, "lot_id": lot.id, **values}, wrong, gone)
    work.session.expire(lot, ["measurements", "feedouts", "loads"])
    fields = corrected_fields(wrong, values)
    note(work, lot.farm_id, verb, table.__tablename__, row.id, name=lot.name, fields=fields, parts=parts_of(lot.id))
    return row


def _check_measurement(
    work: Work, lot: Lot, values: dict[str, Any], sure: bool, wrong: LotMeasurement | None = None
) -> None:
    feed, structure = _feed(work, lot), _structure(work, lot)
    _not_ahead(work, lot, "measured_on", values["measured_on"])
    if all(values.get(name) is None for name in FIGURES):
        asked = "mass_dm_kg" if values["method"] == "judged" else "measured_on"
        raise Invalid({asked: Sentence("Type the amount that was found: sizes, a weight or a count.")})
    check_dry_matter(values.get("dm_frac"), feed.kind, sure)
    questions.ask_density(values.get("density_kg_m3"), values.get("dm_frac") or lot.dm_frac, sure)
    given = farms.values_of(work, lot.farm_id)
    row = LotMeasurement(lot_id=lot.id, **values)
    rest = [each for each in current_rows(lot.measurements) if wrong is None or each.id != wrong.id]
    facts = facts_of(lot, feed, structure, given, but=[wrong.id] if wrong else ())
    amount = amount_found(facts, found_of(row, lot, structure, rest))
    name = _main_column(values)
    if amount.reason is not None:
        raise Invalid({"dm_frac" if "mass" in name and values.get("dm_frac") is None else name: amount.reason})
    if structure is not None:
        usual = facts.usual
        holds = capacity(facts.sizes, usual.density_kg_m3, usual.density_spread_frac)
        dm = values.get("dm_frac") or facts.dm_frac
        questions.ask_room(amount.mass_dm_kg, holds, dm, name, name != "mass_dm_kg", sure)
    last = facts.found[-1].on if facts.found else None
    if last is not None and last <= values["measured_on"] and not any(put.on > last for put in facts.puts):
        questions.ask_growth(amount.mass_dm_kg, stock_now(facts).mass_dm, name, sure)


def _main_column(values: Mapping[str, Any]) -> str:
    """The column a question about the whole amount belongs to."""
    order = ("mass_dm_kg", "mass_af_kg", "bales_count", "volume_m3", "length_m", "height_m")
    return next(name for name in order if values.get(name) is not None)


def _fed_values(values: dict[str, Any]) -> dict[str, Any]:
    return {**values, "to_on": values["to_on"] or values["from_on"], "thrown_af_kg": values["thrown_af_kg"] or 0.0}


def _check_feedout(work: Work, lot: Lot, values: Mapping[str, Any], sure: bool, wrong: Feedout | None = None) -> None:
    if values["to_on"] < values["from_on"]:
        raise Invalid({"to_on": Sentence("It ends before it begins, on {day}.", day=values["from_on"])})
    _not_ahead(work, lot, "to_on", values["to_on"])
    if lot.sealed_on and values["from_on"] < lot.sealed_on:
        raise Invalid(
            {"from_on": Sentence("The lot was sealed on {day}; nothing was fed before that.", day=lot.sealed_on)}
        )
    if values["thrown_af_kg"] > values["mass_af_kg"]:
        why = Sentence(
            "More was thrown away than the {mass} taken out.", mass=Quantity(values["mass_af_kg"], "mass_af")
        )
        raise Invalid({"thrown_af_kg": why})
    feed = _feed(work, lot)
    check_dry_matter(values.get("dm_frac"), feed.kind, sure)
    questions.ask_pounds(values["mass_af_kg"], "mass_af_kg", work.actor.units, USUAL_FED_KG, sure)
    if sure:
        return
    others = [each for each in current_rows(lot.feedouts) if wrong is None or each.id != wrong.id]
    for other in others:
        if other.from_on <= values["to_on"] and values["from_on"] <= other.to_on:
            why = Sentence(
                "{mass} are noted already for {from_on} through {to_on}. Is this feed on top of it?",
                mass=Quantity(other.mass_af_kg, "mass_af"),
                from_on=other.from_on,
                to_on=other.to_on,
            )
            raise Unsure({"from_on": why})
    _ask_more_than_left(work, lot, feed, values, wrong)


def _ask_more_than_left(work: Work, lot: Lot, feed: Feed, values: Mapping[str, Any], wrong: Feedout | None) -> None:
    facts = facts_of(lot, feed, _structure(work, lot), farms.values_of(work, lot.farm_id))
    left, dm = stock_now(facts).mass_dm, values.get("dm_frac") or facts.dm_frac
    if not left.known or dm is None:
        return
    back = wrong.mass_af_kg * (wrong.dm_frac or dm) if wrong is not None else 0.0
    if values["mass_af_kg"] * dm > left.high + back:
        why = Sentence(
            "{mass} as fed are more than the {left} of dry matter left. Measure the lot again, or look at the unit.",
            mass=Quantity(values["mass_af_kg"], "mass_af"),
            left=Quantity(left.value + back, "mass_dm"),
        )
        raise Unsure({"mass_af_kg": why})


def _check_load(work: Work, lot: Lot, values: Mapping[str, Any], sure: bool) -> None:
    _not_ahead(work, lot, "loaded_on", values["loaded_on"])
    check_dry_matter(values.get("dm_frac"), _feed(work, lot).kind, sure)
    questions.ask_pounds(values["mass_af_kg"], "mass_af_kg", work.actor.units, USUAL_LOAD_KG, sure)
    if values.get("field_id") is not None:
        owner = work.session.scalar(select(Field.farm_id).where(Field.id == values["field_id"]))
        if owner != lot.farm_id:
            raise Invalid({"field_id": Sentence("That choice is not on this farm's list.")})
    last = [row.measured_on for row in current_rows(lot.measurements) if row.measured_on >= values["loaded_on"]]
    if last and not sure:
        why = Sentence(
            "The lot was measured on {day}, after this load: that measurement holds the load already, and it will not "
            "be counted on top. Note it all the same?",
            day=max(last),
        )
        raise Unsure({"loaded_on": why})
    if is_open_on(lot, values["loaded_on"]) and not sure:
        raise Unsure({"loaded_on": Sentence("The lot was open by then. Did the load go into this lot?")})


def _not_ahead(work: Work, lot: Lot, name: str, day: Any) -> None:
    zone = work.session.scalar(select(Farm.time_zone).where(Farm.id == lot.farm_id))
    if day > work.today(zone):
        raise Invalid({name: Sentence("{day} is still to come.", day=day)})


def _feed(work: Work, lot: Lot) -> Feed:
    feed = work.session.get(Feed, lot.feed_id)
    assert feed is not None, "a foreign key"
    return feed


def _structure(work: Work, lot: Lot) -> Structure | None:
    return work.session.get(Structure, lot.structure_id) if lot.structure_id is not None else None
