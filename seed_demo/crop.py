"""How the invented crop stands on a day: height and stage grow with the invented heat."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta

from app.units.quantities import CM_PER_IN
from seed_demo.weather import Place, heat_total

IN_PER_F_D = 1 / 28.2
"""Judgement: what makes height and heat tell the same NDF by the published relations."""
AT_680_IN = 29.2
BUD_F_D, FLOWER_F_D = 700.0, 850.0


@dataclass(frozen=True)
class Crop:
    """One field's crop: `ahead` degree-days F before or behind the station, and the shares that grow there."""

    place: Place
    field: str
    ahead: float = 0.0
    grass_frac: float = 0.0

    def height_in(self, day: date, cut_on: date | None = None) -> float:
        """Tallest stem; after a cut it starts anew with the heat since."""
        if cut_on is not None and day > cut_on:
            return 1.5 + 20.0 * min(1.4, (heat_total(self.place, day) - heat_total(self.place, cut_on)) / 620.0)
        heat = heat_total(self.place, day) + self.ahead
        return AT_680_IN + (heat - 680) * IN_PER_F_D if heat > 250 else 1.5 + 12.5 * max(0.0, heat / 250) ** 1.1

    def stage(self, day: date, cut_on: date | None = None) -> str:
        heat = heat_total(self.place, day) + self.ahead
        if cut_on is not None and day > cut_on:
            heat -= heat_total(self.place, cut_on) + self.ahead - 80
        return "flower" if heat > FLOWER_F_D else "bud" if heat > BUD_F_D else "vegetative"

    def grass_ndf_frac(self, day: date, cut_on: date | None = None) -> float:
        """NDF of the grass: about a point a day in a late-May heat."""
        if cut_on is not None and day > cut_on:
            return min(0.62, 0.44 + 0.005 * (day - cut_on).days)
        heat = heat_total(self.place, day) + self.ahead
        return min(0.64, max(0.38, 0.40 + 0.0004 * (heat - 300)))

    def spots(self, day: date, count: int, cut_on: date | None = None) -> list[dict]:
        """What somebody walking the field reads at so many spots."""
        chance = random.Random(f"{self.field} {day}")
        height, stage = self.height_in(day, cut_on), self.stage(day, cut_on)
        early = self.stage(day + timedelta(days=3), cut_on)
        return [
            {
                "stage": early if chance.random() < 0.3 else stage,
                "height_cm": round(2 * max(1.5, height + chance.gauss(0.0, 0.8))) / 2 * CM_PER_IN,
            }
            for _spot in range(count)
        ]
