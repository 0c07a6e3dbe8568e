"""Whatever is sent twice, late or out of order takes effect once; every kind of form there is."""

from __future__ import annotations

import json
import sqlite3
import threading
from contextlib import closing
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

from app.access.work import Clock
from app.main import create_app
from app.settings import Settings
from tests.builders.rows import FILE, add_rows
from tests.builders.site import Browser, Site
from tests.faults.forms import NUMBERS, form_to
from tests.faults.place import Place
from tests.web.routes import YES, read_table
from tests.web.walker import Walker, _memberships

FARM = "/farms/{farm_id}"
WALK = {"stage_1": "bud", "height_cm_1": "24", "stage_2": "bud", "height_cm_2": "25", "spots_count": "5"}
TYPED: dict[str, dict[str, str | None]] = {
    "/farms/new": {"name": "New", "time_zone": "America/Chicago", "cuts_count": "4"},
    f"{FARM}/fields/{{field_id}}/scout": WALK | {"scouted_on": "2027-05-10"},
    f"{FARM}/scoutings/{{scouting_id}}/correct": WALK | {"scouted_on": "2027-05-10"},
    f"{FARM}/fields/{{field_id}}/stands/new": {"share_alfalfa": "100"},
    f"{FARM}/stands/{{stand_id}}/edit": {"share_alfalfa": "100"},
    f"{FARM}/herds": {"intake_method": "measured", "intake_kg": "50"},
    f"{FARM}/herds/{{group_id}}": {"intake_method": "measured", "intake_kg": "50"},
    f"{FARM}/herds/{{group_id}}/heads": {"from_on": "2027-05-20"},
    f"{FARM}/herds/{{group_id}}/inclusions": {"from_on": "2027-05-20", "share_frac": "5"},
    f"{FARM}/lots/feedouts/{{feedout_id}}": {
        "mass_af_kg": "20",
        "was_mass_af_kg": None,
        "thrown_af_kg": "1",
        "was_thrown_af_kg": None,
    },
    f"{FARM}/lots/loads/{{load_id}}": {"mass_af_kg": "20", "was_mass_af_kg": None},
    f"{FARM}/machines": {"weight_kg": "30000", "share_frac": "50", "rate_kg_h": "", "width_m": ""},
    f"{FARM}/samples/new": {"value_DM": "45"},
    f"{FARM}/samples/{{sample_id}}": {"value_DM": "45"},
    f"{FARM}/supplies/deliveries/{{delivery_id}}": {"mass_af_kg": "20", "was_mass_af_kg": None},
    f"{FARM}/supplies/{{supply_id}}/edit": {
        "on_hand_af_kg": "20",
        "was_on_hand_af_kg": None,
        "counted_on": "2027-05-10",
    },
    f"{FARM}/settings": {
        "name": "Renamed",
        "time_zone": "America/Chicago",
        "cuts_count": "4",
        "was_name": "Marl Hollow",
    },
    f"{FARM}/team/members/{{membership_id}}/role": {"role": "crew", "was_role": "viewer"},
    f"{FARM}/machines/{{machine_id}}": {"name": "Renamed", "kind": "mower"},
    f"{FARM}/structures/new": {"kind": "bunker", "name": "New", "length_m": "150", "width_m": "40"},
}
"""What a form needs beyond a plausible word, day and number; None leaves a field of the page out."""

FILES = {f"{FARM}/weather/stations/{{station_id}}/files": {"file": ("days.csv", FILE, "text/csv")}}
BEFORE = {"restore": ("remove", "withdraw"), "untick": ("tick",), "expect": ("receive",)}
"""Verbs that take something back, and what has to be done first."""

END = (f"{FARM}/stands/{{stand_id}}/end", {"ended_on": "2027-05-01"})
FIRST = {f"{FARM}/fields/{{field_id}}/stands/new": END, f"{FARM}/stands/{{stand_id}}/resume": END}
"""What has to be saved before that form can be taken."""

NO_TRACE = {"/account/choose", "/sign-out", "/theme", "/sign-in"}
"""Forms about this browser only; they change nothing of a farm, or are meant to start anew each time."""

UNDONE = {
    "/account/password": "needs the present password",
    "/farms/new/workbook": "a whole workbook as a file; its taking over is tried with the workbook",
    f"{FARM}/workbook": "a whole workbook as a file; its taking over is tried with the workbook",
    f"{FARM}/lab-files/new": "a file; pasting the same is tried here",
    f"{FARM}/weather/files/{{upload_id}}": "answers to a preview, kept with the upload",
    f"{FARM}/weather/files/{{upload_id}}/take": "the file of one row has no readable day",
    f"{FARM}/team/leave": "the only owner may not leave",
    f"{FARM}/counts/{{count_id}}/restore": "needs the number of the row that withdrew the count",
    f"{FARM}/lots/{{lot_id}}/measurements": "needs a lot of known dry matter and size",
    f"{FARM}/feed/keep": "needs a what-if in the address",
}
"""Forms that this walk cannot fill in; each is tried in the tests of its own page."""


class Copied:
    """The app on a file that is put back before each route; `rows` is everything in it."""

    def __init__(self, file: Path, sqlite_master: Path) -> None:
        self.file = file
        file.write_bytes(sqlite_master.read_bytes())
        self.app = create_app(Settings(database=f"sqlite:///{file}"), Clock(date(2027, 5, 10)))
        self.site = Site(self.app)
        owner = self.site.team.people["owner"].id
        self.ids = self.site.do(lambda work: add_rows(work.session, self.site.farm_id, owner))
        self.ids["memberships"], _theirs = self.site.do(lambda work: _memberships(work.session, self.site))
        self.walker = Walker(self.app, self.site, {}, {}, self.ids, {})
        self.cookies = self.site.as_("owner").cookies
        with closing(sqlite3.connect(file)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        self.app.state.database.close()
        self.master = file.read_bytes()

    def fresh(self) -> None:
        self.app.state.database.close()
        for more in ("-wal", "-shm"):
            Path(f"{self.file}{more}").unlink(missing_ok=True)
        self.file.write_bytes(self.master)

    def path(self, route: str) -> str:
        return self.walker.fill(route, self.site.farm_id, self.ids)

    def post(self, route: str, form: dict[str, str], key: str):
        files = FILES.get(route)
        return Browser(self.app, self.cookies).post(
            self.path(route), form | {"once": key}, **({"files": files} if files else {})
        )

    def rows(self) -> dict[str, list[tuple]]:
        """Every row of every table, but for when somebody was last seen."""
        with closing(sqlite3.connect(self.file)) as connection:
            tables = [name for (name,) in connection.execute("select name from sqlite_master where type = 'table'")]
            return {
                name: connection.execute(f"select {_columns(connection, name)} from {name}").fetchall()
                for name in tables
            }

    def changed(self, before: dict[str, list[tuple]]) -> set[str]:
        return {name for name, rows in self.rows().items() if rows != before[name]}

    def fill_in(self, route: str, key: str) -> dict[str, str]:
        """A form of that route that is taken, and take it with that key; {} when none is found."""
        given = TYPED.get(route, {}) | {"sure": "yes"}
        more = {name: text for name, text in given.items() if text is not None}
        answer = self.post(route, more, key)
        form = form_to(answer.text, self.path(route)) if answer.status_code == 422 else None
        for sparse in (True, False) if form else ():
            for number in NUMBERS:
                typed = form.filled(number, "word", sparse) | more
                typed = {name: text for name, text in typed.items() if given.get(name, text) is not None}
                if self.post(route, typed, key).status_code != 422:
                    return typed
        return more


def _columns(connection: sqlite3.Connection, table: str) -> str:
    return ", ".join(
        f'"{name}"' for _n, name, *_rest in connection.execute(f"pragma table_info({table})") if name != "seen_at"
    )


@pytest.fixture(scope="module")
def copied(tmp_path_factory, sqlite_master):
    made = Copied(tmp_path_factory.mktemp("once") / "farm.sqlite", sqlite_master)
    yield made
    made.app.state.database.close()


ROUTES = [path for (method, path), row in read_table().items() if method == "POST" and row["owner"] == YES]


@pytest.mark.parametrize("route", sorted(set(ROUTES) - NO_TRACE - set(UNDONE)))
def test_each_form_sent_again_late_or_out_of_order_takes_effect_once(copied, route):
    copied.fresh()
    verb = route.rpartition("/")[2]
    for first in BEFORE.get(verb, ()):
        if (other := f"{route.rpartition('/')[0]}/{first}") in ROUTES:
            copied.post(other, {}, f"{first}-first")
    if route in FIRST:
        copied.post(*FIRST[route], "first")
    before = copied.rows()
    typed = copied.fill_in(route, "a" * 32)
    assert copied.changed(before) > {"sendings"} or verb in QUIET, f"{route}: nothing was saved with {typed}"
    once = copied.rows()
    assert copied.post(route, typed, "a" * 32).status_code in (303, 404), "the same sending again"
    assert copied.changed(once) == set()
    copied.post(route, typed, "b" * 32)
    both = copied.rows()
    for late in ("a" * 32, "b" * 32, "a" * 32):
        copied.post(route, typed, late)
    assert copied.changed(both) == set(), "late sendings in another order"


QUIET = {"up", "down", "note", "reopen", "{item_id}", "fills-next", "{upload_id}"}
"""Verbs that change nothing of a single row as it stands; sent again they must change nothing either."""


def test_the_list_of_forms_that_are_not_walked_names_forms_that_exist():
    assert set(UNDONE) | NO_TRACE <= set(ROUTES) | {"/sign-out"}


@pytest.fixture
def place(tmp_path):
    made = Place(tmp_path)
    made.start()
    yield made
    made.end()


def test_of_eight_who_edit_the_same_item_nobody_overwrites_what_they_did_not_see(place, saves=25):
    """Every accepted save replaced exactly what its writer saw; every other one was a 409 and left no trace."""
    item = place.item_ids[0]
    taken: list[tuple[str, str, str]] = []
    refused: list[str] = []

    def edit(number: int) -> None:
        column, browser = ("note", "title")[number % 2], place.browser("owner")
        for turn in range(saves):
            saw = place.rows(f"select {column} from items where id = ?", item)[0][0] or ""
            text = f"e{number}-{turn}"
            status, _page = browser.post(f"{place.list}/items/{item}", {column: text, f"was_{column}": saw})
            assert status in (303, 409), status
            taken.append((column, saw, text)) if status == 303 else refused.append(text)

    editors = [threading.Thread(target=edit, args=(number,)) for number in range(8)]
    for editor in editors:
        editor.start()
    for editor in editors:
        editor.join()
    lines = place.rows("select fields from changes where noun = 'items' and row_id = ? order by seq", item)
    history = [(name, *pair) for (fields,) in lines for name, pair in json.loads(fields).items()]
    assert len(taken) + len(refused) == 8 * saves and refused, "they were to get into each other's way"
    assert sorted((name, before or "", after) for name, before, after in history) == sorted(taken)
    for column in ("note", "title"):
        chain = [(before, after) for name, before, after in history if name == column]
        assert all(here[1] == then[0] for here, then in pairwise(chain))
        assert place.rows(f"select {column} from items where id = ?", item) == [(chain[-1][1],)]
    assert place.has_every_seq_once()
