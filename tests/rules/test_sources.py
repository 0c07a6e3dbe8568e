"""Every cited key is listed once, every listed key is cited."""

import ast
import csv
import re
from pathlib import Path

import pytest

from app.sources import SOURCES

APP = Path(__file__).parents[2] / "app"
KEY = re.compile(r"\[([A-Z][A-Za-z]+\d{4}[a-z]?)\]_")
LISTS = sorted(f for f in (APP / "sources").glob("*.py") if f.name not in {"__init__.py", "source.py"})
MARKS = {"read", "memory", "derived", "secondary", "practice"}


def cited():
    files = (file for file in APP.rglob("*.py") if (APP / "sources") not in file.parents)
    return {key: file for file in files for key in KEY.findall(file.read_text())}


def listed():
    """Keys as they stand in the lists, twice when a list repeats one (a dictionary would hide that)."""
    for file in LISTS:
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Dict):
                yield from (key.value for key in node.keys if isinstance(key, ast.Constant))


def test_every_cited_key_is_listed():
    where = cited()
    assert {key: str(where[key].relative_to(APP)) for key in where.keys() - SOURCES.keys()} == {}


def test_every_listed_key_is_cited():
    assert sorted(SOURCES.keys() - cited().keys()) == []


def test_no_key_is_listed_twice():
    keys = list(listed())
    assert sorted(key for key in set(keys) if keys.count(key) > 1) == []


def test_every_source_can_be_looked_up():
    wanting = [
        key
        for key, source in SOURCES.items()
        if not re.fullmatch(r"[A-Z][A-Za-z]+\d{4}[a-z]?", key)
        or not (source.authors and source.title and source.where)
        or source.mark not in MARKS
        or str(source.year) != re.search(r"\d{4}", key).group()
    ]
    assert wanting == []


UNPUBLISHED = {"geometry", "arithmetic", "practice"}
"""What a checked value may come from when no publication prints it."""

TABLES = sorted(Path(__file__).parents[1].rglob("published/*.csv"))


@pytest.mark.parametrize("file", TABLES, ids=lambda file: f"{file.parents[1].name}/{file.name}")
def test_every_published_value_names_a_listed_source_and_how_it_was_checked(file):
    with file.open(newline="") as text:
        rows = list(csv.DictReader(text))
    assert rows and list(rows[0])[:2] == ["source", "where"] and list(rows[0])[-3:] == ["expected", "tolerance", "mark"]
    assert {row["source"] for row in rows} <= SOURCES.keys() | UNPUBLISHED
    assert {row["mark"] for row in rows} <= MARKS
