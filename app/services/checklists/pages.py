"""The Readiness page and its parts, read for someone who may see the farm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import NotFound
from app.planning.cautions import PLACES
from app.planning.yard import YardInputs
from app.records.accounts import Account
from app.records.checklists import Checklist, Item
from app.records.farms import Farm
from app.records.history import Change
from app.services.checklists.drawing import drawn_items
from app.services.checklists.lines import Around, ItemLine, line_of
from app.services.checklists.outlook import Outlook, outlook_of
from app.services.checklists.start import Start, coming_cutting, due_on, find_checklist, start_of
from app.services.checklists.yard import yard_of
from app.units.sentences import Quantity, Sentence

RECENT = timedelta(days=7)
WEEKDAYS = tuple(
    Sentence(name) for name in ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
)


@dataclass(frozen=True)
class PlaceGroup:
    key: str
    place: Sentence
    names: tuple[str, ...]
    lines: tuple[ItemLine, ...]


@dataclass(frozen=True)
class DueGroup:
    """Items due on one day, by place. `key` names the group in live parts and addresses."""

    key: str
    label: Sentence
    left: int
    places: tuple[PlaceGroup, ...]


@dataclass(frozen=True)
class ListPage:
    """The list of the coming cutting; `checklist` is None until someone draws it."""

    checklist: Checklist | None
    start: Start
    groups: tuple[DueGroup, ...] = ()
    lines: tuple[ItemLine, ...] = ()
    removed: tuple[Item, ...] = ()
    missing: int = 0
    """Items the yard asks for now that are not on the list yet."""

    @property
    def done(self) -> int:
        return sum(line.is_done for line in self.lines)

    @property
    def total(self) -> int:
        return len(self.lines)

    @property
    def late(self) -> int:
        return sum(line.is_late for line in self.lines)

    @property
    def shortages(self) -> tuple[ItemLine, ...]:
        """Open items that are short, the worst first."""
        short = [line for line in self.lines if line.short is not None and not line.is_done]
        return tuple(sorted(short, key=lambda line: 1.0 if line.have_frac is None else line.have_frac))


def list_page(work: Work, farm_id: int, checklist_id: int | None = None) -> ListPage:
    """The coming cutting's list, or the list with that number."""
    farm = access_farm(work, farm_id)
    coming = coming_cutting(work, farm)
    outlook = outlook_of(work, farm, coming)
    start = start_of(coming, outlook.start)
    checklist = find_checklist(work, farm_id, coming)
    if checklist_id is not None and (checklist is None or checklist.id != checklist_id):
        checklist = access_row(work, Checklist, farm_id, checklist_id, Permission.FARM_VIEW)
    if checklist is None:
        return ListPage(None, start)
    return _page(work, farm, checklist, start, outlook)


def _page(work: Work, farm: Farm, checklist: Checklist, start: Start, outlook: Outlook) -> ListPage:
    everything = list(
        work.session.scalars(select(Item).where(Item.checklist_id == checklist.id).order_by(Item.position, Item.id))
    )
    rows = [row for row in everything if row.removed_at is None]
    yard = yard_of(work, farm.id, outlook)
    around = _around(work, farm, rows, start, yard)
    lines = tuple(line_of(row, around) for row in rows)
    keys = {row.key for row in everything}
    return ListPage(
        checklist,
        start,
        groups=_groups(lines, start, around.today),
        lines=lines,
        removed=tuple(row for row in everything if row.removed_at is not None),
        missing=sum(key not in keys for key in around.drawn),
    )


def _around(work: Work, farm: Farm, rows: list[Item], start: Start, yard: YardInputs) -> Around:
    return Around(
        start=start,
        today=work.today(farm.time_zone),
        drawn=drawn_items(yard),
        before=_before(work, farm.id),
        names=_names(work, rows),
        open_titles={row.id: row.title for row in rows if row.done_at is None},
        structures=tuple(structure.name for structure in yard.structures),
    )


def _before(work: Work, farm_id: int) -> dict[int, tuple[float, datetime]]:
    """Needs as they stood before they were counted again in the last days."""
    recent = (
        select(Change)
        .where(
            Change.farm_id == farm_id,
            Change.noun == "items",
            Change.verb == "recount",
            Change.at > work.now() - RECENT,
        )
        .order_by(Change.seq)
    )
    found: dict[int, tuple[float, datetime]] = {}
    for change in work.session.scalars(recent):
        before = number_of(change.fields["need"][0])
        if before is not None and change.row_id is not None:
            found[change.row_id] = (before, change.at)
        elif change.row_id is not None:
            found.pop(change.row_id, None)
    return found


def number_of(kept: dict | float | None) -> float | None:
    """The number of a figure in the history."""
    return kept["value"] if isinstance(kept, dict) else kept


def _names(work: Work, rows: Iterable[Item]) -> dict[int, str]:
    ids = {row.done_by_id for row in rows if row.done_by_id is not None}
    if not ids:
        return {}
    found = work.session.execute(select(Account.id, Account.name).where(Account.id.in_(ids)))
    return {row.id: row.name for row in found}


def group_key(row: Item, start: Start) -> str:
    """Names the group of items due on the same day."""
    due = due_on(row, start)
    if due is not None:
        return due.isoformat()
    return "none" if row.days_before is None else f"before-{row.days_before}"


def _groups(lines: Iterable[ItemLine], start: Start, today: date) -> tuple[DueGroup, ...]:
    by_key: dict[str, list[ItemLine]] = {}
    for line in lines:
        by_key.setdefault(group_key(line.row, start), []).append(line)
    groups = [
        DueGroup(key, _label(members[0], start, today), sum(not line.is_done for line in members), _places(members))
        for key, members in by_key.items()
    ]
    return tuple(sorted(groups, key=lambda group: _group_order(group, by_key[group.key][0])))


def _group_order(group: DueGroup, first: ItemLine) -> tuple[bool, str, int]:
    """What is finished goes last; the rest by day, then by days before a start nobody knows yet."""
    day = first.due_on.isoformat() if first.due_on else "9999"
    return group.left == 0, day, -(first.row.days_before if first.row.days_before is not None else -1)


def _places(lines: list[ItemLine]) -> tuple[PlaceGroup, ...]:
    order = {key: at for at, key in enumerate(PLACES)}
    by_place: dict[str, list[ItemLine]] = {}
    for line in lines:
        by_place.setdefault(line.row.place or "", []).append(line)
    return tuple(
        PlaceGroup(key, PLACES.get(key, Sentence("Anywhere")), members[0].place_names, tuple(members))
        for key, members in sorted(by_place.items(), key=lambda pair: order.get(pair[0], 99))
    )


def _label(line: ItemLine, start: Start, today: date) -> Sentence:
    due, days = line.due_on, line.row.days_before
    if due is None:
        if days is None:
            return Sentence("No day set")
        return Sentence("{days} before the start", days=Quantity(days, "days")) if days else Sentence("On the day")
    if due == today:
        return Sentence("Today")
    if due < today:
        return Sentence("Was due {day}", day=due)
    if due == start.on:
        return Sentence("On the day, {day}", day=due)
    if (due - today).days < 7:
        return Sentence("Before {weekday}", weekday=WEEKDAYS[due.weekday()])
    return Sentence("Before {day}", day=due)


def item_line(work: Work, farm_id: int, checklist_id: int, item_id: int) -> ItemLine:
    """One item, as the list shows it."""
    row = access_row(work, Item, farm_id, item_id, Permission.FARM_VIEW)
    if row.checklist_id != checklist_id:
        raise NotFound("items")
    farm = access_farm(work, farm_id)
    rows = [row]
    if row.blocked_by_id is not None:
        waits_for = select(Item).where(Item.id == row.blocked_by_id, Item.removed_at.is_(None))
        rows += list(work.session.scalars(waits_for))
    coming = coming_cutting(work, farm)
    outlook = outlook_of(work, farm, coming)
    start = start_of(coming, outlook.start)
    return line_of(row, _around(work, farm, rows, start, yard_of(work, farm_id, outlook)))


def current_start(work: Work, farm: Farm) -> Start:
    """The start of the coming cutting, as far as anyone knows."""
    coming = coming_cutting(work, farm)
    return start_of(coming, outlook_of(work, farm, coming).start)


def due_group(work: Work, farm_id: int, checklist_id: int, key: str) -> DueGroup:
    """One group of the list, by its key."""
    group = next((group for group in list_page(work, farm_id, checklist_id).groups if group.key == key), None)
    if group is None:
        raise NotFound("items")
    return group
