"""The balance as the Feed page shows it: the present, what is tried beside it, and ways to stretch."""

from __future__ import annotations

from dataclasses import dataclass

from app.access.work import Work
from app.planning.stretch import StretchOption, stretch_options
from app.services.balance.board import says
from app.services.balance.cases import Case, make_case, other_convention
from app.services.balance.inputs import Loaded, load
from app.services.balance.what_if import WhatIf, changed_input
from app.units.sentences import Sentence


@dataclass(frozen=True, eq=False)
class BalancePage:
    """`tried` is None while nothing is tried; `other` is the present under the other shrink convention."""

    loaded: Loaded
    present: Case
    tried: Case | None
    what_if: WhatIf
    other: Case
    options: tuple[StretchOption, ...]
    says: Sentence
    tried_says: Sentence | None

    @property
    def shown(self) -> Case:
        """What is tried, or the present."""
        return self.tried or self.present


def farm_balance(work: Work, farm_id: int, what_if: WhatIf | None = None) -> BalancePage:
    """The farm's balance today, and beside it with what someone tries; nothing is written."""
    loaded = load(work, farm_id)
    return balance_of(loaded, what_if or WhatIf())


def balance_of(loaded: Loaded, what_if: WhatIf) -> BalancePage:
    present = make_case(loaded.given, loaded.sealing, loaded.spreads)
    tried = make_case(*changed_input(loaded, what_if), loaded.spreads) if what_if.changed else None
    shown = tried or present
    return BalancePage(
        loaded,
        present,
        tried,
        what_if,
        other_convention(shown),
        stretch_options(shown.given, shown.balance, loaded.limits),
        says(present),
        says(tried) if tried else None,
    )
