"""What people do with the items of a checklist, each in one transaction."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work, zone_of
from app.errors import Invalid, NotFound
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, restore_row
from app.records.checklists import Checklist, Item
from app.records.farms import Farm
from app.services.checklists.pages import ListPage, current_start, group_key, list_page
from app.services.checklists.parts import item_part, left_part, list_part, summary_part
from app.services.checklists.shapes import as_kept
from app.units.sentences import Sentence

MOVES_GROUP = {"due_on", "days_before", "place"}
"""Fields that put an item somewhere else on the list."""


def access_item(work: Work, farm_id: int, checklist_id: int, item_id: int, permission: Permission) -> Item:
    """The item of that list, under the rules of the gate."""
    item = access_row(work, Item, farm_id, item_id, permission)
    if item.checklist_id != checklist_id:
        raise NotFound("items")
    return item


def add_item(work: Work, farm_id: int, checklist_id: int, values: dict[str, Any]) -> Item:
    """An item a person thought of, at the end of its day."""
    checklist = access_row(work, Checklist, farm_id, checklist_id, Permission.CHECKLISTS_EDIT)
    kept = as_kept(values)
    _check_wait(work, checklist.id, None, kept.get("blocked_by_id"))
    last = work.session.scalar(
        select(Item.position).where(Item.checklist_id == checklist.id).order_by(Item.position.desc()).limit(1)
    )
    item = Item(farm_id=farm_id, checklist_id=checklist.id, position=(last or 0) + 10, **kept)
    work.session.add(item)
    work.session.flush()
    note(work, farm_id, "add", "items", item.id, name=item.title, parts=_list_parts(item))
    return item


def edit_item(
    work: Work,
    farm_id: int,
    checklist_id: int,
    item_id: int,
    values: dict[str, Any],
    was: dict[str, Any] | None = None,
) -> Item:
    """Change any field of an item. Two people on different fields both win; on the same one Conflict is raised."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_EDIT)
    kept, seen = as_kept(values), None if was is None else as_kept(was)
    if kept.get("blocked_by_id") != item.blocked_by_id:
        _check_wait(work, checklist_id, item.id, kept.get("blocked_by_id"))
    moved = any(kept.get(field, getattr(item, field)) != getattr(item, field) for field in MOVES_GROUP)
    parts = _list_parts(item) if moved else _item_parts(work, item)
    apply_edit(work, item, kept, seen, noun="items", name=item.title, parts=parts, kinds=_kinds(item, kept))
    return item


def say_on_item(
    work: Work,
    farm_id: int,
    checklist_id: int,
    item_id: int,
    values: dict[str, Any],
    was: dict[str, Any] | None = None,
) -> Item:
    """What the yard may write on an item: its note and what is on hand."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_TICK)
    allowed = {field: value for field, value in values.items() if field in ("note", "have")}
    parts = _item_parts(work, item)
    apply_edit(work, item, allowed, was, noun="items", name=item.title, parts=parts, kinds=_kinds(item, allowed))
    return item


def _kinds(item: Item, values: Mapping[str, Any]) -> dict[str, str]:
    """Need and have are counted in what the item says."""
    kind = values.get("kind", item.kind) or "count"
    return {"need": kind, "have": kind}


def add_note(work: Work, farm_id: int, checklist_id: int, item_id: int, text: str) -> Item:
    """Put a line under the note of an item; two people's lines both stay."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_TICK)
    longer = f"{item.note}\n{text}" if item.note else text
    if len(longer) > 2000:
        raise Invalid(
            {"text": Sentence("The note of this item is full ({most} characters). Shorten it first.", most=2000)}
        )
    apply_edit(work, item, {"note": longer}, noun="items", name=item.title, parts=_item_parts(work, item))
    return item


def tick_item(work: Work, farm_id: int, checklist_id: int, item_id: int) -> Item:
    """Say that it is done. Ticking what is done already changes nothing: the first one stands."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_TICK)
    if item.done_at is None:
        farm = access_farm(work, farm_id)
        item.done_at, item.done_by_id = work.clock.moment(zone_of(farm.time_zone)), work.actor.account_id
        _note_tick(work, item, "tick", (None, item.done_at))
    return item


def untick_item(work: Work, farm_id: int, checklist_id: int, item_id: int) -> Item:
    """Say that it is still to be done."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_TICK)
    if item.done_at is not None:
        before, item.done_at, item.done_by_id = item.done_at, None, None
        _note_tick(work, item, "untick", (before, None))
    return item


def _note_tick(work: Work, item: Item, verb: str, done_at: tuple[Any, Any]) -> None:
    item.version += 1
    parts = _item_parts(work, item)
    note(work, item.farm_id, verb, "items", item.id, name=item.title, fields={"done_at": done_at}, parts=parts)


def remove_item(work: Work, farm_id: int, checklist_id: int, item_id: int) -> Item:
    """Take an item off the list; `restore_item` puts it back as it was."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_EDIT)
    parts = (*_waiting_parts(work, item), *_list_parts(item))
    remove_row(work, item, noun="items", name=item.title, parts=parts)
    return item


def restore_item(work: Work, farm_id: int, checklist_id: int, item_id: int) -> Item:
    """Undo a removal."""
    access_row(work, Checklist, farm_id, checklist_id, Permission.CHECKLISTS_EDIT)
    item = access_removed(work, Item, farm_id, item_id, Permission.CHECKLISTS_EDIT)
    if item.checklist_id != checklist_id:
        raise NotFound("items")
    restore_row(work, item, noun="items", name=item.title, parts=_list_parts(item))
    return item


def move_item(work: Work, farm_id: int, checklist_id: int, item_id: int, by: int) -> Item:
    """One place up (-1) or down (+1) among the items of the same day and place; nothing happens at the ends."""
    item = access_item(work, farm_id, checklist_id, item_id, Permission.CHECKLISTS_EDIT)
    rows = [line.row for line in _neighbours(list_page(work, farm_id, checklist_id), item)]
    at = next(place for place, row in enumerate(rows) if row.id == item.id)
    if not 0 <= at + by < len(rows):
        return item
    other = rows[at + by]
    if other.position == item.position:  # two were added at once; tell them apart before they change places
        other.position += by
    item.position, other.position = other.position, item.position
    item.version += 1
    other.version += 1
    note(work, farm_id, "move", "items", item.id, name=item.title, parts=(list_part(checklist_id),))
    return item


def _neighbours(page: ListPage, item: Item) -> tuple:
    for group in page.groups:
        for place in group.places:
            if any(line.id == item.id for line in place.lines):
                return place.lines
    return ()


def _list_parts(item: Item) -> tuple[str, ...]:
    return list_part(item.checklist_id), summary_part(item.checklist_id), "board-figures"


def _item_parts(work: Work, item: Item) -> tuple[str, ...]:
    """The item, what waits for it, the count of its day, and the summaries."""
    start = current_start(work, access_farm(work, item.farm_id))
    left = left_part(item.checklist_id, group_key(item, start))
    own = (item_part(item.id), *_waiting_parts(work, item))
    return (*own, left, summary_part(item.checklist_id), "board-figures")


def _waiting_parts(work: Work, item: Item) -> tuple[str, ...]:
    waiting = work.session.scalars(
        select(Item.id).where(Item.blocked_by_id == item.id, Item.farm_id == item.farm_id, Item.removed_at.is_(None))
    )
    return tuple(item_part(each) for each in waiting)


def _check_wait(work: Work, checklist_id: int, item_id: int | None, waits_for: int | None) -> None:
    """An item waits for another one of its list, and never, through others, for itself."""
    if waits_for is None:
        return
    pairs = work.session.execute(
        select(Item.id, Item.blocked_by_id).where(Item.checklist_id == checklist_id, Item.removed_at.is_(None))
    )
    waits = {row.id: row.blocked_by_id for row in pairs}
    if waits_for not in waits:
        raise Invalid({"blocked_by_id": Sentence("Waits for: that item is not on this list.")})
    seen: set[int] = set()
    step: int | None = waits_for
    while step is not None and step not in seen:
        if step == item_id:
            raise Invalid(
                {"blocked_by_id": Sentence("Waits for: the two would wait for each other. Choose another item.")}
            )
        seen.add(step)
        step = waits.get(step)


def access_list(work: Work, farm_id: int, permission: Permission) -> Farm:
    """The farm, if the actor may do that with its lists."""
    return access_farm(work, farm_id, permission)
