"""Figures and sentences in the reader's language and units."""

from datetime import UTC, date, datetime

import pytest

from app.units.sentences import Quantity, Sentence, Span
from app.units.wording import Reader

HERE = Reader()


@pytest.mark.parametrize(
    ("value", "kind", "said"),
    [
        (410 * 907.18474, "mass_dm", "410\u00a0t DM"),
        (62 * 0.404685642, "area", "62.0\u00a0ac"),
        (0.396, "ndf", "39.6\u00a0% NDF"),
        (18_000 * 0.45359237, "weight", "18,000\u00a0lb"),
        (1312.4, "money", "$1,312"),
        (float("nan"), "mass_dm", "–"),
        (None, "area", "–"),
    ],
)
def test_an_amount_has_its_unit_and_no_false_digits(value, kind, said):
    assert HERE.amount(value, kind) == said


def test_a_range_is_written_out():
    assert HERE.span(360 * 907.18474, 460 * 907.18474, "mass_dm") == "360–460\u00a0t DM"


def test_a_sentence_is_said_with_its_figures_in_the_readers_words():
    reader = Reader("es", "metric", lambda text: {"{n} short": "faltan {n}"}.get(text, text))
    assert reader.say(Sentence("{n} short", n=Quantity(1000, "weight"))) == "faltan 1,000\u00a0kg"


def test_days_are_named_in_the_readers_language():
    assert HERE.day(date(2027, 5, 21)) == "Fri 21 May" and Reader("es").day(date(2027, 5, 21)).startswith("vie")


def test_a_span_inside_a_sentence_is_a_range():
    assert HERE.say(Sentence("{t}", t=Span(0.38, 0.4, 0.42, "ndf"))) == "38.0–42.0\u00a0% NDF"


def test_a_moment_is_a_clock_time_today_and_yesterday_the_day_before():
    now = datetime(2027, 5, 10, 15, 0, tzinfo=UTC)
    assert HERE.when(datetime(2027, 5, 10, 7, 40, tzinfo=UTC), now, UTC) == "7:40"
    assert HERE.when(datetime(2027, 5, 9, 7, 40, tzinfo=UTC), now, UTC) == "yesterday"
    assert HERE.when(datetime(2026, 5, 9, 7, 40, tzinfo=UTC), now, UTC) == "9 May 2026"
