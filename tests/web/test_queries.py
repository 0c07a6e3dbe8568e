"""Every page of a farm asks the database as often for forty fields as for four: fifteen times at most when warm."""

from __future__ import annotations

import re

import pytest
from sqlalchemy import event, select

from app.access.work import Clock
from app.main import create_app
from app.records.tables import Row
from app.services import farms
from app.settings import Settings
from tests.builders.herd import REFERENCE_DAY
from tests.builders.site import Site
from tests.builders.whole_board import fill_board
from tests.web.routes import YES, read_table

FIELDS = (4, 40)
WARM_MOST, COLD_MOST = 15, 60
NOT_PAGES = ("/stream", "/home", "/farm.xlsx", "/farm.zip")
"""A stream, an answer that only leads on, and files of everything there is."""
TABLES = {"change": "head_changes", "decision": "decisions", "sample": "samples", "name": "analyte_names"}
"""Where the row of a route's parameter lies, if not in the table named after it."""


class Counted:
    """The app with a farm of so many fields, and what its pages ask."""

    def __init__(self, folder, master, count: int) -> None:
        path = folder / f"fields{count}.sqlite"
        path.write_bytes(master.read_bytes())
        self.site = Site(create_app(Settings(database=f"sqlite:///{path}"), Clock(REFERENCE_DAY)))
        self.site.do(lambda work: fill_board(work, self.site.farm_id, count))
        self.owner, self.asked = self.site.as_("owner"), []
        event.listen(self.site.app.state.database.engine, "before_cursor_execute", self._note)
        self._turn = 0

    def _note(self, *each) -> None:
        if each[2].lstrip().upper().startswith("SELECT"):
            self.asked.append(each[2])

    def change(self) -> None:
        """A change that every figure may depend on, so that nothing kept is good any more."""
        self._turn += 1
        value = 8.0 + self._turn / 100
        self.site.do(lambda work: farms.set_value(work, self.site.farm_id, "stubble_cm", value))

    def reads(self, path: str) -> int:
        self.asked.clear()
        answer = self.owner.get(path)
        assert answer.status_code == 200, (path, answer.status_code)
        return len(self.asked)

    def ids(self, path: str) -> str | None:
        """The path with the farm's first row for each parameter; None where the farm has none."""
        for name in re.findall(r"{(\w+)(?::int)?}", path):
            found = self.site.farm_id if name == "farm_id" else self._first(name.removesuffix("_id"))
            if found is None:
                return None
            path = re.sub(rf"{{{name}(:int)?}}", str(found), path)
        return path

    def _first(self, noun: str) -> int | None:
        table = Row.metadata.tables.get(TABLES.get(noun, f"{noun}s"))
        if table is None:
            return None
        wanted = select(table.c.id).where(table.c.farm_id == self.site.farm_id).order_by(table.c.id).limit(1)
        return self.site.do(lambda work: work.session.scalar(wanted))


@pytest.fixture(scope="module")
def farms_counted(tmp_path_factory, sqlite_master):
    counted = [Counted(tmp_path_factory.mktemp("queries"), sqlite_master, count) for count in FIELDS]
    yield counted
    for each in counted:
        each.site.app.state.database.close()


PAGES = sorted(
    path
    for (method, path), row in read_table().items()
    if method == "GET" and "{farm_id" in path and row["owner"] == YES and not path.endswith(NOT_PAGES)
    and not path.startswith("/api")
)  # fmt: skip


@pytest.mark.parametrize("path", PAGES)
def test_a_page_asks_as_often_for_forty_fields_as_for_four(farms_counted, path):
    few, many = farms_counted
    if few.ids(path) is None:
        pytest.skip("this farm has no such row; its own tests count what it asks")
    warm, cold = [], []
    for each in (few, many):
        address = each.ids(path)
        each.reads(address)
        each.change()
        cold.append(each.reads(address))
        warm.append(each.reads(address))
    assert cold[0] == cold[1] <= COLD_MOST, cold
    assert warm[0] == warm[1] <= WARM_MOST, many.asked


def test_most_pages_are_counted(farms_counted):
    counted = [path for path in PAGES if farms_counted[0].ids(path)]
    assert len(counted) >= 45 and "/farms/{farm_id:int}" in counted and "/farms/{farm_id}/fields" in counted
