"""The dictionary of lab values, its limits, conversions and checks."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.nutrition import lab
from app.nutrition.lab import ANALYTES, Verdict
from app.sources import SOURCES
from app.units.kinds import KINDS
from tests.builders.published import published, table
from tests.nutrition.called import called

GOOD = {
    "DM": 0.40, "CP": 0.20, "ADF": 0.32, "aNDF": 0.41, "aNDFom": 0.40, "LIG": 0.07, "NDFD30": 0.45, "NDFD48": 0.52,
    "uNDF240": 0.17, "ASH": 0.10, "FAT": 0.03, "NDICP": 0.03, "ADICP": 0.01, "LACT": 0.07, "ACET": 0.02, "RFV": 145.0,
}  # fmt: skip
"""A legume haylage near the published means of Paulson2009."""


@pytest.mark.parametrize("row", published("nutrition", "lab"))
def test_a_conversion_meets_its_published_value(row):
    assert called("nutrition", row) == pytest.approx(row["expected"], abs=row["tolerance"])


def test_every_analyte_has_a_known_unit_and_reject_limits_around_its_warn_limits():
    for analyte in ANALYTES.values():
        assert analyte.kind in KINDS and analyte.units
        assert analyte.reject[0] <= analyte.warn[0] < analyte.warn[1] <= analyte.reject[1], analyte.code


def test_every_source_is_listed():
    assert {r["source"] for r in table("nutrition", "lab")} <= set(SOURCES)


@pytest.mark.parametrize(
    ("code", "typed", "unit", "kept"),
    [
        ("aNDF", 40.0, "%", 0.40), ("CP", 205.0, "g/kg", 0.205), ("NO3N", 0.12, "%", 1200.0),
        ("NEL", 0.6346, "Mcal/lb", 1.399), ("PH", 4.5, "", 4.5), ("K", 27_500.0, "ppm", 0.0275),
    ],
)  # fmt: skip
def test_a_value_is_kept_in_one_unit_whatever_the_lab_printed(code, typed, unit, kept):
    assert ANALYTES[code].kept(typed, unit) == pytest.approx(kept, rel=1e-4)


def test_a_unit_the_analyte_cannot_have_is_refused_with_those_it_can():
    with pytest.raises(OutOfRange, match="NEL may be given in Mcal/lb, Mcal/kg"):
        ANALYTES["NEL"].kept(60.0, "%")


def test_limits_ask_before_they_refuse():
    assert ANALYTES["CP"].judge(0.20).verdict is Verdict.FINE
    asked = ANALYTES["CP"].judge(0.084)
    assert asked.verdict is Verdict.ASK and "unusual" in str(asked.sentence)
    refused = ANALYTES["CP"].judge(20.0)
    assert refused.verdict is Verdict.REFUSE and "0.04 to 0.4" in str(refused.sentence)
    assert ANALYTES["CP"].judge(float("nan")).verdict is Verdict.FINE


def test_an_ordinary_sample_raises_no_contradiction():
    assert lab.cross_checks(GOOD, rfv_recomputed_index=145.8) == ()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"LIG": 0.33}, "Lignin"),
        ({"ADF": 0.42}, "ADF 0.42 must be below NDF"),
        ({"aNDFom": 0.43}, "Ash-free NDF"),
        ({"NDFD48": 0.40}, "after 30 h"),
        ({"ADICP": 0.05}, "Protein in ADF"),
        ({"ASH": 0.40}, "add up to"),
        ({"LACT": 0.14}, "acids"),
        ({"uNDF240": 0.25}, "Undigested"),
        ({"MOIST": 0.55}, "moisture"),
        ({"RFV": 160.0}, "RFV on the report"),
        ({"ADF": 0.25}, "Lower suggests grass"),
    ],
)
def test_two_values_that_cannot_be_true_together_are_named(changed, said):
    found = lab.cross_checks(GOOD | changed, rfv_recomputed_index=145.8)
    assert any(said in str(sentence) for sentence in found)


def test_grass_is_not_held_to_the_legume_ratio_and_unknown_codes_are_refused():
    assert lab.cross_checks({"ADF": 0.30, "aNDF": 0.54}, legume=False) == ()
    with pytest.raises(OutOfRange, match="XYZ"):
        lab.cross_checks({"XYZ": 1.0})


def test_protein_typed_as_received_is_suspected_and_true_dry_matter_values_are_not():
    # derived case: CP 8.4 % as received at 42 % dry matter is 20.0 %
    assert lab.as_received_suspects({"DM": 0.42, "CP": 0.084, "aNDF": 0.41}) == {"CP": pytest.approx(0.20)}
    assert lab.as_received_suspects({"CP": 0.084}) == {}
    assert lab.as_received_suspects(GOOD) == {}


def test_units_are_guessed_from_the_size_of_the_number():
    assert lab.plausible_units("aNDF", 0.40) == ("fraction",)
    assert lab.plausible_units("NEL", 1.4) == ("Mcal/kg",)
    assert lab.plausible_units("NEL", 0.63) == ("Mcal/lb",)


@given(st.floats(0, 1), st.floats(0.05, 1))
def test_going_to_dry_matter_and_back_changes_nothing(value, dm):
    assert lab.received_basis(lab.dry_basis(value, dm), dm) == pytest.approx(value)


@given(st.floats(0, 30_000))
def test_nitrate_and_nitrate_nitrogen_undo_each_other(value):
    assert lab.nitrate_nitrogen(lab.nitrate(value)) == pytest.approx(value)


def test_arrays_and_missing_values_pass_through_and_dry_matter_in_per_cent_is_refused():
    assert np.isnan(lab.dry_basis([0.1, np.nan], 0.4)).tolist() == [False, True]
    with pytest.raises(OutOfRange, match="dm_frac"):
        lab.dry_basis(0.08, 42.0)
    with pytest.raises(OutOfRange, match="lignin_frac"):
        lab.digestibility_from_lignin(0.05, 0.07)
