"""Yield, stands and sampling."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.agronomy.growth import (
    ANCHOR_C_D,
    SEASON_SHARES,
    RootHealth,
    StemDensity,
    clipped_yield,
    growth_relation_holds,
    root_health_class,
    season_share,
    season_yield,
    spots_to_take,
    standing_yield,
    stem_density_class,
    stem_factor,
    stems_of_count,
    yield_of_height,
)
from app.errors import OutOfRange
from app.sources import SOURCES
from app.units.quantities import (
    CM_PER_IN,
    F_D_PER_C_D,
    HA_PER_ACRE,
    KG_HA_PER_LB_ACRE,
    KG_HA_PER_TON_ACRE,
    M2_PER_FT2,
    PER_M2_PER_FT2,
)
from tests.builders.published import published

STEMS = st.floats(0, 80).map(lambda stems: stems * PER_M2_PER_FT2)


@pytest.mark.parametrize("row", published("agronomy", "season_yield"))
def test_season_yield_meets_the_published_stem_equation(row):
    got = season_yield(row["stems_ft2"] * PER_M2_PER_FT2) / KG_HA_PER_TON_ACRE
    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


def test_stems_above_full_count_only_when_asked():
    full, crowded = 55 * PER_M2_PER_FT2, 70 * PER_M2_PER_FT2
    assert season_yield(crowded) == pytest.approx(season_yield(full))
    assert season_yield(crowded, more_than_full=True) / KG_HA_PER_TON_ACRE == pytest.approx(7.38)


@pytest.mark.parametrize("row", published("agronomy", "season_shares"))
def test_cuttings_share_the_season_as_published(row):
    share = season_share(int(row["cuttings"]), int(row["cutting"]))
    got = share * season_yield(row["stems_ft2"] * PER_M2_PER_FT2) / KG_HA_PER_TON_ACRE
    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("cuttings", SEASON_SHARES)
def test_shares_of_a_season_add_up_and_name_a_listed_source(cuttings):
    shares = SEASON_SHARES[cuttings]
    assert len(shares.shares_frac) == cuttings and sum(shares.shares_frac) == pytest.approx(1.0)
    assert shares.source in SOURCES


def test_fewer_stems_cost_growth_as_reported():
    # CountryFolks2026: 40 stems yield 80 % of 50; by the stem equation 4.38 / 5.38
    few, many = (season_yield(stems * PER_M2_PER_FT2) for stems in (40, 50))
    assert few / many == pytest.approx(0.80, abs=0.02)
    assert stem_factor(np.array([27.5, 55, 90]) * PER_M2_PER_FT2) == pytest.approx([0.5, 1, 1])


def test_a_late_may_day_adds_a_hundred_pounds():
    # IowaState2005: +100 lb/ac a day; a day of 22 degree-days F
    gain = standing_yield(4000.0, ANCHOR_C_D + 22 / F_D_PER_C_D) - 4000.0
    assert gain / KG_HA_PER_LB_ACRE == pytest.approx(100, abs=2)


def test_a_thin_stand_grows_slower_and_a_clipped_sample_moves_the_base():
    thin = standing_yield(4000.0, ANCHOR_C_D + 10, stem_factor_frac=0.5) - 4000.0
    full = standing_yield(4000.0, ANCHOR_C_D + 10) - 4000.0
    assert thin == pytest.approx(full / 2)
    assert standing_yield(2500.0, 380.0, base_heat_c_d=380.0) == 2500.0


def test_growth_by_heat_holds_from_550_to_1000():
    heat = np.array([549.0, 550.0, 1000.0, 1001.0]) / F_D_PER_C_D
    assert growth_relation_holds(heat).tolist() == [False, True, True, False]


@given(st.floats(0, 12_000), st.floats(0, 1500), st.floats(0, 1500), STEMS)
def test_standing_yield_never_falls_with_heat_nor_below_bare_ground(base, one, other, stems):
    early, late = sorted((one, other))
    factor = stem_factor(stems)
    first, second = (float(standing_yield(base, heat, stem_factor_frac=factor)) for heat in (early, late))
    assert 0 <= first <= second


def test_a_gram_from_two_square_feet_is_48_pounds_an_acre():
    # derived: 43,560 / 2 / 453.59
    assert clipped_yield(0.001, 2 * M2_PER_FT2) / KG_HA_PER_LB_ACRE == pytest.approx(48.0, abs=0.05)


@pytest.mark.parametrize("row", published("agronomy", "yield_of_height"))
def test_yield_by_height_meets_the_published_example(row):
    density = row["density_lb_ac_in"] * KG_HA_PER_LB_ACRE / CM_PER_IN
    got = yield_of_height(row["height_in"] * CM_PER_IN, row["stubble_in"] * CM_PER_IN, density_kg_ha_cm=density)
    assert got / KG_HA_PER_LB_ACRE == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("agronomy", "stem_classes"))
def test_stands_are_classed_by_stems_as_published(row):
    assert StemDensity(int(stem_density_class(row["stems_ft2"] * PER_M2_PER_FT2))).name == row["expected"]


@pytest.mark.parametrize(
    ("score", "verdict"), [(0, "KEEP"), (2, "KEEP"), (2.5, "WATCH"), (3, "REPLACE"), (5, "REPLACE")]
)
def test_stands_are_classed_by_roots_as_published(score, verdict):
    # FallStand2023: 0 to 2 keep, 3 to 5 rotate
    assert RootHealth(int(root_health_class(score))).name == verdict


def test_a_count_of_two_square_feet_is_halved():
    # derived from Undersander2026: 92 stems in two square feet
    assert stems_of_count(92, 2 * M2_PER_FT2) / PER_M2_PER_FT2 == pytest.approx(46)


@pytest.mark.parametrize(("acres", "spots"), [(5, 5), (30, 5), (30.5, 6), (40, 6), (40.1, 7), (100, 12)])
def test_large_fields_take_more_spots(acres, spots):
    # derived: five to 30 ac, one more for each further 10 ac begun
    assert spots_to_take(acres * HA_PER_ACRE) == spots


SHAPED = [
    (season_yield, (500.0,), {}),
    (stem_factor, (500.0,), {}),
    (standing_yield, (4000.0, 400.0), {}),
    (clipped_yield, (0.2, 0.5), {}),
    (yield_of_height, (70.0, 7.0), {"density_kg_ha_cm": 70.0}),
    (stem_density_class, (500.0,), {}),
    (root_health_class, (2.5,), {}),
    (stems_of_count, (90.0, 0.2), {}),
    (spots_to_take, (20.0,), {}),
]


@pytest.mark.parametrize(("formula", "usual", "named"), SHAPED, ids=lambda thing: getattr(thing, "__name__", ""))
def test_every_relation_keeps_shape_and_missing_values(formula, usual, named):
    first, *rest = usual
    got = formula(np.array([[first], [np.nan]]), *rest, **named)
    assert got.shape == (2, 1) and np.isnan(got[1, 0])
    assert got[0, 0] == formula(*usual, **named)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: season_yield(5000), "stems_per_m2 must lie within"),
        (lambda: season_share(6, 1), "cutting_count must be"),
        (lambda: season_share(4, 5), "cutting_index must lie within"),
        (lambda: standing_yield(-1.0, 400.0), "base_kg_ha must lie within"),
        (lambda: standing_yield(4000.0, 400.0, stem_factor_frac=1.4), "stem_factor_frac must lie within"),
        (lambda: clipped_yield(0.2, 0.0), "area_m2 must lie within"),
        (lambda: yield_of_height(7.0, 20.0, density_kg_ha_cm=70), "height_cm less stubble_cm must lie within"),
        (lambda: root_health_class(6), "score_index must lie within"),
        (lambda: spots_to_take(-1), "area_ha must lie within"),
    ],
)
def test_impossible_values_are_refused_by_name(wrong, words):
    with pytest.raises(OutOfRange, match=words):
        wrong()
