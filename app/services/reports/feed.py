"""Figures of a report about feed: what is needed, what is on hand."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from app.planning.estimates import Estimate, unknown
from app.services.balance import NeedBoard, Short
from app.services.balance.cases import NEED_SOURCES
from app.services.herds import CLASS_WORDS
from app.services.lots import LotOnHand
from app.services.reports.figure import Figure, Values, joined
from app.services.supplies import SupplyOnHand
from app.units.sentences import Sentence

SHORT_WORDS = {
    "dm": "dry matter in store",
    "af": "as fed",
    "days": "days of feed",
    "cost": "cost to buy it",
    "harvest": "dry matter to harvest for it",
}
NOTHING_DUE = Sentence("Nothing is due.")
NOT_COUNTED = Sentence("Neither weighed nor counted yet.")


def need_figures(need: NeedBoard, values: Values) -> Iterator[Figure]:
    ways = joined(NEED_SOURCES, values.sources("shrink_convention", "feedout_loss_frac"))
    new_crop = values.sources("fermentation_d", "sealing_d")
    prices = values.sources("hay_usd_kg", "hay_freight_usd_kg", "hay_dm_frac", "hay_loss_frac")

    def figure(key: str, label: str, value: object, sources: tuple[str, ...] = ways) -> Figure:
        return Figure(f"need.{key}", label, value, need.as_of, sources)

    yield figure("must_bring", "Dry matter first cutting must bring into storage", need.must_bring)
    yield figure("must_bring_af", "The same as fed", need.must_bring_af)
    yield figure("ndf_ceiling", "NDF it may have at most", need.ndf_ceiling, _ceiling_sources(need, values))
    for must in need.by_class:
        who, ceiling = _who(must.use_class), values.sources(f"ndf_ceiling_{must.use_class}_frac")
        yield figure(f"must_bring.{must.use_class}", f"{who}: dry matter it must bring", must.dm)
        yield figure(f"must_bring_af.{must.use_class}", f"{who}: the same as fed", must.af)
        yield figure(f"ndf_ceiling.{must.use_class}", f"{who}: NDF at most", must.ndf_ceiling, ceiling)
    for use_class, day in need.run_out:
        yield figure(f"run_out.{use_class}", f"{_who(use_class)}: first day not fed in full", day)
    yield figure("run_out", "First day the herd cannot be fed in full", need.run_out_all)
    yield figure("new_crop_fed", "First day the new crop can be fed", need.usable, new_crop)
    yield figure("carry_over", "Feed left when the new crop can be fed", need.carry_over)
    for short in (need.short, need.short_target, need.short_next_year):
        yield from _short(short, need.as_of, joined(ways, values.sources("carry_over_d")), prices)
    yield figure("says", "What we need", need.says)


def _who(use_class: str) -> str:
    return CLASS_WORDS[use_class].text


def _ceiling_sources(need: NeedBoard, values: Values) -> tuple[str, ...]:
    """Of the class whose ceiling is the lowest."""
    given = [m.use_class for m in need.by_class if m.ndf_ceiling.value == need.ndf_ceiling.value]
    return joined(*(values.sources(f"ndf_ceiling_{use_class}_frac") for use_class in given)) or NEED_SOURCES


def _short(short: Short, as_of: date, sources: tuple[str, ...], prices: tuple[str, ...]) -> Iterator[Figure]:
    key, until = f"need.short.{short.key}", short.label.text
    yield Figure(f"{key}.until", f"Short {until}: counted up to", short.until, as_of, sources)
    for name, words in SHORT_WORDS.items():
        priced = joined(sources, prices) if name == "cost" else sources
        yield Figure(f"{key}.{name}", f"Short {until}: {words}", getattr(short, name), as_of, priced)
    for use_class, amount in short.by_class.items():
        label = f"Short {until}: {_who(use_class)}, dry matter as eaten"
        yield Figure(f"{key}.dm.{use_class}", label, amount, as_of, sources)


def lot_figures(lot: LotOnHand, values: Values) -> Iterator[Figure]:
    found = lot.sources or ("farm",)
    losses = values.sources("remaining_loss_frac", "feedout_loss_frac")
    for name, words, value, sources in (
        ("mass_dm", "dry matter on hand", lot.mass_dm, found),
        ("mass_af", "as fed on hand", lot.mass_af, found),
        ("usable_dm", "dry matter that will reach the bunk", lot.usable_dm, joined(found, losses)),
        ("dm", "dry matter content", lot.dm_frac, ("farm",)),
        ("density_dm", "dry matter density counted with", lot.density, lot.density.sources or ("farm",)),
    ):
        yield Figure(f"lot.{lot.id}.{name}", f"{lot.name}: {words}", _with_reason(value), lot.as_of, sources)


def _with_reason(value: Estimate) -> Estimate:
    return value if value.known or value.reason else replace(value, reason=NOT_COUNTED)


def supply_figures(supply: SupplyOnHand, today: date) -> Iterator[Figure]:
    key, name, as_of = f"supply.{supply.id}", supply.name, supply.counted_on or today
    due = Estimate(supply.due_af_kg, "mass_af")
    life = supply.life_d
    keeps = unknown("days", Sentence("Nothing says that it spoils.")) if math.isinf(life) else Estimate(life, "days")
    no_content = unknown("percent", Sentence("No dry matter is known."))
    content = no_content if math.isnan(supply.dm_frac) else Estimate(supply.dm_frac, "percent")
    yield Figure(f"{key}.mass_af", f"{name}: as fed on hand", _with_reason(supply.on_hand_af), as_of)
    yield Figure(f"{key}.mass_dm", f"{name}: dry matter on hand", _with_reason(supply.on_hand_dm), as_of)
    yield Figure(f"{key}.dm", f"{name}: dry matter content", content, as_of)
    yield Figure(f"{key}.due_af", f"{name}: as fed due", due, today)
    yield Figure(f"{key}.next_due", f"{name}: next delivery", supply.next_due.on if supply.next_due else NOTHING_DUE,
                 today)  # fmt: skip
    yield Figure(f"{key}.keeps", f"{name}: days a load keeps", keeps, today, ("farm", "Chase2026"))
