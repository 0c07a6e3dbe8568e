"""The Weather page: stations, files with their preview, and how the farm counts heat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.charts.figures import line_figure
from app.charts.lines import Chart, Level, Line, line_chart
from app.errors import AppError, Invalid
from app.services import stations as station_services
from app.services import weather as services
from app.services import weather_files as files
from app.units.kinds import shown
from app.web.forms import REFUSED, FormView, Typed, form_view, question_of, row_values, sent_file, status_of, typed_form
from app.web.pages import go, reader_of, show
from app.web.transactions import FarmId, Id, reading, writing

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Page:
    weather: services.WeatherPage
    rule: FormView
    curve_svg: str
    curve_figure: dict | None
    curve_table: tuple | None
    refused: Any = None


@dataclass(frozen=True)
class FormPage:
    form: FormView
    station_id: int | None = None


@dataclass(frozen=True)
class PreviewPage:
    preview: files.WeatherPreview
    parts: dict
    refused: Any = None


@router.get("/farms/{farm_id}/weather", name="weather.show")
def show_weather(request: Request, farm_id: FarmId) -> Response:
    return _page(request, farm_id)


def _page(request: Request, farm_id: int, typed: Typed | None = None, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        weather = services.weather_page(work, farm_id)
        rule = form_view(services.RULE_SHAPE, work.actor.units, weather.rule_values, typed, refused)
        said = question_of(refused) if refused is not None and typed is None else None
        page = Page(weather, rule, *_curve(request, work, weather), said)
        return show(request, work, "weather/show.html", page, farm_id, status_of(refused))


def _curve(request: Request, work: Any, weather: services.WeatherPage) -> tuple[str, dict | None, tuple | None]:
    """The heat curve: this season against the past years, in the reader's units."""
    curve = weather.curve
    if curve is None:
        return "", None, None
    reader = reader_of(request, work.actor)

    def degree_days(values: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(shown(value, "heat", reader.units) for value in values)

    lines = [Line(reader.translate("this season"), degree_days(curve.season))]
    if weather.years_count:
        middle = reader.translate("past years")
        lines.append(Line(middle, degree_days(curve.middle), degree_days(curve.low), degree_days(curve.high)))
    levels = tuple(
        Level(shown(each.total_c_d, "heat", reader.units), reader.say(each.label)) for each in weather.thresholds[:2]
    )
    ticks = tuple((day, reader.day(day, "short")) for day in curve.days if day.day in (1, 15))
    title = reader.say(weather.ahead) if weather.ahead else reader.translate("Heat so far")
    chart = Chart(title, reader.unit("heat"), curve.days, tuple(lines), ticks, levels=levels)
    heads = (reader.translate("Day"), *(line.label for line in lines))
    rows = [
        (reader.day(day), *(f"{line.values[i]:,.0f}" if line.values[i] == line.values[i] else "–" for line in lines))
        for i, day in enumerate(curve.days)
        if i % 7 == 0
    ]
    return line_chart(chart, lambda value: f"{value:,.0f}"), line_figure(chart), (heads, rows)


@router.get("/farms/{farm_id}/weather/_figures", name="weather.figures")
def figures(request: Request, farm_id: FarmId) -> Response:
    """The live part: drawn again when days come in or the rule changes."""
    with reading(request) as work:
        weather = services.weather_page(work, farm_id)
        rule = form_view(services.RULE_SHAPE, work.actor.units, weather.rule_values)
        return show(
            request, work, "weather/_figures.html", Page(weather, rule, *_curve(request, work, weather)), farm_id
        )


@router.post("/farms/{farm_id}/weather/rule", name="weather.edit_rule")
def edit_rule(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            access_farm(work, farm_id, Permission.FARM_EDIT)
            services.edit_rule(work, farm_id, typed.read(services.RULE_SHAPE, work))
            return go(request, "weather.show", farm_id=farm_id)
    except REFUSED as refused:
        return _page(request, farm_id, typed, refused)


@router.get("/farms/{farm_id}/weather/stations/new", name="weather.new_station")
def new_station(request: Request, farm_id: FarmId) -> Response:
    return _station_page(request, farm_id, None)


@router.get("/farms/{farm_id}/weather/stations/{station_id}", name="weather.station")
def station(request: Request, farm_id: FarmId, station_id: Id) -> Response:
    return _station_page(request, farm_id, station_id)


def _station_page(
    request: Request, farm_id: int, station_id: int | None, typed: Typed | None = None, refused: AppError | None = None
) -> Response:
    with reading(request) as work:
        access_farm(work, farm_id, Permission.WEATHER_EDIT)
        shape = station_services.STATION_SHAPE
        row = station_services.find_station(work, farm_id, station_id) if station_id else None
        form = form_view(shape, work.actor.units, row_values(row, shape) if row else None, typed, refused)
        return show(request, work, "weather/station.html", FormPage(form, station_id), farm_id, status_of(refused))


@router.post("/farms/{farm_id}/weather/stations/new", name="weather.add_station")
def add_station(request: Request, farm_id: FarmId, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            access_farm(work, farm_id, Permission.WEATHER_EDIT)
            station_services.add_station(work, farm_id, typed.read(station_services.STATION_SHAPE, work))
            return go(request, "weather.show", farm_id=farm_id)
    except REFUSED as refused:
        return _station_page(request, farm_id, None, typed, refused)


@router.post("/farms/{farm_id}/weather/stations/{station_id}", name="weather.edit_station")
def edit_station(request: Request, farm_id: FarmId, station_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    shape = station_services.STATION_SHAPE
    try:
        with writing(request, typed) as work:
            station_services.edit_station(work, farm_id, station_id, typed.read(shape, work), typed.was(shape, work))
            return go(request, "weather.show", farm_id=farm_id)
    except REFUSED as refused:
        return _station_page(request, farm_id, station_id, typed, refused)


@router.post("/farms/{farm_id}/weather/stations/{station_id}/primary", name="weather.make_primary")
def make_primary(request: Request, farm_id: FarmId, station_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        station_services.make_primary(work, farm_id, station_id)
    return go(request, "weather.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/weather/stations/{station_id}/remove", name="weather.remove_station")
def remove_station(request: Request, farm_id: FarmId, station_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        station_services.remove_station(work, farm_id, station_id)
    return go(request, "weather.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/weather/stations/{station_id}/restore", name="weather.restore_station")
def restore_station(request: Request, farm_id: FarmId, station_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    with writing(request, typed) as work:
        station_services.restore_station(work, farm_id, station_id)
    return go(request, "weather.show", farm_id=farm_id)


@router.post("/farms/{farm_id}/weather/stations/{station_id}/files", name="weather.send_file")
async def send_file(request: Request, farm_id: FarmId, station_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    return await run_in_threadpool(_send_file, request, farm_id, station_id, typed, *await sent_file(typed))


def _send_file(request: Request, farm_id: int, station_id: int, typed: Typed, name: str, body: bytes) -> Response:
    try:
        with writing(request, typed) as work:
            upload_id = files.send_file(work, farm_id, station_id, name, body)
            return go(request, "weather.preview", farm_id=farm_id, upload_id=upload_id)
    except REFUSED as refused:
        return _page(request, farm_id, None, refused)


@router.get("/farms/{farm_id}/weather/files/{upload_id}", name="weather.preview")
def preview(request: Request, farm_id: FarmId, upload_id: Id) -> Response:
    return _preview_page(request, farm_id, upload_id)


def _preview_page(request: Request, farm_id: int, upload_id: int, refused: AppError | None = None) -> Response:
    with reading(request) as work:
        try:
            found = files.preview_file(work, farm_id, upload_id)
        except Invalid as unreadable:
            return show(request, work, "weather/unreadable.html", question_of(unreadable), farm_id, status=422)
        page = PreviewPage(found, files.PARTS, question_of(refused) if refused else None)
        return show(request, work, "weather/preview.html", page, farm_id, status_of(refused))


@router.post("/farms/{farm_id}/weather/files/{upload_id}", name="weather.answer")
def answer(request: Request, farm_id: FarmId, upload_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    """Answers to the preview's questions and the columns chosen; shows the preview again."""
    answers = {name: value for name, value in typed.values.items() if name != "once" and value}
    with writing(request, typed) as work:
        files.answer_questions(work, farm_id, upload_id, answers)
    return go(request, "weather.preview", farm_id=farm_id, upload_id=upload_id)


@router.post("/farms/{farm_id}/weather/files/{upload_id}/take", name="weather.take")
def take(request: Request, farm_id: FarmId, upload_id: Id, typed: Typed = Depends(typed_form)) -> Response:
    try:
        with writing(request, typed) as work:
            files.take_file(work, farm_id, upload_id)
            return go(request, "weather.show", farm_id=farm_id)
    except REFUSED as refused:
        return _preview_page(request, farm_id, upload_id, refused)
