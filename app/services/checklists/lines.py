"""One item as a page shows it: what is needed, what is there, what is short, and the one word for how it stands."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from app.planning.cautions import BY_KEY as CAUTIONS
from app.planning.cautions import PLACES, Caution
from app.planning.readiness import BY_KEY as ENTRIES
from app.planning.readiness import DrawnItem
from app.records.checklists import Item
from app.services.checklists.drawing import is_counted
from app.services.checklists.start import Start, due_on
from app.units.sentences import Quantity, Sentence

SHORT_NAMES: dict[str, Sentence] = {
    "packing-weight": Sentence("Packing weight"),
    "packed-density": Sentence("Packed density"),
    "sheet": Sentence("Sheeting and film"),
    "sheet-rolls": Sentence("Rolls of sheeting"),
    "tires": Sentence("Tires or bags"),
    "liners": Sentence("Wall liners"),
    "bags": Sentence("Bags"),
    "inoculant": Sentence("Inoculant"),
    "haul-units": Sentence("Haul units"),
    "people": Sentence("People"),
    "radios": Sentence("Radios"),
    "sample-bags": Sentence("Sample bags"),
    "gas-signs": Sentence("Keep-out signs"),
    "frames-and-belts": Sentence("Frames and belts"),
    "swath-doors": Sentence("Swath width"),
    "spray-interval": Sentence("Days since spraying"),
}
"""What a shortage is called where there is no room for the whole sentence."""


SOURCES: dict[str, tuple[str, ...]] = {
    "packing-weight": ("Kaatz2009",),
    "packed-density": ("MuckHolmes2000", "Undersander2009"),
    "sheet": ("Kung2010", "Bolsen2016"),
    "sheet-rolls": ("Bolsen2016",),
    "tires": ("NewYorkDec2007",),
    "liners": ("Kung2010", "Stone2005"),
    "haul-units": ("BuckmasterHilton2005", "Harrigan2003"),
}
"""Where the counting of a need comes from; the rest is plain counting or common practice."""


@dataclass(frozen=True)
class Around:
    """What an item is read against."""

    start: Start
    today: date
    drawn: Mapping[str, DrawnItem] = field(default_factory=dict)
    before: Mapping[int, tuple[float, datetime]] = field(default_factory=dict)
    """Item id -> the need it had before it was last counted again, and when that was."""
    names: Mapping[int, str] = field(default_factory=dict)
    """Account id -> name."""
    open_titles: Mapping[int, str] = field(default_factory=dict)
    """Titles of the items that are still to be done."""
    structures: tuple[str, ...] = ()
    """Names of the structures to be filled."""


@dataclass(frozen=True)
class ItemLine:
    """An item of the list, ready to be shown."""

    row: Item
    due_on: date | None
    kind: str | None
    need: float | None
    have: float | None
    have_is_counted: bool
    """Nobody typed what is there; it was added up from the machines."""
    need_before: float | None
    counted_at: datetime | None
    reason: Sentence | None
    """Why the need is not known."""
    waits_for: str | None
    done_by: str
    status: str
    """done, blocked, late, short or open."""
    caution: Caution | None
    place: Sentence | None
    place_names: tuple[str, ...]
    is_late: bool

    @property
    def id(self) -> int:
        return self.row.id

    @property
    def is_done(self) -> bool:
        return self.row.done_at is not None

    @property
    def is_counted(self) -> bool:
        return is_counted(self.row)

    @property
    def sources(self) -> tuple[str, ...]:
        """Keys of the publications its need is counted by."""
        return SOURCES.get(self.row.key or "", ())

    @property
    def short(self) -> float | None:
        """What is missing; None when it is not known or nothing is."""
        if self.need is None or self.have is None:
            return None
        missing = self.need - self.have
        return missing if missing > 1e-6 * max(abs(self.need), 1.0) else None

    @property
    def have_frac(self) -> float | None:
        """How much of the need is there."""
        if self.need is None or self.have is None or self.need <= 0:
            return None
        return self.have / self.need

    @property
    def what(self) -> Sentence:
        """What it is called in one or two words."""
        return SHORT_NAMES.get(self.row.key or "") or Sentence("{what}", what=self.row.title)

    @property
    def shortage(self) -> Sentence | None:
        """The shortage with its name, for the board."""
        if self.short is None:
            return None
        return Sentence("{what}: short {amount}", what=self.what, amount=Quantity(self.short, self.kind or "count"))


def line_of(row: Item, around: Around) -> ItemLine:
    """The row as a line of the list."""
    drawn = around.drawn.get(row.key or "")
    need, have, reason, kind, counted = row.need, row.have, None, row.kind, False
    if drawn is not None and drawn.need is not None:
        reason = drawn.need.reason
        if not math.isnan(drawn.need.need):
            need, kind = float(drawn.need.need), drawn.need.kind
        have = row.have if kind == row.kind else None
        if have is None and drawn.need.have is not None and kind == drawn.need.kind:
            have, counted = float(drawn.need.have), True
    due = due_on(row, around.start)
    waits_for = around.open_titles.get(row.blocked_by_id) if row.blocked_by_id else None
    need_before, counted_at = _before(row, need, around)
    line = ItemLine(
        row=row,
        due_on=due,
        kind=kind,
        need=need,
        have=have,
        have_is_counted=counted,
        need_before=need_before,
        counted_at=counted_at,
        reason=reason if need is None or reason is not None else None,
        waits_for=waits_for,
        done_by=around.names.get(row.done_by_id or 0, ""),
        status="open",
        caution=_caution(row),
        place=PLACES.get(row.place or ""),
        place_names=around.structures if row.place in ("structure", "pad", "cover") else (),
        is_late=row.done_at is None and due is not None and due < around.today,
    )
    object.__setattr__(line, "status", _status(line))
    return line


def _before(row: Item, need: float | None, around: Around) -> tuple[float | None, datetime | None]:
    """The need as it stood before: not yet written down, or from the last line of its history."""
    if row.need is not None and need is not None and abs(row.need - need) > 1e-6 * max(abs(need), 1.0):
        return row.need, None
    return around.before.get(row.id, (None, None))


def _status(line: ItemLine) -> str:
    if line.is_done:
        return "done"
    if line.waits_for:
        return "blocked"
    if line.is_late:
        return "late"
    return "short" if line.short is not None else "open"


def _caution(row: Item) -> Caution | None:
    entry = ENTRIES.get(row.key or "")
    return CAUTIONS.get(entry.caution or "") if entry else None
