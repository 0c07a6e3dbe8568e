"""Fields, their stands, stem counts and scoutings, as the agronomist walks them."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

from app.access.work import Work
from app.services import fields, scoutings, stands
from app.units.quantities import HA_PER_ACRE, KG_HA_PER_TON_ACRE, KM_PER_MILE, PER_M2_PER_FT2
from seed_demo.crop import Crop
from seed_demo.story import Story

GRASSES = ("orchardgrass", "timothy", "tall_fescue", "meadow_fescue", "bromegrass", "reed_canarygrass", "ryegrass")
FIRST_WALK_IN = 6.0
"""Height from which a field is worth walking."""


@dataclass(frozen=True)
class Ground:
    """One field. `age` counts years since seeding; `ahead` degree-days F it runs before the station."""

    name: str
    acres: float
    age: int
    stems_ft2: float
    ahead: float = 0.0
    shares: dict[str, float] = field(default_factory=lambda: {"alfalfa": 1.0})
    haul_miles: float = 1.0
    root_score: float = 1.2
    drainage: str | None = None
    reduced_lignin: bool = False
    own_tons: float | None = None
    """The farm's own record of the season, tons of dry matter an acre."""
    cut_day: int = 0
    """Days after the start on which it is cut."""
    note: str | None = None

    @property
    def grass_frac(self) -> float:
        return sum(share for species, share in self.shares.items() if species in GRASSES)


def tell_grounds(story: Story, grounds: list[Ground]) -> None:
    for place, ground in enumerate(grounds):
        _tell_field(story, ground, place)
        _tell_stand(story, ground)
        _tell_counts(story, ground)
        _tell_walks(story, ground, place)


def _tell_field(story: Story, ground: Ground, place: int) -> None:
    values = {
        "name": ground.name,
        "area_ha": ground.acres * HA_PER_ACRE,
        "haul_km": ground.haul_miles * KM_PER_MILE,
        "drainage_note": ground.drainage,
    }
    story.on(
        story.begun_on,
        "agronomist",
        lambda work: story.keep(ground.name, fields.add_field(work, story.farm_id, values)),
        10 + place / 20,
    )


def _tell_stand(story: Story, ground: Ground) -> None:
    """What grows there; where it was seeded since the farm was set up, the stand before it as well."""
    seeded = date(story.year - ground.age, 4, 22 + len(ground.name) % 7)
    if seeded.year <= story.begun_on.year:
        told = max(seeded, story.begun_on)
        _add_stand(story, ground, told, seeded, ground.shares, ground.reduced_lignin, ground.note)
        return
    old = {"alfalfa": 0.8, "orchardgrass": 0.2}
    _add_stand(story, ground, story.begun_on, date(seeded.year - 7, 4, 28), old, False, "Thinning; to be rotated.")

    def end(work: Work) -> None:
        stands.end_stand(work, story.farm_id, story.ids[f"stand {ground.name}"], date(seeded.year - 1, 9, 12))

    story.on(date(seeded.year - 1, 9, 14), "agronomist", end)
    _add_stand(story, ground, seeded, seeded, ground.shares, ground.reduced_lignin, ground.note)


def _add_stand(
    story: Story, ground: Ground, on: date, seeded: date, shares: dict, reduced: bool, note: str | None
) -> None:
    values = {
        "seeded_on": seeded,
        "is_reduced_lignin": reduced,
        "note": note,
        "season_yield_kg_ha": None if ground.own_tons is None else ground.own_tons * KG_HA_PER_TON_ACRE,
        **{f"share_{species}": share for species, share in shares.items()},
    }

    def add(work: Work) -> None:
        row = stands.add_stand(work, story.farm_id, story.ids[ground.name], values)
        story.keep(f"stand {ground.name}", row)

    story.on(on, "agronomist", add, 11.5 if on == story.begun_on else 15)


def _tell_counts(story: Story, ground: Ground) -> None:
    """Stems each spring when the crop stands at a hand's height, roots every fall."""
    for back, year in enumerate(reversed(story.years)):
        if story.year - ground.age >= year:
            continue
        spring = {
            "counted_on": date(year, 4, 24),
            "stems_per_m2": round(ground.stems_ft2 * (1 + 0.06 * back)) * PER_M2_PER_FT2,
            "spots_count": 5,
        }
        fall = {
            "counted_on": date(year, 10, 20),
            "root_score": max(0.0, round(ground.root_score - 0.2 * back, 1)),
            "spots_count": 10,
            "note": "Ten plants dug and split.",
        }
        for values in (spring, fall):
            story.on(values["counted_on"], "agronomist", lambda work, v=values: _count(story, ground, work, v), 13)


def _count(story: Story, ground: Ground, work: Work, values: dict) -> None:
    stands.add_count(work, story.farm_id, story.ids[f"stand {ground.name}"], values)


def _tell_walks(story: Story, ground: Ground, place: int) -> None:
    crop = Crop(story.place, ground.name, ground.ahead, ground.grass_frac)
    for year in story.years:
        if year == story.year - ground.age:
            continue
        cut_on = story.first_cut(year) + timedelta(days=ground.cut_day)
        for day in _walk_days(story, year, cut_on):
            second = day > cut_on
            if crop.height_in(day, cut_on) < FIRST_WALK_IN or (year < story.year and second):
                continue
            _tell_walk(story, ground, crop, day, cut_on, place)
    _tell_slip(story, ground, place)


def _walk_days(story: Story, year: int, cut_on: date) -> list[date]:
    """Mondays and Thursdays this year, Mondays in the years before; not right before or after the cut."""
    first = date(year, 4, 12) if year == story.year else date(year, 5, 1)
    days = [first + timedelta(days=number) for number in range(110)]
    wanted = (0, 3) if year == story.year else (0,)
    days = [day for day in days if day.weekday() in wanted and not cut_on <= day < cut_on + timedelta(days=15)]
    return [day for day in days if day < cut_on + timedelta(days=30)]


def _tell_walk(story: Story, ground: Ground, crop: Crop, day: date, cut_on: date, place: int) -> None:
    chance = random.Random(f"walk {ground.name} {day}")
    values = {
        "scouted_on": day,
        "cutting": 2 if day > cut_on else 1,
        "is_frosted": False,
        "is_lodged": False,
        "is_dry": False,
        "has_new_shoots": day > cut_on - timedelta(days=4) and chance.random() < 0.4,
    }
    if ground.grass_frac > 0.1 and crop.height_in(day, cut_on) > 9:
        values |= {"grass_frac": round(ground.grass_frac + chance.choice((-0.02, 0, 0, 0.03)), 2)}
        values |= {"grass_ndf_frac": round(crop.grass_ndf_frac(day, cut_on), 3)} if day.weekday() == 0 else {}
    who = "consultant" if day.weekday() == 3 and place % 5 == 4 else "agronomist"
    spots = crop.spots(day, 5 if ground.acres < 90 else 7, cut_on)

    def walk(work: Work) -> None:
        row = scoutings.add_scouting(work, story.farm_id, story.ids[ground.name], values, spots)
        story.keep(f"walk {ground.name}", row)

    story.on(day, who, walk, 6.6 + place * 0.28)


def _tell_slip(story: Story, ground: Ground, place: int) -> None:
    """One reading of last year was typed wrongly and put right the same evening."""
    if place != 1:
        return
    day = date(story.year - 1, 5, 1)
    day += timedelta(days=(7 - day.weekday()) % 7)
    if day >= story.first_cut(day.year):
        return

    def mend(work: Work) -> None:
        number = story.ids[f"walk {ground.name}"]
        wrong = scoutings.latest_reading(work, story.farm_id, number)
        spots = scoutings.spot_values(wrong)
        spots[0] |= {"height_cm": spots[0]["height_cm"] + 2.54}
        scoutings.correct_scouting(
            work, story.farm_id, number, scoutings.scouting_values(wrong) | {"note": "First spot read again."}, spots
        )

    story.on(day, "agronomist", mend, 18)
