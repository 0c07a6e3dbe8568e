"""What may be done on a farm, and which role may do it."""

from __future__ import annotations

from enum import StrEnum


class Permission(StrEnum):
    FARM_VIEW = "farm:view"
    FARM_EDIT = "farm:edit"
    TEAM_VIEW = "team:view"
    TEAM_EDIT = "team:edit"
    FIELDS_EDIT = "fields:edit"
    SCOUTINGS_ADD = "scoutings:add"
    WEATHER_EDIT = "weather:edit"
    FEED_EDIT = "feed:edit"
    FEED_LOG = "feed:log"
    SAMPLES_EDIT = "samples:edit"
    HERD_EDIT = "herd:edit"
    CHECKLISTS_EDIT = "checklists:edit"
    CHECKLISTS_TICK = "checklists:tick"
    DECISIONS_EDIT = "decisions:edit"
    EXPORT = "farm:export"
    IMPORT = "farm:import"


P = Permission
_VIEW = {P.FARM_VIEW}
_CREW = _VIEW | {P.CHECKLISTS_TICK, P.FEED_LOG, P.SCOUTINGS_ADD}
_OFFICE = _CREW | {P.TEAM_VIEW, P.CHECKLISTS_EDIT, P.DECISIONS_EDIT, P.EXPORT}
_NUTRITIONIST = _OFFICE | {P.FEED_EDIT, P.SAMPLES_EDIT, P.HERD_EDIT}
_AGRONOMIST = _OFFICE | {P.FIELDS_EDIT, P.WEATHER_EDIT}

ROLE_MAY: dict[str, frozenset[Permission]] = {
    "owner": frozenset(Permission),
    "consultant": frozenset(_NUTRITIONIST | _AGRONOMIST | {P.FARM_EDIT, P.IMPORT}),
    "nutritionist": frozenset(_NUTRITIONIST),
    "agronomist": frozenset(_AGRONOMIST),
    "crew": frozenset(_CREW),
    "viewer": frozenset(_VIEW),
}
