"""Published values kept beside the tests as CSV: source, where, inputs, expected, tolerance, mark."""

import csv
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]


def _figure(text):
    try:
        return float(text)
    except ValueError:
        return text


def published(package, name):
    """Rows of `tests/<package>/published/<name>.csv` as pytest parameters, named by their source and place."""
    with (TESTS / package / "published" / f"{name}.csv").open(newline="") as file:
        rows = [{column: _figure(text) for column, text in row.items()} for row in csv.DictReader(file)]
    return [
        pytest.param(row, id=f"{row['source']}-{row['where']}-{number}".replace(" ", "-"))
        for number, row in enumerate(rows, 1)
    ]


def table(package, name):
    """The same rows as plain dictionaries, for a check on the table as a whole."""
    return [parameter.values[0] for parameter in published(package, name)]
