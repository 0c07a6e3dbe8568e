"""A field's fibre from scouting and heat, and the day it reaches its target."""

import time
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from app.errors import OutOfRange
from app.planning.assumptions import ASSUMPTIONS
from app.planning.season_heat import Basis, HeatRule, calendar_index, heat_ensemble
from app.planning.timing import FieldReading, TimingRules, fields_outlook, heat_dates
from tests.builders.seasons import season

TODAY = date(2018, 5, 5)
FRESH = FieldReading("north", 0.0, date(2018, 5, 3), 0.33)
RULES = TimingRules()
PER_GDD41 = 0.0245 / 100


def ensemble(**options):
    return heat_ensemble(season("champion", 2018, 5, 5, **options))


def outlook(*fields, rules=RULES, horizon_d=60, **options):
    return fields_outlook(ensemble(**options), fields, rules, horizon_d=horizon_d)


def test_bud_flower_and_target_come_in_order():
    dates = heat_dates(ensemble())
    assert dates.target.on <= dates.bud.on < dates.first_flower.on
    assert RULES.target_c_d * 1.8 == pytest.approx(680), "38 % standing for 40 % stored"
    assert RULES.bud_c_d * 1.8 == pytest.approx(700) and RULES.first_flower_c_d * 1.8 == pytest.approx(800)


def test_the_rules_come_from_the_farms_assumptions_and_the_defaults_agree():
    given = TimingRules.of({key: one.default for key, one in ASSUMPTIONS.items()})
    for name, value in given.__dict__.items():
        assert value == pytest.approx(getattr(RULES, name)), name
    later = replace(given, ndf_points_c_d=(400.0, 440.0, 560.0))
    assert outlook(FieldReading("x"), rules=later).reached[0].on > outlook(FieldReading("x")).reached[0].on


def test_a_fresh_reading_moves_by_the_rate_times_heat_since_the_end_of_the_scouting_day():
    """0.0245 units per degree-day F: Kaatz and Thomas through the published anchors."""
    heat = ensemble()
    got = outlook(FRESH).by_member_frac[0]
    since = heat.total_c_d - heat.total_c_d[:, [calendar_index(FRESH.scouted_on)]]
    today = heat.today_index
    assert np.allclose(got, 0.33 + PER_GDD41 * 1.8 * since[:, today : today + 60])


def test_a_warm_day_adds_the_published_daily_rise():
    """0.4 (cool) to 0.7 (warm) units a day in the field, Cornell Cooperative Extension 2021."""
    middle = outlook(FRESH).standing.middle[0]
    may, june = np.diff(middle[5:20]).mean() * 100, np.diff(middle[35:55]).mean() * 100
    assert 0.3 < may < 0.55 and 0.55 < june < 0.8


def test_the_date_is_the_first_day_at_the_target_as_fed():
    got = outlook(FRESH)
    wanted = got.target_fed_frac[0] - RULES.allowance_frac
    assert got.target_fed_frac[0] == pytest.approx(0.40) and wanted == pytest.approx(0.38)
    places = [np.argmax(member >= wanted) for member in got.by_member_frac[0]]
    exact = TODAY.toordinal() + np.median(places)
    assert abs(got.reached[0].on.toordinal() - exact) <= 1
    assert got.reached[0].earliest < got.reached[0].on < got.reached[0].latest


def test_the_range_of_dates_meets_the_range_of_fibre():
    """The upper edge of the band reaches the target at the earliest date, the lower edge at the latest."""
    got = outlook(FRESH)
    wanted = got.target_fed_frac[0]
    early = TODAY.toordinal() + int(np.argmax(got.fed.high[0] >= wanted))
    late = TODAY.toordinal() + int(np.argmax(got.fed.low[0] >= wanted))
    assert abs(got.reached[0].earliest.toordinal() - early) <= 1
    assert abs(got.reached[0].latest.toordinal() - late) <= 1


def test_the_error_of_a_reading_is_there_on_the_first_day_and_the_weather_widens_it():
    got = outlook(FRESH)
    width = (got.standing.high - got.standing.low)[0]
    assert width[0] == pytest.approx(2 * 1.2816 * 0.022, rel=0.02)
    assert width[30] > width[0]
    assert (np.diff(width[:25]) > -0.001).all()


def test_as_fed_is_standing_plus_the_farms_allowance():
    got = outlook(FRESH, rules=replace(RULES, allowance_frac=0.03))
    assert np.allclose(got.fed.middle - got.standing.middle, 0.03)
    assert got.reached[0].on < outlook(FRESH).reached[0].on


def test_no_scouting_in_ten_days_falls_back_on_heat_with_the_wider_error():
    """680 -> 38, 750 -> 40, 970 -> 45 %; three units either way."""
    ten, eleven = (replace(FRESH, scouted_on=date(2018, 4, day)) for day in (25, 24))
    got = outlook(ten, eleven, FieldReading("never"))
    assert got.rests_on == ("scouting", "heat", "heat")
    assert (
        got.reasons[0] is None and "No scouting since" in str(got.reasons[1]) and "Not scouted" in str(got.reasons[2])
    )
    assert got.reached[1] == got.reached[2], "an outdated reading has no say"
    heat = ensemble()
    middle = np.median(heat.total_c_d, axis=0) * 1.8
    place = int(np.argmin(np.abs(middle - 750))) - heat.today_index
    assert got.standing.middle[2, place] == pytest.approx(0.40, abs=0.005)
    assert (got.standing.high - got.standing.low)[2, place] > 2 * 1.2816 * 0.03


def test_heat_alone_says_nothing_before_600_or_past_970_degree_days():
    got = outlook(FieldReading("never"), horizon_d=120)
    assert np.isnan(got.fed.middle[0, 0]) and np.isnan(got.fed.middle[0, -1])
    assert np.isfinite(got.fed.middle[0]).sum() > 10


@pytest.mark.parametrize(("grass", "rise"), [(0.0, 0.5), (0.25, 0.65), (0.5, 0.8), (0.75, 0.9), (1.0, 1.0)])
def test_a_mixture_rises_as_the_published_operating_points(grass, rise):
    """Cornell Cooperative Extension 2017 and 2021: 0.5, 0.8 and 1.0 units a day; quarters derived. Typical May days."""
    mixture = FieldReading("m", grass, date(2018, 5, 5), 0.38)
    middle = outlook(mixture, horizon_d=30).standing.middle[0]
    assert np.diff(middle[8:28]).mean() * 100 == pytest.approx(rise, abs=0.08)


def test_a_mixture_aims_at_its_own_published_point_unless_the_farm_says_otherwise():
    got = outlook(FieldReading("m", 0.5, TODAY, 0.38), FieldReading("n", 0.5, TODAY, 0.38, 0.48))
    assert got.target_fed_frac.tolist() == pytest.approx([0.44, 0.48])
    assert got.reached[0].on < got.reached[1].on


def test_a_mixed_stand_nobody_scouted_has_no_value_and_says_why():
    got = outlook(FieldReading("m", 0.4), FieldReading("old", 0.4, date(2018, 4, 1), 0.30))
    assert got.rests_on == ("none", "old-scouting")
    assert (
        np.isnan(got.fed.middle[0]).all() and got.reached[0].on is None and "mixed stand" in str(got.reached[0].reason)
    )
    assert np.isfinite(got.fed.middle[1]).all() and "carried on" in str(got.reasons[1])


def test_heat_alone_speaks_of_the_first_cutting_only():
    got = outlook(FieldReading("second", cutting=2))
    assert got.rests_on == ("none",) and "first cutting only" in str(got.reasons[0])


def test_a_target_passed_before_scouting_is_said_to_be_reached():
    got = outlook(replace(FRESH, ndf_frac=0.42)).reached[0]
    assert got.on <= FRESH.scouted_on and got.basis is Basis.OBSERVED
    assert "Already reached" in str(got.notes[-1])


def test_few_and_no_past_years_are_said():
    assert "only 5" in str(outlook(FRESH, past=5).reached[0].reason)
    bare = outlook(FRESH, past=0)
    assert bare.reached[0].on is None and "No complete past year" in str(bare.reached[0].reason)
    assert np.isnan(bare.fed.middle[0, 5])


def test_a_reading_of_the_year_before_is_no_reading():
    assert outlook(replace(FRESH, scouted_on=date(2017, 5, 3))).rests_on == ("heat",)


def test_the_value_on_a_day_comes_with_its_range():
    got = outlook(FRESH)
    value = got.fed_on("north", date(2018, 5, 20))
    assert value.kind == "ndf" and value.low < value.value < value.high
    with pytest.raises(OutOfRange, match="within 2018-05-05"):
        got.fed_on("north", date(2018, 5, 4))


@pytest.mark.parametrize(
    "wrong",
    [replace(FRESH, ndf_frac=38.0), replace(FRESH, grass_frac=40.0), replace(FRESH, scouted_on=date(2018, 5, 6)),
     replace(FRESH, target_fed_frac=40.0)],
)  # fmt: skip
def test_impossible_input_is_refused_by_name(wrong):
    with pytest.raises(OutOfRange):
        outlook(wrong)


def test_every_field_stands_alone():
    many = [replace(FRESH, key=i, ndf_frac=0.28 + 0.003 * i, grass_frac=0.02 * i) for i in range(12)]
    together = outlook(*many)
    for i, one in enumerate(many):
        alone = outlook(one)
        assert np.allclose(alone.fed.low[0], together.fed.low[i]) and alone.reached[0] == together.reached[i]


def test_the_chance_holds_on_real_years():
    """With a true reading plus its error, 8 in 10 of the days the target was really reached lie in the range."""
    rng, inside = np.random.default_rng(7), []
    for year in range(1982, 2019):
        whole = heat_ensemble(season("champion", year, 12, 31, leave_out=True), HeatRule()).total_c_d[0]
        heat = heat_ensemble(season("champion", year, 5, 5, leave_out=True))
        scouted = heat.today_index - 1
        for error in rng.normal(0, 0.022, 20):
            truth = 0.34 + PER_GDD41 * 1.8 * (whole - whole[scouted])
            day = heat.today.replace(day=4)
            found = fields_outlook(heat, [FieldReading("f", 0.0, day, 0.34 + error)]).reached[0]
            if found.earliest is not None:
                true = int(np.argmax(truth >= 0.38))
                inside.append(calendar_index(found.earliest) <= true <= calendar_index(found.latest))
    assert 0.72 < np.mean(inside) < 0.9


def test_forty_fields_by_36_years_by_120_days_take_under_50_ms():
    many = [replace(FRESH, key=i, ndf_frac=0.28 + 0.002 * i, grass_frac=(i % 4) * 0.2) for i in range(40)]
    weather = season("champion", 2018, 5, 5)
    spent = []
    for _ in range(5):
        begun = time.perf_counter()
        got = fields_outlook(heat_ensemble(weather), many, horizon_d=120)
        spent.append(time.perf_counter() - begun)
    assert got.by_member_frac.shape == (40, 36, 120) and min(spent) < 0.05
