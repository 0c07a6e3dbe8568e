"""Feed in store as pages show it: structures drawn to scale, the table of lots, the table of supplies."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import Request

from app.access.work import Work
from app.charts.structures import Structure, structures
from app.services.balance.stores import Stores, stores_of
from app.services.lots import LotOnHand, list_lots_on_hand
from app.services.samples.quality import lot_quality
from app.services.stores import StoreOnHand, list_stores
from app.services.structures import KIND_NAMES
from app.services.supplies import SupplyOnHand, list_supplies_on_hand
from app.units.quantities import M_PER_FT
from app.units.wording import Reader
from app.web.citations import cited
from app.web.pages import reader_of

WIDE, NARROW = 640.0, 358.0
DRAWN_AS = {"bunker": "bunker", "pile": "pile", "bag": "bag", "tower": "tower", "stack": "bales"}


@dataclass(frozen=True)
class Drawn:
    """What `structures/_drawn.html` shows. `without` could not be drawn: their sizes are not known."""

    stores: tuple[StoreOnHand, ...]
    svg: str
    narrow: str
    title: str
    table: tuple[Any, Any]
    without: tuple[StoreOnHand, ...]


NOTHING_DRAWN = Drawn((), "", "", "", ((), []), ())


@dataclass(frozen=True)
class StoresView:
    """What is in store: `lots/_table.html`, `structures/_drawn.html` and `supplies/_table.html` read `page.stores`."""

    drawn: Drawn
    lots: tuple[LotOnHand, ...]
    quality: Mapping[int, Any]
    supplies: tuple[SupplyOnHand, ...]
    sources: tuple
    """(key, link) of every source behind the amounts."""


def stores_view(request: Request, work: Work, farm_id: int, stores: Stores | None = None) -> StoresView:
    """Everything in store, from what was loaded already where the caller has it."""
    stores = stores or stores_of(work, farm_id)
    on_hand = list_stores(work, farm_id, stores.lots)
    return StoresView(
        drawn(request, on_hand, reader_of(request, work.actor), farm_id),
        stores.lots,
        stores.quality,
        stores.supplies,
        _sources(request, stores.lots),
    )


def structures_view(request: Request, work: Work, farm_id: int) -> StoresView:
    """Only what the drawing needs."""
    lots = list_lots_on_hand(work, farm_id)
    on_hand = list_stores(work, farm_id, lots)
    return StoresView(drawn(request, on_hand, reader_of(request, work.actor), farm_id), lots, {}, (), ())


def lots_view(request: Request, work: Work, farm_id: int) -> StoresView:
    """Only what the table of lots needs."""
    quality = lot_quality(work, farm_id)
    lots = list_lots_on_hand(work, farm_id, sampled_dry_matter(quality))
    return StoresView(NOTHING_DRAWN, lots, quality, (), _sources(request, lots))


def supplies_view(work: Work, farm_id: int) -> StoresView:
    """Only what the table of supplies needs."""
    return StoresView(NOTHING_DRAWN, (), {}, list_supplies_on_hand(work, farm_id), ())


def sampled_dry_matter(quality: Mapping[int, Any]) -> dict[int, dict[str, float]]:
    """Mean dry matter of the samples by lot, the one that lots are counted with."""
    return {lot_id: {"dm_frac": each.dm.mean} for lot_id, each in quality.items() if each.dm.known}


def _sources(request: Request, lots: Sequence[LotOnHand]) -> tuple:
    return cited(request, [key for lot in lots for key in (*lot.sources, *lot.density.sources)])


def drawn(request: Request, stores: Sequence[StoreOnHand], reader: Reader, farm_id: int) -> Drawn:
    """Structures to one scale, dark where feed is left, with a table behind them."""
    able = [store for store in stores if _outline(store) is not None]
    rows = [_row(request, store, reader, farm_id) for store in able]
    title = _title(stores, reader)
    rule_m, rule = (50 * M_PER_FT, "50 ft") if reader.units == "us" else (20.0, "20 m")
    heads = tuple(reader.translate(text) for text in ("Structure", "Kind", "Left", "Likely range", "Holds when full"))
    return Drawn(
        tuple(stores),
        structures(title, rows, WIDE, rule_m=rule_m, rule_label=rule) if rows else "",
        structures(title, rows, NARROW) if rows else "",
        title,
        (heads, [_cells(store, reader) for store in stores]),
        tuple(store for store in stores if _outline(store) is None),
    )


def _title(stores: Sequence[StoreOnHand], reader: Reader) -> str:
    known = [store.left.value for store in stores if store.left.known]
    amount, missing = reader.amount(sum(known), "mass_dm"), len(stores) - len(known)
    if missing:
        text = reader.translate("{amount} in structures; not known for {missing} of {all}")
        return text.format(amount=amount, missing=missing, all=len(stores))
    return reader.translate("{amount} in structures").format(amount=amount)


def _outline(store: StoreOnHand) -> tuple[float, float] | None:
    """Length and height of the side view, where both are known."""
    sizes = store.structure.sizes
    long, high = {
        "bag": (sizes.length_m, sizes.diameter_m),
        "tower": (sizes.diameter_m, sizes.peak_height_m),
    }.get(sizes.kind, (sizes.length_m, sizes.full_height_m))
    return (long, high) if long and high else None


def _row(request: Request, store: StoreOnHand, reader: Reader, farm_id: int) -> Structure:
    outline, sizes = _outline(store), store.structure.sizes
    assert outline is not None, "only structures with an outline are drawn"
    ramped = sizes.kind == "pile" or (sizes.kind == "bunker" and sizes.ramps > 0)
    href = request.app.url_path_for("structures.structure", farm_id=farm_id, structure_id=store.structure.id)
    return Structure(
        store.structure.name,
        DRAWN_AS[sizes.kind],  # type: ignore[arg-type]
        *outline,
        store.left_frac,
        _label(store, reader),
        min(sizes.end * outline[1], outline[0] / 2) if ramped else 0.0,
        store.low_frac if store.left.value > 0 else math.nan,
        store.high_frac if store.left.value > 0 else math.nan,
        str(href),
    )


def _label(store: StoreOnHand, reader: Reader) -> str:
    left = store.left
    if not left.known:
        return reader.translate("amount not known")
    if not store.lots:
        full = reader.amount(store.structure.capacity.value, "mass_dm")
        return reader.translate("empty, holds {full}").format(full=full)
    likely, span = reader.amount(left.value, "mass_dm"), reader.span(left.low, left.high, "mass_dm", with_unit=False)
    return f"{likely} ({span})"


def _cells(store: StoreOnHand, reader: Reader) -> tuple[str, ...]:
    left, full = store.left, store.structure.capacity
    return (
        store.structure.name,
        reader.translate(dict(KIND_NAMES)[store.structure.kind]),
        reader.amount(left.value, "mass_dm"),
        reader.span(left.low, left.high, "mass_dm"),
        reader.span(full.low, full.high, "mass_dm"),
    )
