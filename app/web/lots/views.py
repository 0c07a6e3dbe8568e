"""The page of one lot with its three forms of entry."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import Request

from app.access.permissions import Permission
from app.access.work import Work
from app.errors import AppError
from app.services import lots as services
from app.services.samples.quality import quality_of_lot
from app.web.citations import cited
from app.web.forms import FormView, Typed, form_view

ROOT = "/farms/{farm_id}/lots"


@dataclass(frozen=True)
class LotView:
    """`by` is the way of measuring whose form is shown; forms are empty for those who may not note."""

    one: services.LotPage
    by: str
    methods: tuple[tuple[str, str], ...]
    measurement: FormView | None
    feedout: FormView | None
    load: FormView | None
    sources: tuple
    samples: Any


def lot_view(
    request: Request,
    work: Work,
    farm_id: int,
    lot_id: int,
    by: str = "",
    form: str = "",
    typed: Typed | None = None,
    refused: AppError | None = None,
) -> LotView:
    """One lot; `form` names the entry that was refused."""
    quality = quality_of_lot(work, farm_id, lot_id)
    sampled = {lot_id: {"dm_frac": quality.dm.mean}} if quality.dm.known else None
    one = services.lot_page(work, farm_id, lot_id, sampled)
    by = by if by in dict(services.METHOD_NAMES) else one.methods[0]
    may = work.actor.may(Permission.FEED_LOG, farm_id)

    def entry(name: str, shape: Any) -> FormView | None:
        mine = (typed, refused) if name == form else (None, None)
        return form_view(shape, work.actor.units, None, *mine, name=f"lots-{name}") if may else None

    names = dict(services.METHOD_NAMES)
    return LotView(
        one,
        by,
        tuple((key, names[key]) for key in one.methods),
        entry("measurement", services.measurement_shape(by, one.lot.structure_kind or None)),
        entry("feedout", services.FEEDOUT_SHAPE),
        entry("load", services.load_shape(services.field_choices(work, farm_id))),
        cited(request, (*one.lot.sources, *one.lot.density.sources)),
        quality,
    )
