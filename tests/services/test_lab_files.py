"""Lab files: every guess of unit or basis is shown with its reason, nothing is stored before yes, all or nothing."""

import io
from datetime import date

import openpyxl
import pytest
from sqlalchemy import func, select

from app.errors import Invalid, NotAllowed, NotFound, Unsure
from app.records.samples import Sample, SampleValue
from app.services import analyte_names, lab_files, samples
from tests.builders.lab import COLUMNS, add_lots, lab_csv

DAY = "2027-05-03"


@pytest.fixture
def acting(work, team):
    add_lots(work, team.farm.id, "Bunker 1", "Bag 2")
    return team.acts(work, "nutritionist")


@pytest.fixture
def bunker(acting, team):
    return next(key for key, name in samples.places(acting, team.farm.id) if name == "Bunker 1")


def send(work, team, *rows, body=None, **head):
    upload = lab_files.send_file(work, team.farm.id, "report.csv", body or lab_csv(*rows), head)
    return upload, lab_files.preview_file(work, team.farm.id, upload)


def paste(work, team, text, **head):
    upload = lab_files.paste_report(work, team.farm.id, text, head)
    return upload, lab_files.preview_file(work, team.farm.id, upload)


def row(analyte, value, unit="", basis="", method="", hours="", lot="Bunker 1", sample="A1", day=DAY):
    return f"{lot},{sample},{day},North,{analyte},{value},{unit},{basis},{method},{hours},"


def found(preview, code):
    return next(line for line in preview.lines if line.entry.code == code)


def stored(work):
    return work.session.scalar(select(func.count()).select_from(SampleValue))


def quality(work, team):
    return next(iter(samples.lot_quality(work, team.farm.id).values()))


def test_as_received_and_dry_values_percent_and_ppm_in_one_file_come_out_on_one_basis(acting, team):
    """x_DM = x_AR / DM and ppm = % x 10,000 are definitions: 8.4 % at 42 % DM is 20 %, 0.09 % is 900 ppm."""
    upload, preview = send(
        acting, team,
        row("DM", 42, "%", "AR"), row("CP", 8.4, "%", "AR"), row("ADF", 300, "g/kg", "DM"),
        row("aNDF", "0.40", "fraction", "DM"), row("Nitrate-N", 0.09, "%", "DM"),
        row("K", 28000, "ppm", "DM"), row("NDFD", 46, "%", "NDF", "NIR", 30),
    )  # fmt: skip
    assert preview.ready and preview.guesses_count == 0 and stored(acting) == 0
    assert lab_files.take_file(acting, team.farm.id, upload) == (1, preview.samples[0].of)
    lot = quality(acting, team)
    wanted = {"DM": 0.42, "CP": 0.20, "ADF": 0.30, "aNDF": 0.40, "NO3N": 900, "K": 0.028, "NDFD30": 0.46}
    assert {code: lot.of(code).mean for code in wanted} == pytest.approx(wanted)


def test_every_guess_is_shown_with_its_reason(acting, team):
    _upload, preview = send(
        acting, team,
        row("DM", 42), row("CP", 8.4), row("NDF", 400), row("ADF", 30, "%", "DM"), row("Sol Prot", 9),
        row("Lignin", 17),
    )  # fmt: skip
    assert found(preview, "aNDF").unit.value == "g/kg"
    protein = found(preview, "CP")
    assert protein.basis.value == "AR" and "divided by" in str(protein.basis.because)
    assert found(preview, "ADF").unit.because is None and found(preview, "ADF").basis.because is None
    assert found(preview, "SP").basis.value == "DM" and found(preview, "LIG").basis.value == "NDF"
    assert all(line.unit.because for line in preview.lines if line.entry.code != "ADF")
    assert found(preview, "SP").value == pytest.approx(0.45) and found(preview, "LIG").value == pytest.approx(0.068)


def test_a_small_nitrate_without_unit_is_offered_at_its_higher_reading(acting, team):
    _upload, preview = send(acting, team, row("Nitrate-N", 0.2))
    assert found(preview, "NO3N").value == pytest.approx(2000) and found(preview, "NO3N").unit.because


def test_a_changed_guess_counts_and_is_shown_again(acting, team):
    upload, preview = send(acting, team, row("DM", 42), row("CP", 8.4))
    key = found(preview, "CP").raw.key
    assert lab_files.answer_questions(acting, team.farm.id, upload, {f"basis_{key}": "DM"})
    again = lab_files.preview_file(acting, team.farm.id, upload)
    assert found(again, "CP").value == pytest.approx(0.084) and again.asks
    assert not lab_files.answer_questions(acting, team.farm.id, upload, {f"basis_{key}": "DM"})


def test_printed_rfv_that_does_not_fit_has_to_be_said_right(acting, team):
    """31/41 gives 147.0 by the published equation (Minnesota rows elsewhere hold it); the file prints 160."""
    upload, preview = send(acting, team, row("ADF", 31, "%", "DM"), row("NDF", 41, "%", "DM"), row("RFV", 160))
    assert any("RFV on the report" in str(why) for why in preview.samples[0].together)
    with pytest.raises(Unsure):
        lab_files.take_file(acting, team.farm.id, upload)
    assert stored(acting) == 0
    lab_files.take_file(acting, team.farm.id, upload, sure=True)
    assert stored(acting) == 3


def test_one_bad_value_keeps_the_whole_file_out_and_says_where(acting, team):
    upload, preview = send(
        acting, team, row("CP", 20, "%", "DM"), row("CP", "12 kg", "%", "DM", sample="A2"),
        row("ADF", 90, "%", "DM", sample="A3"), row("NDF", 40, "stone", "DM", sample="A4"),
        row("ASH", 9, "%", "NDF", sample="A5"), row("K", 2, "%", "XX", sample="A6"),
        row("CA", 1, "%", "DM", "SMELL", sample="A7"),
    )  # fmt: skip
    errors = {line.raw.row: str(line.error) for line in preview.lines if line.error}
    assert set(errors) == {3, 4, 5, 6, 7, 8}
    for number, said in {
        3: "not a number",
        4: "must lie within",
        5: "Allowed: %",
        6: "Allowed: DM, AR",
        7: "AR, DM",
        8: "WET, NIR",
    }.items():
        assert said in errors[number]
    with pytest.raises(Invalid):
        lab_files.take_file(acting, team.farm.id, upload, sure=True)
    assert stored(acting) == 0
    leave = {f"leave_{line.raw.key}": "yes" for line in preview.lines if line.error}
    lab_files.answer_questions(acting, team.farm.id, upload, leave)
    assert lab_files.take_file(acting, team.farm.id, upload, sure=True)[0] == 1 and stored(acting) == 1


def test_days_that_are_none_or_lie_ahead_are_problems_with_row_and_column(acting, team):
    _upload, preview = send(acting, team, row("CP", 20, day="soon"), row("CP", 20, day="2028-05-03"))
    places = [(problem.row, problem.column) for problem in preview.problems]
    assert places == [(2, "sampled_on"), (3, "sampled_on")] and not preview.ready


def test_dates_of_two_meanings_are_asked_about(acting, team):
    upload, preview = send(acting, team, row("CP", 20, "%", "DM", day="4/5/2027"))
    assert [question.key for question in preview.questions] == ["date_order"]
    lab_files.answer_questions(acting, team.farm.id, upload, {"date_order": "mdy"})
    assert lab_files.preview_file(acting, team.farm.id, upload).samples[0].sampled_on == date(2027, 4, 5)


def test_numbers_of_two_meanings_are_asked_about(acting, team):
    upload, preview = send(acting, team, body=lab_csv('Bunker 1,A1,2027-05-03,North,NO3-N,"1,200",ppm,DM,,,'))
    assert [question.key for question in preview.questions] == ["decimal"]
    lab_files.answer_questions(acting, team.farm.id, upload, {"decimal": "."})
    assert found(lab_files.preview_file(acting, team.farm.id, upload), "NO3N").value == pytest.approx(1200)


def test_an_unknown_lot_and_a_missing_one_are_asked_about(acting, team, bunker):
    upload, preview = send(acting, team, row("CP", 20, "%", "DM", lot="Bag 9"), row("ASH", 10, "%", "DM", lot=""))
    assert [place.chosen for place in preview.places] == ["", ""] and not preview.samples
    lab_files.answer_questions(acting, team.farm.id, upload, {"place_0": bunker, "place_1": bunker})
    again = lab_files.preview_file(acting, team.farm.id, upload)
    assert again.ready and len(again.samples) == 1


def test_a_name_nobody_knows_is_asked_about_and_remembered_for_the_farm(acting, team):
    upload, preview = send(acting, team, row("Prot. Verde", 20, "%", "DM"))
    assert [name.name for name in preview.names] == ["Prot. Verde"] and not preview.ready
    lab_files.answer_questions(acting, team.farm.id, upload, {"name_0": "CP", "remember_0": "yes"})
    lab_files.take_file(acting, team.farm.id, upload)
    assert analyte_names.own_names(acting, team.farm.id)["prot verde"].code == "CP"
    _upload, next_time = send(acting, team, row("PROT VERDE", 21, "%", "DM", sample="A2"))
    assert not next_time.names and "own list" in str(found(next_time, "CP").name_because)


def test_nitrate_and_digestibility_without_hours_mean_two_things_and_are_asked_about(acting, team):
    _upload, preview = send(acting, team, row("Nitrate", 2000, "ppm"), row("NDFD", 50, "%", "NDF"))
    assert [name.name for name in preview.names] == ["Nitrate", "NDFD"]


def test_nitrate_as_no3_becomes_its_nitrogen(acting, team):
    """NO3 = 4.427 x NO3-N (molar masses 62.005/14.007 = 4.427)."""
    _upload, preview = send(acting, team, row("NO3", 4427, "ppm", "DM"))
    assert found(preview, "NO3N").value * 62.005 / 14.007 == pytest.approx(4427, rel=1e-3)


def test_the_same_report_twice_is_left_out_unless_it_is_another_sample(acting, team):
    for _ in range(2):
        upload, preview = send(acting, team, row("CP", 20, "%", "DM"))
        if preview.ready:
            lab_files.take_file(acting, team.farm.id, upload)
    assert preview.samples[0].is_there and preview.samples[0].left_out
    lab_files.answer_questions(acting, team.farm.id, upload, {f"twin_{preview.samples[0].number}": "add"})
    lab_files.take_file(acting, team.farm.id, upload)
    assert acting.session.scalar(select(func.count()).select_from(Sample)) == 2


def test_one_analyte_twice_in_a_sample_is_refused(acting, team):
    _upload, preview = send(acting, team, row("CP", 20, "%", "DM"), row("Crude protein", 21, "%", "DM"))
    assert any("twice" in str(line.error) for line in preview.lines)


def test_a_workbook_of_numbers_and_dates_is_read(acting, team):
    book = openpyxl.Workbook()
    book.active.title = "Results"
    book.active.append(COLUMNS.split(","))
    book.active.append(
        ["Bunker 1", "X7", date(2027, 5, 3), "South", "Crude protein", 20.5, "%", "DM", "WET", None, "face"]
    )
    book.active.append(["Bunker 1", "X7", date(2027, 5, 3), "South", "pH", 4.4, None, None, "WET", None, None])
    out = io.BytesIO()
    book.save(out)
    upload, preview = send(acting, team, body=out.getvalue())
    assert preview.ready and preview.samples[0].ref == "X7" and preview.samples[0].note == "face"
    lab_files.take_file(acting, team.farm.id, upload)
    assert quality(acting, team).cp.mean == pytest.approx(0.205)


def test_pasted_lines_are_understood(acting, team, bunker):
    text = (
        "Forage report\nDry matter 45 %\nCrude Protein: 20.5 % DM\nNDFD 30 hr  52.1 % NDF\nNDF\t41.2\npH 4.6\nK 2,5\n"
    )
    text += "uNDF240 15 %DM"
    upload, preview = paste(acting, team, text, of=bunker, sampled_on=DAY, lab="North")
    assert {line.entry.code for line in preview.lines} == {"DM", "CP", "NDFD30", "aNDF", "PH", "K", "uNDF240"}
    assert preview.blank_count == 1 and found(preview, "K").value == pytest.approx(0.025)
    lab_files.take_file(acting, team.farm.id, upload)
    assert quality(acting, team).of("NDFD30").mean == pytest.approx(0.521)


def test_a_pasted_line_with_two_values_is_a_problem(acting, team, bunker):
    _upload, preview = paste(acting, team, "Crude protein 8.4 20.0", of=bunker, sampled_on=DAY)
    assert "Two numbers" in str(preview.problems[0].allowed)


def test_a_pasted_report_without_a_day_asks_for_it(acting, team, bunker):
    upload, preview = paste(acting, team, "CP 20 % DM", of=bunker)
    assert preview.needs_day and not preview.ready
    lab_files.answer_questions(acting, team.farm.id, upload, {"sampled_on": DAY})
    assert lab_files.preview_file(acting, team.farm.id, upload).ready


@pytest.mark.parametrize("body", [b"", b"a,b\n1,2\n", b"\x00\x01\x02"])
def test_what_is_no_lab_table_is_refused_before_it_is_kept(acting, team, body):
    with pytest.raises(Invalid):
        lab_files.send_file(acting, team.farm.id, "x.csv", body, {})


@pytest.mark.parametrize(("role", "error"), [("crew", NotAllowed), ("viewer", NotAllowed), ("stranger", NotFound)])
def test_only_those_who_may_edit_samples_bring_in_files(work, team, role, error):
    with pytest.raises(error):
        lab_files.send_file(team.acts(work, role), team.farm.id, "x.csv", lab_csv(row("CP", 20)), {})
