"""Ways to make old feed last."""

from dataclasses import replace
from datetime import date

import pytest

from app.errors import OutOfRange
from app.planning.balance import feed_balance
from app.planning.stretch import StretchLimits, stretch_options
from app.units.quantities import KG_PER_SHORT_TON
from tests.builders.feeding import HAYLAGE, make_input, make_lot

TON = KG_PER_SHORT_TON
PRICES = StretchLimits(straw_usd_kg=90 / TON, byproduct_usd_kg=200 / TON, other_forage_usd_kg=180 / TON)


def options(given, limits=PRICES):
    return {o.key: o for o in stretch_options(given, feed_balance(given), limits)}


def test_every_way_is_tried_on_the_balance_itself():
    given = make_input()
    short = feed_balance(given).outlook.to_target.eaten_kg.value
    for option in options(given).values():
        left = feed_balance(option.changed).outlook.to_target.eaten_kg.value
        assert option.short_left_kg.value == pytest.approx(left)
        assert option.saved_kg.value == pytest.approx(short - left) and option.saved_kg.value > 0


def test_a_lower_share_reaches_the_target_just_with_the_factor_worked_by_hand():
    lower = options(make_input())["lower_inclusion"]
    assert lower.label.figures["share"].value == pytest.approx(0.8281, abs=5e-5)
    assert lower.short_left_kg.value == pytest.approx(0, abs=1e-3)


def test_selling_five_per_cent_saves_five_per_cent_of_the_need():
    sold = options(make_input())["sell"]
    assert sold.saved_kg.value / TON == pytest.approx(0.05 * 87 * 3.83975)


def test_straw_costs_its_fibre_share_and_byproduct_the_rest():
    way = options(make_input())["straw"]
    straw = way.saved_kg.value * 0.41 / 0.769
    assert way.cost_usd.value == pytest.approx((straw * 90 + (way.saved_kg.value - straw) * 200) / TON)


def test_bought_hay_closes_the_gap_for_the_price_of_the_shortfall():
    given = make_input()
    hay = options(given)["hay"]
    assert hay.short_left_kg.value == pytest.approx(0, abs=1e-3)
    assert hay.cost_usd.value == pytest.approx(feed_balance(given).outlook.to_target.cost_usd.value)


def test_the_way_that_saves_most_money_comes_first_and_hay_last():
    ranked = stretch_options(make_input(), feed_balance(make_input()), PRICES)
    savings = [o.saving_usd.value for o in ranked]
    assert savings == sorted(savings, reverse=True) and ranked[-1].key == "hay"


def test_without_prices_the_saving_is_unknown_and_the_effect_is_not():
    way = options(make_input(), StretchLimits())["lower_inclusion"]
    assert not way.saving_usd.known and way.saving_usd.reason and way.saved_kg.known


def test_with_plenty_of_feed_nothing_is_bought_and_no_share_is_lowered():
    assert {"hay", "lower_inclusion"}.isdisjoint(options(make_input(lots=(make_lot(tons=900.0),))))


def test_an_unknown_sealing_day_leaves_the_effects_unknown_with_the_reason():
    given = make_input()
    given = replace(given, new_crop=replace(given.new_crop, sealed_on=None))
    assert all("sealed" in str(o.saved_kg.reason) for o in options(given).values())


def test_a_share_in_per_cent_is_refused():
    with pytest.raises(OutOfRange, match="sold_frac"):
        options(make_input(), StretchLimits(sold_frac=5.0))


def test_trying_a_way_never_changes_the_input_it_was_given():
    given = make_input()
    options(given)
    assert given == make_input() and given.new_crop.sealed_on == date(2026, 5, 28) and given.new_crop.feed == HAYLAGE
