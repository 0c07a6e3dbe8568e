"""Figures of a report about the farm's own rules: how heat is counted, and every default it has changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from app.planning.assumptions import ASSUMPTIONS
from app.planning.estimates import Estimate
from app.services import weather
from app.services.maturity import FarmMaturity
from app.services.reports.crop import HEAT_KEYS
from app.services.reports.figure import Figure, Values
from app.units.sentences import Sentence


def rule_figures(maturity: FarmMaturity, values: Values) -> Iterator[Figure]:
    heat, today = maturity.heat, maturity.today
    none = Sentence("No weather is on file.")
    station = heat.station.name if heat.station else none
    rule = weather.rule_sentence(heat.rule)
    yield Figure("heat.station", "Weather station", station, today)
    yield Figure("heat.observed_to", "Newest day of weather", heat.last_observed_on or none, today)
    yield Figure("heat.rule", "How heat is counted", rule, today, values.sources(*HEAT_KEYS))
    for key in sorted(values.own):
        yield from _assumption(key, values, today)


def _assumption(key: str, values: Values, today: date) -> Iterator[Figure]:
    """A changed default beside the default itself."""
    rule = ASSUMPTIONS[key]
    label = rule.label.text
    for name, value, words, source in (
        (f"assumption.{key}", values.own[key], label, "farm"),
        (f"assumption.{key}.default", rule.default, f"{label}: the default", rule.source),
    ):
        said = value if isinstance(value, str) else Estimate(float(value), rule.kind)
        yield Figure(name, words, said, today, (source,))
