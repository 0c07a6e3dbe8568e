"""Weather files: from what a person sends to days of a station, with a preview in between."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from sqlalchemy import delete, insert

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid
from app.events.history import note
from app.exchange.tables import Table, read_tables
from app.exchange.text_lines import decode
from app.records.history import Upload
from app.records.stations import Day, Station
from app.services import stations, uploads
from app.units.sentences import Sentence
from app.weather import columns, ghcn, summaries
from app.weather.reading import Reading
from app.weather.series import DailySeries, Kind, Merged, merge

PURPOSE = "weather"
PARTS = {
    "day": Sentence("Date"),
    "high": Sentence("Daily high"),
    "low": Sentence("Daily low"),
    "mean": Sentence("Daily mean"),
    "rain": Sentence("Rain"),
}


@dataclass(frozen=True)
class WeatherPreview:
    """What a file would bring, before any of it is stored."""

    upload_id: int
    filename: str
    station_id: int
    station_name: str
    format: Sentence
    reading: Reading
    merged: Merged
    mapping: dict[str, str]
    """Part -> column of the sheet; empty where the format fixes the columns."""
    headers: tuple[str, ...]
    sample: tuple[tuple[date, float, float, float], ...]
    """Some days as they were understood: high, low [C], rain [mm]."""
    answers: dict[str, str]

    @property
    def first_on(self) -> date | None:
        return _day(self.reading.series, 0)

    @property
    def last_on(self) -> date | None:
        return _day(self.reading.series, -1)


def _day(series: DailySeries, place: int) -> date | None:
    return series.days[place].astype(object) if len(series) else None


def send_file(work: Work, farm_id: int, station_id: int, filename: str, body: bytes) -> int:
    """Keep a weather file for its preview; the number of the upload."""
    access_row(work, Station, farm_id, station_id, Permission.WEATHER_EDIT)
    upload = uploads.keep_upload(work, farm_id, Permission.WEATHER_EDIT, PURPOSE, filename, body)
    uploads.answer_upload(work, upload, {"station": str(station_id)})
    return upload.id


def preview_file(work: Work, farm_id: int, upload_id: int) -> WeatherPreview:
    """The file read with the answers so far, laid over what the station already has."""
    upload = uploads.access_upload(work, farm_id, upload_id, Permission.WEATHER_EDIT, PURPOSE)
    return _preview(work, farm_id, upload)


def _preview(work: Work, farm_id: int, upload: Upload) -> WeatherPreview:
    farm = access_farm(work, farm_id)
    station = access_row(work, Station, farm_id, int(upload.answers["station"]), Permission.WEATHER_EDIT)
    said, reading, mapping, headers = _read(upload, work.today(farm.time_zone))
    merged = merge(stations.series_of_station(work.session, station), reading.series, replace_changed=_replaces(upload))
    return WeatherPreview(
        upload.id,
        upload.filename,
        station.id,
        station.name,
        said,
        reading,
        merged,
        mapping,
        headers,
        _sample(reading.series),
        dict(upload.answers),
    )


def _replaces(upload: Upload) -> bool:
    return upload.answers.get("changed") == "replace"


def _sample(series: DailySeries, most: int = 6) -> tuple[tuple[date, float, float, float], ...]:
    known = np.flatnonzero(series.kind != Kind.NONE)
    picked = known[np.unique(np.linspace(0, len(known) - 1, most).round().astype(int))] if len(known) else known
    return tuple(
        (series.days[i].astype(object), float(series.high_c[i]), float(series.low_c[i]), float(series.precip_mm[i]))
        for i in picked
    )


def _read(upload: Upload, today: date) -> tuple[Sentence, Reading, dict[str, str], tuple[str, ...]]:
    """Which format the file has, told by its content, and what it says with the answers so far."""
    answers = {key: value for key, value in upload.answers.items() if not key.startswith("column_")}
    if not upload.body.startswith(b"PK\x03\x04"):
        text, _encoding = decode(upload.body)
        if ghcn.looks_like_dly(text):
            return (
                Sentence("daily climate file of fixed width (.dly)"),
                ghcn.read_dly(text, sheet=upload.filename),
                {},
                (),
            )
        if ghcn.looks_like_by_year(text):
            return Sentence("daily climate file by year (CSV)"), ghcn.read_by_year(text, sheet=upload.filename), {}, ()
    table = _first_table(upload)
    if summaries.looks_like_summaries(table.header) and answers.get("format") != "columns":
        reading = summaries.read_summaries(table, today=today, answers=answers)
        return Sentence("daily summaries of a climate service (CSV)"), reading, {}, ()
    mapping = _mapping(upload, table)
    chosen = columns.DayColumns(
        day=tuple(part for part in mapping["day"].split("\t") if part),
        high=mapping["high"] or None,
        low=mapping["low"] or None,
        mean=mapping["mean"] or None,
        rain=mapping["rain"] or None,
        temp_unit=answers.get("temp_unit"),
        rain_unit=answers.get("rain_unit"),
        order=answers.get("order"),
    )
    reading = columns.read_columns(table, chosen, today=today, answers=answers)
    return Sentence("table with columns of its own"), reading, mapping, table.header


def _first_table(upload: Upload) -> Table:
    tables = [table for table in read_tables(upload.body, upload.filename) if table.rows]
    if not tables:
        raise Invalid({"file": Sentence("No rows were found in {name}.", name=upload.filename)})
    return next((table for table in tables if table.sheet == upload.answers.get("sheet")), tables[0])


def _mapping(upload: Upload, table: Table) -> dict[str, str]:
    guess = columns.propose(table)
    proposed = {
        "day": "\t".join(guess.day),
        "high": guess.high,
        "low": guess.low,
        "mean": guess.mean,
        "rain": guess.rain,
    }
    chosen = {part: upload.answers.get(f"column_{part}", proposed[part]) or "" for part in proposed}
    known = set(table.header) | {""}
    return {part: name if all(piece in known for piece in name.split("\t")) else "" for part, name in chosen.items()}


def answer_questions(work: Work, farm_id: int, upload_id: int, answers: dict[str, str]) -> None:
    """Take answers and chosen columns into the preview."""
    upload = uploads.access_upload(work, farm_id, upload_id, Permission.WEATHER_EDIT, PURPOSE)
    uploads.answer_upload(work, upload, {key[:40]: value[:200] for key, value in answers.items() if key != "station"})


def take_file(work: Work, farm_id: int, upload_id: int) -> Merged:
    """Store the days of the preview, all or none. Refused while a question is open or no day was understood."""
    upload = uploads.access_upload(work, farm_id, upload_id, Permission.WEATHER_EDIT, PURPOSE)
    preview = _preview(work, farm_id, upload)
    if preview.reading.questions:
        raise Invalid({question.key: question.asked for question in preview.reading.questions})
    if not len(preview.reading.series):
        raise Invalid({"file": Sentence("No day of weather could be read from {name}.", name=preview.filename)})
    station = access_row(work, Station, farm_id, preview.station_id, Permission.WEATHER_EDIT)
    store_days(work, station, preview.merged.series, preview.reading.series)
    uploads.take_upload(work, upload)
    note(
        work,
        farm_id,
        "import",
        "stations",
        station.id,
        name=station.name,
        parts=stations.PARTS,
        fields={
            "days": (None, preview.merged.new_d),
            "file": (None, preview.filename),
            "changed": (None, len(preview.merged.changed_on)),
        },
    )
    return preview.merged


def store_days(work: Work, station: Station, whole: DailySeries, span: DailySeries) -> None:
    """Write the days of `whole` that lie within `span` over what the station has there."""
    part = whole.between(span.days[0], span.days[-1])
    first, last = (day.astype(object) for day in (part.days[0], part.days[-1]))
    work.session.execute(delete(Day).where(Day.station_id == station.id, Day.day_on.between(first, last)))
    rows = [
        {
            "station_id": station.id,
            "day_on": day,
            "high_c": _known(high),
            "low_c": _known(low),
            "precip_mm": _known(rain),
            "kind": stations.KIND_NAMES[Kind(kind)],
        }
        for day, high, low, rain, kind in zip(
            part.days.astype(object),
            part.high_c.tolist(),
            part.low_c.tolist(),
            part.precip_mm.tolist(),
            part.kind.tolist(),
            strict=True,
        )
        if kind != Kind.NONE
    ]
    if rows:
        work.session.execute(insert(Day), rows)
    station.version += 1


def _known(value: float) -> float | None:
    return None if np.isnan(value) else value
