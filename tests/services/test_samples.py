"""Reports of a lot become means with an error, indices beside the lab's, a suggested class and flags."""

import math
from datetime import date

import pytest
from sqlalchemy import event

from app.errors import Conflict, Invalid, NotAllowed, NotFound, Unsure
from app.nutrition.lab import ANALYTES
from app.nutrition.lots import UseClass
from app.records.feeds import Load
from app.records.fields import Stand, StandSpecies
from app.records.history import Change
from app.records.samples import Sample
from app.services import samples
from app.services.samples.groups import GROUPS
from app.services.samples.quality import trend_of
from app.services.samples.values import Line, mend
from tests.builders.lab import SAMPLED, add_field, add_lots, head, lines
from tests.builders.published import published


@pytest.fixture
def lot(work, team):
    return add_lots(work, team.farm.id, "Bunker 1", "Bag 2")[0]


@pytest.fixture
def acting(work, team):
    return team.acts(work, "nutritionist")


def add(work, farm_id, lot, sampled_on=SAMPLED, sure=True, **typed):
    return samples.add_sample(work, farm_id, head(f"lot-{lot}", sampled_on), lines(**typed), sure)


def quality(work, team, lot):
    return samples.lot_quality(work, team.farm.id)[lot]


# ---- Units and bases. Conversions are definitions: x_DM = x_AR / DM, a share of a share is their product.


def test_as_received_percent_of_ndf_and_nitrate_are_kept_on_the_usual_basis():
    found = mend(
        lines(
            DM="42 % AR", CP="84 g/kg AR", aNDF="40 % DM", LIG="17 % NDF", SP="9 % DM", NDFD30="18 % DM",
            NH3N="2 % DM", ADICP="5 % CP",
        )
        | {"NO3N": Line("4427", "ppm NO3", "DM")}
    )  # fmt: skip
    assert not found.errors
    wanted = {"CP": 0.20, "LIG": 0.068, "SP": 0.45, "NDFD30": 0.45, "NH3N": 0.10, "ADICP": 0.01, "NO3N": 1000.0}
    for code, value in wanted.items():
        assert found.values[code] == pytest.approx(value), code


def test_energy_of_a_pound_and_of_a_kilogram_are_one_value():
    """1 lb is 0.45359237 kg exactly (international yard and pound agreement, 1959); a calorie here is 4.184 J."""
    values = [mend(lines(NEL=text)).values["NEL"] for text in ("0.62 Mcal/lb DM", "1.36686 Mcal/kg DM")]
    assert values[0] == pytest.approx(values[1], rel=1e-5)
    assert mend(lines(NEL="5.719 MJ/kg DM")).values["NEL"] == pytest.approx(values[0], rel=1e-3)


def test_a_value_as_received_without_dry_matter_says_what_the_sample_lacks():
    found = mend(lines(CP="8.4 % AR"))
    assert "needs Dry matter" in str(found.errors["CP"])
    assert mend(lines(CP="8.4 % AR", MOIST="58 % AR")).values["CP"] == pytest.approx(0.20)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"CP": "abc % DM"}, "not a number"),
        ({"CP": "1,234 % DM"}, "may be"),
        ({"CP": "20 Mcal/kg DM"}, "Allowed: %, g/kg"),
        ({"CP": "20 % NDF"}, "Allowed: DM, AR"),
        ({"CP": "60 % DM"}, "must lie within"),
        ({"CP": "0.205 % DM"}, "As “fraction” it would be usual"),
        ({"PH": "46"}, "must lie within"),
        ({"SP": "30 % DM", "CP": "20 % DM"}, "must lie within 0 to 1"),
    ],
)
def test_what_cannot_be_right_is_refused_in_words(typed, said):
    found = mend(lines(**typed))
    assert said in " ".join(str(why) for why in found.errors.values())


def test_a_value_that_looks_as_received_is_asked_about_and_never_changed():
    """CP 8.4 at 42 % DM is 20.0 of DM (derived in the lab chapter's example of a basis error)."""
    found = mend(lines(DM="42 %", CP="8.4 % DM"))
    assert found.values["CP"] == pytest.approx(0.084) and "looks as received" in str(found.asks["CP"])


def test_a_large_nitrate_is_never_talked_down_to_a_smaller_unit():
    assert "would be usual" not in str(mend(lines(NO3N="0.2 % DM")).asks["NO3N"])


def test_every_analyte_has_one_place_on_the_form():
    shown = [entry.code for group in GROUPS for entry in group.entries]
    assert sorted(shown) == sorted(ANALYTES)


# ---- Published values end to end: typed, stored, read back for the lot.


@pytest.mark.parametrize("row", published("agronomy", "relative_feed_value"))
def test_relative_feed_value_of_published_rows(acting, team, lot, row):
    add(acting, team.farm.id, lot, ADF=f"{row['adf_pct']} % DM", aNDF=f"{row['ndf_pct']} % DM")
    assert quality(acting, team, lot).rfv.mean == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize(
    "row",
    [row for row in published("agronomy", "forage_quality_legume") if row.values[0]["quantity"] in ("rfq", "tdn")],
)
def test_relative_forage_quality_of_published_rows(acting, team, lot, row):
    typed = {"CP": "cp", "aNDF": "ndf", "NDFD48": "ndfd", "ASH": "ash", "FAT": "fat"}
    add(acting, team.farm.id, lot, **{code: f"{row[name + '_pct']} %" for code, name in typed.items()})
    page = samples.lot_page(acting, team.farm.id, lot)
    found = page.quality.indices[0]
    ours = found.rfq if row["quantity"] == "rfq" else 100 * found.tdn_frac
    assert ours == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize(
    "row", [row for row in published("agronomy", "usda_grades") if row.values[0]["quantity"] in ("adf", "ndf", "cp")]
)
def test_usda_grades_of_published_edges(acting, team, lot, row):
    code = {"adf": "ADF", "ndf": "aNDF", "cp": "CP"}[row["quantity"]]
    add(acting, team.farm.id, lot, **{code: f"{row['value']} % DM"})
    page = samples.lot_page(acting, team.farm.id, lot)
    assert str(page.grade).upper() == row["expected"] and not page.is_hay


@pytest.mark.parametrize("row", published("nutrition", "nitrate"))
def test_nitrate_is_flagged_with_the_published_advice_and_who_decides(acting, team, lot, row):
    add(acting, team.farm.id, lot, DM="40 %", NO3N=f"{row['nitrate_n_ppm']:g} ppm DM")
    flags = {flag.key: flag for flag in quality(acting, team, lot).flags}
    if row["expected"] == 1 and row["nitrate_n_ppm"] < 1000:
        assert "nitrate" not in flags
    elif row["expected"] == -1:
        assert "Do not feed" in str(flags["nitrate"].says.figures["advice"]) or row["pregnant"]
    if "nitrate" in flags:
        assert "veterinarian" in str(flags["nitrate"].decides) and flags["nitrate"].caution is not None


# ---- Several samples


def test_mean_sd_and_standard_error_of_a_lot(acting, team, lot):
    """Textbook: 40, 42, 44 have mean 42, sample SD 2, standard error 2/sqrt(3)."""
    for day, ndf in enumerate((40, 42, 44), 1):
        add(acting, team.farm.id, lot, date(2027, 5, day), aNDF=f"{ndf} % DM")
    ndf = quality(acting, team, lot).ndf
    assert (ndf.mean, ndf.n) == (pytest.approx(0.42), 3)
    assert (ndf.sd, ndf.se) == (pytest.approx(0.02), pytest.approx(0.02 / math.sqrt(3)))
    assert ndf.working == pytest.approx(0.41 + 0.5 * (0.44 - 0.41))


def test_bases_are_mended_before_the_mean(acting, team, lot):
    add(acting, team.farm.id, lot, DM="40 %", CP="8 % AR")
    add(acting, team.farm.id, lot, DM="50 %", CP="220 g/kg DM")
    assert quality(acting, team, lot).cp.mean == pytest.approx(0.21)


def test_digestibilities_of_different_hours_are_never_in_one_mean(acting, team, lot):
    add(acting, team.farm.id, lot, NDFD30="46 % NDF")
    add(acting, team.farm.id, lot, NDFD48="56 % NDF")
    found = quality(acting, team, lot)
    assert (found.of("NDFD30").mean, found.of("NDFD30").n) == (pytest.approx(0.46), 1)
    assert (found.of("NDFD48").mean, found.of("NDFD48").n) == (pytest.approx(0.56), 1)


def test_one_sample_says_so_and_gives_no_error(acting, team, lot):
    add(acting, team.farm.id, lot, aNDF="41 % DM")
    found = quality(acting, team, lot)
    assert found.one_sample_only and math.isnan(found.ndf.se)


def test_a_trend_is_named_only_when_it_is_clear():
    def rows(*values):
        return [(date(2027, 4, 1 + 7 * i), value) for i, value in enumerate(values)]

    assert "rising" in trend_of(rows(0.38, 0.39, 0.40, 0.41), "percent").text
    assert "falling" in trend_of(rows(0.41, 0.40, 0.39, 0.38), "percent").text
    assert trend_of(rows(0.40, 0.38, 0.41, 0.39), "percent") is None
    assert trend_of(rows(0.38, 0.41), "percent") is None


def test_quality_of_all_lots_is_one_query(acting, team, lot):
    for other in (lot, lot + 1):
        for day in range(1, 6):
            add(acting, team.farm.id, other, date(2027, 5, day), DM="41 %", CP="20 % DM", ADF="30 % DM", aNDF="40 % DM")
    acting.session.flush()
    acting.session.get(type(team.farm), team.farm.id)
    seen = []
    engine = acting.session.get_bind()
    listener = lambda *args: seen.append(args[2])
    event.listen(engine, "before_cursor_execute", listener)
    found = samples.lot_quality(acting, team.farm.id)
    event.remove(engine, "before_cursor_execute", listener)
    assert len(seen) == 1 and {each.samples_count for each in found.values()} == {5}
    first = found[lot]
    assert (first.dm.n, first.ndf.n, first.cp.n, first.rfv.n) == (5, 5, 5, 5)
    assert first.rfv.mean == pytest.approx(152.4, abs=0.05)  # rule 20-30-40, exact value of the published equation


def test_printed_rfv_that_does_not_fit_its_fibre_is_asked_about_and_shown(acting, team, lot):
    with pytest.raises(Unsure) as asked:
        add(acting, team.farm.id, lot, sure=False, ADF="31 % DM", aNDF="41 % DM", RFV="160")
    assert any("RFV on the report" in str(why) for why in asked.value.fields.values())
    add(acting, team.farm.id, lot, ADF="31 % DM", aNDF="41 % DM", RFV="160")
    page = samples.lot_page(acting, team.farm.id, lot)
    assert page.quality.indices[0].rfv_differs and len(page.contradictions) == 1
    assert page.quality.rfv.mean == pytest.approx((88.9 - 0.779 * 31) * (120 / 41) / 1.29)


# ---- Flags, ash and class


def test_butyric_flag_gives_the_published_most_of_the_feed(acting, team, lot):
    """50 g a day at 1.0 % is 5 kg or 11 lb of DM (Tucker, restated; derived)."""
    add(acting, team.farm.id, lot, DM="33 %", BUT="1.0 % DM")
    found = quality(acting, team, lot)
    butyric = next(flag for flag in found.flags if flag.key == "butyric")
    assert butyric.says.figures["most"].value == pytest.approx(5.0) and "transition" in str(butyric.says)
    assert found.use_class.use_class is UseClass.RESTRICTED
    assert any("Clostridial" in str(flag.says) for flag in found.flags)


def test_the_highest_nitrate_counts_not_the_mean(acting, team, lot):
    add(acting, team.farm.id, lot, NO3N="200 ppm DM")
    add(acting, team.farm.id, lot, NO3N="1600 ppm DM")
    found = quality(acting, team, lot)
    assert found.of("NO3N").mean == pytest.approx(900)
    assert [flag.says.figures["value"].value for flag in found.flags if flag.key == "nitrate"] == [1600]


def test_fermentation_is_laid_beside_the_published_columns(acting, team, lot):
    """Kung and Shaver, legume 30-40 % DM: pH 4.3-4.7, lactic 7-8 %."""
    add(acting, team.farm.id, lot, DM="35 %", PH="5.1", LACT="7.5 % DM")
    page = samples.lot_page(acting, team.farm.id, lot)
    ph, lactic = page.fermentation
    assert [fits for _name, fits in page.fermentation_columns] == [True, False, True]
    assert (ph.ranges[0], ph.outside[0], lactic.outside[0]) == ((4.3, 4.7), True, False)


def test_between_the_columns_no_column_fits(acting, team, lot):
    add(acting, team.farm.id, lot, DM="42.5 %", PH="4.8")
    assert [fits for _name, fits in samples.lot_page(acting, team.farm.id, lot).fermentation_columns] == [False] * 3


def test_ash_is_held_against_plant_ash_of_the_stands_the_loads_came_from(acting, team, lot):
    """Undersander: alfalfa about 8 %, grass about 6 %, 0.98 points of TDN for each of ash; half and half is 7 %."""
    add(acting, team.farm.id, lot, ASH="12.3 % DM")
    alone = samples.lot_page(acting, team.farm.id, lot).ash
    assert (alone.plant_frac, alone.soil_frac) == (pytest.approx(0.08), pytest.approx(0.047, abs=5e-4))
    field = add_field(acting, team.farm.id)
    species = [StandSpecies(species=name, share_frac=0.5) for name in ("alfalfa", "orchardgrass")]
    acting.session.add(Stand(farm_id=team.farm.id, field_id=field, species=species))
    acting.session.add(
        Load(
            farm_id=team.farm.id, lot_id=lot, field_id=field, loaded_on=SAMPLED, mass_af_kg=9000, noted_at=acting.now()
        )
    )
    mixed = samples.lot_page(acting, team.farm.id, lot).ash
    assert mixed.plant_frac == pytest.approx(0.07)
    assert mixed.tdn_change_frac == pytest.approx(-0.98 * (0.123 - 0.07)) and mixed.ask_ash_free


def test_the_class_follows_the_working_limits(acting, team, lot):
    add(acting, team.farm.id, lot, aNDFom="37 % DM", CP="22 % DM", NDFD30="48 % NDF", ASH="10 % DM")
    assert quality(acting, team, lot).use_class.use_class is UseClass.TOP


# ---- Editing


def test_two_people_on_different_values_both_win_and_on_the_same_one_the_second_sees_both(acting, team, lot):
    sample = add(acting, team.farm.id, lot, DM="40 %", CP="20 % DM", aNDF="40 % DM")
    seen = {code: line.written for code, line in samples.lines_of(sample).items()}
    edit = lambda **typed: samples.edit_sample(
        acting, team.farm.id, sample.id, {}, {**samples.lines_of(sample), **lines(**typed)}, {}, seen, True
    )
    edit(CP="21 % DM")
    samples.edit_sample(acting, team.farm.id, sample.id, {}, lines(aNDF="41 % DM", CP="20 % DM"), {}, seen, True)
    found = quality(acting, team, lot)
    assert (found.cp.mean, found.ndf.mean) == (pytest.approx(0.21), pytest.approx(0.41))
    with pytest.raises(Conflict) as clash:
        samples.edit_sample(acting, team.farm.id, sample.id, {}, lines(CP="19 % DM"), {}, seen, True)
    assert clash.value.fields == {"value_CP": ("21 % DM", "19 % DM")}


def test_a_new_dry_matter_converts_what_was_given_as_received_again(acting, team, lot):
    sample = add(acting, team.farm.id, lot, DM="40 %", CP="8 % AR")
    samples.edit_sample(acting, team.farm.id, sample.id, {}, lines(DM="50 %"), sure=True)
    assert quality(acting, team, lot).cp.mean == pytest.approx(0.16)


def test_an_emptied_value_goes_and_the_last_one_stays(acting, team, lot):
    sample = add(acting, team.farm.id, lot, DM="40 %", CP="20 % DM")
    samples.edit_sample(acting, team.farm.id, sample.id, {}, {"CP": Line()})
    assert not quality(acting, team, lot).cp.known
    with pytest.raises(Invalid):
        samples.edit_sample(acting, team.farm.id, sample.id, {}, {"DM": Line()})


def test_a_sample_moves_to_another_lot_and_both_pages_hear_of_it(acting, team, lot):
    sample = add(acting, team.farm.id, lot, CP="20 % DM")
    samples.edit_sample(acting, team.farm.id, sample.id, {"of": f"lot-{lot + 1}"})
    assert set(samples.lot_quality(acting, team.farm.id)) == {lot + 1}
    last = acting.session.query(Change).order_by(Change.id.desc()).first()
    assert {f"samples-of_lot-{lot}", f"samples-of_lot-{lot + 1}", "board-figures"} <= set(last.parts)
    with pytest.raises((Invalid, NotFound)):
        samples.edit_sample(acting, team.farm.id, sample.id, {"of": "lot-999"})


def test_a_removed_sample_no_longer_counts_and_comes_back(acting, team, lot):
    sample = add(acting, team.farm.id, lot, CP="20 % DM")
    samples.remove_sample(acting, team.farm.id, sample.id)
    assert samples.lot_quality(acting, team.farm.id) == {}
    samples.restore_sample(acting, team.farm.id, sample.id)
    assert quality(acting, team, lot).cp.n == 1


def test_a_refused_sample_leaves_nothing_behind(acting, team, lot):
    with pytest.raises(Invalid):
        add(acting, team.farm.id, lot, CP="20 % DM", aNDF="99 % DM")
    assert acting.session.query(Sample).count() == 0


def test_a_day_to_come_is_refused(acting, team, lot):
    with pytest.raises(Invalid) as refused:
        add(acting, team.farm.id, lot, date(2028, 5, 3), CP="20 % DM")
    assert "sampled_on" in refused.value.fields


def test_a_sample_of_a_lot_of_another_farm_is_not_found(acting, team, lot):
    theirs = add_lots(acting, team.other.id, "Theirs")[0]
    with pytest.raises(NotFound):
        add(acting, team.farm.id, theirs, CP="20 % DM")


@pytest.mark.parametrize(("role", "error"), [("crew", NotAllowed), ("agronomist", NotAllowed), ("stranger", NotFound)])
def test_only_those_who_may_edit_samples_do(work, team, lot, role, error):
    with pytest.raises(error):
        add(team.acts(work, role), team.farm.id, lot, CP="20 % DM")


def test_corn_silage_gets_no_index_and_no_class_made_for_alfalfa(acting, team):
    """RFV, RFQ and the classes compare alfalfa and grass by cell wall; corn silage feeds by its starch.

    Common practice, no source.
    """
    corn = add_lots(acting, team.farm.id, "Corn pile", kind="corn_silage")[0]
    add(acting, team.farm.id, corn, DM="35 %", CP="7.5 % DM", ADF="24 % DM", aNDF="38 % DM", RFV="170", RFQ="180")
    found = quality(acting, team, corn)
    assert (found.ndf.n, found.rfv.n, found.rfq.n, found.use_class.use_class) == (1, 0, 0, None)
    page = samples.lot_page(acting, team.farm.id, corn)
    assert page.class_says is None and page.grade is None and page.quality.indices == ()
