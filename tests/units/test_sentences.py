"""Sentences carry their figures apart and can be kept as plain values."""

import json
import math
from datetime import date

from app.units.sentences import Quantity, Sentence, Span, packed, unpacked


def test_a_sentence_reads_in_english_with_plain_figures():
    assert str(Sentence("{n} of {all} done", n=3, all=Quantity(5.0, "count"))) == "3 of 5 done"


def test_a_kept_sentence_comes_back_the_same():
    inner = Sentence("buds expected")
    sentence = Sentence(
        "{what} on {day}: {tons} ({range}), {names}",
        what=inner,
        day=date(2027, 5, 21),
        tons=Quantity(1000.0, "mass_dm"),
        range=Span(1.0, 2.0, 3.0, "ndf"),
        names=("a", inner),
    )
    assert unpacked(json.loads(json.dumps(packed(sentence)))) == sentence


def test_nothing_stays_nothing():
    assert packed(None) is None and unpacked(None) is None


def test_a_figure_that_is_not_known_is_kept_as_nothing_and_comes_back_unknown():
    said = Sentence(
        "{amount} of {span}", amount=Quantity(math.nan, "percent"), span=Span(1.0, math.nan, 3.0, "percent")
    )
    plain = json.loads(json.dumps(packed(said), allow_nan=False))
    back = unpacked(plain)
    assert math.isnan(back.figures["amount"].value) and math.isnan(back.figures["span"].likely)
    assert back.figures["span"].high == 3.0
