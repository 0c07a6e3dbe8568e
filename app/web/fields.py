"""The Fields page, the page of one field, and the forms of fields and season shares."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from app.access.work import Work
from app.charts.figures import line_figure
from app.charts.lines import Chart, Level, Line, Mark, line_chart
from app.errors import AppError
from app.services import cutting_shares
from app.services import fields as services
from app.services.field_pages import FieldPage, FieldsAround, FieldsPage, field_page, fields_around, fields_page
from app.services.maturity import FieldMaturity
from app.units.kinds import shown
from app.units.wording import Reader
from app.web.citations import cited
from app.web.forms import REFUSED, FormView, Typed, form_view, question_of, row_values, status_of, typed_form
from app.web.pages import go, kept_part, reader_of, show
from app.web.strips import StripView, season_strip
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class ChartView:
    """What `charts.chart` of layout/_chart.html takes."""

    svg: str
    figure: dict[str, Any]
    title: str
    table: tuple[Any, Any]


@dataclass(frozen=True)
class Table:
    """What the live part of the Fields page is drawn from."""

    fields: FieldsPage
    strip: StripView | None


@dataclass(frozen=True)
class Listing:
    table: Markup
    around: FieldsAround
    shares: FormView
    refused: Any = None


@dataclass(frozen=True)
class One:
    field: FieldPage
    strip: StripView | None
    heights: ChartView | None
    heat: ChartView | None
    sources: dict[str, tuple]


@dataclass(frozen=True)
class FormPage:
    form: FormView
    field_id: int | None = None
    name: str = ""


@router.get("/farms/{farm_id}/fields", name="fields.show")
def show_fields(request: Request, farm_id: FarmId) -> Response:
    return _listing(request, farm_id)


@router.get("/farms/{farm_id}/fields/_table", name="fields.table")
def table(request: Request, farm_id: FarmId) -> Response:
    """The live part of the page: drawn again when any field, stand, reading or day of weather changes."""
    with reading(request) as work:
        return HTMLResponse(_table(request, work, farm_id), headers={"Cache-Control": "private, no-cache"})


def _table(request: Request, work: Work, farm_id: int) -> Markup:
    def make() -> Table:
        page, reader = fields_page(work, farm_id), reader_of(request, work.actor)
        if not any(field.days for field in page.maturity.fields):
            return Table(page, None)
        finding = reader.say(page.board.says)
        href = lambda field: _address(request, farm_id, field.field_id)
        return Table(page, season_strip(page.maturity, reader, finding, href=href))

    return kept_part(request, work, farm_id, "fields/_table.html", make)


def _listing(request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        around = fields_around(work, farm_id)
        shape = cutting_shares.shares_shape(around.cuts_count)
        own = {f"share_{number}": share for number, share in around.own_shares.items()}
        shares = form_view(shape, work.actor.units, own, typed, refused if typed else None)
        said = question_of(refused) if refused is not None and typed is None else None
        page = Listing(_table(request, work, farm_id), around, shares, said)
        return show(request, work, "fields/show.html", page, farm_id, status_of(refused))


def _address(request: Request, farm_id: int, field_id: int) -> str:
    return str(request.app.url_path_for("fields.field", farm_id=farm_id, field_id=field_id))


@router.post("/farms/{farm_id}/fields/shares", name="fields.set_shares")
def set_shares(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            farm = services.access_farm(work, farm_id)
            values = typed.read(cutting_shares.shares_shape(farm.cuts_count), work)
            cutting_shares.set_own_shares(work, farm_id, values)
            return go(request, "fields.show", "fields-shares", farm_id=farm_id)
    except REFUSED as refused:
        return _listing(request, farm_id, typed=typed, refused=refused)


@router.get("/farms/{farm_id}/fields/new", name="fields.new")
def new(request: Request, farm_id: FarmId) -> Response:
    return _form(request, farm_id)


@router.post("/farms/{farm_id}/fields/new", name="fields.add")
def add(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            field = services.add_field(work, farm_id, typed.read(services.FIELD_SHAPE, work))
            return go(request, "stands.new", farm_id=farm_id, field_id=field.id)
    except REFUSED as refused:
        return _form(request, farm_id, None, typed, refused)


@router.get("/farms/{farm_id}/fields/{field_id}/edit", name="fields.change")
def change(request: Request, farm_id: FarmId, field_id: Id) -> Response:
    return _form(request, farm_id, field_id)


def _form(
    request: Request,
    farm_id: int,
    field_id: int | None = None,
    typed: Typed | None = None,
    refused: AppError | None = None,
) -> Response:
    with reading(request) as work:
        row = services.get_field(work, farm_id, field_id, services.Permission.FIELDS_EDIT) if field_id else None
        if row is None:
            services.access_farm(work, farm_id, services.Permission.FIELDS_EDIT)
        values = row_values(row, services.FIELD_SHAPE) if row else None
        form = form_view(services.FIELD_SHAPE, work.actor.units, values, typed, refused)
        page = FormPage(form, field_id, row.name if row else "")
        return show(request, work, "fields/form.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/fields/{field_id}/edit", name="fields.edit")
def edit(request: Request, farm_id: FarmId, field_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            shape = services.FIELD_SHAPE
            services.edit_field(work, farm_id, field_id, typed.read(shape, work), typed.was(shape, work))
            return go(request, "fields.field", farm_id=farm_id, field_id=field_id)
    except REFUSED as refused:
        return _form(request, farm_id, field_id, typed, refused)


@router.post("/farms/{farm_id}/fields/{field_id}/remove", name="fields.remove")
def remove(request: Request, farm_id: FarmId, field_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        services.remove_field(work, farm_id, field_id)
        return go(request, "fields.show", "fields-removed", farm_id=farm_id)


@router.post("/farms/{farm_id}/fields/{field_id}/restore", name="fields.restore")
def restore(request: Request, farm_id: FarmId, field_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            services.restore_field(work, farm_id, field_id)
            return go(request, "fields.field", farm_id=farm_id, field_id=field_id)
    except REFUSED as refused:
        return _listing(request, farm_id, refused=refused)


@router.get("/farms/{farm_id}/fields/{field_id}", name="fields.field")
def field(request: Request, farm_id: FarmId, field_id: Id) -> Response:
    return _one(request, farm_id, field_id, "fields/field.html")


@router.get("/farms/{farm_id}/fields/{field_id}/_part", name="fields.part")
def part(request: Request, farm_id: FarmId, field_id: Id) -> Response:
    """The live part of one field's page."""
    return _one(request, farm_id, field_id, "fields/_field.html")


def _one(request: Request, farm_id: int, field_id: int, template: str) -> Response:
    with reading(request) as work:
        page = field_page(work, farm_id, field_id)
        reader = reader_of(request, work.actor)
        now = page.now
        strip = None
        if now.days:
            strip = season_strip(page.maturity, reader, _finding(page, reader))
        view = One(page, strip, _heights(page, reader), _heat(page, reader), _sources(request, now))
        return show(request, work, template, view, farm_id)


def _sources(request: Request, now: FieldMaturity) -> dict[str, tuple]:
    season = (*now.yields.season.sources, *now.yields.first_cut.sources, "FallStand2023")
    return {
        "standing": cited(request, now.standing.sources),
        "fed": cited(request, ("Sulc2011", "IowaStateDairy2026", "Grev2017", "Arnold2019")),
        "reached": cited(request, ("Day1985", "Kaatz2026", "Thomas2026", "CornellExtension2021")),
        "stand": cited(request, season),
    }


def _finding(page: FieldPage, reader: Reader) -> str:
    reached = page.now.reached
    if reached.on is None:
        return reader.say(reached.reason) if reached.reason else page.now.name
    words = reader.translate("%(field)s reaches %(target)s when fed about %(day)s")
    target = reader.amount(page.now.target_fed_frac, "ndf", 0)
    return words % {"field": page.now.name, "target": target, "day": reader.day(reached.on, "short")}


def _heights(page: FieldPage, reader: Reader) -> ChartView | None:
    """Tallest stem by day with the stage read, this season."""
    year = page.maturity.today.year
    lines = [each for each in page.scoutings if not each.is_withdrawn and each.reading.scouted_on.year == year]
    lines.sort(key=lambda each: (each.reading.scouted_on, each.id))
    by_day = {each.reading.scouted_on: each.reading for each in lines}
    if len(by_day) < 2:
        return None
    first, last = min(by_day), max(*by_day, page.maturity.today)
    days = tuple(first + timedelta(days=n) for n in range((last - first).days + 1))
    heights = tuple(shown(by_day[day].height_cm, "height", reader.units) if day in by_day else math.nan for day in days)
    stages, seen = [], ""
    for day in sorted(by_day):
        if by_day[day].stage != seen:
            seen = by_day[day].stage
            stages.append(Mark(day, reader.translate(STAGE_WORDS[seen])))
    ready = Level(
        shown(page.now.ready_height_cm, "height", reader.units),
        f"{reader.translate('ready at')} {reader.amount(page.now.ready_height_cm, 'height')}",
    )
    title = reader.translate("Tallest stem and most mature stage")
    chart = Chart(
        title,
        reader.unit("height"),
        days,
        (Line(reader.translate("tallest stem"), heights, dots=True),),
        _day_ticks(days, reader),
        marks=tuple(stages),
        levels=(ready,),
        from_zero=False,
    )
    heads = tuple(reader.translate(head) for head in ("Day", "Tallest stem", "Stage", "NDF standing"))
    rows = [
        (
            reader.day(day),
            reader.amount(by_day[day].height_cm, "height"),
            reader.translate(STAGE_WORDS[by_day[day].stage]),
            reader.amount(by_day[day].ndf.value, "ndf"),
        )
        for day in sorted(by_day)
    ]
    return _view(chart, heads, rows, "{:g}".format)


STAGE_WORDS = {"vegetative": "No buds", "bud": "Buds", "flower": "Flowers", "": "–"}


def _heat(page: FieldPage, reader: Reader) -> ChartView | None:
    """Heat of the season against past years, with the totals of bud and first flower."""
    curve = page.curve
    if curve is None:
        return None

    def heat(values: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(shown(value, "heat", reader.units) for value in values)

    lines = [Line(reader.translate("this season"), heat(curve.season))]
    if curve.years_count:
        lines.append(Line(reader.translate("past years"), heat(curve.middle), heat(curve.low), heat(curve.high)))
    levels = tuple(
        Level(shown(float(page.maturity.values[key]), "heat", reader.units), reader.translate(label))
        for key, label in (("bud_heat_c_d", "buds"), ("first_flower_heat_c_d", "first flower"))
    )
    title = reader.translate("Heat of this season against past years")
    chart = Chart(
        title,
        reader.unit("heat"),
        curve.days,
        tuple(lines),
        tuple((day, reader.day(day, "short")) for day in curve.days if day.day in (1, 15)),
        levels=levels,
        today=page.maturity.today,
        today_label=reader.translate("today"),
    )
    heads = (reader.translate("Day"), *(line.label for line in lines))
    rows = [
        (reader.day(day), *(_plain(line.values[index], reader) for line in lines))
        for index, day in enumerate(curve.days)
        if index % 7 == 0
    ]
    return _view(chart, heads, rows, lambda value: _plain(value, reader))


def _view(chart: Chart, heads: Any, rows: Any, written: Callable[[float], str]) -> ChartView:
    """The chart for a desk, and beside it a narrow one that phones show instead."""
    narrow = line_chart(chart, written, width=358, height=230)
    svg = f'{line_chart(chart, written)}<div class="narrow">{narrow}</div>'
    return ChartView(svg, line_figure(chart), chart.title, (heads, rows))


def _plain(value: float, reader: Reader) -> str:
    return reader.figure(value, "count", 0)


def _day_ticks(days: tuple[date, ...], reader: Reader) -> tuple[tuple[date, str], ...]:
    step = max(1, len(days) // 6)
    return tuple((day, reader.day(day, "short")) for index, day in enumerate(days) if index % step == 0)
