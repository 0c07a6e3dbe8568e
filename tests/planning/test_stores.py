"""What structures hold and what is left in them, against exact solids and as they must behave."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.errors import Invalid
from app.planning.stores import Left, Sizes, bale_density, bale_volume, capacity_volume, size_faults, volume_left
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_LB, M_PER_FT

FT = M_PER_FT
BUNKER = Sizes("bunker", 100 * FT, 40 * FT, None, 12 * FT, None, 1, None, 3.0)


@given(st.floats(12, 200), st.floats(12, 200))
def test_a_longer_body_holds_more(one, other):
    short, long = sorted((one, other))
    left = [volume_left(BUNKER, Left(x, None, 3.6, is_open=True)) for x in (short, long)]
    assert left[0] <= left[1]


@given(st.floats(0.0, 2.0))
def test_a_crown_over_ramps_is_the_body_its_slopes_cut_out(crown):
    """Summed over thin layers: width of the parabola at each height times the length the slopes leave there."""
    sizes = Sizes("bunker", 60.0, 12.0, None, 3.0, 3.0 + crown, 2, None, 3.0)
    n = 4000
    layers = [(i + 0.5) / n * crown for i in range(n)]
    summed = sum(
        12.0 * math.sqrt(1 - z / crown) * (60.0 - 2 * 3.0 * (3.0 + z)) * crown / n for z in layers
    ) if crown > 0 else 0.0  # fmt: skip
    level = capacity_volume(Sizes("bunker", 60.0, 12.0, None, 3.0, None, 2, None, 3.0))
    assert capacity_volume(sizes) - level == pytest.approx(summed, rel=2e-3, abs=1e-6)


def test_battered_walls_left_half_full_are_as_wide_as_they_are_there():
    """Floor 38 ft, 42 ft at 12 ft of wall: 40 ft at 6 ft, mean 39 ft, no ramps: 39 x 6 x 100 cu ft (exact solid)."""
    sizes = Sizes("bunker", 100 * FT, 38 * FT, 42 * FT, 12 * FT, None, 0)
    assert volume_left(sizes, Left(100 * FT, None, 6 * FT)) / FT**3 == pytest.approx(39 * 6 * 100)


@given(st.floats(20, 300), st.floats(20, 100), st.floats(0.5, 4))
def test_both_halves_of_a_pile_make_the_whole(length, base, high):
    sizes = Sizes("pile", length, base, peak_height_m=high, side_slope=2.0, end_slope=2.0)
    if size_faults(sizes):
        return
    half = volume_left(sizes, Left(length / 2, None, high, is_open=True))
    assert 2 * half == pytest.approx(capacity_volume(sizes))


def test_the_last_of_a_bag_is_its_tied_end():
    bag = Sizes("bag", 60.0, diameter_m=3.0)
    assert volume_left(bag, Left(2.0, is_open=True)) == 0.0


def test_a_height_the_base_cannot_carry_is_refused():
    with pytest.raises(Invalid) as refused:
        volume_left(Sizes("pile", 60.0, 22.0), Left(60.0, None, 4.0))
    assert list(refused.value.fields) == ["height_m"]


def test_missing_measures_make_nothing_up():
    assert math.isnan(capacity_volume(Sizes("bunker", 30.0)))
    assert math.isnan(bale_volume(Sizes("stack", diameter_m=1.5)))
    assert math.isnan(volume_left(BUNKER, Left(None, None, 3.0)))


@pytest.mark.parametrize(
    ("across_ft", "wide_ft", "lb"), [(4, 4, 500), (4, 5, 850), (5, 4, 1000), (5, 5, 1300), (6, 5, 1900)]
)
def test_tabled_hay_bales_lie_within_the_range_taken_for_bales(across_ft, wide_ft, lb):
    """Weights and sizes of round hay bales, [AlbertaAgriculture2020]_."""
    low, _likely, high = bale_density(True, 1.0)
    volume = bale_volume(Sizes("stack", diameter_m=across_ft * FT, bale_width_m=wide_ft * FT))
    assert low * 0.995 <= lb * KG_PER_LB / volume <= high * 1.005


def test_wrapped_bales_are_nine_to_eleven_pounds():
    """9-11 lb DM/cu ft, from memory."""
    assert [round(each / KG_M3_PER_LB_FT3, 6) for each in bale_density(False, 0.5)] == [9, 10, 11]
