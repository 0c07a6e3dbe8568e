"""Classes and yields of a stand against the published equation, class edges and shares."""

import math

import pytest

from app.planning.stands import stand_outlook
from app.units.quantities import KG_HA_PER_TON_ACRE, PER_M2_PER_FT2


def outlook(stems_ft2=math.nan, **more):
    given = {"farm_yield_kg_ha": 4.5 * KG_HA_PER_TON_ACRE, "cuts_count": 3, "own_shares_frac": {}} | more
    return stand_outlook(stems_per_m2=stems_ft2 * PER_M2_PER_FT2, **given)


@pytest.mark.parametrize(("stems", "tons"), [(55, 5.88), (45, 4.88), (40, 4.38), (30, 3.38)])
def test_a_season_is_a_tenth_of_the_stems_and_a_bit(stems, tons):
    """t/ac = 0.10 stems + 0.38 [Undersander2026], [Blonde2018]."""
    assert outlook(stems).season.value / KG_HA_PER_TON_ACRE == pytest.approx(tons, abs=0.005)


def test_first_cutting_is_its_published_share_of_the_season():
    """45 stems, three cuttings: 2.098 t/ac [Blonde2018]; 55 stems, four cuttings: 2.12."""
    assert outlook(45).first_cut.value / KG_HA_PER_TON_ACRE == pytest.approx(2.098, abs=0.001)
    assert outlook(55, cuts_count=4).first_cut.value / KG_HA_PER_TON_ACRE == pytest.approx(2.12, abs=0.005)


def test_an_own_record_replaces_the_stems_and_own_shares_the_published_ones():
    own = outlook(30, own_yield_kg_ha=10_000.0, own_shares_frac={1: 0.5, 2: 0.5})
    assert own.season.value == 10_000.0
    assert own.first_cut.value == pytest.approx(5_000.0)
    assert (own.first_cut.low, own.first_cut.high) == (own.first_cut.value, own.first_cut.value)


def test_the_farms_practice_share_is_used_with_the_published_ones_as_its_range():
    """Four cuttings: 40 % in practice, 36 % published, 17 to 35 % in open plots."""
    found = outlook(55, cuts_count=4, practice_share_frac=0.40)
    assert found.first_share_frac == 0.40
    assert found.first_cut.low <= 0.17 * found.season.value
    assert found.first_cut.high == pytest.approx(0.40 * found.season.value)


def test_without_count_or_record_the_farms_figure_stands_in():
    found = outlook()
    assert found.season.value == pytest.approx(4.5 * KG_HA_PER_TON_ACRE)
    assert found.stems_say is None and found.roots_say is None


def test_a_season_without_published_shares_asks_for_own_ones():
    found = outlook(55, cuts_count=7)
    assert not found.first_cut.known
    assert "enter your own" in found.share_says.text


@pytest.mark.parametrize(("stems", "word"), [(56, "do not limit"), (50, "given up"), (39, "poor")])
def test_classes_of_stems(stems, word):
    """Over 55, 40 to 55, under 40 to the square foot [Undersander2026], [OhioState2019]."""
    assert word in outlook(stems).stems_say.text


@pytest.mark.parametrize(("score", "word"), [(1.5, "keep"), (2.5, "watch"), (3.5, "rotate")])
def test_classes_of_roots(score, word):
    """0 to 2 keep, 3 to 5 rotate [FallStand2023]."""
    assert word in outlook(50, root_index=score).roots_say.text
