"""The report: every figure of the board with unit, day, range, reason and source keys."""

from datetime import date, timedelta

import pytest

from app.access.work import Clock, Work
from app.errors import NotFound
from app.planning.assumptions import ASSUMPTIONS
from app.planning.estimates import Estimate, unknown
from app.services import checklists, decisions, farms, lots, reports, supplies
from app.services.board import board_page
from app.services.reports import NOT_PUBLISHED, Figure
from app.services.reports.figure import told
from app.services.reports.written import written
from app.sources import SOURCES
from app.units.kinds import KINDS
from app.units.quantities import KG_PER_SHORT_TON, KG_PER_TONNE
from app.units.sentences import Sentence
from app.units.wording import Reader
from tests.builders.feed import add_feed
from tests.builders.herd import REFERENCE_DAY
from tests.builders.whole_board import STARTS_ON, fill_board

UNITS = {unit.label for kind in KINDS.values() for unit in (kind.us, kind.metric)} | set(KINDS)
OTHER_UNITS = {"day", "text", "yes or no", "items", "fields", "questions"}


@pytest.fixture
def spring(work, team):
    then = Work(work.session, work.actor, Clock(REFERENCE_DAY))
    fill_board(then, team.farm.id)
    values = {"name": "Wet hulls", "feed_id": add_feed(then, team.farm.id, "Hulls", "byproduct").id, "dm_frac": 0.35}
    supplies.add_supply(then, team.farm.id, {**values, "on_hand_af_kg": 9000.0, "counted_on": REFERENCE_DAY}, sure=True)
    farms.set_value(then, team.farm.id, "stubble_cm", 10.16)
    return then


def figures(work, farm_id, units="us"):
    return {figure["key"]: figure for figure in reports.report_farm(work, farm_id, units)["figures"]}


@pytest.mark.parametrize("filled", [True, False])
def test_every_figure_has_unit_day_and_source_and_where_unknown_a_reason(request, work, team, filled):
    now = request.getfixturevalue("spring") if filled else work
    every = reports.report_farm(now, team.farm.id)["figures"]
    assert len({figure["key"] for figure in every}) == len(every) > (80 if filled else 20)
    for figure in every:
        assert figure["label"] and not figure["label"].endswith((".", ":", " ")), figure
        assert figure["unit"] in UNITS | OTHER_UNITS, figure
        assert date.fromisoformat(figure["as_of"]) <= now.today("America/Chicago"), figure
        assert figure["sources"] and {*figure["sources"]} <= {*SOURCES, *NOT_PUBLISHED}, figure
        assert figure["value"] is not None or figure["reason"], figure
        assert None in (figure["low"], figure["high"]) or figure["low"] <= figure["high"], figure


def test_every_part_of_the_board_is_in_it(spring, team):
    found, page = figures(spring, team.farm.id), board_page(spring, team.farm.id)
    for use_class in ("milking", "growing", "dry"):
        for name in ("must_bring", "must_bring_af", "ndf_ceiling", "run_out"):
            assert f"need.{name}.{use_class}" in found
    for lot in lots.list_lots_on_hand(spring, team.farm.id):
        assert found[f"lot.{lot.id}.mass_dm"]["value"] == pytest.approx(lot.mass_dm.value / KG_PER_SHORT_TON)
    for field in page.maturity.fields:
        assert found[f"field.{field.field_id}.ndf_fed"]["value"] == pytest.approx(100 * field.fed.value)
        assert found[f"field.{field.field_id}.reached"]["value"] == field.reached.on.isoformat()
    (supply,) = supplies.list_supplies_on_hand(spring, team.farm.id)
    assert found[f"supply.{supply.id}.mass_af"]["value"] == pytest.approx(9000 / KG_PER_SHORT_TON)
    assert found["decisions.open"]["value"] == 1
    assert found["yard.done"]["value"] == page.yard.done and found["yard.total"]["value"] == page.yard.total
    assert found["heat.rule"]["value"].startswith("Counted after five days in a row with the high at the base")


def test_the_worked_example_is_told_in_tons_and_in_tonnes(spring, team):
    """62.3 short tons DM short of thirty days of carry-over, by hand; 56.5 tonnes."""
    us = figures(spring, team.farm.id)["need.short.target.dm"]
    metric = figures(spring, team.farm.id, "metric")["need.short.target.dm"]
    assert (us["unit"], metric["unit"]) == ("t DM", "t DM")
    assert us["value"] == pytest.approx(62.3, abs=0.1)
    assert metric["value"] == pytest.approx(62.3 * KG_PER_SHORT_TON / KG_PER_TONNE, abs=0.1)
    assert us["low"] < us["value"] < us["high"]
    run_out = figures(spring, team.farm.id)["need.run_out"]
    assert (run_out["value"], run_out["unit"]) == ("2026-07-12", "day")


def test_an_agreed_start_is_the_farms_own_and_a_projected_one_names_its_publications(spring, team):
    start = figures(spring, team.farm.id)["cut.start"]
    assert (start["value"], start["sources"], start["low"]) == (STARTS_ON.isoformat(), ["farm"], None)
    checklists.agree_start(spring, team.farm.id, {"starts_on": None})
    start = figures(spring, team.farm.id)["cut.start"]
    assert {"Day1985", "HintzAlbrecht1991", "Sulc2011"} <= {*start["sources"]}
    assert start["low"] <= start["value"] <= start["high"]


def test_only_changed_assumptions_are_told_each_beside_its_default(spring, team):
    found = figures(spring, team.farm.id)
    changed = {key: figure for key, figure in found.items() if key.startswith("assumption.")}
    assert {*changed} == {"assumption.stubble_cm", "assumption.stubble_cm.default"}
    assert changed["assumption.stubble_cm"]["value"] == pytest.approx(4.0)
    assert changed["assumption.stubble_cm"]["sources"] == ["farm"] == found["cut.stubble"]["sources"]
    default = changed["assumption.stubble_cm.default"]
    assert (default["value"], default["sources"]) == (pytest.approx(3.0), [ASSUMPTIONS["stubble_cm"].source])
    farms.set_value(spring, team.farm.id, "shrink_convention", "multiply")
    assert figures(spring, team.farm.id)["assumption.shrink_convention"]["value"] == "multiply"


def test_what_is_not_known_says_why(work, team):
    found = figures(work, team.farm.id)
    assert (found["need.must_bring"]["value"], found["need.must_bring"]["reason"]) == (
        None, "No haylage is on the farm's list of feeds yet.")  # fmt: skip
    assert found["cut.start"]["reason"] == "No start is agreed or projected yet."
    assert found["yard.worst"]["value"] == "The list of what has to be ready is not drawn up yet."
    assert found["ready.days_ahead"]["reason"] and found["ready.heat"]["reason"]


def test_a_scouting_is_the_day_of_a_fields_figures(spring, team):
    key = next(key for key in figures(spring, team.farm.id) if key.endswith(".ndf_standing"))
    assert figures(spring, team.farm.id)[key]["as_of"] == (REFERENCE_DAY - timedelta(days=2)).isoformat()


def test_strangers_get_no_report(spring, team):
    with pytest.raises(NotFound):
        reports.report_farm(team.acts(spring, "stranger"), team.farm.id)


def test_questions_are_told_as_people_wrote_them(spring, team):
    decisions.ask_decision(spring, team.farm.id, {"question": "{n} & <b>% d'accord?"})
    said = [figure["value"] for key, figure in figures(spring, team.farm.id).items() if key.startswith("decisions.")]
    assert "{n} & <b>% d'accord?" in said
    assert any("{n} & <b>% d'accord?" in line for line in reports.report_lines(
        reports.report_farm(spring, team.farm.id)))  # fmt: skip


def test_the_text_form_has_a_heading_per_part_and_a_line_per_figure(spring, team):
    report = reports.report_farm(spring, team.farm.id, "us")
    lines = list(reports.report_lines(report))
    heads = [line for line in lines if line.isupper()]
    assert heads == ["WHAT WE NEED", "WHEN IT IS READY", "HOW WE CUT", "ARE WE READY", "TO DECIDE",
                     "FEED ON HAND, BY LOT", "SUPPLIES", "FIELDS", "WEATHER AND HEAT",
                     "ASSUMPTIONS CHANGED BY THE FARM"]  # fmt: skip
    assert len(lines) == 1 + 2 * len(heads) + len(report["figures"])
    stubble = next(line for line in lines if line.startswith("Stubble: "))
    assert stubble == "Stubble: 4 in (as of 2026-05-01; sources: farm)"
    assert "The start is agreed: yes (as of 2026-05-01; sources: farm)" in lines


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (Estimate(1234.0, "money", 1e3, 2e3), "$1,234 (1,000 to 2,000; as of 2026-05-01; sources: farm)"),
        (Estimate(0.3456, "ndf"), "34.56 % NDF (as of 2026-05-01; sources: farm)"),
        (Estimate(185.0, "index"), "185 (as of 2026-05-01; sources: farm)"),
        (unknown("ndf", Sentence("Not scouted.")), "not known (as of 2026-05-01; sources: farm; Not scouted.)"),
        (False, "no (as of 2026-05-01; sources: farm)"),
        (7, "7 (as of 2026-05-01; sources: farm)"),
        (date(2026, 5, 2), "2026-05-02 (as of 2026-05-01; sources: farm)"),
    ],
)  # fmt: skip
def test_a_figure_reads_on_one_line(value, said):
    assert written(told(Figure("a.b", "A", value, REFERENCE_DAY), Reader("en", "us"))) == said
