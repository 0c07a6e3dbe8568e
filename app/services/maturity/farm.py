"""Every field of a farm today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from app.access.gate import access_farm
from app.access.work import Work
from app.planning.readings import Walk
from app.planning.timing import HeatDates, TimingRules, heat_dates
from app.records.farms import Farm
from app.records.fields import Field, Stand
from app.services import cutting_shares, farms
from app.services.heat import FarmHeat, farm_heat
from app.services.maturity.field import FieldMaturity, Made, make_field, outlook_of, yields_of
from app.services.maturity.rows import latest_walks, list_rows, standing_stands


@dataclass(frozen=True)
class FarmMaturity:
    """Every field of the farm today, in the order of the farm."""

    today: date
    fields: tuple[FieldMaturity, ...]
    heat: FarmHeat
    dates: HeatDates | None
    values: Mapping[str, float | str]

    def field(self, field_id: int) -> FieldMaturity:
        return next(field for field in self.fields if field.field_id == field_id)


def farm_maturity(work: Work, farm_id: int) -> FarmMaturity:
    """Every field today, from its stand, its latest scouting and the farm's heat."""
    farm = access_farm(work, farm_id)
    stands = standing_stands(work, farm_id)
    walks = latest_walks(work, farm_id, work.today(farm.time_zone), stands)
    return _put_together(work, farm, list_rows(work, farm_id), stands, walks)


def field_maturity(work: Work, farm: Farm, field: Field, stand: Stand | None, walk: Walk | None) -> FarmMaturity:
    """The same for one field whose rows are read already."""
    return _put_together(work, farm, [field], {field.id: stand} if stand else {}, {field.id: walk} if walk else {})


def _put_together(
    work: Work, farm: Farm, fields: Sequence[Field], stands: Mapping[int, Stand], walks: Mapping[int, Walk]
) -> FarmMaturity:
    today = work.today(farm.time_zone)
    found = farm_heat(work, farm.id)
    values = farms.values_of(work, farm.id)
    rules, ensemble = TimingRules.of(values), found.ensemble
    makes = [Made.of(field, stands.get(field.id), walks.get(field.id), rules) for field in fields]
    outlook = outlook_of(ensemble, makes, rules, values)
    dates = heat_dates(ensemble, rules) if ensemble else None
    shares = cutting_shares.own_shares(work, farm.id)
    yields = [yields_of(make.stand, values, farm.cuts_count, shares) for make in makes]
    return FarmMaturity(
        today,
        tuple(
            make_field(make, place, outlook, ensemble, dates, today, values, rules, yields[place])
            for place, make in enumerate(makes)
        ),
        found,
        dates,
        values,
    )
