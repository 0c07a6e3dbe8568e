"""The invented farms: seeded on several days of spring, looked at as every one of their people."""

from __future__ import annotations

import ast
import re
import statistics
from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from sqlalchemy import select
from starlette.routing import Match, Route

from app.access.work import SYSTEM, Clock, Work
from app.main import create_app
from app.records.accounts import Account
from app.records.base import Database
from app.records.farms import Farm
from app.records.history import Change
from app.records.samples import Sample
from app.records.stations import Station
from app.services import accounts, reports, team
from app.settings import Settings
from seed_demo import __main__ as command
from seed_demo import cast, demo_day, marl_hollow, nine_furlong, sedgewater, seed
from seed_demo.lab import LAB
from seed_demo.weather import PAST_YEARS, SOURCE, day_of_heat, heat_total, invented_year, with_usual_spring
from tests.builders.site import Browser

TEN_MAY = date(2027, 5, 10)
OTHER_DAYS = (date(2028, 3, 1), date(2026, 6, 30))
FARMS = (marl_hollow, sedgewater, nine_furlong)


FILES = ("workbook.xlsx", "workbook.zip", "workbook.empty")
"""Whole farms as files take longest; the consultant fetches them for everyone."""


def clock_on(day: date) -> Clock:
    """Half past four in the afternoon of that day, in the time zones of the farms."""
    at = datetime(day.year, day.month, day.day, 21, 30, tzinfo=UTC)
    return Clock(day, lambda: at)


def seeded(url: str, day: date) -> list[str]:
    database = Database(url)
    lines = seed(database, clock_on(day))
    database.close()
    return lines


@pytest.fixture(scope="module")
def ten_may(sqlite_master: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A database that stands on 10 May."""
    path = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    path.write_bytes(sqlite_master.read_bytes())
    seeded(f"sqlite:///{path}", TEN_MAY)
    return f"sqlite:///{path}"


@pytest.fixture(scope="module")
def reader(ten_may: str) -> Iterator[Work]:
    database = Database(ten_may)
    with database.reading() as session:
        yield Work(session, SYSTEM, clock_on(TEN_MAY))
    database.close()


def plain_routes(routes: Iterable) -> Iterator[Route | APIRoute]:
    """Routes of the app and of every router in it."""
    for each in routes:
        if isinstance(each, Route | APIRoute):
            yield each
        else:
            yield from plain_routes(getattr(getattr(each, "original_router", None), "routes", ()))


class Visit:
    """Somebody who follows every link from page to page."""

    def __init__(self, url: str, day: date) -> None:
        self.app = create_app(Settings(database=url, demo=True), clock_on(day))
        self.routes, self.kinds = list(plain_routes(self.app.routes)), {}

    def people(self) -> list[Account]:
        with self.app.state.database.reading() as session:
            return [person for person, _roles in team.list_people(Work(session, SYSTEM, self.app.state.clock))]

    def browser(self, account: Account) -> Browser:
        database = self.app.state.database
        with database.lock, database.writing() as session:
            new = accounts.start_sign_in(Work(session, SYSTEM, self.app.state.clock), account, "test", 1)
            session.commit()
        return Browser(self.app, {"sid": new.token})

    def kind(self, path: str) -> str:
        """The route a path belongs to, with its farm."""
        plain = path.split("?")[0].split("#")[0]
        farm = re.match(r"/farms/(\d+)", plain)
        pattern = re.sub(r"\d+", "1", plain)
        if pattern not in self.kinds:
            scope = {"type": "http", "path": pattern, "method": "GET", "root_path": "", "headers": []}
            fits = (route.name for route in self.routes if route.matches(scope)[0] is Match.FULL)
            self.kinds[pattern] = next(fits, "")
        return f"{farm[1] if farm else ''} {self.kinds[pattern]}" if self.kinds[pattern] else ""

    def walk(self, account: Account, most: int = 1) -> dict[str, int]:
        """Pages of every kind the person can reach, with their status; so many of one kind on one farm."""
        is_adviser = "hedda" in (account.email or "")
        browser, seen, found = self.browser(account), defaultdict(set), {}
        todo = ["/farms"] if account.email else []
        todo += [f"/farms/{farm}/home" for farm in (1, 2, 3)]
        while todo:
            path = todo.pop(0)
            kind = self.kind(path)
            if path in found or not kind or len(seen[kind]) >= most or (kind.endswith(FILES) and not is_adviser):
                continue
            seen[kind].add(path)
            answer = browser.get(path)
            found[path] = answer.status_code
            if answer.status_code in (302, 303):
                todo.append(answer.headers["location"].removeprefix("http://swathboard.test"))
            if answer.headers.get("content-type", "").startswith("text/html"):
                todo += re.findall(r'href="(/[^"#]*)"', answer.text)
        return found

    def close(self) -> None:
        self.app.state.database.close()


def test_every_person_can_open_every_page_they_are_led_to(ten_may: str) -> None:
    visit, kinds = Visit(ten_may, TEN_MAY), set()
    for account in visit.people():
        found = visit.walk(account)
        own = {path: status for path, status in found.items() if status not in (200, 303)}
        homes = {path for path, status in own.items() if path.endswith("/home") and status == 404}
        assert own.keys() == homes, f"{account.name}: {own}"
        assert len(homes) == (0 if "hedda" in (account.email or "") else 2), account.name
        kinds |= {visit.kind(path).split()[-1] for path in found}
    visit.close()
    assert {"board.show", "feed.show", "fields.show", "fields.field", "weather.show", "checklists.show"} <= kinds
    assert {"team.show", "team.changes", "samples.show", "samples.lot", "decisions.show", "machines.show"} <= kinds


@pytest.mark.parametrize("day", OTHER_DAYS, ids=str)
def test_the_demo_stands_on_any_day_of_spring(sqlite_master: Path, tmp_path: Path, day: date) -> None:
    (tmp_path / "demo.sqlite").write_bytes(sqlite_master.read_bytes())
    url = f"sqlite:///{tmp_path / 'demo.sqlite'}"
    seeded(url, day)
    visit = Visit(url, day)
    people = {person.name: person for person in visit.people()}
    for name in ("Hedda Quillon", "Chuy, packing tractor"):
        found = visit.walk(people[name])
        wrong = {path: status for path, status in found.items() if status not in (200, 303)}
        assert all(path.endswith("/home") for path in wrong), wrong
    visit.close()


@pytest.mark.postgres
def test_the_demo_is_the_same_on_both_databases(url: str, reader: Work) -> None:
    if url.startswith("sqlite"):
        pytest.skip("the other tests are on SQLite")
    seeded(url, TEN_MAY)
    database = Database(url)
    with database.reading() as session:
        there = Work(session, SYSTEM, clock_on(TEN_MAY))
        for farm_id in (1, 2, 3):
            assert values_of(there, farm_id) == values_of(reader, farm_id)
    database.close()


def values_of(work: Work, farm_id: int) -> dict[str, object]:
    figures = reports.report_farm(work, farm_id)["figures"]
    return {each["key"]: pytest.approx(each["value"]) if isinstance(each["value"], float) else each["value"]
            for each in figures}  # fmt: skip


@pytest.mark.parametrize("farm_id", (1, 2, 3))
def test_the_boards_figures_are_known(reader: Work, farm_id: int) -> None:
    figures = {each["key"]: each["value"] for each in reports.report_farm(reader, farm_id)["figures"]}
    for key in ("need.must_bring", "need.run_out", "need.new_crop_fed", "ready.start", "cut.start", "cut.mass_dm"):
        assert figures[key] is not None, key
    assert figures["ready.fields_scouted"] == (6, 6, 14)[farm_id - 1]
    assert 0 < figures["yard.done"] < figures["yard.total"]


def test_each_farm_has_its_own_trouble(reader: Work) -> None:
    marl, sedge, nine = (
        {each["key"]: each["value"] for each in reports.report_farm(reader, farm_id)["figures"]}
        for farm_id in (1, 2, 3)
    )
    assert "Packing weight: short 18,000" in marl["yard.worst"].replace("\xa0", " ")
    assert sedge["need.run_out.growing"] > sedge["need.run_out.milking"]
    assert nine["need.run_out"] < nine["need.new_crop_fed"]
    assert [each["cut.is_agreed"] for each in (marl, sedge, nine)] == [False, False, True]


def test_history_reads_as_if_people_had_written_it(reader: Work) -> None:
    names = {person.name for person in everyone()}
    for farm_id in (1, 2, 3):
        changes = list(reader.session.scalars(select(Change).where(Change.farm_id == farm_id).order_by(Change.seq)))
        moments = [change.at for change in changes]
        assert moments == sorted(moments)
        assert moments[0].year == TEN_MAY.year - 2 and moments[-1].date() == TEN_MAY
        assert {change.by for change in changes} <= names
        assert {"add", "edit", "tick", "import", "decide", "draw"} <= {change.verb for change in changes}


def everyone() -> list[cast.Person]:
    return [cast.consultant(), *cast.marl_hollow(), *cast.sedgewater(), *cast.nine_furlong()]


def test_every_name_is_an_invented_one(reader: Work) -> None:
    people = {person.name: person.email for person in everyone()}
    rows = list(reader.session.scalars(select(Account)))
    assert {row.name: row.email for row in rows} == people
    assert all(email is None or email.endswith("@example.org") for email in people.values())
    assert {farm.name for farm in reader.session.scalars(select(Farm))} == {farm.NAME for farm in FARMS}
    assert all("an invented address" in (farm.place or "") for farm in reader.session.scalars(select(Farm)))
    assert {station.source for station in reader.session.scalars(select(Station))} == {SOURCE}
    assert {sample.lab for sample in reader.session.scalars(select(Sample))} == {LAB}
    assert any(row.language == "es" and row.email is None for row in rows)


ALLOWED = ("app.services", "app.access.work", "app.records.base", "app.settings", "app.units.quantities", "seed_demo")


def test_nothing_goes_past_the_services() -> None:
    for path in Path(command.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            for name in names:
                ours = name.split(".")[0] in ("app", "seed_demo", "sqlalchemy", "fastapi")
                migrates = path.name == "__main__.py" and name == "app.records.migrating"
                assert not ours or name.startswith(ALLOWED) or migrates, f"{path.name}: {name}"


def test_the_demo_chooses_a_day_in_spring() -> None:
    assert demo_day(date(2027, 3, 14)) == date(2027, 5, 10)
    assert demo_day(date(2027, 3, 15)) == date(2027, 3, 15)
    assert demo_day(date(2027, 6, 20)) == date(2027, 6, 20)
    assert demo_day(date(2027, 6, 21)) == date(2028, 5, 10)
    assert demo_day(date(2027, 12, 31)) == date(2028, 5, 10)


@pytest.mark.parametrize("farm", FARMS, ids=lambda farm: farm.NAME)
def test_the_invented_spring_looks_like_one(farm) -> None:
    years = range(2027 - PAST_YEARS, 2027)
    days = [day_of_heat(farm.PLACE, year, 700) for year in years]
    middle = statistics.median(day.timetuple().tm_yday for day in days)
    assert abs(middle - date(2027, 5, 22).timetuple().tm_yday) <= 4
    wet = statistics.mean(sum(day.rain_in > 0 for day in invented_year(farm.PLACE, year)) for year in years)
    assert 90 <= wet <= 150
    this = with_usual_spring(farm.PLACE, 2027, farm.AHEAD_D)
    assert 300 <= heat_total(this, TEN_MAY) <= 600
    assert all(day.high_f > day.low_f for year in years for day in invented_year(farm.PLACE, year))


def test_the_command_fills_only_an_empty_database(ten_may: str, capsys: pytest.CaptureFixture) -> None:
    assert command.main(["--on", "2027-05-10", "--database", ten_may]) == 1
    assert "empty" in capsys.readouterr().err
