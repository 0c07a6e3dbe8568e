"""A farm that goes out to a file and comes in again is the same farm, whatever the language, units or kind of file."""

import io
import re
import time
import zipfile
from datetime import date, timedelta

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import insert

from app.access.work import SYSTEM, Clock, Work
from app.errors import NotAllowed, NotFound
from app.records.base import Database
from app.records.farms import Farm
from app.records.fields import Field
from app.records.stations import Day, Station
from app.services import workbook
from app.services.reports import report_farm
from app.services.workbook.every import SHEETS
from app.units.wording import Reader
from app.web.words import translator
from tests.builders import whole_farm
from tests.builders.facts import facts_of
from tests.builders.people import make_team

US, METRIC = Reader(), Reader("en", "metric")
SPANISH = Reader("es", "metric", translator("es"))


@pytest.fixture
def farm_id(work, team):
    whole_farm.fill(work, team.farm.id)
    return team.farm.id


def as_new_farm(work, farm_id, out=US, into=US, kind="xlsx"):
    export = workbook.export_farm(work, farm_id, out, kind)
    return workbook.import_farm(work, export.body, export.filename, sure=True, reader=into).farm_id


@pytest.mark.parametrize("kind", ["xlsx", "zip"])
@pytest.mark.parametrize(("out", "into"), [(US, US), (METRIC, US), (SPANISH, US), (US, SPANISH)])
def test_out_and_in_gives_the_same_farm(work, farm_id, out, into, kind):
    again = as_new_farm(work, farm_id, out, into, kind)
    before, after = facts_of(work.session, farm_id), facts_of(work.session, again)
    assert before.keys() == after.keys() and len(before) > 20
    for table in before:
        assert before[table] == after[table], table


@pytest.mark.parametrize("reader", [US, METRIC, SPANISH])
def test_reading_a_farms_own_workbook_changes_nothing(work, farm_id, reader):
    export = workbook.export_farm(work, farm_id, reader)
    looked_at = workbook.import_farm(work, export.body, export.filename, farm_id, dry_run=True, reader=reader)
    assert looked_at.asks == () and looked_at.problems == () and not looked_at.does_anything
    seq = work.session.get(Farm, farm_id).seq
    result = workbook.import_farm(work, export.body, export.filename, farm_id, reader=reader)
    assert not result.does_anything
    assert work.session.get(Farm, farm_id).seq == seq
    assert all(each.same for each in result.counts)


def test_every_sheet_has_rows_in_the_farm_these_tests_use(work, farm_id):
    export = workbook.export_farm(work, farm_id, US)
    book = openpyxl.load_workbook(io.BytesIO(export.body))
    assert [sheet.title for sheet in book if sheet.max_row < 3] == []
    assert set(book.sheetnames) == {"Notes", *(sheet.title for sheet in SHEETS)}


def test_every_figure_of_the_report_is_the_same_afterwards(work, farm_id):
    def figures(which):
        found = report_farm(work, which)["figures"]
        return sorted((re.sub(r"\d+", "#", str(each["key"])), _short(each["value"])) for each in found)

    before, after = figures(farm_id), figures(as_new_farm(work, farm_id, SPANISH, US, "zip"))
    assert before == after and len(before) > 20


def _short(value):
    return f"{value:.9g}" if isinstance(value, float) else str(value).removesuffix(" (2)")


def test_removed_withdrawn_and_corrected_rows_stay_behind(work, farm_id):
    book = openpyxl.load_workbook(io.BytesIO(workbook.export_farm(work, farm_id, US).body))
    cells = {cell for sheet in book for row in sheet.iter_rows(values_only=True) for cell in row}
    assert "Sold" not in cells and 99.0 not in cells
    assert [row[2] for row in book["Stem counts"].iter_rows(min_row=3, values_only=True)] == [
        None,
        pytest.approx(48.31, abs=0.01),
    ]


def test_names_that_stand_twice_are_told_apart(work, farm_id):
    book = openpyxl.load_workbook(io.BytesIO(workbook.export_farm(work, farm_id, US).body))
    machines = [row[0] for row in book["Machines"].iter_rows(min_row=3, values_only=True)]
    assert machines == ["Big loader", "Big loader (2)", "Chopper"]


def test_no_cell_of_a_workbook_is_a_formula(work, farm_id):
    export = workbook.export_farm(work, farm_id, US)
    book = openpyxl.load_workbook(io.BytesIO(export.body))
    assert not any(cell.data_type in "fe" for sheet in book for row in sheet.iter_rows() for cell in row)
    assert "'=1+1" in [cell.value for cell in book["Fields"]["A"]]
    packed = zipfile.ZipFile(io.BytesIO(workbook.export_farm(work, farm_id, US, "zip").body))
    assert "'=1+1," in packed.read("fields.csv").decode("utf-8-sig")


def test_headings_name_the_unit_and_keys_never_change(work, farm_id):
    by_reader = {}
    for reader in (US, METRIC, SPANISH):
        sheet = openpyxl.load_workbook(io.BytesIO(workbook.export_farm(work, farm_id, reader).body)).worksheets[5]
        by_reader[reader.language, reader.units] = (sheet["B1"].value, sheet["B2"].value)
    assert by_reader["en", "us"] == ("Area (ac)", "fields.area_ha [ac]")
    assert by_reader["en", "metric"] == ("Area (ha)", "fields.area_ha [ha]")
    assert by_reader["es", "metric"][0] != "Area (ha)" and by_reader["es", "metric"][1] == "fields.area_ha [ha]"


def test_the_empty_workbook_has_every_sheet_and_notes_on_each_column(work):
    book = openpyxl.load_workbook(io.BytesIO(workbook.empty_book(US).body))
    noted = {(row[0], row[1]) for row in book["Notes"].iter_rows(values_only=True)}
    for sheet in SHEETS:
        heads = [cell.value for cell in book[sheet.title][1]]
        assert book[sheet.title].max_row == 2 and all((sheet.title, head) in noted for head in heads)


def test_headings_of_one_sheet_can_be_told_apart():
    for reader in (US, SPANISH):
        for sheet in SHEETS:
            labels = [reader.translate(column.label).casefold() for column in sheet.shape.columns]
            assert len(labels) == len(set(labels)), sheet.key


def test_who_may_take_a_farm_out(work, team):
    for role in ("owner", "consultant", "nutritionist", "agronomist"):
        assert workbook.export_farm(team.acts(work, role), team.farm.id).body
    for role in ("crew", "viewer"):
        with pytest.raises(NotAllowed):
            workbook.export_farm(team.acts(work, role), team.farm.id)
    with pytest.raises(NotFound):
        workbook.export_farm(team.acts(work, "stranger"), team.farm.id)


TEXT = st.text(
    st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff\u2028\u2029\x85"), min_size=1
)
ODD = st.sampled_from(["=1+1", "+1", "-5", "@x", "'=1+1", "''", "#N/A", "NA", "-", "null", "1.5", "007", "yes",
                       "2027-05-01", "a;b|d", '"quoted"', "Ñandú · 北", "_x000D_", "fields.name", "TRUE"])  # fmt: skip


@pytest.fixture(scope="module")
def odd_database(sqlite_master, tmp_path_factory):
    path = tmp_path_factory.mktemp("odd") / "odd.sqlite"
    path.write_bytes(sqlite_master.read_bytes())
    database = Database(f"sqlite:///{path}")
    yield database
    database.close()


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    name=(ODD | TEXT).map(lambda text: text.strip()[:80]).filter(bool),
    note=(ODD | TEXT).map(str.strip),
    kind=st.sampled_from(["xlsx", "zip"]),
)
def test_any_name_and_note_comes_back_as_it_was(odd_database, name, note, kind):
    with odd_database.writing() as session:
        work = Work(session, SYSTEM, Clock(date(2027, 5, 10)))
        farm_id = make_team(work).farm.id
        field = Field(farm_id=farm_id, name=name, area_ha=12.0, drainage_note=note[:2000] or None)
        session.add(field)
        session.flush()
        again = as_new_farm(work, farm_id, kind=kind)
        found = session.query(Field).filter_by(farm_id=again).one()
        assert (found.name, found.drainage_note) == (field.name, field.drainage_note)
        session.rollback()


def test_a_note_of_two_thousand_letters_and_several_lines_comes_back(work, team):
    note = ('Wet, "quoted"; and\n' * 200)[:1990].strip()
    work.session.add(Field(farm_id=team.farm.id, name="Long", area_ha=4.0, drainage_note=note))
    for kind in ("xlsx", "zip"):
        again = as_new_farm(work, team.farm.id, kind=kind)
        assert work.session.query(Field).filter_by(farm_id=again).one().drainage_note == note


def test_forty_fields_and_thirty_years_of_weather_go_out_and_in_within_twenty_seconds_each(work, team):
    station = Station(farm_id=team.farm.id, name="Home", source="invented")
    work.session.add(station)
    work.session.add_all(Field(farm_id=team.farm.id, name=f"Field {n}", area_ha=10.0 + n) for n in range(40))
    work.session.flush()
    first = date(1997, 1, 1)
    days = [first + timedelta(days=n) for n in range(30 * 365)]
    figures = {"low_c": 1.25, "precip_mm": 2.54, "kind": "observed"}
    work.session.execute(
        insert(Day), [{"station_id": station.id, "day_on": day, "high_c": 10 + day.day / 7, **figures} for day in days]
    )
    started = time.monotonic()
    export = workbook.export_farm(work, team.farm.id, US)
    out = time.monotonic() - started
    result = workbook.import_farm(work, export.body, export.filename, sure=True, reader=US)
    back = time.monotonic() - started - out
    assert {each.key: each.added for each in result.counts}["days"] == len(days)
    assert out < 20 and back < 20, (out, back)
