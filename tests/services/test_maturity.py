"""How ripe fields are, recomputed here by plain loops over real weather, without the app's own projection."""

import math
import time
from datetime import date, timedelta

import numpy as np
import pytest
from sqlalchemy import event

from app.access.work import Clock, Work
from app.services import farms, maturity, scoutings, stands
from app.weather.climate import ANY_RAIN_MM
from tests.builders import real_weather
from tests.builders.crops import COUNT, WALK, a_field, a_scouting, a_stand, a_station, spots

TODAY = date(2018, 5, 8)
RATE = 0.0245 * 1.8 / 100
"""NDF per degree-day C: 0.0245 points per degree-day F, derived from [Kaatz2026] and [Thomas2026]."""


@pytest.fixture
def spring(work, team):
    """8 May 2018 at Champion, Nebraska, by the real daily weather of that place (public package, see the builder)."""
    series = real_weather.series("champion").between(np.datetime64("1990-01-01"), np.datetime64("2018-05-07"))
    a_station(work, team.farm.id, series)
    then = Work(work.session, work.actor, Clock(TODAY))
    farms.set_value(then, team.farm.id, "heat_start_rule", "first-of-march")
    return then


def heat_between(first, last):
    """Degree-days C above 5 C of the real days, average method, both days included."""
    series = real_weather.series("champion")
    total = 0.0
    for n in range((last - first).days + 1):
        at = int((np.datetime64(first + timedelta(days=n)) - series.days[0]).astype(int))
        total += max(0.0, (series.high_c[at] + series.low_c[at]) / 2 - 5)
    return total


def one(work, team, field):
    return maturity.farm_maturity(work, team.farm.id).field(field.id)


def scouted(work, team, *inches, on=TODAY, stage="vegetative", **more):
    field = a_field(work, team.farm.id)
    a_stand(work, team.farm.id, field.id, seeded_on=date(2015, 4, 20))
    a_scouting(work, team.farm.id, field.id, *inches, stage=stage, scouted_on=on, **more)
    return field


def test_a_field_read_today_stands_as_the_table_says(spring, team):
    """24 in vegetative: NDF 34.0, RFV 190 [OhioState2024], [WisconsinTable2021]; fed two points and 15 RFV on."""
    now = one(spring, team, scouted(spring, team, 24, 24, 24, 24))
    assert now.standing.value == pytest.approx(0.340, abs=0.001)
    assert now.fed.value == pytest.approx(0.360, abs=0.001)
    assert now.rfv.value == pytest.approx(190, abs=1) and now.rfv_fed.value == pytest.approx(175, abs=1)
    assert (now.standing.high - now.standing.low) / 2 == pytest.approx(0.022)


def test_an_earlier_reading_moves_with_the_heat_since(spring, team):
    """Read on 3 May: the heat of 4 to 7 May is measured, that of the 8th is the middle of the past years'."""
    on = date(2018, 5, 3)
    now = one(spring, team, scouted(spring, team, 24, 24, 24, 24, on=on))
    series = real_weather.series("champion")
    eighths = []
    for year in range(1990, 2018):
        at = int((np.datetime64(date(year, 5, 8)) - series.days[0]).astype(int))
        eighths.append(max(0.0, (series.high_c[at] + series.low_c[at]) / 2 - 5))
    heat = heat_between(date(2018, 5, 4), date(2018, 5, 7)) + sorted(eighths)[13] / 2 + sorted(eighths)[14] / 2
    assert now.standing.value == pytest.approx(0.3404 + RATE * heat, abs=0.0003)


def test_the_day_the_target_is_reached_is_the_middle_of_what_past_years_make_of_it(spring, team):
    """Each past year of the real series carried on from 8 May by a plain loop."""
    now = one(spring, team, scouted(spring, team, 24, 24, 24, 24))
    series = real_weather.series("champion")
    days = []
    for year in range(1990, 2018):
        ndf, day = 0.3404, TODAY
        while ndf < 0.38:
            day += timedelta(days=1)
            at = int((np.datetime64(day.replace(year=year)) - series.days[0]).astype(int))
            ndf += RATE * max(0.0, (series.high_c[at] + series.low_c[at]) / 2 - 5)
        days.append(day)
    days.sort()
    assert abs((now.reached.on - days[14]).days) <= 1
    assert now.reached.earliest < days[3] and now.reached.latest > days[24]


def test_a_mixture_is_weighed_from_its_parts_and_aims_higher(spring, team):
    """70 % alfalfa at 24 in (34.0 % NDF) and 30 % grass of 50 %: 38.8; target 40 raised by 2.4 for the grass."""
    field = a_field(spring, team.farm.id)
    a_stand(spring, team.farm.id, field.id, share_alfalfa=0.7, share_orchardgrass=0.3, seeded_on=date(2015, 4, 20))
    a_scouting(spring, team.farm.id, field.id, 24, 24, 24, 24, scouted_on=TODAY, grass_ndf_frac=0.50)
    now = one(spring, team, field)
    assert now.standing.value == pytest.approx(0.388, abs=0.001)
    assert now.target_fed_frac == pytest.approx(0.424)
    assert not now.rfv.known


def test_a_sample_of_the_grass_is_carried_on_to_the_next_walk(spring, team):
    """A point of NDF a day for grass [CornellExtension2021]: 48 % on the 4th is 52 % on the 8th."""
    field = a_field(spring, team.farm.id)
    a_stand(spring, team.farm.id, field.id, share_alfalfa=0.5, share_timothy=0.5, seeded_on=date(2015, 4, 20))
    a_scouting(spring, team.farm.id, field.id, 22, 22, 22, 22, scouted_on=date(2018, 5, 4), grass_ndf_frac=0.48)
    a_scouting(spring, team.farm.id, field.id, 24, 24, 24, 24, scouted_on=TODAY)
    assert one(spring, team, field).reading.ndf.value == pytest.approx(0.5 * 0.3404 + 0.5 * 0.52, abs=0.0005)


def test_grass_without_a_sample_has_no_value_and_no_date(spring, team):
    field = a_field(spring, team.farm.id)
    a_stand(spring, team.farm.id, field.id, share_alfalfa=0.5, share_timothy=0.5, seeded_on=date(2015, 4, 20))
    a_scouting(spring, team.farm.id, field.id, 20, 20, 20, 20, scouted_on=TODAY)
    now = one(spring, team, field)
    assert not now.standing.known and not now.reached.known and now.status == "unknown"
    assert now.ready_height_cm == pytest.approx(22 * 2.54)
    assert any("not sampled" in each.text for each in now.cautions)


def test_a_corrected_reading_is_the_one_that_counts(spring, team):
    field = scouted(spring, team, 24, 24, 24, 24)
    first = one(spring, team, field)
    wrong = spring.session.query(scoutings.Scouting).one()
    walk = WALK | {"scouted_on": TODAY}
    scoutings.correct_scouting(spring, team.farm.id, wrong.id, walk, spots(28, 28, 28, 28), walk)
    assert one(spring, team, field).standing.value == pytest.approx(first.standing.value + 4 * 0.0069, abs=1e-6)
    scoutings.withdraw_scouting(spring, team.farm.id, wrong.id)
    assert one(spring, team, field).reading is None


def test_last_years_reading_says_nothing_of_this_year(spring, team):
    field = scouted(spring, team, 24, 24, 24, 24, on=date(2017, 5, 8))
    assert one(spring, team, field).reading is None


def test_an_old_reading_gives_way_to_heat_and_says_so(spring, team):
    field = scouted(spring, team, 20, 20, 20, 20, on=date(2018, 4, 20))
    now = one(spring, team, field)
    assert now.rests_on == "heat"
    assert any("days old" in each.text for each in now.cautions)


def test_the_trait_leaves_the_measured_value_alone(spring, team):
    """Trials found NDF unchanged [Grev2017]; practice credits 15 to 20 points, kept on a line of its own."""
    plain = scouted(spring, team, 24, 24, 24, 24)
    traited = a_field(spring, team.farm.id, name="Kiln")
    a_stand(spring, team.farm.id, traited.id, is_reduced_lignin=True, seeded_on=date(2015, 4, 20))
    a_scouting(spring, team.farm.id, traited.id, 24, 24, 24, 24, scouted_on=TODAY)
    without, with_trait = one(spring, team, plain), one(spring, team, traited)
    assert with_trait.rfv == without.rfv and with_trait.standing == without.standing
    assert math.isnan(without.trait_index) and 15 <= with_trait.trait_index <= 20


def test_a_short_spot_marks_the_field_incomplete(spring, team):
    now = one(spring, team, scouted(spring, team, 15, 24, 24, 24))
    assert now.status == "incomplete"


def test_ripe_fields_are_told_apart_from_those_to_come(spring, team):
    """38 % standing is 28.0 in at bud; a field beyond is at its target, one far below is for later."""
    ripe = scouted(spring, team, 32, 32, 32, 32, stage="bud")
    young = a_field(spring, team.farm.id, name="Kiln")
    a_scouting(spring, team.farm.id, young.id, 17, 17, 17, 17, scouted_on=TODAY)
    assert (one(spring, team, ripe).status, one(spring, team, young).status) == ("past", "later")
    assert not one(spring, team, ripe).bud.known


def test_the_start_lies_before_the_target_by_half_the_harvest(spring, team):
    """Target less half of three days at half a point a day: 0.75 points earlier."""
    now = one(spring, team, scouted(spring, team, 24, 24, 24, 24))
    assert now.reached.on - timedelta(days=4) <= now.start.on < now.reached.on


def test_the_board_names_the_first_and_the_last_field(spring, team):
    scouted(spring, team, 26, 26, 26, 26)
    later = a_field(spring, team.farm.id, name="Kiln")
    a_scouting(spring, team.farm.id, later.id, 20, 20, 20, 20, scouted_on=TODAY)
    board = maturity.maturity_board(spring, team.farm.id)
    assert (board.first.name, board.last.name) == ("Long Acre", "Kiln")
    start = maturity.projected_start(spring, team.farm.id)
    assert board.first.start.on <= start.on <= board.last.start.on and start.earliest < start.on < start.latest
    assert board.heat.value == pytest.approx(heat_between(date(2018, 3, 1), date(2018, 5, 7)), abs=0.01)


def test_without_weather_the_reading_stands_and_nothing_is_projected(work, team):
    field = a_field(work, team.farm.id)
    a_scouting(work, team.farm.id, field.id, 24, 24, 24, 24)
    now = one(work, team, field)
    assert now.standing.value == pytest.approx(0.340, abs=0.001)
    assert not now.reached.known and "weather" in now.reached.reason.text
    assert not maturity.projected_start(work, team.farm.id).known


def test_a_farm_without_fields_says_so(work, team):
    board = maturity.maturity_board(work, team.farm.id)
    assert "No field" in board.says.text and board.first is None


def test_first_cutting_is_the_sum_over_fields(spring, team):
    """88 ac of 48 stems (5.18 t/ac a season) at the farm's own half: 227.9 short tons."""
    from app.services import cutting_shares
    from app.units.quantities import KG_PER_SHORT_TON, PER_M2_PER_FT2

    field = a_field(spring, team.farm.id)
    stand = a_stand(spring, team.farm.id, field.id, seeded_on=date(2015, 4, 20))
    stands.add_count(
        spring, team.farm.id, stand.id, COUNT | {"counted_on": date(2018, 4, 20), "stems_per_m2": 48 * PER_M2_PER_FT2}
    )
    halves = {"share_1": 0.5, "share_2": 0.2, "share_3": 0.2, "share_4": 0.1}
    cutting_shares.set_own_shares(spring, team.farm.id, halves)
    total = maturity.expected_first_cut(maturity.farm_maturity(spring, team.farm.id))
    assert total.value / KG_PER_SHORT_TON == pytest.approx(88 * 5.18 * 0.5, abs=0.1)


def test_days_measured_are_dry_or_not_and_days_ahead_are_a_chance(spring, team):
    found = maturity.farm_maturity(spring, team.farm.id)
    days = tuple(TODAY + timedelta(days=n) for n in range(-3, 4))
    sky = maturity.sky_of(found.heat, days, TODAY)
    series = real_weather.series("champion")
    for index in range(3):
        at = int((np.datetime64(days[index]) - series.days[0]).astype(int))
        assert sky.dry_frac[index] == float(series.precip_mm[at] < ANY_RAIN_MM)
    assert sky.kinds == ("observed",) * 3 + ("climate",) * 4
    assert all(0 < chance < 1 for chance in sky.dry_frac[3:])


@pytest.mark.parametrize("count", [4, 40])
def test_the_number_of_queries_does_not_grow_with_fields(spring, team, count):
    for number in range(count):
        field = a_field(spring, team.farm.id, name=f"Field {number}")
        a_stand(spring, team.farm.id, field.id, seeded_on=date(2015, 4, 20))
        a_scouting(spring, team.farm.id, field.id, scouted_on=TODAY)
    maturity.farm_maturity(spring, team.farm.id)
    spring.session.expire_all()
    asked = []
    engine = spring.session.get_bind()
    event.listen(engine, "before_cursor_execute", lambda *each: asked.append(each[2]))
    began = time.perf_counter()
    found = maturity.farm_maturity(spring, team.farm.id)
    assert time.perf_counter() - began < 1.0
    assert len(found.fields) == count and len(asked) <= 13, asked
