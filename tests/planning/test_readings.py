"""One walk through a field against the published table; figures of the table by hand."""

import math
from datetime import date

import pytest

from app.planning.readings import Spot, Walk, height_to_start, read_crop, target_of_stand
from tests.builders.published import published

DAY = date(2027, 5, 10)


def walk(spots, **more):
    read = [spot.split() for spot in spots.split(";")]
    return Walk(DAY, tuple(Spot(float(inches) * 2.54, stage) for inches, stage in read), **more)


def said(reading):
    return " ".join(each.text for each in reading.cautions)


@pytest.mark.parametrize("row", published("planning", "field_readings"))
def test_a_field_is_the_mean_of_what_its_spots_say(row):
    grass_ndf = row["grass_ndf_frac"] if row["grass_ndf_frac"] != "" else math.nan
    reading = read_crop(walk(row["spots"], grass_frac=row["grass_frac"], grass_ndf_frac=grass_ndf))
    assert getattr(reading, row["what"]).value == pytest.approx(row["expected"], abs=row["tolerance"])


def test_results_are_averaged_and_never_heights():
    """RFV bends with height, so reading the mean height (30 in bud, RFV 156) would be wrong: rows 20 and 40 give 162.5.

    Table of [WisconsinTable2021].
    """
    reading = read_crop(walk("20 bud;40 bud"))
    assert reading.rfv.value == pytest.approx((201 + 124) / 2, abs=1)
    assert abs(reading.rfv.value - 156) > 5


def test_the_range_is_one_published_standard_deviation():
    """2.2 NDF points and about 12 RFV points either side near RFV 160 [GrassForage2014]."""
    reading = read_crop(walk("28 bud;28 bud;28 bud;28 bud"))
    assert reading.ndf.high - reading.ndf.value == pytest.approx(0.022)
    assert reading.rfv.high - reading.rfv.value == pytest.approx(12, abs=1)


def test_a_spot_below_sixteen_inches_gives_no_value_and_leaves_the_field_incomplete():
    short = read_crop(walk("15.9 vegetative;24 vegetative;24 vegetative;24 vegetative"))
    assert short.below_count == 1 and not short.is_complete
    assert short.ndf.value == pytest.approx(0.340, abs=0.001)
    assert "incomplete" in said(short)
    none = read_crop(walk("10 vegetative;12 vegetative"))
    assert not none.ndf.known and none.ndf.reason is not None


def test_sixteen_and_forty_inches_still_lie_in_the_table():
    reading = read_crop(walk("16 vegetative;40 flower;28 bud;28 bud"))
    assert (reading.below_count, reading.above_count) == (0, 0) and reading.is_complete
    assert read_crop(walk("40.1 flower;28 bud;28 bud;28 bud")).above_count == 1


def test_grass_that_nobody_sampled_leaves_the_fibre_unknown_and_names_the_height_to_start_at():
    """Half grass: start when alfalfa near by is 22 in [CornellExtension2017]."""
    reading = read_crop(walk("20 vegetative;20 vegetative;20 vegetative;20 vegetative", grass_frac=0.5))
    assert not reading.ndf.known and not reading.rfv.known
    assert reading.ndf.reason.figures["height"].value == pytest.approx(22 * 2.54)


def test_up_to_a_tenth_of_grass_counts_as_alfalfa():
    assert read_crop(walk("24 vegetative", grass_frac=0.10)).ndf.known
    assert not read_crop(walk("24 vegetative", grass_frac=0.11)).ndf.known


@pytest.mark.parametrize(
    ("flag", "word"),
    [
        ({"is_frosted": True}, "Frost"),
        ({"is_lodged": True}, "Lodged"),
        ({"is_dry": True}, "Short of water"),
        ({"has_new_shoots": True}, "New shoots"),
        ({"cutting": 3}, "third cutting"),
        ({"clover_frac": 0.3}, "clover"),
    ],
)
def test_whatever_breaks_the_relation_is_named(flag, word):
    four = "24 vegetative;24 vegetative;24 vegetative;24 vegetative"
    assert word in said(read_crop(walk(four, **flag)))
    assert word not in said(read_crop(walk(four)))


def test_too_few_spots_are_named():
    assert "four or five" in said(read_crop(walk("24 bud;25 bud;26 bud")))
    assert said(read_crop(walk("24 bud;25 bud;26 bud;27 bud"))) == ""


def test_the_stage_is_that_of_the_most_mature_stem():
    assert read_crop(walk("24 vegetative;24 flower;24 bud")).stage == "flower"


def test_the_height_to_look_for_is_the_tables_own():
    """38 % NDF standing in bud is 28.0 in, from the table turned round; half grass 22 in, all grass 14 in."""
    assert height_to_start(0.0, 0.40, 0.02, "bud") / 2.54 == pytest.approx(28.0, abs=0.1)
    assert height_to_start(0.5, 0.44, 0.02, "bud") / 2.54 == pytest.approx(22.0)
    assert height_to_start(1.0, 0.50, 0.02, "") / 2.54 == pytest.approx(14.0)


def test_the_target_rises_with_grass_as_published():
    """40, 44 and 50 % for alfalfa, half grass and grass [CornellExtension2017]."""
    assert [round(target_of_stand(grass, 0.40), 3) for grass in (0.0, 0.5, 1.0)] == [0.40, 0.44, 0.50]
    assert target_of_stand(0.5, 0.38) == pytest.approx(0.42)
