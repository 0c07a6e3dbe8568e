"""How much of a lot is left: what was last found in the store, what went in since, less what was fed out since.

What is found on a day stands at its end; feed-out counts from the day after. Losses are kept apart: a measured amount
has most of its storage loss behind it and loses only the remaining part; weighed loads lose the whole of it, once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from app.ensiling.structures.tower import TABLE_SPREAD_FRAC
from app.errors import Invalid
from app.planning.estimates import Estimate, unknown
from app.planning.stores import Left, Sizes, bale_density, bale_volume, sources_of, tower_left, volume_left
from app.units.sentences import Quantity, Sentence

SPREAD_FRAC = {"sizes": 0.07, "weight": 0.02, "count": 0.05, "judged": 0.25, "loads": 0.05}
"""Error of an amount, one side: sizes with a measured density, a scale, bales with a weighed sample, an eye's guess,
scale tickets with a moisture test. Judgement, no source."""

NOTHING = Sentence("Nothing was measured or weighed yet.")
NO_DRY_MATTER = Sentence("Its dry matter is not known, so a weight says nothing yet.")

Pair = tuple[Sentence, Any]


@dataclass(frozen=True)
class Found:
    """What was found in the store on a day, as it was noted."""

    on: date
    method: str
    left: Left = field(default_factory=Left)
    bales_count: int | None = None
    bale_weight_kg: float | None = None
    mass_af_kg: float | None = None
    mass_dm_kg: float | None = None
    dm_frac: float | None = None
    density_kg_m3: float | None = None
    volume_m3: float | None = None
    """A volume that was surveyed; it stands instead of one worked out from sizes."""


@dataclass(frozen=True)
class Taken:
    """Feed taken out from one day through another, thrown-away part included, as fed."""

    from_on: date
    to_on: date
    mass_af_kg: float
    thrown_af_kg: float = 0.0
    dm_frac: float | None = None

    def part_after(self, day: date | None) -> float:
        """Share of it that was taken after the end of that day."""
        if day is None or self.from_on > day:
            return 1.0
        return max(0, (self.to_on - day).days) / ((self.to_on - self.from_on).days + 1)


@dataclass(frozen=True)
class Put:
    """A weighed load that went in."""

    on: date
    mass_af_kg: float
    dm_frac: float | None = None


@dataclass(frozen=True)
class Usual:
    """What stands in where a lot has no value of its own."""

    density_kg_m3: float
    density_spread_frac: float
    density_source: str
    storage_loss_frac: float
    remaining_loss_frac: float
    feedout_loss_frac: float


@dataclass(frozen=True)
class LotFacts:
    """All that was noted about one lot, corrections already applied, oldest first."""

    sizes: Sizes
    dm_frac: float | None
    usual: Usual
    is_dry_hay: bool = False
    density_kg_m3: float | None = None
    """Measured dry-matter density of the lot."""
    found: tuple[Found, ...] = ()
    puts: tuple[Put, ...] = ()
    taken: tuple[Taken, ...] = ()


@dataclass(frozen=True)
class Amount:
    """An amount of dry matter with its range and how it came about."""

    mass_dm_kg: float
    low_kg: float = math.nan
    high_kg: float = math.nan
    method: Sentence = NOTHING
    inputs: tuple[Pair, ...] = ()
    sources: tuple[str, ...] = ()
    reason: Sentence | None = None

    @property
    def error_kg(self) -> tuple[float, float]:
        return self.mass_dm_kg - self.low_kg, self.high_kg - self.mass_dm_kg


@dataclass(frozen=True)
class Stock:
    """What is left of a lot now."""

    mass_dm: Estimate
    most_dm_kg: float
    """The largest amount ever found or weighed in; what a drawing is measured against where nothing else is known."""
    basis: str
    """`sizes`, `weight`, `count`, `judged`, `loads`, or `none`."""
    found_on: date | None
    method: Sentence
    inputs: tuple[Pair, ...] = ()
    notes: tuple[Sentence, ...] = field(default=())
    fed_af_kg: float = 0.0
    thrown_af_kg: float = 0.0

    @property
    def spread_frac(self) -> float:
        """Error of the amount, one side, as a share of it; 0 where nothing is left or known."""
        if not self.mass_dm.known or self.mass_dm.value <= 0:
            return 0.0
        return min(0.99, (self.mass_dm.high - self.mass_dm.low) / 2 / self.mass_dm.value)


def density_of(facts: LotFacts, found: Found | None = None) -> tuple[Estimate, bool]:
    """Dry-matter density to count with, and whether it was measured."""
    own = found.density_kg_m3 if found is not None and found.density_kg_m3 is not None else facts.density_kg_m3
    if own is not None:
        spread = SPREAD_FRAC["sizes"]
        return Estimate(own, "density_dm", own * (1 - spread), own * (1 + spread)), True
    usual, spread = facts.usual.density_kg_m3, facts.usual.density_spread_frac
    source = (facts.usual.density_source,) if facts.usual.density_source else ()
    return Estimate(usual, "density_dm", usual * (1 - spread), usual * (1 + spread), sources=source), False


def amount_found(facts: LotFacts, found: Found) -> Amount:
    """Dry matter found on that day. Raises `Invalid` by column where sizes cannot be."""
    by = {"sizes": _by_sizes, "weight": _by_weight, "count": _by_count, "judged": _by_weight}
    return by[found.method](facts, found)


def stock_now(facts: LotFacts) -> Stock:
    """What is left: the last finding, loads since, less feed-out since."""
    last = facts.found[-1] if facts.found else None
    amounts = [amount_or_reason(facts, each) for each in facts.found]
    start = amounts[-1] if amounts else Amount(0.0, 0.0, 0.0)
    since = last.on if last else None
    put, put_inputs, put_missing = _put_since(facts, since)
    fed, fed_inputs, fed_missing = _fed_since(facts, since)
    if last is None and not facts.puts:
        return Stock(
            unknown("mass_dm", Sentence("Nothing was measured or weighed yet.")), 0.0, "none", None, start.method
        )
    reason = start.reason or put_missing or fed_missing
    low_error, high_error = start.error_kg
    both = math.hypot(low_error, put.error_kg[0]), math.hypot(high_error, put.error_kg[1])
    left = start.mass_dm_kg + put.mass_dm_kg - fed
    notes = []
    if left < 0:
        notes.append(Sentence("More was fed out than was found; measure again."))
        left = 0.0
    estimate = Estimate(
        left,
        "mass_dm",
        max(0.0, left - both[0]),
        left + both[1],
        sources=tuple(dict.fromkeys((*start.sources, *put.sources))),
    )
    known = [a.mass_dm_kg for a in amounts if not math.isnan(a.mass_dm_kg)]
    return Stock(
        estimate if reason is None else unknown("mass_dm", reason),
        max([put.mass_dm_kg if last is None else 0.0, *known]),
        last.method if last else "loads",
        max(day for day in (since, *(p.on for p in facts.puts)) if day is not None),
        start.method if last else put.method,
        (*start.inputs, *put_inputs, *fed_inputs),
        tuple(notes),
        sum(t.mass_af_kg for t in facts.taken),
        sum(t.thrown_af_kg for t in facts.taken),
    )


def amount_or_reason(facts: LotFacts, found: Found) -> Amount:
    """An amount, or the reason why sizes noted earlier no longer fit a structure that was changed since."""
    try:
        return amount_found(facts, found)
    except Invalid as refused:
        why = next(iter(refused.fields.values()))
        return Amount(math.nan, reason=Sentence("The sizes measured do not fit the structure: {why}", why=why))


def _by_sizes(facts: LotFacts, found: Found) -> Amount:
    inputs: list[Pair] = [(Sentence("Measured on"), found.on)]
    if found.left.length_m is not None:
        inputs.append((Sentence("Length left"), Quantity(found.left.length_m, "length")))
    if found.left.height_m is not None:
        inputs.append((Sentence("Settled height"), Quantity(found.left.height_m, "length")))
    if found.volume_m3 is None and facts.sizes.kind == "tower":
        return _in_tower(facts, found, inputs)
    if found.volume_m3 is None and facts.sizes.kind not in ("bunker", "pile", "bag"):
        return Amount(math.nan, reason=Sentence("Sizes count only in a bunker, pile, bag or tower; count or weigh."))
    volume = found.volume_m3 if found.volume_m3 is not None else volume_left(facts.sizes, found.left)
    if math.isnan(volume):
        return Amount(math.nan, reason=Sentence("Some sizes of the structure are not known, so no volume can be said."))
    density, measured = density_of(facts, found)
    inputs += [
        (Sentence("Volume"), Quantity(volume, "volume")),
        (_density_words(measured), Quantity(density.value, "density_dm")),
    ]
    method = Sentence("Volume of what is left, by the structure's shape, times its dry matter density.")
    sources = (*sources_of(facts.sizes.kind), *density.sources)
    return Amount(volume * density.value, volume * density.low, volume * density.high, method, tuple(inputs), sources)


def _in_tower(facts: LotFacts, found: Found, inputs: list[Pair]) -> Amount:
    mass = tower_left(facts.sizes, found.left)
    if math.isnan(mass):
        return Amount(math.nan, reason=Sentence("The tower's diameter and settled depth are needed."))
    method = (
        Sentence("Table of towers: what the settled depth held, less what the depth removed held.")
        if found.left.is_open
        else Sentence("Table of towers at the settled depth.")
    )
    if found.left.is_open:
        settled = found.left.settled_depth_m if found.left.settled_depth_m is not None else facts.sizes.peak_height_m
        inputs.append((Sentence("Settled depth before feeding"), Quantity(settled or math.nan, "length")))
    spread = TABLE_SPREAD_FRAC
    return Amount(mass, mass * (1 - spread), mass * (1 + spread), method, tuple(inputs), sources_of("tower"))


def _by_weight(facts: LotFacts, found: Found) -> Amount:
    spread = SPREAD_FRAC[found.method]
    method = Sentence("Judged by eye.") if found.method == "judged" else Sentence("Weighed.")
    inputs: list[Pair] = [(Sentence("Noted on"), found.on)]
    if found.mass_dm_kg is not None:
        mass = found.mass_dm_kg
    else:
        dm = found.dm_frac if found.dm_frac is not None else facts.dm_frac
        if found.mass_af_kg is None or dm is None:
            return Amount(math.nan, reason=NO_DRY_MATTER)
        mass = found.mass_af_kg * dm
        inputs += [
            (Sentence("Weight as fed"), Quantity(found.mass_af_kg, "mass_af")),
            (Sentence("Dry matter"), Quantity(dm, "percent")),
        ]
    return Amount(mass, mass * (1 - spread), mass * (1 + spread), method, tuple(inputs))


def _by_count(facts: LotFacts, found: Found) -> Amount:
    count = found.bales_count or 0
    inputs: list[Pair] = [(Sentence("Counted on"), found.on), (Sentence("Bales"), count)]
    dm = found.dm_frac if found.dm_frac is not None else facts.dm_frac
    if found.bale_weight_kg is not None:
        if dm is None:
            return Amount(math.nan, reason=NO_DRY_MATTER)
        mass, spread = count * found.bale_weight_kg * dm, SPREAD_FRAC["count"]
        inputs += [
            (Sentence("Mean weight of a bale"), Quantity(found.bale_weight_kg, "weight")),
            (Sentence("Dry matter"), Quantity(dm, "percent")),
        ]
        method = Sentence("Bales times the mean weight of those weighed times their dry matter.")
        return Amount(mass, mass * (1 - spread), mass * (1 + spread), method, tuple(inputs))
    return _by_bale_size(facts, found, count, dm, inputs)


def _density_words(measured: bool) -> Sentence:
    return Sentence("Density, measured") if measured else Sentence("Density, usual value")


def _by_bale_size(facts: LotFacts, found: Found, count: int, dm: float | None, inputs: list[Pair]) -> Amount:
    volume = bale_volume(facts.sizes)
    if math.isnan(volume):
        return Amount(math.nan, reason=Sentence("Neither the weight nor the size of a bale is known."))
    density, measured = density_of(facts, found)
    low, likely, high = density.low, density.value, density.high
    if not measured:
        if facts.is_dry_hay and dm is None:
            return Amount(math.nan, reason=NO_DRY_MATTER)
        low, likely, high = bale_density(facts.is_dry_hay, dm or math.nan)
    inputs += [
        (Sentence("Volume of a bale"), Quantity(volume, "volume")),
        (
            Sentence("Density, measured") if measured else Sentence("Density, usual value"),
            Quantity(likely, "density_dm"),
        ),
    ]
    method = Sentence(
        "Bales times the volume of one times its dry matter density. A weighed sample of bales is better."
    )
    each = count * volume
    return Amount(each * likely, each * low, each * high, method, tuple(inputs), sources_of("stack"))


def _put_since(facts: LotFacts, since: date | None) -> tuple[Amount, list[Pair], Sentence | None]:
    """Dry matter of loads since, with the storage loss behind them already taken off."""
    loads = [put for put in facts.puts if since is None or put.on > since]
    if not loads:
        return Amount(0.0, 0.0, 0.0), [], None
    dms = [put.dm_frac if put.dm_frac is not None else facts.dm_frac for put in loads]
    if any(dm is None for dm in dms):
        return Amount(0.0, 0.0, 0.0), [], NO_DRY_MATTER
    weighed = sum(put.mass_af_kg * (dm or 0.0) for put, dm in zip(loads, dms, strict=True))
    full, rest = facts.usual.storage_loss_frac, facts.usual.remaining_loss_frac
    behind = max(0.0, 1 - (1 - full) / (1 - rest))
    mass, spread = weighed * (1 - behind), SPREAD_FRAC["loads"]
    inputs: list[Pair] = [
        (Sentence("Loads weighed in"), len(loads)),
        (Sentence("Dry matter weighed in"), Quantity(weighed, "mass_dm")),
        (Sentence("Storage loss in all"), Quantity(full, "percent")),
        (Sentence("of it behind already"), Quantity(behind, "percent")),
    ]
    method = Sentence(
        "Loads weighed in, less the part of the storage loss that is behind; the rest is taken off later."
    )
    return Amount(mass, mass * (1 - spread), mass * (1 + spread), method), inputs, None


def _fed_since(facts: LotFacts, since: date | None) -> tuple[float, list[Pair], Sentence | None]:
    """Dry matter fed out after the end of that day, thrown-away part included."""
    parts = [(each, each.part_after(since)) for each in facts.taken]
    used = [(each, part) for each, part in parts if part > 0]
    if not used:
        return 0.0, [], None
    dms = [each.dm_frac if each.dm_frac is not None else facts.dm_frac for each, _part in used]
    if any(dm is None for dm in dms):
        return 0.0, [], Sentence("Its dry matter is not known, so feed-out cannot be taken off.")
    fed = sum(each.mass_af_kg * part * (dm or 0.0) for (each, part), dm in zip(used, dms, strict=True))
    return fed, [(Sentence("Fed out since, dry matter"), Quantity(fed, "mass_dm"))], None


def thrown_share(taken: Sequence[Taken]) -> float:
    """Share of what was taken out that was thrown away; NaN where nothing was taken."""
    whole = sum(each.mass_af_kg for each in taken)
    return sum(each.thrown_af_kg for each in taken) / whole if whole > 0 else math.nan
