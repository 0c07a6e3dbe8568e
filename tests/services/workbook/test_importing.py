"""A workbook comes in whole or not at all; whatever is wrong is named by sheet, row, column and what is allowed."""

import io
import zipfile
from datetime import date

import openpyxl
import pytest
from sqlalchemy import func, select

from app.errors import Invalid, NotAllowed, NotFound, Unsure
from app.records.accounts import Membership
from app.records.farms import Farm, FarmValue
from app.records.feeds import Feedout, Load, Lot
from app.records.fields import Field, Stand, StandCount
from app.records.history import Change
from app.records.scoutings import Scouting
from app.records.stations import Day, Station
from app.services import changes, fields, workbook
from app.units.quantities import HA_PER_ACRE, KG_PER_SHORT_TON
from app.units.wording import Reader
from app.web.words import translator
from tests.builders import whole_farm
from tests.builders.facts import facts_of

US, METRIC = Reader(), Reader("en", "metric")


def book(**sheets):
    """A workbook written by hand: sheet name with underscores -> rows, the first being the headings."""
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        page = made.create_sheet(name.replace("_", " "))
        for row in rows:
            page.append(row)
    packed = io.BytesIO()
    made.save(packed)
    return packed.getvalue()


FARM = [["Name of the farm", "Time zone"], ["Alder Flats Two", "America/Chicago"]]
FIELDS = [["Name of the field", "Area (ac)"], ["Long Acre", 62], ["Creek", 40.5]]
BY_HAND = {
    "Farm": FARM,
    "fields": [["Area (ac)", "Name of the field", "Soil"], [62, "Long Acre", "loam"], ["40.5", "Creek", ""]],
    "Stands": [
        ["Field", "Seeded on", "Alfalfa (%)", "Orchardgrass (%)"],
        ["long acre", date(2025, 4, 20), 70, 30],
        ["Creek", "4/18/2026", 100, None],
    ],
    "Weather stations": [["Name of the station", "Where the days come from"], ["Home", "own gauge"]],
    "Weather days": [
        ["Station", "Day", "High (°F)", "Low (°F)"],
        *(["Home", date(2027, 4, day), 61, 41] for day in range(1, 31)),
    ],
    "Scoutings": [
        ["Field", "Day", "Cutting", "Most mature stem", "Tallest stem (in)"],
        *(["Long Acre", date(2027, 5, 9), 1, stage, 27.5] for stage in ("Buds", "bud", "No buds", "bud")),
    ],
}


def problems(work, content, farm_id=None, reader=US):
    result = workbook.import_farm(work, content, "farm.xlsx", farm_id, dry_run=True, reader=reader)
    return [(each.sheet, each.row, each.column, each.got, reader.say(each.allowed)) for each in result.problems]


def asks(work, content, farm_id=None, reader=US):
    result = workbook.import_farm(work, content, "farm.xlsx", farm_id, dry_run=True, reader=reader)
    assert result.problems == ()
    return [(each.sheet, each.row, each.column, reader.say(each.allowed)) for each in result.asks]


def refused(work, farm_id=None, reader=US, **sheets):
    """The one problem of a workbook."""
    (only,) = problems(work, book(**sheets), farm_id, reader)
    return only


def count(work, table):
    return work.session.scalar(select(func.count()).select_from(table))


# A workbook written by hand ------------------------------------------------------------------------------------------


def test_a_workbook_written_by_hand_makes_a_farm_and_its_writer_the_owner(work, team):
    acting = team.acts(work, "stranger")
    result = workbook.import_farm(acting, book(**BY_HAND), "hand.xlsx", reader=US)
    farm = work.session.get(Farm, result.farm_id)
    assert (farm.name, farm.time_zone, farm.cuts_count) == ("Alder Flats Two", "America/Chicago", 4)
    role = select(Membership.role).where(Membership.farm_id == farm.id)
    assert list(work.session.scalars(role)) == ["owner"]
    found = work.session.scalars(select(Field).where(Field.farm_id == farm.id).order_by(Field.position)).all()
    assert [each.name for each in found] == ["Long Acre", "Creek"]
    assert [each.area_ha for each in found] == pytest.approx([62 * HA_PER_ACRE, 40.5 * HA_PER_ACRE])
    shares = dict(facts_of(work.session, farm.id))["stand_species"]
    assert len(shares) == 3
    (scouting,) = work.session.scalars(select(Scouting).where(Scouting.farm_id == farm.id))
    assert scouting.scouted_on == date(2027, 5, 9)
    highs = work.session.scalars(
        select(Day.high_c).join(Station, Station.id == Day.station_id).where(Station.farm_id == farm.id)
    )
    assert set(map(round_c, highs)) == {round_c((61 - 32) / 1.8)}
    assert work.session.scalar(select(Station.is_primary).where(Station.farm_id == farm.id))


def round_c(value):
    return round(value, 9)


def test_columns_nobody_knows_are_named_and_ignored(work):
    result = workbook.import_farm(work, book(**BY_HAND, Recipes=[["Cake"], ["Flour"]]), "hand.xlsx", reader=US)
    said = [US.say(each) for each in result.notes]
    assert any("Recipes" in each for each in said) and any("Soil" in each for each in said)


def test_each_sheet_leaves_one_line_of_history(work):
    made = workbook.import_farm(work, book(**BY_HAND), "hand.xlsx", reader=US).farm_id
    lines = work.session.scalars(select(Change).where(Change.farm_id == made, Change.verb == "import")).all()
    assert [line.noun for line in lines] == ["farms", "fields", "stands", "scoutings", "stations", "days"]
    assert all(line.name == "hand.xlsx" and "board-figures" in line.parts for line in lines)
    assert {line.noun: line.fields["added"][1] for line in lines}["days"] == 30


def test_a_sheet_of_spanish_headings_is_read_in_spanish(work, team):
    spanish = Reader("es", "metric", translator("es"))
    heads = [spanish.translate("Name of the field"), spanish.translate("Area") + " (ha)"]
    content = book(**{spanish.translate("Fields"): [heads, ["Largo", "25,1"]]})
    workbook.import_farm(work, content, "campos.xlsx", team.farm.id, reader=spanish)
    assert work.session.scalar(select(Field.area_ha).where(Field.farm_id == team.farm.id)) == 25.1


def test_one_csv_named_after_its_sheet_is_enough_for_a_farm_that_is_there(work, team):
    content = b"Name of the field;Area (ha)\nCreek;12,5\nLong Acre;30\n"
    workbook.import_farm(work, content, "fields.csv", team.farm.id, reader=US)
    areas = select(Field.area_ha).where(Field.farm_id == team.farm.id).order_by(Field.area_ha)
    assert list(work.session.scalars(areas)) == [12.5, 30.0]


def test_cells_formatted_as_per_cent_are_taken_as_they_are_seen(work, team):
    made = openpyxl.load_workbook(io.BytesIO(book(fields=FIELDS, stands=[["Field", "Alfalfa (%)"], ["Creek", 1]])))
    made["stands"]["B2"].number_format = "0%"
    packed = io.BytesIO()
    made.save(packed)
    assert workbook.import_farm(work, packed.getvalue(), "a.xlsx", team.farm.id, reader=US).is_done


# Into a farm that is there -------------------------------------------------------------------------------------------


def test_rows_are_found_by_name_changed_and_added_and_none_is_deleted(work, team):
    farm_id = team.farm.id
    fields.add_field(work, farm_id, {"name": "Creek", "area_ha": 10.0, "haul_km": 2.0})
    fields.add_field(work, farm_id, {"name": "Hill", "area_ha": 5.0})
    result = workbook.import_farm(work, book(fields=FIELDS), "fields.xlsx", farm_id, reader=US)
    (counts,) = result.counts
    assert (counts.added, counts.changed, counts.same) == (1, 1, 0)
    found = {row.name: row for row in work.session.scalars(select(Field).where(Field.farm_id == farm_id))}
    assert found["Creek"].area_ha == pytest.approx(40.5 * HA_PER_ACRE) and found["Creek"].version == 2
    assert found["Creek"].haul_km == 2.0 and found["Hill"].area_ha == 5.0, "what the sheet lacks stays"


def test_the_history_keeps_what_stood_in_a_changed_cell(work, team):
    fields.add_field(work, team.farm.id, {"name": "Creek", "area_ha": 10.0})
    workbook.import_farm(work, book(fields=FIELDS), "fields.xlsx", team.farm.id, reader=US)
    line = work.session.scalars(select(Change).where(Change.verb == "import")).one()
    before, after = line.fields["Creek · Area"]
    assert before == {"value": 10.0, "kind": "area"} and after["value"] == pytest.approx(40.5 * HA_PER_ACRE)
    said = [US.say(each.says) for each in changes.list_lines(team.acts(work, "owner"), team.farm.id).lines]
    assert any("fields.xlsx" in each for each in said)


def test_a_dry_run_counts_and_changes_nothing(work, team):
    before, seq = count(work, Field), team.farm.seq
    result = workbook.import_farm(work, book(fields=FIELDS), "f.xlsx", team.farm.id, dry_run=True, reader=US)
    assert result.counts[0].added == 2 and not result.is_done
    work.session.refresh(team.farm)
    assert (count(work, Field), team.farm.seq) == (before, seq)


def test_readings_sent_twice_are_kept_once(work, team):
    whole_farm.fill(work, team.farm.id)
    content = book(
        loads=[["Lot", "Day", "Weight (t as fed, 2000 lb)"], *([["First cutting", "2026-05-27", 12.4]] * 2)],
    )
    before = count(work, Load)
    for added in (2, 0):
        result = workbook.import_farm(work, content, "loads.xlsx", team.farm.id, reader=US)
        assert result.counts[0].added == added
    assert count(work, Load) == before + 2
    newest = work.session.scalars(select(Load.mass_af_kg).order_by(Load.id.desc())).first()
    assert newest == pytest.approx(12.4 * KG_PER_SHORT_TON)


def test_other_figures_for_a_count_of_the_same_day_are_kept_as_a_correction(work, team):
    whole_farm.fill(work, team.farm.id)
    content = book(stand_counts=[["Field", "Counted on", "Stems (stems/sq ft)"], ["Long Acre", "2027-04-20", 60]])
    result = workbook.import_farm(work, content, "counts.xlsx", team.farm.id, reader=US)
    assert result.counts[0].changed == 1
    newest = work.session.scalars(select(StandCount).order_by(StandCount.id.desc())).first()
    assert newest.corrects_id is not None and newest.root_score == 1.5, "what the sheet lacks stays"


def test_more_feed_of_a_day_that_is_there_is_asked_about(work, team):
    whole_farm.fill(work, team.farm.id)
    content = book(feedouts=[["Lot", "From", "Through", "Taken out (t as fed, 2000 lb)"],
                             ["First cutting", "2027-05-03", "2027-05-09", 90]])  # fmt: skip
    ((sheet, row, column, why),) = asks(work, content, team.farm.id)
    assert (sheet, row, column) == ("feedouts", 2, "From") and "added to it" in why
    with pytest.raises(Unsure):
        workbook.import_farm(work, content, "f.xlsx", team.farm.id, reader=US)
    before = count(work, Feedout)
    workbook.import_farm(work, content, "f.xlsx", team.farm.id, sure=True, reader=US)
    assert count(work, Feedout) == before + 1


def test_a_workbook_of_another_farm_is_asked_about(work, team):
    ((_sheet, row, column, why),) = asks(work, book(farm=FARM), team.farm.id)
    assert (row, column) == (2, "Name of the farm") and "another farm" in why


def test_settings_are_read_in_the_unit_beside_them(work, team):
    content = book(settings=[["Setting", "Value", "Unit"], ["heat_base_c", 41, "°F"], ["heat_method", "sine", None]])
    workbook.import_farm(work, content, "s.xlsx", team.farm.id, reader=METRIC)
    kept = {row.key: (row.number, row.choice) for row in work.session.scalars(select(FarmValue))}
    assert kept["heat_method"] == (None, "sine") and kept["heat_base_c"][0] == pytest.approx(5.0)


# What is wrong is named ----------------------------------------------------------------------------------------------


def test_a_value_out_of_range(work):
    place = refused(work, farm=FARM, fields=[["Name of the field", "Area (ac)"], ["Creek", 40], ["Hill", 99999]])
    assert place[:4] == ("fields", 3, "Area (ac)", "99999") and "0.1\u00a0ac to 5,000\u00a0ac" in place[4]


def test_a_word_where_a_number_belongs(work):
    place = refused(work, farm=FARM, fields=[["Name of the field", "Area (ac)"], ["Creek", "forty"]])
    assert place[:4] == ("fields", 2, "Area (ac)", "forty") and "62" in place[4]


def test_a_number_that_could_be_two(work):
    place = refused(work, farm=FARM, fields=[["Name of the field", "Area (ac)"], ["Creek", "1,234"]])
    assert place[:4] == ("fields", 2, "Area (ac)", "1,234") and "1234 or 1.234" in place[4]


def test_a_day_that_could_be_two_and_one_that_is_none(work):
    heads = ["Field", "Seeded on", "Alfalfa (%)"]
    for cell, why in (("5/6/2025", "2025-05-06 or 2025-06-05"), ("spring", "year-month-day")):
        place = refused(work, farm=FARM, fields=FIELDS, stands=[heads, ["Creek", cell, 100]])
        assert place[:4] == ("stands", 2, "Seeded on", cell) and why in place[4]


def test_a_choice_that_is_none(work):
    place = refused(work, farm=FARM, machines=[["Name", "Kind of machine"], ["Big one", "rocket"]])
    assert place[:4] == ("machines", 2, "Kind of machine", "rocket") and "packing_tractor, chopper" in place[4]


def test_a_tick_that_is_neither(work):
    place = refused(
        work, farm=FARM, machines=[["Name", "Kind of machine", "Belongs to a custom operator"], ["A", "mower", "maybe"]]
    )
    assert place[:4] == ("machines", 2, "Belongs to a custom operator", "maybe") and "yes, no" in place[4]


def test_a_cell_that_must_be_filled_and_a_column_that_must_be_there(work):
    place = refused(work, farm=FARM, fields=[["Name of the field", "Area (ac)"], ["Creek", None]])
    assert place[:3] == ("fields", 2, "Area (ac)") and "62" in place[4]
    place = refused(work, farm=FARM, fields=[["Area (ac)"], [40]])
    assert place[:3] == ("fields", 1, "Name of the field") and "needs a column" in place[4]


def test_a_formula_is_never_taken(work):
    place = refused(
        work, farm=FARM, fields=[["Name of the field", "Area (ac)", "Drainage and ground"], ["Creek", 40, "=1+1"]]
    )
    assert place[:4] == ("fields", 2, "Drainage and ground", "=1+1") and "Formulas" in place[4]


def test_a_name_nobody_has(work):
    place = refused(work, farm=FARM, fields=FIELDS, stands=[["Field", "Alfalfa (%)"], ["Crick", 100]])
    assert place[:4] == ("stands", 2, "Field", "Crick") and "Long Acre, Creek" in place[4]


def test_a_name_that_stands_there_twice(work):
    place = refused(work, farm=FARM, fields=[*FIELDS, ["creek ", 12]])
    assert place[:3] == ("fields", 4, "Name of the field") and "row 3" in place[4]


def test_shares_that_make_no_whole(work):
    place = refused(work, farm=FARM, fields=FIELDS, stands=[["Field", "Alfalfa (%)", "Timothy (%)"], ["Creek", 60, 30]])
    assert place[:3] == ("stands", 2, "Alfalfa (%)") and "90" in place[4]


def test_a_unit_nobody_knows_and_headings_that_name_two(work):
    place = refused(work, farm=FARM, fields=[["Name of the field", "Area (furlongs)"]])
    assert place[:4] == ("fields", 1, "Area (furlongs)", "furlongs") and "Area (ac), Area (ha)" in place[4]
    keys = ["fields.name", "fields.area_ha [ac]"]
    place = refused(work, farm=FARM, fields=[["Name of the field", "Area (ha)"], keys, ["Creek", 12]])
    assert place[:3] == ("fields", 1, "Area (ha)") and "two units" in place[4]


def test_a_setting_out_of_range_or_without_its_unit(work, team):
    heads = ["Setting", "Value", "Unit"]
    place = refused(work, team.farm.id, settings=[heads, ["heat_base_c", 99, "°F"]])
    assert place[:4] == ("settings", 2, "Value", "99") and "from" in place[4]
    place = refused(work, team.farm.id, settings=[heads, ["heat_base_c", 41, None]])
    assert place[:3] == ("settings", 2, "Unit") and "°F, °C" in place[4]


def test_weather_of_days_to_come_and_a_low_above_its_high(work):
    heads = ["Station", "Day", "High (°F)", "Low (°F)"]
    stations = [["Name of the station", "Where the days come from"], ["Home", "own gauge"]]
    for row, column in ((["Home", "2027-05-11", 60, 40], "Day"), (["Home", "2027-05-01", 40, 60], "Low (°F)")):
        place = refused(work, farm=FARM, stations=stations, days=[heads, row])
        assert place[:3] == ("days", 2, column)


def test_lab_values_that_cannot_be(work, team):
    fields.add_field(work, team.farm.id, {"name": "Creek", "area_ha": 10.0})
    heads = ["Field", "Sampled on", "Analyte", "Value", "Unit"]
    rows = [["Creek", "2027-05-03", "DM", 41, "%"], ["Creek", "2027-05-03", "CP", 205, "%"]]
    place = refused(work, team.farm.id, samples=[heads, *rows])
    assert place[:4] == ("samples", 3, "Value", "205")


def test_items_that_wait_for_each_other(work, team):
    heads = ["Year", "Cutting", "What has to be ready", "Waits for"]
    rows = [[2027, 1, "Floor", "Tires"], [2027, 1, "Tires", "Floor"]]
    found = problems(work, book(items=[heads, *rows]), team.farm.id)
    assert [each[:3] for each in found] == [("items", 2, "Waits for"), ("items", 3, "Waits for")]


def test_shares_of_a_diet_above_the_whole(work, team):
    whole_farm.fill(work, team.farm.id)
    heads = ["Group", "Feed", "From", "Share of the diet's dry matter (%)"]
    place = refused(work, team.farm.id, inclusions=[heads, ["High cows", "Hay, mixed", "2027-05-01", 69]])
    assert place[:3] == ("inclusions", 2, "Share of the diet's dry matter (%)") and "102" in place[4]


# What is unlikely is asked once --------------------------------------------------------------------------------------


def test_unlikely_values_are_asked_about_once_for_the_whole_workbook(work):
    content = book(farm=FARM, fields=[["Name of the field", "Area (ac)"], ["Creek", 700], ["Hill", 900]])
    assert [each[:3] for each in asks(work, content)] == [("fields", 2, "Area (ac)"), ("fields", 3, "Area (ac)")]
    before = count(work, Farm)
    with pytest.raises(Unsure) as asked:
        workbook.import_farm(work, content, "farm.xlsx", reader=US)
    assert len(asked.value.fields) == 2 and count(work, Farm) == before
    assert workbook.import_farm(work, content, "farm.xlsx", sure=True, reader=US).is_done


def test_a_heading_without_its_unit_is_asked_about(work):
    ((_sheet, row, column, why),) = asks(work, book(farm=FARM, fields=[["Name of the field", "Area"], ["Creek", 40]]))
    assert (row, column) == (1, "Area") and "read as ac" in why


def test_tons_that_do_not_say_which_ton_are_asked_about(work, team):
    whole_farm.fill(work, team.farm.id)
    content = book(loads=[["Lot", "Day", "Weight (t as fed)"], ["First cutting", "2026-05-27", 12.4]])
    ((_sheet, row, column, why),) = asks(work, content, team.farm.id)
    assert (row, column) == (1, "Weight (t as fed)") and "2000 lb" in why and "1000 kg" in why


def test_fractions_typed_for_per_cents_are_asked_about(work, team):
    whole_farm.fill(work, team.farm.id)
    heads = ["Group", "Feed", "From", "Share of the diet's dry matter (%)"]
    content = book(inclusions=[heads, ["Dry", "Hay, mixed", "2027-05-01", 0.35]])
    assert [each[:3] for each in asks(work, content, team.farm.id)] == [("inclusions", None, heads[3])]


# All or nothing ------------------------------------------------------------------------------------------------------


def test_a_workbook_that_is_half_wrong_stores_nothing(work, team):
    whole_farm.fill(work, team.farm.id)
    before, seq = facts_of(work.session, team.farm.id), team.farm.seq
    content = book(fields=[*FIELDS, ["Hill", 30]], stands=[["Field", "Alfalfa (%)"], ["Hill", 100], ["Creek", 55]])
    with pytest.raises(Invalid) as wrong:
        workbook.import_farm(work, content, "farm.xlsx", team.farm.id, sure=True, reader=US)
    assert len(wrong.value.fields) == 1 and facts_of(work.session, team.farm.id) == before
    assert team.farm.seq == seq


def test_a_new_farm_with_a_fault_is_not_made(work):
    before = count(work, Farm)
    with pytest.raises(Invalid):
        workbook.import_farm(
            work, book(farm=FARM, fields=[["Name of the field", "Area (ac)"], ["A", "?"]]), "f.xlsx", reader=US
        )
    with pytest.raises(Invalid):
        workbook.import_farm(work, book(fields=FIELDS), "f.xlsx", reader=US)
    assert count(work, Farm) == before and count(work, Stand) == 0


# Files that cannot be taken ------------------------------------------------------------------------------------------


def archive(**members):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, content in members.items():
            bundle.writestr(name.replace("__", "."), content)
    return packed.getvalue()


@pytest.mark.parametrize(
    "content",
    [b"", b"PK\x03\x04 broken", b"\xd0\xcf\x11\xe0 old", b"\x00\x01\x02\x03", archive(picture__png=b"x"),
     book(Recipes=[["Cake"], ["Flour"]]), b"0" * 20_000_001, archive(fields__csv=b"0" * 200_000_001)],
    ids=["empty", "broken", "old", "binary", "zip without tables", "other sheets", "too large", "zip bomb"],
)  # fmt: skip
def test_a_file_that_is_no_workbook_is_refused_in_words(work, content):
    with pytest.raises(Invalid) as wrong:
        workbook.import_farm(work, content, "x.xlsx", dry_run=True, reader=US)
    assert US.say(wrong.value.fields["file"])


def test_too_many_rows_are_refused_by_sheet(work):
    rows = "\n".join(["Name of the field,Area (ac)", *(f"F{n},10" for n in range(200_001))])
    with pytest.raises(Invalid) as wrong:
        workbook.import_farm(work, rows.encode(), "fields.csv", dry_run=True, reader=US)
    assert "200,000" in US.say(wrong.value.fields["file"])


# Rights --------------------------------------------------------------------------------------------------------------


def test_who_may_bring_a_workbook_in(work, team):
    content = book(fields=FIELDS)
    for role in ("nutritionist", "agronomist", "crew", "viewer"):
        with pytest.raises(NotAllowed):
            workbook.import_farm(team.acts(work, role), content, "f.xlsx", team.farm.id, reader=US)
    with pytest.raises(NotFound):
        workbook.import_farm(team.acts(work, "stranger"), content, "f.xlsx", team.farm.id, reader=US)
    for role in ("owner", "consultant"):
        assert workbook.import_farm(team.acts(work, role), content, "f.xlsx", team.farm.id, reader=US).is_done


def test_names_of_people_who_are_no_members_are_not_kept(work, team):
    content = book(decisions=[["What has to be decided", "What was agreed", "Decided at", "Decided by"],
                              ["Cut on Friday?", "Yes", "2027-05-08", "Somebody Else"],
                              ["Wide swaths?", "Yes", "2027-05-08", "agronomist"]])  # fmt: skip
    result = workbook.import_farm(work, content, "d.xlsx", team.farm.id, reader=US)
    assert any("Somebody Else" in US.say(each) for each in result.notes)
    decided = dict(facts_of(work.session, team.farm.id))["decisions"]
    assert len(decided) == 2
    from app.records.checklists import Decision

    by = {row.question: row.decided_by_id for row in work.session.scalars(select(Decision))}
    assert by == {"Cut on Friday?": None, "Wide swaths?": team.people["agronomist"].id}


def test_lots_of_one_name_are_updated_each_by_its_own(work, team):
    whole_farm.fill(work, team.farm.id)
    content = book(lots=[["Name of the lot", "Feed", "Year"], ["First cutting (2)", "Alfalfa haylage", 2024]])
    workbook.import_farm(work, content, "lots.xlsx", team.farm.id, reader=US)
    years = select(Lot.name, Lot.year).where(Lot.name == "First cutting").order_by(Lot.position)
    assert [tuple(row) for row in work.session.execute(years)] == [("First cutting", 2026), ("First cutting", 2024)]
