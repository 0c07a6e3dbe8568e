"""Sheets of the herd: groups, their head from day to day, and their share of each feed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import Any

from app.errors import Invalid
from app.exchange.sheets import ReadSheet
from app.records.herds import Group, HeadChange, Inclusion
from app.services.herds import GROUP_SHAPE, HEAD_SHAPE, INCLUSION_SHAPE, check_inputs, check_whole
from app.services.workbook.book import Book, Line, fold
from app.services.workbook.sheets import Sheet, named
from app.units.shapes import Shape

PARTS = ("board-figures", "feed-balance", "herds-table")
GROUP = named("group", "Group", "Low cows")
FROM = replace(HEAD_SHAPE.column("from_on"), ask_if="")
"""A workbook holds steps of past years as well."""


class GroupSheet(Sheet):
    key, title, table, shape, parts = "groups", "Herd groups", Group, GROUP_SHAPE, PARTS

    def check(self, book: Book, line: Line) -> None:
        check_inputs(line.values)


class HeadSheet(Sheet):
    key, title, table, parts = "head_changes", "Head changes", HeadChange, PARTS
    identity, refs, is_named = ("group", "from_on"), {"group": "groups"}, False
    shape = Shape("head_changes", (GROUP, FROM, HEAD_SHAPE.column("head_count")))

    def select(self, book: Book) -> Any:
        return super().select(book).order_by(None).order_by(HeadChange.group_id, HeadChange.from_on)


class InclusionSheet(Sheet):
    key, title, table, parts = "inclusions", "Diet shares", Inclusion, PARTS
    identity, refs, is_named = ("group", "feed", "from_on"), {"group": "groups", "feed": "feeds"}, False
    shape = Shape(
        "inclusions",
        (GROUP, named("feed", "Feed", "Alfalfa haylage"), FROM, INCLUSION_SHAPE.column("share_frac")),
    )

    def select(self, book: Book) -> Any:
        order = (Inclusion.group_id, Inclusion.feed_id, Inclusion.from_on)
        return super().select(book).order_by(None).order_by(*order)

    def judge_all(self, book: Book, read: ReadSheet) -> None:
        feeds: dict[Any, int] = {}
        steps: dict[Any, list[Inclusion]] = defaultdict(list)
        for values in book.all(self.key):
            if None in (values.get("from_on"), values.get("share_frac"), values.get("group"), values.get("feed")):
                continue
            feed = feeds.setdefault(fold(values["feed"]), len(feeds))
            step = Inclusion(feed_id=feed, from_on=values["from_on"], share_frac=values["share_frac"])
            steps[fold(values["group"])].append(step)
        last = {fold(line.values["group"]): line for line in book.lines[self.key] if line.action != "same"}
        for group, line in last.items():
            try:
                check_whole(steps[group], str(line.values["group"]))
            except Invalid as refused:
                why = next(iter(refused.fields.values()))
                read.problems.append(read.problem(line.number, "share_frac", line.typed.get("share_frac"), why))
