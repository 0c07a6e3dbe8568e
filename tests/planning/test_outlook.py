"""When the new crop is fed and what first cutting must bring."""

import math
from datetime import date

import numpy as np
import pytest

from app.planning.balance import USE_CLASSES, feed_balance
from app.planning.feeding import NewCrop
from app.units.quantities import KG_PER_SHORT_TON
from tests.builders.feeding import HAYLAGE, TODAY, make_input, make_lot, with_rules

TON = KG_PER_SHORT_TON
DAILY = 3.83975
"""Tons of DM the reference herd eats in a day."""
NEW_CROP_D, YEAR_D = 57, 365
PER_HARVEST = 1 / (0.90 * 0.97 * 0.97)


def outlook(given):
    return feed_balance(given).outlook


def test_the_crop_sealed_on_28_may_is_fed_from_27_june_and_alone_from_6_july():
    # Eastridge2024: thirty days of fermentation; ten days of blend are common practice, no source
    seen = outlook(make_input())
    assert seen.usable.on == date(2026, 6, 27) and seen.alone.on == date(2026, 7, 6)
    assert seen.old_share[NEW_CROP_D - 1 : NEW_CROP_D + 2] == pytest.approx([1.0, 0.9, 0.8])
    assert seen.old_share[NEW_CROP_D + 9] == 0
    assert seen.old_need_kg[:, NEW_CROP_D:].sum() / TON == pytest.approx(4.5 * DAILY)


def test_old_and_new_need_make_up_the_whole_need_on_every_day():
    balance = feed_balance(make_input())
    whole = balance.feeds[HAYLAGE].need_kg
    assert balance.outlook.old_need_kg + balance.outlook.new_need_kg == pytest.approx(whole)


def test_enough_feed_to_the_new_crop_is_no_shortfall_and_too_little_is_counted_in_every_measure():
    assert outlook(make_input()).to_new_crop.eaten_kg.value == 0
    short = outlook(make_input(lots=(make_lot(tons=200.0),))).to_new_crop
    usable = 200 * 0.98 * 0.97 * 0.97
    missing = NEW_CROP_D * DAILY - usable
    assert short.until.on == date(2026, 6, 27)
    assert short.eaten_kg.value / TON == pytest.approx(missing)
    assert short.in_store_kg.value / TON == pytest.approx(missing / (0.98 * 0.97 * 0.97))
    assert short.as_fed_kg.value / TON == pytest.approx(missing / (0.98 * 0.97 * 0.97) / 0.40)
    assert short.days_d.value == pytest.approx(missing / DAILY)
    assert short.cost_usd.value == pytest.approx(missing / (0.85 * 0.95) * 252)
    assert sum(e.value for e in short.by_class_kg.values()) == pytest.approx(short.eaten_kg.value)


def test_the_blend_takes_four_and_a_half_days_of_old_feed_more():
    short = outlook(make_input(lots=(make_lot(tons=200.0),)))
    gap = short.through_blend.eaten_kg.value - short.to_new_crop.eaten_kg.value
    assert gap / TON == pytest.approx(4.5 * DAILY)


def test_first_cutting_brings_its_share_of_the_season_to_next_years_crop_and_carry_over():
    seen = outlook(make_input())
    usable = 300 * 0.98 * 0.97 * 0.97
    season = ((NEW_CROP_D + YEAR_D + 30) * DAILY - usable) * PER_HARVEST
    assert seen.must_bring_all.mass_dm_kg.value / TON == pytest.approx(0.40 * season)
    assert seen.must_bring_all.mass_af_kg.value == pytest.approx(seen.must_bring_all.mass_dm_kg.value / 0.40)
    by_class = [seen.must_bring[c].mass_dm_kg.value for c in USE_CLASSES]
    assert sum(by_class) == pytest.approx(seen.must_bring_all.mass_dm_kg.value)
    assert [seen.must_bring[c].ndf_ceiling_frac.value for c in USE_CLASSES] == [0.42, 0.46, 0.54]


def test_what_later_cuttings_bring_is_taken_off_what_the_first_must():
    crop = NewCrop(HAYLAGE, date(2026, 5, 28), later_mass_dm_kg=1000 * TON)
    seen = outlook(make_input(new_crop=crop))
    season = ((NEW_CROP_D + YEAR_D + 30) * DAILY - 300 * 0.98 * 0.97 * 0.97) * PER_HARVEST
    assert seen.must_bring_all.mass_dm_kg.value / TON == pytest.approx(season - 1000)


def test_next_years_shortfall_falls_by_what_the_cuttings_give_to_eat():
    alone = outlook(make_input()).to_next_year.eaten_kg.value
    crop = NewCrop(HAYLAGE, date(2026, 5, 28), mass_dm_kg=600 * TON)
    helped = outlook(make_input(new_crop=crop)).to_next_year.eaten_kg.value
    assert (alone - helped) / TON == pytest.approx(600 / PER_HARVEST)


def test_a_horizon_too_short_for_next_year_says_so_instead_of_a_figure():
    seen = outlook(with_rules(make_input(), horizon_d=120))
    assert seen.to_target.eaten_kg.known and not seen.to_next_year.eaten_kg.known
    assert not seen.must_bring_all.mass_dm_kg.known and seen.must_bring_all.mass_dm_kg.reason


def test_a_missing_hay_price_leaves_only_the_money_unknown():
    seen = outlook(with_rules(make_input(), hay_usd_kg=math.nan)).to_target
    assert seen.eaten_kg.known and not seen.cost_usd.known and "price" in str(seen.cost_usd.reason)


def test_a_crop_sealed_long_ago_is_fed_from_today_on():
    seen = outlook(make_input(new_crop=NewCrop(HAYLAGE, date(2026, 3, 1))))
    assert seen.usable.on == TODAY and seen.to_new_crop.eaten_kg.value == 0
    assert np.all(np.diff(seen.old_share) <= 0)


def test_a_measuring_error_gives_the_shortfall_its_range():
    seen = outlook(make_input(lots=(make_lot(spread_frac=0.10),))).to_target.eaten_kg
    tenth = 30 * 0.98 * 0.97 * 0.97
    assert (seen.value - seen.low) / TON == pytest.approx(tenth) and (seen.high - seen.value) / TON == pytest.approx(
        tenth
    )
