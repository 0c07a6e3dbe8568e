"""Stage of development, and NDF by heat."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.agronomy.maturity import (
    STAGES,
    THRESHOLDS,
    FieldStage,
    crude_protein_of_stage,
    digestibility_of_stage,
    heat_of_ndf,
    heat_relation_holds,
    mean_stage_by_count,
    mean_stage_by_weight,
    ndf_of_heat,
)
from app.errors import OutOfRange
from app.sources import SOURCES
from app.units.quantities import F_D_PER_C_D
from tests.builders.published import published, table


@pytest.mark.parametrize("row", published("agronomy", "ndf_of_heat"))
def test_ndf_by_heat_meets_the_published_pairs(row):
    assert ndf_of_heat(row["heat_f_d"] / F_D_PER_C_D) * 100 == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("agronomy", "stage_quality"))
def test_quality_by_stage_meets_the_published_regressions(row):
    formula = {"ivtd": digestibility_of_stage, "cp": crude_protein_of_stage}[row["quantity"]]
    assert formula(row["stage"]) * 100 == pytest.approx(row["expected"], abs=row["tolerance"])


def test_heat_read_too_high_on_nine_frosted_fields_and_height_did_not():
    # MichiganState2012: the printed errors follow from the printed rows
    rows = table("agronomy", "michigan_fields_2012")
    lab = np.array([r["expected"] for r in rows])
    for column, bias, rmse in (("height_stage_pct", -0.27, 2.43), ("heat_pct", 2.83, 3.98)):
        error = np.array([r[column] for r in rows]) - lab
        assert error.mean() == pytest.approx(bias, abs=0.005)
        assert np.sqrt((error**2).mean()) == pytest.approx(rmse, abs=0.005)


def test_the_heat_relation_gives_the_heat_values_printed_for_the_nine_fields():
    # MichiganState2012 prints 38.3, 38.5, 40 and 42.9 for the totals 693, 698, 752 and 873 of its nine fields
    printed = [r["heat_pct"] for r in table("agronomy", "michigan_fields_2012")]
    totals = {38.3: 693, 38.5: 698, 40.0: 752, 42.9: 873}
    got = ndf_of_heat(np.array([totals[v] for v in printed]) / F_D_PER_C_D) * 100
    assert got == pytest.approx(printed, abs=0.11)


def test_mean_stage_by_count_meets_the_worked_sample():
    # derived: 10, 20 and 10 stems of stages 2, 3 and 4
    assert mean_stage_by_count([2, 3, 4], [10, 20, 10]) == pytest.approx(3.0)


def test_mean_stage_by_weight_leans_to_the_heavy_stems():
    assert mean_stage_by_weight([2, 5], [0.01, 0.03]) == pytest.approx(4.25)


def test_a_sample_without_stems_has_no_stage():
    got = mean_stage_by_count([[2, 3], [2, 3]], [[0, 0], [1, 1]])
    assert np.isnan(got[0]) and got[1] == 2.5


def test_ten_stages_stand_in_order_and_field_stages_lie_among_them():
    assert [stage.code for stage in STAGES] == list(range(10))
    # midpoints of the codes: bud of 3 and 4, flower of 5 and 6
    assert [stage.value for stage in FieldStage] == [2, (3 + 4) / 2, (5 + 6) / 2]


def test_thresholds_rise_in_order_and_name_listed_sources():
    totals = [threshold.heat_c_d for threshold in THRESHOLDS.values()]
    assert totals == sorted(totals)
    assert {threshold.source for threshold in THRESHOLDS.values()} <= set(SOURCES)
    assert THRESHOLDS["first-flower"].heat_c_d * F_D_PER_C_D == pytest.approx(880)


def test_the_relation_holds_only_in_its_range_and_for_pure_stands():
    heat = np.array([599.0, 600.0, 970.0, 971.0]) / F_D_PER_C_D
    assert heat_relation_holds(heat).tolist() == [False, True, True, False]
    assert not heat_relation_holds(400.0, 0.3)


def test_shape_and_missing_values_are_kept():
    for formula, given_ in (
        (ndf_of_heat, 400.0),
        (heat_of_ndf, 0.4),
        (digestibility_of_stage, 3.0),
        (crude_protein_of_stage, 3.0),
    ):
        got = formula(np.array([[given_, np.nan]]))
        assert got.shape == (1, 2) and np.isfinite(got[0, 0]) and np.isnan(got[0, 1])


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: ndf_of_heat(-1.0), "heat_c_d must lie within"),
        (lambda: heat_of_ndf(40.0), "ndf_frac must lie within"),
        (lambda: digestibility_of_stage(12), "stage_index must lie within"),
        (lambda: mean_stage_by_count([2, 3], [4, -1]), "stems_count must lie within"),
        (lambda: mean_stage_by_count([2, 3, 4], [4, 1]), "pair up"),
        (lambda: heat_relation_holds(400.0, 30.0), "grass_frac must lie within"),
    ],
)
def test_impossible_values_are_refused_by_name(wrong, words):
    with pytest.raises(OutOfRange, match=words):
        wrong()


@given(st.floats(0.25, 0.60))
def test_heat_and_ndf_turn_round_into_each_other(ndf):
    assert float(ndf_of_heat(heat_of_ndf(ndf))) == pytest.approx(ndf, abs=1e-9)
