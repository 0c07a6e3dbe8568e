"""The reference herd and its haylage as rows of a farm, in the order a person would enter them."""

from __future__ import annotations

from datetime import date

from app.access.work import SYSTEM, Clock, Work
from app.records.farms import Cutting
from app.records.feeds import Feed, Lot, LotMeasurement
from app.services import herds
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON
from tests.builders.published import table

REFERENCE_DAY = date(2026, 5, 1)
SEALED_ON = date(2026, 5, 28)


def on_reference_day(work: Work, actor=SYSTEM) -> Work:
    return Work(work.session, actor, Clock(REFERENCE_DAY))


def add_feed(work: Work, farm_id: int, name="Haylage", kind="haylage", **more) -> Feed:
    feed = Feed(farm_id=farm_id, name=name, kind=kind, **({"dm_frac": 0.40} | more))
    work.session.add(feed)
    work.session.flush()
    return feed


def add_lot(work: Work, farm_id: int, feed: Feed, tons_dm=300.0, name="Bunker 1", **more) -> Lot:
    lot = Lot(farm_id=farm_id, feed_id=feed.id, name=name, dm_frac=0.40, **more)
    work.session.add(lot)
    work.session.flush()
    measured = LotMeasurement(
        farm_id=farm_id, lot_id=lot.id, measured_on=work.today("UTC"), method="weight",
        mass_af_kg=tons_dm * KG_PER_SHORT_TON / 0.40, dm_frac=0.40, noted_at=work.now(),
    )  # fmt: skip
    work.session.add(measured)
    work.session.flush()
    return lot


def group_values(name="Low cows", use_class="milking", head=200, intake_lb=50.0, **more):
    return {
        "name": name,
        "use_class": use_class,
        "head_count": head,
        "intake_method": "measured",
        "intake_kg": intake_lb * KG_PER_LB,
    } | more


def add_group(work: Work, farm_id: int, feed: Feed | None = None, share=0.0, from_on=date(2026, 1, 1), **values):
    group = herds.add_group(work, farm_id, group_values(**values))
    if feed is not None and share:
        step = {"feed_id": feed.id, "from_on": from_on, "share_frac": share}
        herds.add_inclusion(work, farm_id, group.id, step)
    return group


def add_reference_farm(work: Work, farm_id: int, *, sealed_on: date | None = SEALED_ON) -> Feed:
    """The six groups, 300 t DM of haylage in one bunker, and first cutting sealed on 28 May."""
    feed = add_feed(work, farm_id)
    add_lot(work, farm_id, feed)
    for row in table("planning", "reference_herd"):
        add_group(
            work, farm_id, feed, row["share"],
            name=row["group"], use_class=row["use_class"], head=int(row["head"]), intake_lb=row["intake_lb"],
        )  # fmt: skip
    if sealed_on:
        work.session.add(Cutting(farm_id=farm_id, year=sealed_on.year, number=1, sealed_on=sealed_on))
        work.session.flush()
    return feed
