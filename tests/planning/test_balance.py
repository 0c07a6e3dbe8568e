"""The day-by-day balance of feed on hand against the herd."""

import math
import time
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given as generated
from hypothesis import settings
from hypothesis import strategies as st

from app.errors import OutOfRange
from app.nutrition.demand import Convention
from app.planning.balance import USE_CLASSES, feed_balance
from app.planning.feeding import Delivery, Group, HeadStep, Inclusion, Lot, NewCrop, Supply
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON
from tests.builders.feeding import HAYLAGE, TODAY, make_group, make_input, make_lot, with_rules
from tests.builders.published import published

TON = KG_PER_SHORT_TON


def fed(given):
    return feed_balance(given).feeds[HAYLAGE]


@pytest.mark.parametrize("row", published("planning", "reference_herd"))
def test_every_group_of_the_reference_herd_eats_its_worked_amount(row):
    group = make_group(row["group"], row["use_class"], row["head"], row["intake_lb"], row["share"])
    assert fed(make_input((group,))).need_kg[:, 0].sum() / KG_PER_LB == pytest.approx(row["expected"])


@pytest.mark.parametrize("row", published("planning", "reference_balance"))
def test_the_reference_herd_balances_as_worked_by_hand(row):
    balance = feed_balance(make_input())
    feed, outlook = balance.feeds[HAYLAGE], balance.outlook
    figures = {
        "need_t": feed.need_kg[:, 0].sum() / TON,
        "usable_t": feed.usable_kg.value / TON,
        "cover_d": feed.cover_all_d.value,
        "carry_over_d": outlook.carry_over_d.value,
        "short_eaten_t": outlook.to_target.eaten_kg.value / TON,
        "short_in_store_t": outlook.to_target.in_store_kg.value / TON,
        "stretch": outlook.stretch.value,
    }
    assert figures[row["figure"]] == pytest.approx(row["expected"], abs=row["tolerance"])


def test_the_reference_store_is_empty_on_12_july_for_every_class():
    feed = fed(make_input())
    assert feed.run_out_all.on == date(2026, 7, 12)
    assert {feed.run_out[c].on for c in USE_CLASSES} == {date(2026, 7, 12)}


def test_today_is_still_to_be_fed_and_a_stock_of_whole_days_ends_after_them():
    daily = make_group(head=100, intake_lb=20.0, share=0.5)
    rules = {"feedout_frac": 0.0, "refusal_frac": 0.0}
    three_days = with_rules(make_input((daily,), (make_lot(tons=1.5, loss=0.0),)), **rules)
    assert fed(three_days).run_out_all.on == TODAY + timedelta(days=3)
    nearly = with_rules(make_input((daily,), (make_lot(tons=1.4999, loss=0.0),)), **rules)
    assert fed(nearly).run_out_all.on == TODAY + timedelta(days=2)
    nothing = with_rules(make_input((daily,), (make_lot(tons=0.0, loss=0.0),)), **rules)
    assert fed(nothing).run_out_all.on == TODAY


def test_heads_and_inclusions_change_on_their_days():
    group = Group(
        "low",
        "milking",
        20.0,
        (HeadStep(date(2026, 4, 1), 100), HeadStep(date(2026, 5, 4), 50)),
        (Inclusion(HAYLAGE, date(2026, 5, 2), 0.5), Inclusion(HAYLAGE, date(2026, 5, 6), 0.1)),
    )
    assert fed(make_input((group,))).need_kg[0, :7].tolist() == [0, 1000, 1000, 500, 500, 100, 100]


def test_a_lot_for_dry_cows_only_is_kept_for_them_and_milking_is_served_first_from_the_rest():
    herd = (make_group("cows", "milking", 100, 20.0, 0.5), make_group("dry", "dry", 100, 20.0, 0.5))
    lots = (make_lot("any", 2.0, 0.0), make_lot("rough", 1.0, 0.0, use_classes=("dry",)))
    feed = fed(with_rules(make_input(herd, lots), feedout_frac=0.0, refusal_frac=0.0))
    # dry cows eat 2 days of the rough lot, milking 2 days of the other; then both share 1 t, milking first
    assert feed.run_out["milking"].on == TODAY + timedelta(days=3)
    assert feed.run_out["dry"].on == TODAY + timedelta(days=3)
    assert feed.lot_empty["rough"].on == TODAY + timedelta(days=1)
    assert feed.stock_kg[USE_CLASSES.index("milking"), 0] == pytest.approx(2.0 * TON)
    assert feed.stock_kg[USE_CLASSES.index("dry"), 0] == pytest.approx(3.0 * TON)


def test_a_lot_still_fermenting_is_not_fed_before_its_day():
    herd = (make_group(head=100, intake_lb=20.0, share=0.5),)
    later = make_lot("sealed", 10.0, 0.0, available_from=TODAY + timedelta(days=4))
    feed = fed(with_rules(make_input(herd, (make_lot("open", 1.0, 0.0), later)), feedout_frac=0.0, refusal_frac=0.0))
    assert feed.run_out_all.on == TODAY + timedelta(days=2)
    assert (feed.eaten_kg[0, :6] > 0).tolist() == [True, True, False, False, True, True]


def test_a_wet_delivery_spoils_after_its_storage_life_and_later_ones_are_fed_when_they_come():
    herd = (make_group(head=100, intake_lb=20.0, share=0.5),)
    loads = (Delivery(TODAY - timedelta(days=2), 4 * TON), Delivery(TODAY + timedelta(days=6), 1 * TON))
    supply = Supply("wet grains", HAYLAGE, loads, life_d=5.0)
    feed = fed(with_rules(make_input(herd, (), supplies=(supply,)), feedout_frac=0.0, refusal_frac=0.0))
    assert feed.spoiled_kg["wet grains"] == pytest.approx(2.5 * TON)
    assert (feed.eaten_kg[0, :9] > 0).tolist() == [True, True, True, False, False, False, True, True, False]


def test_both_shrink_conventions_draw_their_own_amount():
    divided = fed(make_input())
    multiplied = fed(with_rules(make_input(), convention=Convention.MULTIPLY))
    assert divided.draw_kg[:, 0].sum() / divided.eaten_kg[:, 0].sum() == pytest.approx(1 / (0.98 * 0.97 * 0.97))
    assert multiplied.draw_kg[:, 0].sum() / multiplied.eaten_kg[:, 0].sum() == pytest.approx(1.02 * 1.03 * 1.03)
    assert multiplied.cover_all_d.value > divided.cover_all_d.value


def test_a_measuring_error_gives_the_run_out_day_its_range():
    feed = fed(make_input(lots=(make_lot(spread_frac=0.10),)))
    assert feed.run_out_all.earliest == date(2026, 7, 4) and feed.run_out_all.latest == date(2026, 7, 19)
    assert feed.cover_all_d.low == pytest.approx(0.9 * feed.cover_all_d.value, rel=1e-6)


def test_what_cannot_be_computed_says_why():
    no_intake = replace(make_group("low"), intake_kg_d=math.nan)
    balance = feed_balance(make_input((no_intake,)))
    assert str(balance.feeds[HAYLAGE].run_out_all.reason) == "No intake is known for low."
    assert not balance.outlook.to_target.eaten_kg.known
    unmeasured = feed_balance(make_input(lots=(replace(make_lot(), stock_dm_kg=math.nan),)))
    assert str(unmeasured.feeds[HAYLAGE].cover_all_d.reason) == "No amount is known for bunker."
    assert not unmeasured.feeds[HAYLAGE].usable_kg.known
    unsealed = feed_balance(make_input(new_crop=NewCrop(HAYLAGE, None)))
    assert "sealed" in str(unsealed.outlook.usable.reason) and not unsealed.outlook.carry_over_d.known
    assert unsealed.feeds[HAYLAGE].run_out_all.on == date(2026, 7, 12)
    herdless = feed_balance(make_input(()))
    assert "No group" in str(herdless.feeds[HAYLAGE].run_out_all.reason)
    plenty = feed_balance(make_input(lots=(make_lot(tons=9000.0),)))
    assert "beyond" in str(plenty.feeds[HAYLAGE].run_out_all.reason)


def test_impossible_input_is_refused_by_name():
    with pytest.raises(OutOfRange, match="use_class of low"):
        feed_balance(make_input((make_group(use_class="goats"),)))
    with pytest.raises(OutOfRange, match="share_frac of low"):
        feed_balance(make_input((make_group(share=25.0),)))
    with pytest.raises(OutOfRange, match="bunker"):
        feed_balance(make_input(lots=(make_lot(tons=-1.0),)))
    with pytest.raises(OutOfRange, match="horizon_d"):
        feed_balance(with_rules(make_input(), horizon_d=0))


@settings(deadline=None, max_examples=60)
@generated(
    st.lists(st.tuples(st.sampled_from(USE_CLASSES), st.floats(0, 400), st.floats(0, 0.6)), min_size=1, max_size=5),
    st.lists(
        st.tuples(st.floats(0, 80), st.floats(0, 0.3), st.sets(st.sampled_from(USE_CLASSES)), st.integers(0, 90)),
        max_size=5,
    ),
)
def test_nothing_is_made_and_nothing_is_lost(herd, stores):
    groups = tuple(make_group(f"g{i}", c, head, 40.0, share) for i, (c, head, share) in enumerate(herd))
    lots = tuple(
        make_lot(f"l{i}", tons, loss, use_classes=tuple(classes), available_from=TODAY + timedelta(days=day))
        for i, (tons, loss, classes, day) in enumerate(stores)
    )
    feed = fed(with_rules(make_input(groups, lots), horizon_d=120))
    assert np.all(feed.eaten_kg <= feed.need_kg + 1e-6) and np.all(feed.eaten_kg >= 0)
    put_in = sum(lot.stock_dm_kg for lot in lots)
    left = sum(
        lot.stock_dm_kg if (lot.available_from - TODAY).days > 120 else feed.lot_stock_kg[feed.lots.index(lot.name), -1]
        for lot in lots
    )
    assert put_in == pytest.approx(left + feed.draw_kg.sum(), abs=1e-3)


@settings(deadline=None, max_examples=40)
@generated(st.floats(0, 0.2), st.floats(0, 0.2))
def test_more_shrink_never_makes_feed_last_longer_or_the_shortfall_smaller(loss, more):
    before = feed_balance(with_rules(make_input(), feedout_frac=loss))
    after = feed_balance(with_rules(make_input(), feedout_frac=loss + more))
    assert after.feeds[HAYLAGE].cover_all_d.value <= before.feeds[HAYLAGE].cover_all_d.value + 1e-9
    assert after.outlook.to_target.eaten_kg.value >= before.outlook.to_target.eaten_kg.value - 1e-6
    assert after.outlook.must_bring_all.mass_dm_kg.value >= before.outlook.must_bring_all.mass_dm_kg.value - 1e-6


def test_ten_groups_and_fifteen_lots_over_500_days_take_less_than_30_ms():
    groups = tuple(make_group(f"g{i}", USE_CLASSES[i % 3], 100 + i, 45.0, 0.2) for i in range(10))
    lots = tuple(
        Lot(f"l{i}", HAYLAGE, 90 * TON, 0.02, 0.4, 0.4, USE_CLASSES[i % 3 :], TODAY + timedelta(days=9 * i), 0.1)
        for i in range(15)
    )
    given = make_input(groups, lots)
    taken = []
    for _ in range(7):
        start = time.perf_counter()
        feed_balance(given)
        taken.append(time.perf_counter() - start)
    assert min(taken) < 0.030
