"""The notes of a workbook: how it is read, and for every column its unit, what is allowed and an example."""

from __future__ import annotations

from collections.abc import Iterable

from app.exchange.headings import heading, say_unit, unit_word
from app.planning.assumptions import ASSUMPTIONS, Assumption
from app.services.workbook.sheets import Sheet
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column
from app.units.wording import Reader

NOTES_TITLE = "Notes"
HOW = (
    Sentence("This workbook holds one farm: a sheet for each kind of thing, a row for each thing."),
    Sentence("Leave out sheets and columns you do not need, and put columns in any order."),
    Sentence("The unit of a column stands in brackets in its heading. To type in another, such as (ha) for (ac), "
             "change it there and delete the grey second line of that sheet, which is only for programs."),
    Sentence("Rows name each other by name: a stand its field, a lot its feed and its structure. Names must differ."),
    Sentence("Days are written year-month-day. Percentages are typed as 38, not 0.38. Formulas are not taken."),
    Sentence("Reading a workbook adds and changes rows; it deletes nothing. Readings are never changed: other figures "
             "for the same day are kept as a correction. People, phones, history and removed rows are not in it."),
    Sentence("Before anything is stored you see what would be added and changed, and every fault by sheet, row and "
             "column."),
)  # fmt: skip
HEADS = (
    Sentence("Sheet"),
    Sentence("Column"),
    Sentence("Unit"),
    Sentence("Needed"),
    Sentence("Allowed"),
    Sentence("Example"),
    Sentence("Hint"),
)


def notes_of(sheets: Iterable[Sheet], reader: Reader) -> list[list[str]]:
    """The lines of the notes sheet, in the reader's language and units."""
    lines = [[reader.say(each)] for each in HOW] + [[""], [reader.say(each) for each in HEADS]]
    for sheet in sheets:
        lines += [_line(reader, reader.translate(sheet.title), column) for column in sheet.shape.columns]
    settings = reader.translate("Settings")
    return [*lines, [""], *(_setting(reader, settings, each) for each in ASSUMPTIONS.values())]


def _line(reader: Reader, sheet: str, column: Column) -> list[str]:
    unit = say_unit(unit_word(column.kind, reader.units), reader.translate)
    needed = reader.translate("yes") if column.required else ""
    label = heading(column, reader.units, reader.translate)
    hint = reader.translate(column.hint) if column.hint else ""
    return [sheet, label, unit, needed, _allowed(reader, column), _example(reader, column), hint]


def _allowed(reader: Reader, column: Column) -> str:
    if column.type == "tick":
        return reader.say(Sentence("yes or no"))
    if column.type == "day":
        return reader.say(Sentence("a day"))
    if column.choices:
        return "; ".join(f"{key} = {reader.translate(label)}" for key, label in column.choices)
    kind = column.kind or "count"
    if column.low is not None and column.high is not None:
        if column.kind is None:
            return f"{column.low:g}–{column.high:g}"
        return reader.span(column.low, column.high, kind)
    if column.high is not None:
        return reader.say(Sentence("up to {high}", high=Quantity(column.high, kind)))
    if column.type in ("text", "long"):
        return reader.say(Sentence("up to {most} characters", most=column.longest))
    return ""


def _example(reader: Reader, column: Column) -> str:
    """Examples are written for US units; elsewhere only those without a unit are shown."""
    has_unit = unit_word(column.kind, "us") != unit_word(column.kind, "metric")
    return column.example if reader.units == "us" or not has_unit else ""


def _setting(reader: Reader, sheet: str, each: Assumption) -> list[str]:
    if each.choices:
        return [sheet, each.key, "", "", ", ".join(each.choices), str(each.default), reader.say(each.label)]
    unit = say_unit(unit_word(each.kind or None, reader.units), reader.translate)
    allowed = reader.span(each.low, each.high, each.kind)
    return [sheet, each.key, unit, "", allowed, reader.figure(float(each.default), each.kind), reader.say(each.label)]
