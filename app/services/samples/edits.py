"""What people do with a sample: note it, change it, move it to another lot, take it back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Conflict, Invalid, Unsure
from app.events.edits import same
from app.events.history import note
from app.events.removal import remove_row, restore_row
from app.nutrition.lab import ANALYTES
from app.records.feeds import Lot
from app.records.fields import Field
from app.records.samples import Sample, SampleValue
from app.services.samples.values import Line, Mended, mend
from app.units import shapes
from app.units.kinds import System
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

SAMPLE_SHAPE = Shape(
    "samples",
    (
        Column("of", "Taken from", "choice", required=True),
        Column("sampled_on", "Sampled on", "day", required=True, example="2027-05-03", ask_if="past_only"),
        Column("received_on", "Report received on", "day", example="2027-05-07", ask_if="past_only"),
        Column("lab", "Lab", longest=80, hint="One lab for one lot: labs differ more than samples."),
        Column("lab_ref", "Number on the report", longest=80, example="A-10442"),
        Column("note", "Note", "long", longest=2000, hint="How it was taken: where, how many grabs, how it was mixed."),
    ),
)
HEAD = tuple(column.name for column in SAMPLE_SHAPE.columns)
FIELD = "value_"
"""Goes before the code of an analyte in names of form fields."""


def check_may_edit(work: Work, farm_id: int) -> None:
    """Refuse before a form is shown or read what its sender may not do."""
    access_farm(work, farm_id, Permission.SAMPLES_EDIT)


def places(work: Work, farm_id: int) -> tuple[tuple[str, str], ...]:
    """What a sample may be taken from: lots first, then fields."""
    access_farm(work, farm_id)
    found = []
    for kind, table in (("lot", Lot), ("field", Field)):
        wanted = select(table.id, table.name).where(table.farm_id == farm_id, table.removed_at.is_(None))
        rows = work.session.execute(wanted.order_by(table.position, table.name, table.id))
        found += [(f"{kind}-{row.id}", row.name) for row in rows]
    return tuple(found)


def sample_shape(choices: tuple[tuple[str, str], ...]) -> Shape:
    """The head and one text column for every analyte, for forms and for what two editors both changed."""
    of = replace(SAMPLE_SHAPE.column("of"), choices=choices)
    values = tuple(Column(FIELD + code, analyte.name.text) for code, analyte in ANALYTES.items())
    return Shape("samples", (of, *SAMPLE_SHAPE.columns[1:], *values))


def head_values(sample: Sample) -> dict[str, Any]:
    of = f"lot-{sample.lot_id}" if sample.lot_id is not None else f"field-{sample.field_id}"
    return {"of": of, **{name: getattr(sample, name) for name in HEAD[1:]}}


def lines_of(sample: Sample) -> dict[str, Line]:
    """The values as they were typed; those that came from elsewhere in the kept unit and basis."""
    return {value.analyte: line_of(value) for value in sample.values if value.analyte in ANALYTES}


def line_of(value: SampleValue) -> Line:
    if value.typed_value:
        return Line(value.typed_value, value.typed_unit, value.typed_basis, value.method)
    analyte = ANALYTES[value.analyte]
    unit = analyte.units[0]
    return Line(f"{value.value / analyte.kept(1.0, unit):.10g}", unit, str(analyte.basis), value.method)


def typed_lines(typed: Mapping[str, str]) -> dict[str, Line]:
    """Every analyte a form sent, filled in or not; analytes left to the other editor are left out."""
    found = {}
    for code in ANALYTES:
        if FIELD + code in typed and typed.get(f"keep_{FIELD}{code}") != "theirs":
            texts = (typed.get(f"{part}_{code}", "").strip() for part in ("value", "unit", "basis", "method"))
            found[code] = Line(*texts)
    return found


def seen_lines(seen: Mapping[str, str]) -> dict[str, str]:
    """What the person saw when the form was opened, as written lines."""
    return {name.removeprefix(FIELD): text for name, text in seen.items() if name.startswith(FIELD)}


def read_sample(
    typed: Mapping[str, str], choices: tuple[tuple[str, str], ...], system: System, today: date, sure: bool
) -> tuple[dict[str, Any], dict[str, Line]]:
    """A whole form; raises Invalid or Unsure with every refusal or question at once."""
    shape = Shape("samples", sample_shape(choices).columns[: len(HEAD)])
    head, lines = shapes.read(shape, typed, system, today), typed_lines(typed)
    mended = mend(lines) if len(lines) == sum(FIELD + code in typed for code in ANALYTES) else Mended()
    refuse(mended, head.errors, head.asks, sure)
    return {name: value for name, value in head.values.items() if typed.get(f"keep_{name}") != "theirs"}, lines


def refuse(mended: Mended, errors: Mapping[str, Any] = {}, asks: Mapping[str, Any] = {}, sure: bool = False) -> None:
    """Raise what was found wrong, or what has to be asked."""
    wrong = {**errors, **{FIELD + code: why for code, why in mended.errors.items()}}
    if wrong:
        raise Invalid(wrong)
    open_ = {**asks, **{FIELD + code: why for code, why in mended.asks.items()}}
    open_ |= {f"together_{number}": why for number, why in enumerate(mended.together, 1)}
    if open_ and not sure:
        raise Unsure(open_)


def parts_of(*samples: Sample | str | None) -> tuple[str, ...]:
    """Live parts that a change to samples of these places touches."""
    keys = {head_values(each)["of"] if isinstance(each, Sample) else each for each in samples}
    lots = sorted(key.removeprefix("lot-") for key in keys if key and key.startswith("lot-"))
    fields = sorted(key.removeprefix("field-") for key in keys if key and key.startswith("field-"))
    return (
        "board-figures",
        "samples-list",
        *(f"samples-of_lot-{lot}" for lot in lots),
        *(f"fields-field-{field}" for field in fields),
    )


def access_sample(work: Work, farm_id: int, sample_id: int, permission: Permission = Permission.SAMPLES_EDIT) -> Sample:
    return access_row(work, Sample, farm_id, sample_id, permission, selectinload(Sample.values))


def add_sample(
    work: Work, farm_id: int, values: Mapping[str, Any], lines: Mapping[str, Line], sure: bool = False
) -> Sample:
    """A sample of a lot or a field with what the lab found; refused whole when one value cannot be right."""
    access_farm(work, farm_id, Permission.SAMPLES_EDIT)
    sample = build_sample(work, farm_id, values, lines, sure)
    note(work, farm_id, "add", "samples", sample.id, name=name_of(work, sample), parts=parts_of(sample))
    return sample


def build_sample(work: Work, farm_id: int, values: Mapping[str, Any], lines: Mapping[str, Line], sure: bool) -> Sample:
    """The row without its line of history, for files that bring many."""
    mended = mend(lines)
    refuse(mended, _head_errors(work, farm_id, values), sure=sure)
    if not mended.values:
        raise Invalid({FIELD + "DM": Sentence("Fill in at least one value of the report.")})
    sample = Sample(farm_id=farm_id, **_head(work, farm_id, values))
    sample.values = [_row(code, lines[code], value) for code, value in mended.values.items()]
    work.session.add(sample)
    work.session.flush()
    return sample


def _head(work: Work, farm_id: int, values: Mapping[str, Any]) -> dict[str, Any]:
    kind, _, number = str(values["of"]).partition("-")
    table: type[Lot] | type[Field] = Lot if kind == "lot" else Field
    row: Lot | Field = access_row(work, table, farm_id, int(number), Permission.SAMPLES_EDIT)
    lot_id, field_id = (row.id, None) if kind == "lot" else (None, row.id)
    return {"lot_id": lot_id, "field_id": field_id, **{name: values.get(name) for name in HEAD[1:]}}


def _head_errors(work: Work, farm_id: int, values: Mapping[str, Any]) -> dict[str, Sentence]:
    today = work.today(access_farm(work, farm_id).time_zone)
    errors = {}
    if values["sampled_on"] > today:
        errors["sampled_on"] = Sentence(
            "No sample can be taken on a day to come ({day}). Is the year right?", day=values["sampled_on"]
        )
    if values.get("received_on") and values["received_on"] < values["sampled_on"]:
        errors["received_on"] = Sentence("The report cannot be older than the sample.")
    return errors


def _row(code: str, line: Line, value: float) -> SampleValue:
    analyte = ANALYTES[code]
    return SampleValue(
        analyte=code,
        hours=analyte.hours or 0,
        value=value,
        method=line.method,
        typed_value=line.text[:40],
        typed_unit=line.unit or analyte.units[0],
        typed_basis=line.basis or str(analyte.basis),
    )


def edit_sample(
    work: Work,
    farm_id: int,
    sample_id: int,
    values: Mapping[str, Any],
    lines: Mapping[str, Line] | None = None,
    was: Mapping[str, Any] | None = None,
    was_lines: Mapping[str, str] | None = None,
    sure: bool = False,
) -> Sample:
    """Change what differs. Two people on different values both win; on the same one the second sees both."""
    sample = access_sample(work, farm_id, sample_id)
    now, lines_now = head_values(sample), lines_of(sample)
    written = {FIELD + code: line.written for code, line in lines_now.items()}
    typed = {FIELD + code: line.written for code, line in (lines or {}).items()}
    seen = {**(was or {}), **{FIELD + code: text for code, text in (was_lines or {}).items()}}
    changes = _changes({**now, **written}, {**values, **typed}, seen)
    if not changes:
        return sample
    whole = {**now, **{name: changes[name][1] for name in changes if name in HEAD}}
    changed_lines = {code: line for code, line in (lines or {}).items() if FIELD + code in changes}
    write_sample(work, sample, whole, {**lines_now, **changed_lines}, set(changed_lines), sure)
    sample.version += 1
    fields = {name.removeprefix(FIELD): both for name, both in changes.items()}
    parts = parts_of(sample, now["of"])
    note(work, farm_id, "edit", "samples", sample.id, name=name_of(work, sample), fields=fields, parts=parts)
    return sample


def _changes(now: Mapping[str, Any], typed: Mapping[str, Any], seen: Mapping[str, Any]) -> dict[str, tuple[Any, Any]]:
    changes: dict[str, tuple[Any, Any]] = {}
    conflicts: dict[str, tuple[Any, Any]] = {}
    for name, mine in typed.items():
        stands = now.get(name, "" if name.startswith(FIELD) else None)
        if same(stands, mine) or (name in seen and same(seen[name], mine)):
            continue
        (conflicts if name in seen and not same(seen[name], stands) else changes)[name] = (stands, mine)
    if conflicts:
        raise Conflict(conflicts)
    return changes


def write_sample(
    work: Work, sample: Sample, whole: Mapping[str, Any], lines: dict[str, Line], changed: set[str], sure: bool
) -> None:
    """Put the merged sample down; values that hang on a changed one (dry matter, NDF) are converted again."""
    kept = {code: line for code, line in lines.items() if line.text.strip()}
    mended = mend(kept)
    refuse(mended, _head_errors(work, sample.farm_id, whole), sure=sure)
    if not mended.values:
        raise Invalid({FIELD + "DM": Sentence("Fill in at least one value of the report.")})
    for name, value in _head(work, sample.farm_id, whole).items():
        setattr(sample, name, value)
    rows = {row.analyte: row for row in sample.values}
    for code, row in rows.items():
        if code not in kept:
            sample.values.remove(row)
    for code, value in mended.values.items():
        fresh = _row(code, kept[code], value)
        if code not in rows:
            sample.values.append(fresh)
        elif code in changed:
            for name in ("value", "method", "typed_value", "typed_unit", "typed_basis"):
                setattr(rows[code], name, getattr(fresh, name))
        elif rows[code].typed_value:
            rows[code].value = value
    work.session.flush()


def remove_sample(work: Work, farm_id: int, sample_id: int) -> None:
    """Take a sample out of its lot; it can be brought back."""
    sample = access_sample(work, farm_id, sample_id)
    remove_row(work, sample, noun="samples", name=name_of(work, sample), parts=parts_of(sample))


def restore_sample(work: Work, farm_id: int, sample_id: int) -> None:
    sample = access_removed(work, Sample, farm_id, sample_id, Permission.SAMPLES_EDIT)
    restore_row(work, sample, noun="samples", name=name_of(work, sample), parts=parts_of(sample))


def name_of(work: Work, sample: Sample) -> str:
    """How history calls it: the lot or field, and the day."""
    place: Lot | Field | None
    if sample.lot_id is not None:
        place = work.session.get(Lot, sample.lot_id)
    else:
        place = work.session.get(Field, sample.field_id)
    return f"{place.name if place else ''} {sample.sampled_on.isoformat()}".strip()
