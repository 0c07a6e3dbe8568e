"""Draw the list of a cutting from what the yard needs, and count its needs again when the yard changes."""

from __future__ import annotations

import math

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.events.edits import same
from app.events.history import note
from app.planning.cautions import PLACES
from app.planning.readiness import BY_KEY, DrawnItem, draw_checklist
from app.planning.yard import YardInputs
from app.records.checklists import Checklist, Item
from app.services.checklists.outlook import outlook_of
from app.services.checklists.parts import item_part, list_part, summary_part
from app.services.checklists.start import coming_cutting, find_checklist
from app.services.checklists.yard import yard_of
from app.units.sentences import Quantity

_PLACE_ORDER = {place: at for at, place in enumerate(PLACES)}


def drawn_items(yard: YardInputs) -> dict[str, DrawnItem]:
    """What applies to the yard, by key, in the order the list is first put in."""
    return {item.key: item for item in sorted(draw_checklist(yard), key=_order)}


def _order(item: DrawnItem) -> tuple[int, int]:
    return -item.days_before, _PLACE_ORDER.get(item.place, 99)


def draw_list(work: Work, farm_id: int) -> Checklist:
    """The list of the coming cutting, with everything the yard asks for; done twice, it adds only what is new.

    Items that people changed or removed stay as they are.
    """
    farm = access_farm(work, farm_id, Permission.CHECKLISTS_EDIT)
    coming = coming_cutting(work, farm)
    checklist = find_checklist(work, farm_id, coming)
    if checklist is None:
        checklist = Checklist(farm_id=farm_id, year=coming.year, cutting=coming.number, created_at=work.now())
        work.session.add(checklist)
        work.session.flush()
    added = _add_missing(work, checklist, yard_of(work, farm_id, outlook_of(work, farm, coming)))
    if added:
        parts = (list_part(checklist.id), summary_part(checklist.id), "board-figures")
        note(work, farm_id, "draw", "checklists", checklist.id, fields={"items": (0, added)}, parts=parts)
    recount_needs(work, farm_id)
    return checklist


def _add_missing(work: Work, checklist: Checklist, yard: YardInputs) -> int:
    rows = list(work.session.scalars(select(Item).where(Item.checklist_id == checklist.id)))
    there = {row.key for row in rows}
    position = max((row.position for row in rows), default=0)
    missing = [item for key, item in drawn_items(yard).items() if key not in there]
    for at, drawn in enumerate(missing, start=1):
        work.session.add(_row(checklist, drawn, position + 10 * at))
    work.session.flush()
    return len(missing)


def _row(checklist: Checklist, drawn: DrawnItem, position: int) -> Item:
    known = drawn.need is not None and not math.isnan(drawn.need.need)
    return Item(
        farm_id=checklist.farm_id,
        checklist_id=checklist.id,
        key=drawn.key,
        title=drawn.sentence.text,
        place=drawn.place,
        role=drawn.role,
        days_before=drawn.days_before,
        need=drawn.need.need if known else None,  # type: ignore[union-attr]
        kind=drawn.need.kind if drawn.need else None,
        position=position,
    )


def is_counted(item: Item) -> bool:
    """Whether the app counts this item's need itself."""
    return item.key in BY_KEY and BY_KEY[item.key].count is not None


def recount_needs(work: Work, farm_id: int) -> int:
    """Write the needs that have moved since they were last counted, with old and new in the history.

    Services whose change moves a need (machines, structures to be filled, tons expected) call this in the same
    transaction; what people typed on an item is not touched. Returns how many have moved.
    """
    farm = access_farm(work, farm_id)
    coming = coming_cutting(work, farm)
    checklist = find_checklist(work, farm_id, coming)
    if checklist is None:
        return 0
    drawn = drawn_items(yard_of(work, farm_id, outlook_of(work, farm, coming)))
    rows = work.session.scalars(
        select(Item).where(Item.checklist_id == checklist.id, Item.removed_at.is_(None), Item.key.is_not(None))
    )
    return sum(_recount(work, row, drawn.get(row.key or "")) for row in list(rows) if is_counted(row))


def _recount(work: Work, row: Item, drawn: DrawnItem | None) -> bool:
    if drawn is None or drawn.need is None:
        return False
    need = None if math.isnan(drawn.need.need) else float(drawn.need.need)
    if same(row.need, need) or (need is None and row.done_at is not None):
        return False
    fields = {"need": (_quantity(row.need, row.kind), _quantity(need, drawn.need.kind))}
    if row.kind != drawn.need.kind and row.have is not None:  # counted in another unit now: the old figure says nothing
        fields["have"] = (_quantity(row.have, row.kind), None)
        row.have = None
    row.need, row.kind = need, drawn.need.kind
    row.version += 1
    parts = (item_part(row.id), summary_part(row.checklist_id), "board-figures")
    note(work, row.farm_id, "recount", "items", row.id, name=row.title, fields=fields, parts=parts)
    return True


def _quantity(value: float | None, kind: str | None) -> Quantity | None:
    return None if value is None else Quantity(value, kind or "count")
