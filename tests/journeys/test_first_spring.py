"""A farm's first spring over HTTP, from an empty database to a board whose figures were worked by hand."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime

import pytest

from app.__main__ import main
from app.access.work import SYSTEM, Clock, Work
from app.main import create_app
from app.records.base import Database
from app.records.migrating import migrate
from app.services import accounts
from app.settings import Settings
from tests.journeys.first_spring import FIELDS, QUESTION, STARTS_ON, TODAY, Told, heat_c, usual_day, workbook

FARM_IS_DRAWN = ("yard.", "heat.station")
"""What a workbook without a list of what has to be ready cannot say the same about."""
NDF_RATE = 0.0245 * 1.8
"""NDF points per degree-day C: 0.0245 per degree-day F, derived from [Kaatz2026] and [Thomas2026]."""


@pytest.fixture(scope="module")
def url(tmp_path_factory):
    return f"sqlite:///{tmp_path_factory.mktemp('spring') / 'farm.sqlite'}"


@pytest.fixture(scope="module")
def told(url):
    """The whole story, told once."""
    database = Database(url)
    migrate(database)
    clock = Clock(TODAY, lambda: datetime(2018, 5, 8, 18, 0, tzinfo=UTC))
    with database.writing() as session:
        token = accounts.make_setup_link(Work(session, SYSTEM, clock))
        session.commit()
    database.close()
    app = create_app(Settings(database=url), clock)
    yield Told(app, f"/set-up/{token}")
    app.state.database.close()


@pytest.fixture(scope="module")
def figures(told):
    """The report of the farm through the JSON interface, by a token made on the account page."""
    made = told.owner.post("/account/tokens", {"name": "office"})
    tokens = set(re.findall(r"[\w-]{43}", made.text))
    for token in tokens:
        answer = told.owner.get(f"/api/v1{told.root}/board?units=us", headers={"Authorization": f"Bearer {token}"})
        if answer.status_code == 200:
            return {figure["key"]: figure for figure in answer.json()["figures"]}
    pytest.fail("the account page shows no token that works")


@pytest.fixture(scope="module")
def board(told):
    answer = told.owner.get(told.root)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)).replace("\u00a0", " ")


def test_need_is_the_reference_herd_worked_by_hand(figures, board):
    """3.84 t DM a day from 300 t less losses last 72 days; new crop sealed on 4 June is fed thirty days later.

    Fifteen days of the thirty wanted are left: 62.3 t DM short [AmaralPhillips2026], need divided by what is left.
    """
    assert figures["need.run_out"]["value"] == "2018-07-19"
    assert figures["need.new_crop_fed"]["value"] == "2018-07-04"
    assert figures["need.carry_over"]["value"] == pytest.approx(15.0, abs=0.1)
    assert figures["need.short.target.dm"]["value"] == pytest.approx(62.3, abs=0.1)
    assert figures["need.short.target.dm"]["unit"] == "t DM"
    assert "All groups run out on 19 Jul; the new crop can be fed from 4 Jul." in board


@pytest.mark.parametrize(("place", "standing", "fed"), [(0, 34.0, 36.0), (1, 35.3, 37.3)])
def test_fields_stand_as_the_published_table_says(told, figures, place, standing, fed):
    """24 in, vegetative and in bud [WisconsinTable2021]; two points more when fed [Sulc2011]."""
    key = f"field.{told.fields[place]}"
    assert figures[f"{key}.ndf_standing"]["value"] == pytest.approx(standing, abs=0.06)
    assert figures[f"{key}.ndf_fed"]["value"] == pytest.approx(fed, abs=0.06)
    assert "HintzAlbrecht1991" in figures[f"{key}.ndf_standing"]["sources"]


@pytest.mark.parametrize(("place", "points"), [(0, 4.0), (1, 2.7)])
def test_each_field_reaches_its_target_when_past_years_say(told, figures, board, place, points):
    """Points of NDF still to come, at the published rate, by the real days of every past year from today on."""
    day = datetime.fromisoformat(figures[f"field.{told.fields[place]}.reached"]["value"]).date()
    assert abs((day - usual_day(points / NDF_RATE)).days) <= 1
    assert f"{FIELDS[1]['name']} first on" in board


def test_heat_and_buds_are_those_of_the_real_days(told, figures):
    """Counted from 1 March above 41 F; buds at 700 degree-days F (common practice, no source)."""
    so_far = heat_c(TODAY.replace(month=3, day=1), TODAY.replace(day=7))
    assert figures["ready.heat"]["value"] == pytest.approx(so_far * 1.8, abs=1.0)
    assert figures["ready.heat"]["as_of"] == "2018-05-07"
    buds = datetime.fromisoformat(figures[f"field.{told.fields[0]}.bud"]["value"]).date()
    assert abs((buds - usual_day(700 / 1.8 - so_far)).days) <= 1
    assert figures[f"field.{told.fields[1]}.bud"]["reason"] == "Buds were seen on 8 May."


def test_the_cut_brings_what_stems_and_the_own_record_say(figures, board):
    """50 stems: 50 x 0.1 + 0.38 = 5.38 t/ac [Undersander2026] on 100 ac, 5 t/ac on 50 ac; 40 % in first cutting."""
    assert figures["cut.mass_dm"]["value"] == pytest.approx(0.40 * (5.38 * 100 + 5 * 50), rel=1e-3)
    assert (figures["cut.start"]["value"], figures["cut.is_agreed"]["value"]) == (STARTS_ON.isoformat(), True)
    assert "How we cut Fri 1 Jun" in board


def test_readiness_is_short_by_the_published_example(figures, board):
    """50 tons an hour ask for 40,000 lb of tractor [Kaatz2009]; 30,000 are there. The phone ticked one item."""
    assert figures["yard.worst"]["value"] == "Packing weight: short 10,000 lb"
    assert figures["yard.done"]["value"] == 1
    assert "Packing weight: short 10,000 lb" in board and "Are we ready 1 of" in board


def test_what_was_done_is_told_with_who_did_it(told, board):
    assert "Changed since yesterday" in board and "Luis" in told.owner.get(f"{told.root}/team/changes").text
    assert QUESTION in told.owner.get(f"{told.root}/decisions").text
    assert "Nothing waits for a decision." in board


def test_nobody_else_gets_in(told, url):
    from tests.builders.site import Browser

    stranger = Browser(told.app)
    assert stranger.get(told.root).status_code in (302, 303, 401)
    assert told.phone.get(f"{told.root}/settings").status_code == 403


@pytest.fixture
def command(url, monkeypatch, tmp_path, capsys, told):
    """The command line on the same database and day."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SWATHBOARD_DATABASE", url)
    monkeypatch.setenv("SWATHBOARD_TODAY", TODAY.isoformat())

    def run(*words):
        assert main(list(words)) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    return run


def test_the_report_of_the_command_line_says_the_same(command, figures):
    report = json.loads(command("report", "Marl Hollow", "--json"))
    assert {figure["key"]: figure for figure in report["figures"]} == figures
    assert "First day the herd cannot be fed in full: 2018-07-19" in command("report", "Marl Hollow")


def test_the_same_farm_from_a_workbook_written_by_hand_says_the_same(command, figures, tmp_path):
    (tmp_path / "paper.xlsx").write_bytes(workbook())
    command("import", "paper.xlsx", "--new", "--sure")
    report = json.loads(command("report", "From paper", "--json"))
    paper = [figure for figure in report["figures"] if not figure["key"].startswith(FARM_IS_DRAWN)]
    typed = [figure for key, figure in figures.items() if not key.startswith(FARM_IS_DRAWN)]
    assert [figure["label"] for figure in paper] == [figure["label"] for figure in typed]
    for one, other in zip(paper, typed, strict=True):
        for name in ("value", "low", "high"):
            if isinstance(other[name], float):
                assert one[name] == pytest.approx(other[name], rel=1e-9, abs=1e-9), other
            else:
                assert one[name] == other[name], other
        assert (one["unit"], one["as_of"], one["sources"]) == (other["unit"], other["as_of"], other["sources"])
