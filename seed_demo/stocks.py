"""Feeds, structures, lots with what went in, was measured and was fed out, their lab samples, and supplies."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from app.access.work import Work
from app.services import feeds, lots, samples, structures, supplies
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_SHORT_TON, M_PER_FT
from seed_demo.lab import LAB, Quality, report
from seed_demo.story import Story

RECENT_D = 120
"""Feed-out is noted by the week for so long back, by four weeks before that."""
SHRINK = 0.90


@dataclass(frozen=True)
class Store:
    """A structure, sizes in feet."""

    name: str
    kind: str
    length: float | None = None
    width: float | None = None
    wall: float | None = None
    peak: float | None = None
    top_width: float | None = None
    diameter: float | None = None
    fills_next: bool = False
    dm_lb_ft3: float = 15.0
    note: str | None = None


@dataclass(frozen=True)
class Batch:
    """A lot as it comes every season: which cutting, where to, how many days of the herd's feed it is."""

    name: str
    feed: str
    store: str | None
    cutting: int | None
    days: int
    dm: float
    quality: Quality
    sealed: tuple[int, int] | None = None
    """Month and day, where it is not of a cutting."""


@dataclass(frozen=True)
class Stream:
    """Lots fed one after the other: to whom, how much a day in tons of dry matter, and from which day of the season."""

    batches: tuple[Batch, ...]
    use_class: str | None
    tons_dm_d: float
    opens: tuple[int, int]


def tell_feeds(story: Story, values: list[dict[str, Any]]) -> None:
    for number, each in enumerate(values):
        story.on(
            story.begun_on,
            "nutritionist",
            lambda work, v=each: story.keep(v["name"], feeds.add_feed(work, story.farm_id, v, sure=True)),
            12 + number / 20,
        )


def tell_stores(story: Story, stores: list[Store]) -> None:
    for number, store in enumerate(stores):
        values = {
            "name": store.name,
            "kind": store.kind,
            "length_m": _m(store.length),
            "width_m": _m(store.width),
            "top_width_m": _m(store.top_width),
            "wall_height_m": _m(store.wall),
            "peak_height_m": _m(store.peak),
            "diameter_m": _m(store.diameter),
            "ramps_count": 1 if store.kind == "bunker" else None,
            "note": store.note,
        }
        story.on(
            story.begun_on,
            "owner",
            lambda work, v=values: story.keep(v["name"], structures.add_structure(work, story.farm_id, v)),
            12.6 + number / 20,
        )
        if store.fills_next:
            story.on(date(story.year, 2, 20), "owner", lambda work, n=store.name: _fill_next(story, work, n), 16)


def _fill_next(story: Story, work: Work, name: str) -> None:
    structures.set_fills_next(work, story.farm_id, story.ids[name], True)


def _m(feet: float | None) -> float | None:
    return None if feet is None else feet * M_PER_FT


def tell_stream(story: Story, stream: Stream, stores: list[Store], grounds: list[str]) -> None:
    """Every season's lots of the stream, opened one after the other."""
    by_name = {store.name: store for store in stores}
    for year in story.years:
        opens = date(year, *stream.opens)
        for batch in stream.batches:
            sealed = story.sealed(year, batch.cutting) if batch.cutting else date(year, *batch.sealed)  # type: ignore[misc]
            lot = _Lot(story, stream, batch, by_name.get(batch.store or ""), year, sealed, opens, grounds)
            lot.tell()
            opens += timedelta(days=batch.days)


@dataclass(frozen=True)
class _Lot:
    story: Story
    stream: Stream
    batch: Batch
    store: Store | None
    year: int
    sealed_on: date
    opens_on: date
    grounds: list[str]

    @property
    def name(self) -> str:
        return self.batch.name.format(year=self.year)

    @property
    def key(self) -> str:
        return f"lot {self.name} {self.year}"

    @property
    def dm_kg(self) -> float:
        return self.batch.days * self.stream.tons_dm_d * KG_PER_SHORT_TON

    @property
    def empty_on(self) -> date:
        return self.opens_on + timedelta(days=self.batch.days)

    def left_kg(self, day: date) -> float:
        """Dry matter left at the end of a day."""
        fed_d = min(max((day - self.opens_on).days + 1, 0), self.batch.days)
        return self.dm_kg * (1 - fed_d / self.batch.days)

    def tell(self) -> None:
        self.story.on(self.sealed_on, "nutritionist", self._add, 19)
        self._tell_loads()
        self._tell_feedouts()
        self._tell_measurements()
        self._tell_samples()
        if self.empty_on <= self.story.today:
            self.story.on(self.empty_on, "lead", self._measure_empty, 16)
            self.story.on(self.empty_on, "nutritionist", self._use_up, 17)

    def _add(self, work: Work) -> None:
        values = {
            "name": self.name,
            "feed_id": self.story.ids[self.batch.feed],
            "structure_id": self.story.ids[self.store.name] if self.store else None,
            "year": self.year,
            "cutting": self.batch.cutting,
            "use_class": self.stream.use_class,
            "sealed_on": self.sealed_on,
            "dm_frac": self.batch.dm,
        }
        self.story.keep(self.key, lots.add_lot(work, self.story.farm_id, values, sure=True))

    def _id(self) -> int:
        return self.story.ids[self.key]

    def _tell_loads(self) -> None:
        """Scale tickets of the filling, a day's loads at a time, written up on the evening of sealing."""
        parts = [0.3, 0.38, 0.32]
        for number, part in enumerate(parts):
            day = self.sealed_on - timedelta(days=len(parts) - 1 - number)
            field_name = (
                self.grounds[(number + (self.batch.cutting or 0)) % len(self.grounds)] if self.grounds else None
            )
            mass = self.dm_kg / SHRINK * part / self.batch.dm

            def load(work: Work, day: date = day, mass: float = mass, ground: str | None = field_name) -> None:
                values = {
                    "loaded_on": day,
                    "mass_af_kg": mass,
                    "dm_frac": self.batch.dm,
                    "field_id": self.story.ids[ground] if ground and self.batch.cutting else None,
                }
                lots.add_load(work, self.story.farm_id, self._id(), values, sure=True)

            self.story.on(self.sealed_on, "lead", load, 19.5 + number / 10)

    def _tell_feedouts(self) -> None:
        day = self.opens_on
        while day < self.empty_on:
            recent = day > self.story.today - timedelta(days=RECENT_D)
            step = 7 if recent else 28
            until = min(day + timedelta(days=step), self.empty_on)
            self._tell_feedout(day, until - timedelta(days=1))
            day = until

    def _tell_feedout(self, first: date, last: date) -> None:
        days = (last - first).days + 1
        chance = random.Random(f"{self.key} {first}")
        taken = days * self.stream.tons_dm_d * KG_PER_SHORT_TON / self.batch.dm * chance.gauss(1.0, 0.015)
        thrown = taken * max(0.0, chance.gauss(0.02, 0.008))

        def feed(work: Work) -> None:
            values = {"from_on": first, "to_on": last, "mass_af_kg": round(taken), "thrown_af_kg": round(thrown)}
            lots.add_feedout(work, self.story.farm_id, self._id(), values, sure=True)

        self.story.on(last, "lead", feed, 17.5)

    def _tell_measurements(self) -> None:
        """At the first of a month while it is open; the first such day of every lot and all of this year's."""
        day = (self.opens_on.replace(day=1) + timedelta(days=45)).replace(day=1)
        while day < self.empty_on and day <= self.story.today:
            if day.year == self.story.year or day <= self.opens_on + timedelta(days=62):
                self.story.on(day, "nutritionist", lambda work, d=day: self._measure(work, d), 14)
            day = (day + timedelta(days=32)).replace(day=1)
        self.story.on(self.opens_on, "nutritionist", lambda work: self._measure(work, self.opens_on), 18)

    def _measure(self, work: Work, day: date) -> None:
        chance = random.Random(f"tape {self.key} {day}")
        left = self.left_kg(day) * chance.gauss(1.0, 0.012)
        lots.add_measurement(work, self.story.farm_id, self._id(), {"measured_on": day, **self._found(left)}, sure=True)

    def _found(self, left_kg: float) -> dict[str, Any]:
        """Sizes that hold that much, for shapes a tape can take; else a weight."""
        store, dm = self.store, self.batch.dm
        weight = {"method": "weight", "mass_af_kg": round(left_kg / dm), "dm_frac": dm}
        if store is None or store.kind == "tower":
            return weight
        density = store.dm_lb_ft3 * KG_M3_PER_LB_FT3
        volume_ft3 = left_kg / density / M_PER_FT**3
        if store.kind == "bunker":
            section = _bunker_section(store)
            sizes = {"length_m": _tape(volume_ft3 / section), "height_m": _m(store.peak or store.wall)}
        elif store.kind == "bag":
            assert store.diameter
            sizes = {"length_m": _tape(volume_ft3 / (0.7854 * store.diameter**2) + store.diameter)}
        else:
            length = _pile_length(store, volume_ft3)
            if length is None:
                return weight
            sizes = {"length_m": _tape(length), "height_m": _m(store.peak)}
        return {"method": "sizes", "density_kg_m3": density, **sizes}

    def _measure_empty(self, work: Work) -> None:
        values = {"measured_on": self.empty_on, "method": "weight", "mass_af_kg": 0.0, "dm_frac": self.batch.dm}
        lots.add_measurement(work, self.story.farm_id, self._id(), values, sure=True)

    def _use_up(self, work: Work) -> None:
        lots.edit_lot(work, self.story.farm_id, self._id(), {"used_up_on": self.empty_on}, sure=True)

    def _tell_samples(self) -> None:
        days = [self.sealed_on + timedelta(days=35)]
        days += [self.opens_on + timedelta(days=number) for number in range(4, self.batch.days, 42)]
        for day in sorted({day for day in days if day >= self.sealed_on + timedelta(days=21)}):
            got = day + timedelta(days=4)
            self.story.on(got, "nutritionist", lambda work, d=day, g=got: self._sample(work, d, g), 11)

    def _sample(self, work: Work, day: date, got: date) -> None:
        head = {
            "of": f"lot-{self._id()}",
            "sampled_on": day,
            "received_on": got,
            "lab": LAB,
            "lab_ref": f"D-{day:%y%m%d}-{self._id()}",
            "note": "Grabs across the face, mixed and quartered."
            if day >= self.opens_on
            else "Cores through the cover.",
        }
        lines = report(self.batch.quality, self.batch.dm, self.key, day)
        samples.add_sample(work, self.story.farm_id, head, lines, sure=True)


def _tape(feet: float) -> float:
    """A length as a tape gives it, to the foot."""
    return max(1.0, round(feet)) * M_PER_FT


def _bunker_section(store: Store) -> float:
    """Square feet of an upright face: walls, and the crown as a parabola."""
    assert store.width and store.wall
    top = store.top_width or store.width
    return (store.width + top) / 2 * store.wall + 2 / 3 * top * ((store.peak or store.wall) - store.wall)


def _pile_length(store: Store, volume_ft3: float) -> float | None:
    """Base length of a pile with one upright face that holds so much; None when it is too short for its own slope."""
    assert store.width and store.peak
    high, base, top = store.peak, store.width, store.width - 6 * store.peak
    length = (2 * volume_ft3 / high + high * (base + 2 * top)) / (base + top)
    return length if length > 3.2 * high else None


@dataclass(frozen=True)
class Contract:
    """A supply that comes in loads."""

    name: str
    feed: str
    load_tons: float
    every_d: int
    dm: float
    ndf: float
    cp: float
    usd_ton: float
    note: str


def tell_contract(story: Story, contract: Contract) -> None:
    """A contract of this year: loads since January as received, the next ones due."""
    begun = date(story.year, 1, 6)
    values = {
        "feed_id": contract.feed,
        "name": contract.name,
        "dm_frac": contract.dm,
        "ndf_frac": contract.ndf,
        "cp_frac": contract.cp,
        "price_usd_kg_af": contract.usd_ton / KG_PER_SHORT_TON,
        "note": contract.note,
        "on_hand_af_kg": 0.0,
    }

    def add(work: Work) -> None:
        row = supplies.add_supply(work, story.farm_id, values | {"feed_id": story.ids[contract.feed]}, sure=True)
        story.keep(contract.name, row)

    story.on(begun, "nutritionist", add, 10)
    number, last = 0, max(story.today, begun) + timedelta(days=75)
    while (due := begun + timedelta(days=2 + number * contract.every_d)) < last:
        told_on = due - timedelta(days=84)
        _tell_load(story, contract, max(told_on, begun), due, number)
        number += 1


def _tell_load(story: Story, contract: Contract, told_on: date, due: date, number: int) -> None:
    key = f"{contract.name} {due}"
    values = {"due_on": due, "mass_af_kg": contract.load_tons * KG_PER_SHORT_TON}

    def expect(work: Work) -> None:
        row = supplies.add_delivery(work, story.farm_id, story.ids[contract.name], values, sure=True)
        story.keep(key, row)

    def receive(work: Work) -> None:
        supplies.receive_delivery(work, story.farm_id, story.ids[key], came)

    came = due + timedelta(days=1 if number % 9 == 4 else 0)

    def count(work: Work) -> None:
        counted = {"on_hand_af_kg": round(0.12 * values["mass_af_kg"]), "counted_on": came - timedelta(days=1)}
        supplies.edit_supply(work, story.farm_id, story.ids[contract.name], counted, sure=True)

    if number and (number % 4 == 0 or came > story.today - timedelta(days=30)):
        story.on(came - timedelta(days=1), "nutritionist", count, 16)
    story.on(told_on, "nutritionist", expect, 10.5 + number / 100)
    story.on(came, "lead", receive, 10)


def tell_supply(story: Story, on: date, values: dict[str, Any], feed: str) -> None:
    """Feed bought or counted once."""

    def add(work: Work) -> None:
        row = supplies.add_supply(work, story.farm_id, values | {"feed_id": story.ids[feed]}, sure=True)
        story.keep(values["name"], row)

    story.on(on, "nutritionist", add, 10)
