"""Sending, answering and taking a lab file or a pasted report."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, Unsure
from app.events.history import note
from app.records.history import Upload
from app.records.samples import Sample
from app.services import analyte_names, uploads
from app.services.lab_files.previews import LEFT_OUT, Around, LabPreview, SampleSeen, read_preview
from app.services.lab_files.rows import read_rows
from app.services.samples.edits import build_sample, head_values, parts_of, places
from app.units.sentences import Sentence
from app.units.shapes import parse_day

PURPOSE = "lab"
HEAD = ("of", "sampled_on", "lab", "lab_ref")
"""What a report may leave out and a person then says once for all of it."""
MOST_ANSWERS = 20_000


def send_file(work: Work, farm_id: int, filename: str, body: bytes, head: Mapping[str, str]) -> int:
    """Keep a lab file for its preview; the number of the upload."""
    return _keep(work, farm_id, filename, body, {**_head(work, farm_id, head), "kind": "file"})


def paste_report(work: Work, farm_id: int, text: str, head: Mapping[str, str]) -> int:
    """Keep a pasted report of lines `name value` for its preview."""
    access_farm(work, farm_id, Permission.SAMPLES_EDIT)
    if not text.strip():
        raise Invalid({"text": Sentence("Paste the lines of the report, such as: Crude protein 20.5 % DM")})
    body = text.encode()
    return _keep(work, farm_id, "pasted", body, {**_head(work, farm_id, head), "kind": "paste"})


def _head(work: Work, farm_id: int, head: Mapping[str, str]) -> dict[str, str]:
    access_farm(work, farm_id, Permission.SAMPLES_EDIT)
    found = {name: (head.get(name) or "").strip()[:80] for name in HEAD}
    if found["sampled_on"] and parse_day(found["sampled_on"]) is None:
        said = Sentence("{got} is not a day. Write year-month-day, such as 2027-05-03.", got=f"“{found['sampled_on']}”")
        raise Invalid({"sampled_on": said})
    return {name: text for name, text in found.items() if text}


def _keep(work: Work, farm_id: int, filename: str, body: bytes, answers: dict[str, str]) -> int:
    upload = uploads.keep_upload(work, farm_id, Permission.SAMPLES_EDIT, PURPOSE, filename, body)
    read_rows(body, upload.filename, answers["kind"] == "paste")  # what is no table is refused before it is kept
    uploads.answer_upload(work, upload, answers)
    return upload.id


def preview_file(work: Work, farm_id: int, upload_id: int) -> LabPreview:
    """The report read with the answers so far, laid over what the farm already has."""
    return _preview(work, farm_id, _access(work, farm_id, upload_id))


def _access(work: Work, farm_id: int, upload_id: int) -> Upload:
    return uploads.access_upload(work, farm_id, upload_id, Permission.SAMPLES_EDIT, PURPOSE)


def _preview(work: Work, farm_id: int, upload: Upload) -> LabPreview:
    rows = read_rows(upload.body, upload.filename, upload.answers.get("kind") == "paste")
    return read_preview(upload.id, upload.filename, rows, dict(upload.answers), _around(work, farm_id))


def _around(work: Work, farm_id: int) -> Around:
    farm = access_farm(work, farm_id)
    stored = work.session.scalars(select(Sample).where(Sample.farm_id == farm_id, Sample.removed_at.is_(None)))
    there = {(head_values(each)["of"], each.sampled_on, each.lab_ref or each.lab or "") for each in stored}
    names = analyte_names.own_names(work, farm_id)
    return Around(places(work, farm_id), names, frozenset(there), work.today(farm.time_zone))


def answer_questions(work: Work, farm_id: int, upload_id: int, answers: Mapping[str, str]) -> bool:
    """Take answers into the preview; whether they changed anything."""
    upload = _access(work, farm_id, upload_id)
    kept = {key[:40]: value[:200] for key, value in list(answers.items())[:MOST_ANSWERS] if key not in ("kind", "sure")}
    offered = _offered(_preview(work, farm_id, upload))
    fresh = {key: value for key, value in kept.items() if value != upload.answers.get(key, offered.get(key, ""))}
    uploads.answer_upload(work, upload, fresh)
    return bool(fresh)


def _offered(preview: LabPreview) -> dict[str, str]:
    """What the form of the preview sends when nobody touches it."""
    offered = {f"place_{each.number}": each.chosen for each in preview.places}
    for name in preview.names:
        offered |= {f"name_{name.number}": name.chosen, f"remember_{name.number}": "yes" if name.remember else "no"}
    for sample in preview.samples:
        offered[f"twin_{sample.number}"] = "leave"
        for line in sample.lines:
            key = line.raw.key
            offered |= {f"unit_{key}": line.unit.value, f"basis_{key}": line.basis.value, f"leave_{key}": "no"}
    return offered


def take_file(work: Work, farm_id: int, upload_id: int, sure: bool = False) -> tuple[int, str]:
    """Store the samples of the preview, all or none; how many, and the place of the first.

    Refused while anything is open; unusual values must be said to be right.
    """
    upload = _access(work, farm_id, upload_id)
    preview = _preview(work, farm_id, upload)
    if preview.open:
        raise Invalid({f"open_{number}": why for number, why in enumerate(preview.open)})
    if preview.asks and not sure:
        raise Unsure({"sure": Sentence("Some values are unusual. Look at them and say that they are right.")})
    taken = [sample for sample in preview.samples if not sample.left_out and _kept(sample)]
    stored = [build_sample(work, farm_id, _values(sample), _kept(sample), sure=True) for sample in taken]
    _remember(work, farm_id, preview)
    uploads.take_upload(work, upload)
    values = sum(len(sample.values) for sample in stored)
    note(
        work, farm_id, "import", "samples", name=upload.filename, parts=parts_of(*(sample.of for sample in taken)),
        fields={"samples": (None, len(stored)), "values": (None, values)},
    )  # fmt: skip
    return len(stored), taken[0].of


def _values(sample: SampleSeen) -> dict[str, Any]:
    return {
        "of": sample.of,
        "sampled_on": sample.sampled_on,
        "received_on": None,
        "lab": sample.lab or None,
        "lab_ref": sample.ref or None,
        "note": sample.note or None,
    }


def _kept(sample: SampleSeen):
    return {line.entry.code: line.line for line in sample.lines if not line.left_out}


def _remember(work: Work, farm_id: int, preview: LabPreview) -> None:
    """Teach the farm the names that were explained and asked to be kept."""
    known = analyte_names.own_names(work, farm_id)
    for name in preview.names:
        fresh = name.remember and name.chosen not in ("", LEFT_OUT)
        if fresh and analyte_names.normal(name.name) not in known:
            analyte_names.add_name(work, farm_id, {"name": name.name, "analyte": name.chosen})
