"""Bales against published sizes and weights."""

import numpy as np
import pytest

from app.ensiling.structures import bales
from app.errors import OutOfRange
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_LB, M3_PER_FT3, M_PER_FT
from tests.builders.published import published, table


def volume(row):
    a, b, c = (row[side] * M_PER_FT for side in ("a_ft", "b_ft", "c_ft"))
    return bales.round_bale_volume(a, b) if row["shape"] == "round" else bales.rectangular_bale_volume(a, b, c)


@pytest.mark.parametrize("row", published("ensiling", "bales"))
def test_bales_are_the_published_sizes(row):
    found = volume(row) / M3_PER_FT3
    if row["quantity"] == "density":
        found = bales.bale_density(row["weight_lb"] * KG_PER_LB, volume(row)) / KG_M3_PER_LB_FT3
    assert found == pytest.approx(row["expected"], abs=row["tolerance"])


def test_usual_weights_are_the_table():
    printed = {row["where"]: row["weight_lb"] for row in table("ensiling", "bales") if row["quantity"] == "density"}
    for name, mass_kg in bales.TYPICAL_BALES.items():
        size = name.split(" ", 1)[1].removesuffix(" ft")
        assert mass_kg / KG_PER_LB == pytest.approx(printed[size])


def test_a_side_in_feet_is_refused_and_nan_passes():
    with pytest.raises(OutOfRange, match="diameter_m must lie within"):
        bales.round_bale_volume(5, 1.5)
    assert np.isnan(bales.round_bale_volume(np.array([1.5, np.nan]), 1.2)[1])
