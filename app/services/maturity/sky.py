"""Whether days stay dry: as measured, as forecast, and then as past years of the station had them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from app.services import weather
from app.services.heat import FarmHeat
from app.weather.climate import ANY_RAIN_MM
from app.weather.series import Kind


@dataclass(frozen=True)
class Sky:
    """Chance of a dry day for each day, and where it comes from: observed, forecast, climate, or empty."""

    dry_frac: tuple[float, ...]
    kinds: tuple[str, ...]


def sky_of(heat: FarmHeat, days: tuple[date, ...], today: date) -> Sky:
    """A measured day was dry or was not; a day ahead is dry as often as past years had it."""
    if heat.series is None or not days:
        return Sky((math.nan,) * len(days), ("",) * len(days))
    usual = weather.dry_chance(heat.series, days, today.year)
    around = heat.series.between(np.datetime64(days[0]), np.datetime64(days[-1]))
    dry, kinds = [], []
    for index, day in enumerate(days):
        fell, forecast = float(around.precip_mm[index]), around.kind[index] == Kind.FORECAST
        known = not math.isnan(fell) and (day < today or forecast)
        dry.append(float(fell < ANY_RAIN_MM) if known else usual[index])
        kinds.append(
            ("forecast" if forecast else "observed") if known else "" if math.isnan(usual[index]) else "climate"
        )
    return Sky(tuple(dry), tuple(kinds))


def _kind(known: bool, forecast: bool, usual: float) -> str:
    if known:
        return "forecast" if forecast else "observed"
    return "" if math.isnan(usual) else "climate"
