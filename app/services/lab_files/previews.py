"""What a lab file would bring: every value as understood, every guess with its reason, every open question."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from app.nutrition.lab import ANALYTES
from app.services.analyte_names import Known, basis_of, find_name, method_of, normal, split_measure, unit_of
from app.services.lab_files.guesses import Guess, guess_basis, guess_unit
from app.services.lab_files.rows import Raw, Rows, distinct
from app.services.samples.groups import Entry, entry_of
from app.services.samples.values import (
    FIRST,
    NITRATE,
    Line,
    bases_of,
    in_kept_unit,
    mend,
    on_kept_basis,
    read_number,
    units_of,
    wrong_basis,
    wrong_unit,
)
from app.units.findings import Choice, Problem, Question
from app.units.sentences import Sentence
from app.units.typed import date_order, typed_date, typed_number

LEFT_OUT = "-"


@dataclass(frozen=True)
class LineSeen:
    """One value as understood, with the reason of each guess."""

    raw: Raw
    entry: Entry
    text: str
    unit: Guess
    basis: Guess
    method: str
    name_because: Sentence | None
    value: float = math.nan
    error: Sentence | None = None
    ask: Sentence | None = None
    left_out: bool = False

    @property
    def open(self) -> bool:
        """Whether unit and basis are offered for changing."""
        return bool(self.unit.because or self.basis.because or self.error or self.ask)

    @property
    def line(self) -> Line:
        return Line(self.text, self.unit.value, self.basis.value, self.method)


@dataclass(frozen=True)
class SampleSeen:
    """One sample of the file; `number` is that of its first value."""

    number: int
    of: str
    of_name: str
    sampled_on: date
    lab: str
    ref: str
    note: str
    lines: tuple[LineSeen, ...]
    together: tuple[Sentence, ...] = ()
    is_there: bool = False
    left_out: bool = False


@dataclass(frozen=True)
class NameAsked:
    """A name nobody knows yet; `chosen` is a code, `-` to leave it out, or empty."""

    number: int
    name: str
    chosen: str
    remember: bool
    hint: Sentence | None = None


@dataclass(frozen=True)
class PlaceAsked:
    """What a file calls a lot, and the lot or field it is taken for."""

    number: int
    text: str
    chosen: str
    because: Sentence


@dataclass(frozen=True)
class LabPreview:
    upload_id: int
    filename: str
    pasted: bool
    samples: tuple[SampleSeen, ...]
    names: tuple[NameAsked, ...]
    places: tuple[PlaceAsked, ...]
    choices: tuple[tuple[str, str], ...]
    problems: tuple[Problem, ...]
    questions: tuple[Question, ...]
    blank_count: int
    needs_day: bool
    answers: Mapping[str, str] = field(default_factory=dict)

    @property
    def lines(self) -> tuple[LineSeen, ...]:
        """Values that would be stored."""
        return tuple(
            line for sample in self.samples if not sample.left_out for line in sample.lines if not line.left_out
        )

    @property
    def asks(self) -> bool:
        """Whether a value or a pair of values is unusual, so that a person must say it is right."""
        return any(line.ask for line in self.lines) or any(s.together for s in self.samples if not s.left_out)

    @property
    def guesses_count(self) -> int:
        return sum(bool(line.unit.because) + bool(line.basis.because) for line in self.lines)

    @property
    def open(self) -> tuple[Sentence, ...]:
        """What has to be answered or mended before anything can be stored."""
        found = []
        if any(not name.chosen for name in self.names):
            found.append(Sentence("Say what the unknown names mean."))
        if any(not place.chosen for place in self.places):
            found.append(Sentence("Say which lot or field each sample was taken from."))
        if self.needs_day:
            found.append(Sentence("Say on which day the samples were taken."))
        if self.questions:
            found.append(Sentence("Answer the questions about the file."))
        if any(line.error for line in self.lines):
            found.append(
                Sentence("Some values cannot be taken as they stand: choose another unit or basis, or leave them out.")
            )
        if self.problems:
            found.append(Sentence("Mend the rows named under problems in the file and send it again."))
        if not found and not self.lines:
            found.append(Sentence("Nothing is left to store."))
        return tuple(found)

    @property
    def ready(self) -> bool:
        return not self.open


@dataclass(frozen=True)
class Around:
    """What the farm already has that a preview is laid over."""

    choices: tuple[tuple[str, str], ...]
    names: Mapping[str, Known]
    there: frozenset[tuple[str, date, str]]
    """(place, day, report number or lab) of samples already stored."""
    today: date


def read_preview(upload_id: int, filename: str, rows: Rows, answers: Mapping[str, str], around: Around) -> LabPreview:
    """The file as understood with the answers so far."""
    problems = list(rows.problems)
    names, meanings = _names(rows, answers, around)
    places, taken = _places(rows, answers, around)
    order, decimal, questions = _marks(rows, answers)
    days = {raw.key: _day(raw, answers, order, around.today, problems) for raw in rows.raws}
    needs_day = any(day is None and not raw.text("sampled_on") for raw, day in _pairs(rows, days))
    groups: dict[tuple, list[Raw]] = {}
    for raw, day in _pairs(rows, days):
        place = taken[normal(raw.text("lot"))]
        if day is not None and place and meanings.get(raw.key) is not None:
            lab, ref = _lab(raw, answers)
            groups.setdefault((place, day, lab, ref), []).append(raw)
    samples = tuple(_sample(key, raws, meanings, answers, decimal, around) for key, raws in groups.items())
    return LabPreview(
        upload_id, filename, answers.get("kind") == "paste", samples, names, places, around.choices, tuple(problems),
        questions, rows.blank_count, needs_day, answers,
    )  # fmt: skip


def _pairs(rows: Rows, days: Mapping[int, date | None]):
    return ((raw, days[raw.key]) for raw in rows.raws)


def _lab(raw: Raw, answers: Mapping[str, str]) -> tuple[str, str]:
    return (raw.text("lab") or answers.get("lab", ""))[:80], (raw.text("sample_id") or answers.get("lab_ref", ""))[:80]


def _names(
    rows: Rows, answers: Mapping[str, str], around: Around
) -> tuple[tuple[NameAsked, ...], dict[int, Known | None]]:
    """What each row's name means; names that nobody knows, to be asked about."""
    meanings: dict[int, Known | None] = {}
    asked: dict[str, NameAsked] = {}
    for raw in rows.raws:
        name = raw.text("analyte")
        known = find_name(name, around.names, _hours(raw))
        if known is not None and known.code in ANALYTES:
            meanings[raw.key] = known
            continue
        if normal(name) not in asked:
            number = len(asked)
            chosen = answers.get(f"name_{number}", "")
            hint = Sentence("Digestibility without its hours.") if known else None
            remember = answers.get(f"remember_{number}", "no" if known else "yes") == "yes"
            asked[normal(name)] = NameAsked(number, name, chosen, remember, hint)
        chosen = asked[normal(name)].chosen
        unit, basis = (known.unit, known.basis) if known else split_measure(name)
        meanings[raw.key] = Known(chosen, unit, basis) if chosen in ANALYTES else None
    return tuple(asked.values()), meanings


def _hours(raw: Raw) -> int | None:
    number = typed_number(raw.cells.get("hours")).value
    return int(number) if number is not None and not math.isnan(number) else None


def _places(rows: Rows, answers: Mapping[str, str], around: Around) -> tuple[tuple[PlaceAsked, ...], dict[str, str]]:
    """Which lot or field each text of the column `lot` means."""
    asked, taken = [], {}
    keys = dict(around.choices)
    for number, text in enumerate(distinct(normal(raw.text("lot")) for raw in rows.raws)):
        shown = next(raw.text("lot") for raw in rows.raws if normal(raw.text("lot")) == text)
        same = [key for key, name in around.choices if normal(name) == text]
        chosen = answers.get(f"place_{number}", "")
        if chosen in keys:
            because = Sentence("Chosen by you.")
        elif len(same) == 1:
            chosen, because = same[0], Sentence("It has this name.")
        elif not text and answers.get("of") in keys:
            chosen, because = answers["of"], Sentence("Chosen when the report was sent.")
        else:
            chosen = ""
            because = Sentence("Several have this name.") if same else Sentence("No lot or field has this name.")
            because = because if text else Sentence("The file does not say it.")
        taken[text] = chosen
        asked.append(PlaceAsked(number, shown, chosen, because))
    return tuple(asked), taken


def _marks(rows: Rows, answers: Mapping[str, str]) -> tuple[str | None, str | None, tuple[Question, ...]]:
    """Order of dates and decimal mark, asked where the file shows neither."""
    questions = []
    cells = [raw.cells.get("sampled_on") for raw in rows.raws]
    order = answers.get("date_order") or date_order(cells)
    if order not in ("mdy", "dmy") and any(typed_date(cell).other for cell in cells):
        day = next(other for cell in cells if (other := typed_date(cell).other))
        questions.append(
            Question(
                "date_order",
                Sentence("Is the day or the month first in the dates?"),
                (Choice("mdy", Sentence("Month first: {day}", day=day[0].isoformat())),
                 Choice("dmy", Sentence("Day first: {day}", day=day[1].isoformat()))),
                None,
                Sentence("No date of the file shows it."),
            )
        )  # fmt: skip
    decimal = answers.get("decimal") or rows.decimal
    unclear = next((raw for raw in rows.raws if read_number(raw.cells.get("value"), decimal).other), None)
    if unclear is not None:
        one, two = read_number(unclear.cells.get("value"), decimal).other
        questions.append(
            Question(
                "decimal",
                Sentence("What does {got} mean?", got=f"“{unclear.text('value')}”"),
                (Choice("." if "," in unclear.text("value") else ",", Sentence("{value}", value=f"{one:g}")),
                 Choice("," if "," in unclear.text("value") else ".", Sentence("{value}", value=f"{two:g}"))),
                None,
                Sentence("The mark may stand for thousands or for decimals."),
            )
        )  # fmt: skip
    return (order if order in ("mdy", "dmy") else None), decimal, tuple(questions)


def _day(raw: Raw, answers: Mapping[str, str], order: str | None, today: date, problems: list[Problem]) -> date | None:
    cell = raw.cells.get("sampled_on") if raw.text("sampled_on") else answers.get("sampled_on", "")
    read = typed_date(cell, order)
    if read.value is None and not read.other and not read.blank:
        allowed = Sentence("This is not a day. Write year-month-day, such as 2027-05-03.")
        problems.append(raw.problem("sampled_on", allowed))
    elif read.value is not None and read.value > today:
        allowed = Sentence("The day lies in the future. Is the year right?")
        problems.append(replace(raw.problem("sampled_on", allowed), got=read.value.isoformat()))
        return None
    return read.value


def _sample(
    key: tuple, raws: list[Raw], meanings: Mapping[int, Known | None], answers: Mapping[str, str],
    decimal: str | None, around: Around,
) -> SampleSeen:  # fmt: skip
    place, day, lab, ref = key
    number = raws[0].key
    there = (place, day, ref or lab) in around.there
    lines = _lines(raws, meanings, answers, decimal)
    taken = {line.entry.code: line.line for line in lines if line.error is None and not line.left_out}
    mended = mend(taken)
    judged = tuple(
        line if line.error or line.left_out or line.entry.code not in taken
        else replace(
            line, value=mended.values.get(line.entry.code, math.nan), error=mended.errors.get(line.entry.code),
            ask=mended.asks.get(line.entry.code),
        )
        for line in lines
    )  # fmt: skip
    note = "; ".join(distinct(raw.text("note") for raw in raws if raw.text("note")))[:2000]
    left_out = answers.get(f"twin_{number}", "leave") != "add" if there else False
    return SampleSeen(
        number, place, dict(around.choices)[place], day, lab, ref, note, judged, mended.together, there, left_out
    )


def _lines(
    raws: list[Raw], meanings: Mapping[int, Known | None], answers: Mapping[str, str], decimal: str | None
) -> tuple[LineSeen, ...]:
    """Lines of one sample. Dry matter, protein and NDF come first: guesses of the others lean on them."""
    order = sorted(raws, key=lambda raw: FIRST.index(code) if (code := meanings[raw.key].code) in FIRST else len(FIRST))
    known: dict[str, float] = {}
    seen: dict[int, LineSeen] = {}
    codes: set[str] = set()
    for raw in order:
        line = _line(raw, meanings[raw.key], answers, decimal, known)
        if line.entry.code in codes and not line.left_out:
            said = Sentence("{name} stands twice in this sample. Leave one of them out.", name=line.entry.name)
            line = replace(line, error=said)
        elif not line.left_out:
            codes.add(line.entry.code)
            _learn(line, known)
        seen[raw.key] = line
    return tuple(seen[raw.key] for raw in raws)


def _learn(line: LineSeen, known: dict[str, float]) -> None:
    """Keep the value of a line that others may be a share of."""
    number = read_number(line.text).value
    if line.error or line.entry.code not in FIRST or number is None:
        return
    analyte = ANALYTES[line.entry.code]
    value = on_kept_basis(analyte, in_kept_unit(analyte, number, line.unit.value), line.basis.value, known)
    if not isinstance(value, Sentence):
        known[analyte.code] = value


def _line(
    raw: Raw, meaning: Known, answers: Mapping[str, str], decimal: str | None, known: Mapping[str, float]
) -> LineSeen:
    analyte, entry = ANALYTES[meaning.code], entry_of(meaning.code)
    text, error = raw.text("value"), None
    number = read_number(raw.cells["value"], decimal).value
    if number is None:
        error = Sentence("“{got}” is not a number. Below the limit of detection: leave it out, or write 0.", got=text)
    stated_unit, stated_basis, wrong = _stated(raw, meaning, text)
    method = method_of(raw.text("method"))
    if method is None:
        wrong = wrong or Sentence("Method “{got}” is not known. Allowed: WET, NIR, CALC.", got=raw.text("method"))
    unit = _chosen(answers, f"unit_{raw.key}", units_of(analyte), stated_unit)
    basis = _chosen(answers, f"basis_{raw.key}", bases_of(analyte), stated_basis)
    if unit is None and number is not None:
        unit = guess_unit(meaning.code, number, known, basis.value if basis else "")
    unit = unit or Guess(units_of(analyte)[0])
    if unit.value not in units_of(analyte):
        error, unit = error or wrong_unit(analyte, unit.value), Guess(units_of(analyte)[0], Sentence("The usual one."))
    if basis is None and number is not None:
        basis = guess_basis(meaning.code, number, unit.value, known)
    basis = basis or Guess(bases_of(analyte)[0])
    if basis.value not in bases_of(analyte):
        error, basis = (
            error or wrong_basis(analyte, basis.value),
            Guess(bases_of(analyte)[0], Sentence("The usual one.")),
        )
    written = f"{number:.12g}" if number is not None else text
    name = Sentence("Known by your own list as {code}.", code=meaning.code) if meaning.own else None
    left_out = answers.get(f"leave_{raw.key}") == "yes"
    return LineSeen(raw, entry, written, unit, basis, method or "", name, error=error or wrong, left_out=left_out)


def _chosen(answers: Mapping[str, str], key: str, allowed: tuple[str, ...], stated: str) -> Guess | None:
    """What the person chose on the preview, else what the file states; None where neither says it."""
    if key in answers and answers[key] in allowed:
        return Guess(answers[key], Sentence("Chosen by you."))
    return Guess(stated) if stated else None


def _stated(raw: Raw, meaning: Known, text: str) -> tuple[str, str, Sentence | None]:
    """Unit and basis as the file says them: in their columns, after the value, or with the name."""
    unit_text, basis_text = raw.text("unit"), raw.text("basis")
    after_unit, after_basis = split_measure(raw.text("measure") or unit_text)
    unit = unit_of(unit_text) if unit_text else after_unit
    basis = basis_of(basis_text) if basis_text else after_basis
    wrong = None
    if unit is None:
        wrong = Sentence("Unit “{got}” is not known. Allowed: {allowed}.", got=unit_text, allowed=_units(meaning.code))
    if basis is None:
        wrong = Sentence(
            "Basis “{got}” is not known. Allowed: {allowed}.", got=basis_text, allowed="AR, DM, NDF, CP, N"
        )
    if raw.text("measure") and not (after_unit or after_basis):
        wrong = Sentence("“{got}” after the value is not understood.", got=raw.text("measure"))
    if unit and meaning.unit.endswith(NITRATE) and not unit.endswith(NITRATE):
        unit += NITRATE
    unit = unit or meaning.unit or ("%" if text.endswith("%") else "")
    return unit, basis or meaning.basis, wrong


def _units(code: str) -> str:
    return ", ".join(unit for unit in units_of(ANALYTES[code]) if unit) or "–"
