"""One farm's story: who is there, what was made so far, and the days everything hangs on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from app.access.work import Work
from seed_demo.cast import Person
from seed_demo.diary import Diary
from seed_demo.weather import Place, day_of_heat, is_dry

CUTTINGS_APART_D = (0, 31, 63, 97)
FILLING_D = 3


@dataclass
class Story:
    """What the parts of a farm's story share. `ids` keeps what was made by name; it is filled while the diary runs."""

    farm_id: int
    year: int
    place: Place
    people: dict[str, Person]
    diary: Diary
    start_f_d: float = 690.0
    """Degree-days F at which this farm starts."""
    ids: dict[str, int] = field(default_factory=dict)

    @property
    def today(self) -> date:
        return self.diary.today

    @property
    def years(self) -> tuple[int, int, int]:
        return self.year - 2, self.year - 1, self.year

    @property
    def begun_on(self) -> date:
        """The day the farm was set up."""
        return date(self.year - 2, 3, 1)

    def on(self, day: date, who: str, act: Callable[[Work], Any], hour: float = 9.0) -> None:
        self.diary.on(day, self.people[who], act, hour)

    def keep(self, name: str, row: Any) -> None:
        self.ids[name] = row.id

    def first_cut(self, year: int) -> date:
        """The day first cutting starts that year: when the heat is there and two dry days follow."""
        ready = day_of_heat(self.place, year, self.start_f_d)
        days = (ready + timedelta(days=number) for number in range(6))
        return next((d for d in days if is_dry(self.place, d) and is_dry(self.place, d + timedelta(days=1))), ready)

    def cut(self, year: int, cutting: int) -> date:
        return self.first_cut(year) + timedelta(days=CUTTINGS_APART_D[cutting - 1])

    def sealed(self, year: int, cutting: int) -> date:
        return self.cut(year, cutting) + timedelta(days=FILLING_D)


def day_in(year: int, month: int, day: int) -> date:
    return date(year, month, day)
