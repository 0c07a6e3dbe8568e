"""What people do with the list of feeds; every lot and supply is of one of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, Unsure
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.records.feeds import FEED_KINDS, Feed
from app.units.quantities import KG_PER_SHORT_TON
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape

KIND_NAMES = (
    ("haylage", "Haylage"),
    ("corn_silage", "Corn silage"),
    ("hay", "Dry hay"),
    ("straw", "Straw"),
    ("byproduct", "Byproduct"),
    ("other", "Other feed"),
)
DRY_MATTER_USUAL = {
    "haylage": (0.25, 0.58),
    "corn_silage": (0.25, 0.48),
    "hay": (0.75, 0.96),
    "straw": (0.78, 0.97),
}
"""Dry matter such a feed usually has; outside it the person is asked. Common practice, no source."""

DRY_MATTER_ANY = (0.05, 0.98)
"""Dry matter no feed lies outside of."""

FEED_PARTS = ("board-figures", "feed-balance", "lots-table", "structures-drawn", "supplies-table")
"""Live parts of pages that show feed on hand."""

FEED_SHAPE = Shape(
    "feeds",
    (
        Column("name", "Name of the feed", required=True, longest=80, example="Alfalfa haylage"),
        Column("kind", "Kind of feed", "choice", required=True, choices=KIND_NAMES),
        Column(
            "dm_frac",
            "Dry matter, usual",
            "number",
            "percent",
            high=1,
            likely_low=0.10,
            example="38",
            hint="Dry matter, not moisture. It stands in where a lot has no value of its own.",
        ),
        Column(
            "storage_life_d",
            "Keeps for",
            "number",
            "days",
            low=0.5,
            high=3650,
            example="5",
            hint="Only for feed that spoils, such as wet byproducts. Empty: it keeps.",
        ),
        Column(
            "price_usd_kg_dm",
            "Worth, dry matter",
            "number",
            "price_dm",
            low=0,
            high=5,
            likely_low=20 / KG_PER_SHORT_TON,
            likely_high=900 / KG_PER_SHORT_TON,
            example="210",
        ),
    ),
)
assert {key for key, _name in KIND_NAMES} == set(FEED_KINDS)


def list_feeds(work: Work, farm_id: int) -> list[Feed]:
    """The farm's feeds by name."""
    access_farm(work, farm_id)
    wanted = select(Feed).where(Feed.farm_id == farm_id, Feed.removed_at.is_(None))
    return list(work.session.scalars(wanted.order_by(Feed.name, Feed.id)))


def list_removed(work: Work, farm_id: int) -> list[Feed]:
    return removed_rows(work, Feed, farm_id)


def access_feed(work: Work, farm_id: int, feed_id: int, permission: Permission = Permission.FARM_VIEW) -> Feed:
    return access_row(work, Feed, farm_id, feed_id, permission)


def add_feed(work: Work, farm_id: int, values: dict[str, Any], *, sure: bool = False) -> Feed:
    access_farm(work, farm_id, Permission.FEED_EDIT)
    _check_name(work, farm_id, values.get("name"))
    check_dry_matter(values.get("dm_frac"), values["kind"], sure)
    feed = Feed(farm_id=farm_id, **values)
    work.session.add(feed)
    work.session.flush()
    note(work, farm_id, "add", "feeds", feed.id, name=feed.name, parts=FEED_PARTS)
    return feed


def edit_feed(
    work: Work,
    farm_id: int,
    feed_id: int,
    values: dict[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    sure: bool = False,
) -> Feed:
    feed = access_feed(work, farm_id, feed_id, Permission.FEED_EDIT)
    if values.get("name", feed.name) != feed.name:
        _check_name(work, farm_id, values["name"], feed.id)
    check_dry_matter(values.get("dm_frac"), values.get("kind", feed.kind), sure)
    apply_edit(work, feed, values, was, noun="feeds", parts=FEED_PARTS)
    return feed


def remove_feed(work: Work, farm_id: int, feed_id: int) -> Feed:
    """Take a feed off the list; lots and supplies of it stay and keep its name."""
    feed = access_feed(work, farm_id, feed_id, Permission.FEED_EDIT)
    remove_row(work, feed, noun="feeds", parts=FEED_PARTS)
    return feed


def restore_feed(work: Work, farm_id: int, feed_id: int) -> Feed:
    feed = access_removed(work, Feed, farm_id, feed_id, Permission.FEED_EDIT)
    if feed.removed_at is not None:
        _check_name(work, farm_id, feed.name, feed.id)
        restore_row(work, feed, noun="feeds", parts=FEED_PARTS)
    return feed


def check_dry_matter(dm_frac: float | None, kind: str, sure: bool, name: str = "dm_frac") -> None:
    """Refuse a dry matter no feed has; ask about one that looks like moisture."""
    if dm_frac is None:
        return
    least, most = DRY_MATTER_ANY
    got = Quantity(dm_frac, "percent")
    if not least <= dm_frac <= most:
        why = Sentence(
            "Dry matter of {got} is outside {low} to {high}. Type a percentage, such as 38.",
            got=got,
            low=Quantity(least, "percent"),
            high=Quantity(most, "percent"),
        )
        raise Invalid({name: why})
    low, high = DRY_MATTER_USUAL.get(kind, DRY_MATTER_ANY)
    if sure or low <= dm_frac <= high:
        return
    if low <= 1 - dm_frac <= high:
        why = Sentence(
            "{got} looks like moisture. Its dry matter would then be {meant}. Is {got} really the dry matter?",
            got=got,
            meant=Quantity(1 - dm_frac, "percent"),
        )
    else:
        why = Sentence(
            "Dry matter of {got} is unusual for this kind of feed (usual: {low} to {high}). Is it right?",
            got=got,
            low=Quantity(low, "percent"),
            high=Quantity(high, "percent"),
        )
    raise Unsure({name: why})


def _check_name(work: Work, farm_id: int, name: str | None, but: int | None = None) -> None:
    same_name = select(Feed.id).where(
        Feed.farm_id == farm_id, Feed.removed_at.is_(None), func.lower(Feed.name) == (name or "").lower()
    )
    if any(found != but for found in work.session.scalars(same_name)):
        raise Invalid({"name": Sentence("There is already a feed named {name}.", name=name or "")})
