"""What is left of a lot, whatever the order and cut of the notes."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.planning.stock import Found, LotFacts, Put, Taken, Usual, stock_now
from app.planning.stores import Sizes

USUAL = Usual(240.0, 0.13, "", 0.10, 0.02, 0.03)
DAY = date(2027, 4, 10)


def facts(**more):
    return LotFacts(Sizes("none"), 0.40, USUAL, **more)


def weighed(kg, on=DAY):
    return Found(on, "weight", mass_af_kg=kg)


@given(st.integers(1, 30), st.integers(0, 40), st.floats(1, 900))
def test_feed_out_noted_in_one_line_or_day_by_day_is_the_same(days, ahead, kg_a_day):
    first = DAY + timedelta(days=ahead - 20)
    last = first + timedelta(days=days - 1)
    one = stock_now(facts(found=(weighed(1e6),), taken=(Taken(first, last, kg_a_day * days),)))
    each = [first + timedelta(days=n) for n in range(days)]
    many = stock_now(facts(found=(weighed(1e6),), taken=tuple(Taken(day, day, kg_a_day) for day in each)))
    assert one.mass_dm.value == pytest.approx(many.mass_dm.value)


@given(st.floats(0, 0.3), st.floats(0, 0.3))
def test_weighed_loads_lose_the_storage_loss_once_however_it_is_split(full, rest):
    """Mass balance: what went in, less the whole loss, is what comes out; never less."""
    usual = Usual(240.0, 0.13, "", full, rest, 0.03)
    stock = stock_now(LotFacts(Sizes("none"), 0.40, usual, puts=(Put(DAY, 1e6),)))
    comes_out = stock.mass_dm.value * (1 - rest)
    assert comes_out == pytest.approx(0.40 * 1e6 * (1 - max(full, rest)))


def test_a_measured_lot_and_loads_that_came_later_add_up():
    stock = stock_now(facts(found=(weighed(1e6),), puts=(Put(DAY, 5e5), Put(DAY + timedelta(days=1), 5e5))))
    late = 0.40 * 5e5 * 0.90 / 0.98
    assert stock.mass_dm.value == pytest.approx(0.40 * 1e6 + late)


def test_errors_of_parts_add_by_their_squares_and_the_range_holds_the_figure():
    stock = stock_now(facts(found=(weighed(1e6),), puts=(Put(DAY + timedelta(days=1), 1e6),)))
    late = 0.40 * 1e6 * 0.90 / 0.98
    error = ((0.02 * 4e5) ** 2 + (0.05 * late) ** 2) ** 0.5
    assert stock.mass_dm.high - stock.mass_dm.value == pytest.approx(error)
    assert stock.mass_dm.low < stock.mass_dm.value < stock.mass_dm.high


def test_nothing_known_is_not_nothing_left():
    assert not stock_now(facts()).mass_dm.known
    unknown = stock_now(LotFacts(Sizes("none"), None, USUAL, found=(weighed(1e6),)))
    assert not unknown.mass_dm.known
    fed = LotFacts(Sizes("none"), None, USUAL, found=(Found(DAY, "judged", mass_dm_kg=1e5),),
                   taken=(Taken(DAY + timedelta(days=1), DAY + timedelta(days=1), 1e3),))  # fmt: skip
    assert not stock_now(fed).mass_dm.known
