"""A figure that may be unknown."""

from datetime import date

from app.planning.estimates import DateEstimate, Estimate, unknown
from app.units.sentences import Sentence


def test_an_unknown_figure_carries_its_reason_and_is_never_zero():
    nothing = unknown("mass_dm", Sentence("No lot is measured."))
    assert not nothing.known and nothing.value != 0 and str(nothing.reason) == "No lot is measured."
    assert Estimate(0.0, "mass_dm").known


def test_a_day_is_known_when_it_is_named():
    assert DateEstimate(date(2026, 7, 12)).known and not DateEstimate(None).known
