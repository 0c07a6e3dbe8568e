"""Keep what was tried: write it to the herd, the settings and the agreed start, each with its line of history."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Conflict, Invalid
from app.events.edits import same
from app.records.herds import Group, HeadChange, Inclusion
from app.services import farms, herds
from app.services.balance.inputs import Loaded, load
from app.services.balance.what_if import NOTHING_TRIED, WhatIf, present_values, what_if_of
from app.services.checklists.start import agree_start, coming_cutting
from app.units.sentences import Sentence

SETTINGS = {
    "feedout_frac": "feedout_loss_frac",
    "refusal_frac": "refusal_frac",
    "convention": "shrink_convention",
    "carry_over_d": "carry_over_d",
}


def keep_what_if(work: Work, farm_id: int, values: Mapping[str, Any], was: Mapping[str, Any] | None = None) -> WhatIf:
    """Write what was tried. A value that someone else changed since it was tried raises Conflict; nothing is kept."""
    farm = access_farm(work, farm_id, Permission.HERD_EDIT)
    loaded = load(work, farm_id)
    now = present_values(loaded)
    tried = what_if_of(values, loaded)
    if not tried.changed:
        raise Invalid({"head_frac": NOTHING_TRIED})
    _refuse_changed(tried, now, was or {})
    for name, key in (*SETTINGS.items(), ("storage_frac", f"storage_loss_{loaded.structure_kind}_frac")):
        if getattr(tried, name) is not None:
            _set(work, farm_id, name, key, getattr(tried, name))
    _scale_herd(work, farm_id, loaded, tried)
    if tried.sealed_on is not None:
        coming = coming_cutting(work, farm)
        if coming.number != 1:
            why = Sentence("First cutting of this year is sealed already; its day cannot be moved here.")
            raise Invalid({"sealed_on": why})
        filling = timedelta(days=round(float(loaded.values["sealing_d"])))
        agree_start(work, farm_id, {"starts_on": tried.sealed_on - filling})
    return tried


def _set(work: Work, farm_id: int, name: str, key: str, value: float | str) -> None:
    """Keep a setting; a refusal is told under the name it has in the form."""
    try:
        farms.set_value(work, farm_id, key, value, Permission.FEED_EDIT)
    except Invalid as refused:
        raise Invalid({name: next(iter(refused.fields.values()))}) from refused


def _refuse_changed(tried: WhatIf, now: Mapping[str, Any], was: Mapping[str, Any]) -> None:
    """A present value other than the one that was on the page when it was tried."""
    conflicts = {
        name: (now[name], getattr(tried, name))
        for name in tried.changed
        if name in was and was[name] is not None and not same(was[name], now[name])
    }
    if conflicts:
        raise Conflict(conflicts)


def _scale_herd(work: Work, farm_id: int, loaded: Loaded, tried: WhatIf) -> None:
    groups = [(group, list(group.head_changes), list(group.inclusions)) for group in herds.list_groups(work, farm_id)]
    names = herds.feed_names(work, farm_id)
    for group, changes, shares in groups:
        if tried.head_frac is not None:
            now = herds.head_on(group, loaded.today)
            _scale_heads(work, group, changes, now, 1 + tried.head_frac, loaded.today)
        if tried.inclusion_frac is not None:
            own = sorted((row for row in shares if names[row.feed_id] == loaded.feed), key=lambda row: row.from_on)
            _scale_shares(work, group, own, 1 + tried.inclusion_frac, loaded.today)


def _scale_heads(work: Work, group: Group, changes: list[HeadChange], now: int, factor: float, today: date) -> None:
    """Head from today on; later counts by the same factor."""
    for change in changes:
        if change.from_on >= today:
            herds.edit_head_change(work, group.farm_id, change.id, {"head_count": round(change.head_count * factor)})
    if all(change.from_on != today for change in changes):
        herds.add_head_change(work, group.farm_id, group.id, {"from_on": today, "head_count": round(now * factor)})


def _scale_shares(work: Work, group: Group, rows: list[Inclusion], factor: float, today: date) -> None:
    """The share of the crop's feed from today on; later shares by the same factor."""
    running = next((row for row in reversed(rows) if row.from_on < today), None)
    for row in rows:
        if row.from_on >= today:
            values = {"share_frac": min(1.0, row.share_frac * factor)}
            herds.edit_inclusion(work, group.farm_id, row.id, values)
    if running and running.share_frac and all(row.from_on != today for row in rows):
        share = min(1.0, running.share_frac * factor)
        new = {"feed_id": running.feed_id, "from_on": today, "share_frac": share}
        herds.add_inclusion(work, group.farm_id, group.id, new)
