"""A farm of any number of fields, put in through the services as people would: for counts of queries and for speed."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from app.access.work import Work
from app.services import checklists, fields, scoutings, stands, stations
from app.services.weather_files import store_days
from app.weather.series import DAY, DailySeries, series_of

YEARS = 30


def plain_weather(first: date, last: date, seed: int = 1) -> DailySeries:
    """Days that follow the seasons of a cool temperate place with chance around them; stands for no real station."""
    days = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
    chance = np.random.default_rng(seed)
    position = (days - days.astype("datetime64[Y]").astype(DAY)).astype(int)
    mean = 8.5 - 14.5 * np.cos(2 * np.pi * (position - 19) / 365) + chance.normal(0, 4, len(days))
    rain = np.where(chance.random(len(days)) < 0.35, chance.exponential(7, len(days)), 0.0)
    return series_of("plain", days, mean + 5.5, mean - 5.5, rain)


def fill_farm(work: Work, farm_id: int, fields_count: int, today: date) -> None:
    """A station with thirty past years, and fields with a stand, a count and three scoutings of five spots each."""
    station = stations.add_station(work, farm_id, {"name": "Home", "source": "made up for this check"})
    weather = plain_weather(date(today.year - YEARS, 1, 1), today - timedelta(days=1))
    store_days(work, station, weather, weather)
    for number in range(fields_count):
        _add_field(work, farm_id, number, today)
    checklists.draw_list(work, farm_id)


def _add_field(work: Work, farm_id: int, number: int, today: date) -> None:
    field = fields.add_field(work, farm_id, {"name": f"Field {number + 1:03}", "area_ha": 12.0 + number % 30})
    shares = dict.fromkeys(stands.SHARES) | {"share_alfalfa": 1.0}
    stand = stands.add_stand(
        work,
        farm_id,
        field.id,
        {
            **shares,
            "seeded_on": date(today.year - 2, 4, 20),
            "is_reduced_lignin": number % 5 == 0,
            "season_yield_kg_ha": None,
            "note": None,
        },
    )
    stands.add_count(
        work,
        farm_id,
        stand.id,
        {
            "counted_on": today - timedelta(days=20),
            "stems_per_m2": 430.0 + 10 * (number % 20),
            "root_score": 1.0,
            "spots_count": 5,
            "note": None,
        },
    )
    for back in (9, 6, 2):
        height = 55.0 + number % 12 - 1.5 * back
        spots = [
            {"height_cm": height + spot, "stage": "vegetative", "latitude": None, "longitude": None}
            for spot in range(5)
        ]
        scoutings.add_scouting(
            work,
            farm_id,
            field.id,
            {
                "scouted_on": today - timedelta(days=back),
                "cutting": 1,
                "grass_frac": None,
                "grass_ndf_frac": None,
                "note": None,
                **dict.fromkeys(scoutings.FLAGS, False),
            },
            spots,
        )
