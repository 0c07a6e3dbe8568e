"""How ripe every field is today and when it will be ready: scoutings, heat and the farm's own settings put together."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import median

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm
from app.access.work import Work
from app.agronomy.quality import ndf_rise_of_mixture, rfv_change
from app.planning.estimates import DateEstimate, Estimate, unknown
from app.planning.readings import (
    RFV_PER_NDF,
    Reading,
    Spot,
    Walk,
    height_to_start,
    read_crop,
    target_of_stand,
)
from app.planning.season_heat import HeatEnsemble
from app.planning.stands import StandOutlook, stand_outlook
from app.planning.timing import FieldReading, FieldsOutlook, HeatDates, TimingRules, fields_outlook, heat_dates
from app.records.fields import Field, Stand, StandCount
from app.records.scoutings import Scouting
from app.services import farms, weather
from app.services.fields import own_shares
from app.services.heat import FarmHeat, farm_heat
from app.services.stands import GRASSES, current_rows
from app.units.sentences import Sentence

HORIZON_D = 75
LOOK_BACK_D = 800
"""Readings noted longer ago belong to no season shown."""
NO_WEATHER = Sentence("No weather is on file, so nothing can be projected.")
NO_PAST_YEARS = Sentence("No complete past year of weather is on file, so dates ahead cannot be projected.")
NO_SCOUTING = Sentence("Not scouted yet this season.")
FIRST_CUTTING_ONLY = Sentence("Heat alone says something about first cutting only; scout the field.")
TRAIT_MOST_INDEX = 20.0


@dataclass(frozen=True)
class FieldMaturity:
    """One field today. Estimates carry their reason where they are not known."""

    field_id: int
    name: str
    area_ha: float
    stand: Stand | None
    grass_frac: float
    reading: Reading | None
    """The latest scouting of the season, as read on its day."""
    standing: Estimate
    """NDF standing today."""
    fed: Estimate
    """NDF as fed if cut today."""
    rfv: Estimate
    rfv_fed: Estimate
    trait_index: float
    """Points of feeding value practice credits to a reduced-lignin variety; NaN without the trait."""
    target_fed_frac: float
    ready_height_cm: float
    reached: DateEstimate
    """When NDF as fed reaches the target."""
    start: DateEstimate
    """When to start, so that the middle of harvest meets the target."""
    bud: DateEstimate
    first_flower: DateEstimate
    days: tuple[date, ...]
    fed_daily: tuple[float, ...]
    fed_low_daily: tuple[float, ...]
    fed_high_daily: tuple[float, ...]
    rests_on: str
    cautions: tuple[Sentence, ...]
    yields: StandOutlook
    status: str
    """One of: past, now, soon, later, incomplete, unknown."""

    @property
    def age_of(self) -> date | None:
        return self.reading.scouted_on if self.reading else None


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


@dataclass(frozen=True)
class MaturityBoard:
    """What the board says about when the crop is ready."""

    says: Sentence
    start: DateEstimate
    first: FieldMaturity | None
    last: FieldMaturity | None
    heat: Estimate
    ahead_d: float
    """Days the heat is ahead of the middle past year; behind is negative, NaN not known."""
    ahead_says: Sentence | None
    fields_count: int
    scouted_count: int
    as_of: date | None
    """Newest scouting, or, without one, newest day of weather."""
    notes: tuple[Sentence, ...]


def farm_maturity(work: Work, farm_id: int) -> FarmMaturity:
    """Every field today, from its stand, its latest scouting and the farm's heat."""
    farm = access_farm(work, farm_id)
    today = work.today(farm.time_zone)
    values = farms.values_of(work, farm_id)
    found = farm_heat(work, farm_id)
    fields = _fields(work, farm_id)
    stands = _standing_stands(work, farm_id)
    walks = _walks(work, farm_id, today, stands)
    rules = TimingRules.of(values)
    makes = [_Made.of(field, stands.get(field.id), walks.get(field.id), rules) for field in fields]
    outlook = _outlook(found.ensemble, makes, rules, values)
    dates = heat_dates(found.ensemble, rules) if found.ensemble else None
    shares = own_shares(work, farm_id)
    yields = [yields_of(make.stand, values, farm.cuts_count, shares) for make in makes]
    return FarmMaturity(
        today,
        tuple(
            _field(make, place, outlook, dates, today, values, rules, yields[place]) for place, make in enumerate(makes)
        ),
        found,
        dates,
        values,
    )


def projected_start(work: Work, farm_id: int) -> DateEstimate:
    """The start of first cutting: the middle of the days on which fields are ready to be started, with its range."""
    return start_of(farm_maturity(work, farm_id))


def start_of(maturity: FarmMaturity) -> DateEstimate:
    """The same from fields already put together."""
    starts = [field.start for field in maturity.fields if field.start.known]
    if not starts:
        return DateEstimate(None, reason=_why_no_start(maturity))

    def middle(days: list[date]) -> date:
        return date.fromordinal(round(median(day.toordinal() for day in days)))

    early = middle([each.earliest or each.on for each in starts])
    late = middle([each.latest or each.on for each in starts])
    reason = next((each.reason for each in starts if each.reason), None)
    return DateEstimate(middle([each.on for each in starts]), early, late, reason, starts[0].sources)


def maturity_board(work: Work, farm_id: int) -> MaturityBoard:
    """The board's sentence on when the crop is ready, with its figures."""
    return board_of(farm_maturity(work, farm_id))


def board_of(maturity: FarmMaturity) -> MaturityBoard:
    dated = sorted((field for field in maturity.fields if field.reached.known), key=lambda field: field.reached.on)
    start = start_of(maturity)
    first, last = (dated[0], dated[-1]) if dated else (None, None)
    total = maturity.heat.ensemble.observed_c_d if maturity.heat.ensemble else math.nan
    ahead_d = weather.days_ahead(maturity.heat)
    scouted = [field.reading.scouted_on for field in maturity.fields if field.reading]
    return MaturityBoard(
        _board_says(maturity, first, last, start),
        start,
        first,
        last,
        unknown("heat", NO_WEATHER) if math.isnan(total) else Estimate(total, "heat"),
        ahead_d,
        weather.ahead_sentence(ahead_d),
        len(maturity.fields),
        len(scouted),
        max(scouted, default=maturity.heat.last_observed_on),
        tuple(_board_notes(maturity)),
    )


def _why_no_start(maturity: FarmMaturity) -> Sentence:
    if not maturity.fields:
        return Sentence("No field is on file yet.")
    if maturity.heat.ensemble is None:
        return NO_WEATHER
    return next((field.reached.reason for field in maturity.fields if field.reached.reason), NO_SCOUTING)


def _board_says(
    maturity: FarmMaturity, first: FieldMaturity | None, last: FieldMaturity | None, start: DateEstimate
) -> Sentence:
    if first is None or last is None:
        return start.reason or NO_WEATHER
    passed = [field for field in maturity.fields if field.status == "past"]
    if passed:
        return Sentence(
            "{n} of {all} fields are at their target or past it; the last, {last}, reaches it on {day}.",
            n=len(passed),
            all=len(maturity.fields),
            last=last.name,
            day=last.reached.on,
        )
    if first is last:
        return Sentence("{first} reaches its target on {day}.", first=first.name, day=first.reached.on)
    return Sentence(
        "{first} first on {first_day}, {last} last on {last_day}.",
        first=first.name,
        first_day=first.reached.on,
        last=last.name,
        last_day=last.reached.on,
    )


def _board_notes(maturity: FarmMaturity):
    incomplete = [field.name for field in maturity.fields if field.status == "incomplete"]
    if incomplete:
        yield Sentence("Incomplete scouting: {names}.", names=", ".join(incomplete[:4]))
    by_heat = [field.name for field in maturity.fields if field.rests_on == "heat"]
    if by_heat:
        yield Sentence("{n} of {all} fields rest on heat alone.", n=len(by_heat), all=len(maturity.fields))


# ---- rows


def _fields(work: Work, farm_id: int) -> list[Field]:
    wanted = select(Field).where(Field.farm_id == farm_id, Field.removed_at.is_(None))
    return list(work.session.scalars(wanted.order_by(Field.position, Field.id)))


def _standing_stands(work: Work, farm_id: int) -> dict[int, Stand]:
    wanted = select(Stand).where(Stand.farm_id == farm_id, Stand.ended_on.is_(None)).order_by(Stand.id)
    both = (selectinload(Stand.species), selectinload(Stand.counts))
    return {stand.field_id: stand for stand in work.session.scalars(wanted.options(*both))}


def latest_count(stand: Stand | None) -> StandCount | None:
    """The newest count of a stand that stands."""
    rows = current_rows(list(stand.counts)) if stand else []
    return max(rows, key=lambda count: (count.counted_on, count.id), default=None)


def _walks(work: Work, farm_id: int, today: date, stands: Mapping[int, Stand]) -> dict[int, Walk]:
    """The latest walk through each field this season; grass sampled on an earlier walk is carried on."""
    names = (
        "id", "field_id", "scouted_on", "cutting", "grass_ndf_frac", "corrects_id", "is_withdrawn",
    )  # fmt: skip
    since = work.now() - timedelta(days=LOOK_BACK_D)
    wanted = select(*(getattr(Scouting, name) for name in names))
    rows = work.session.execute(wanted.where(Scouting.farm_id == farm_id, Scouting.noted_at >= since)).all()
    first = date(today.year, 1, 1)
    by_field: dict[int, list] = defaultdict(list)
    for row in sorted(current_rows(rows), key=lambda row: (row.scouted_on, row.id)):
        if first <= row.scouted_on <= today:
            by_field[row.field_id].append(row)
    latest = select(Scouting).where(Scouting.id.in_([rows[-1].id for rows in by_field.values()]))
    return {
        scouting.field_id: walk_of(scouting, stands.get(scouting.field_id), by_field[scouting.field_id])
        for scouting in work.session.scalars(latest.options(selectinload(Scouting.spots)))
    }


def walk_of(scouting: Scouting, stand: Stand | None, earlier: list[Scouting] = ()) -> Walk:  # type: ignore[assignment]
    """A scouting as the reading takes it: its own grass share, else the stand's; the latest sample of the grass."""
    grass = {each.species: each.share_frac for each in stand.species} if stand else {}
    share = scouting.grass_frac
    own_grass = math.fsum(part for species, part in grass.items() if species in GRASSES) if share is None else share
    clover = math.fsum(part for species, part in grass.items() if species not in GRASSES and species != "alfalfa")
    return Walk(
        scouting.scouted_on,
        tuple(Spot(spot.height_cm, spot.stage) for spot in scouting.spots),
        scouting.cutting,
        min(own_grass, 1.0),
        _grass_ndf(scouting, earlier),
        clover,
        scouting.is_frosted,
        scouting.is_lodged,
        scouting.is_dry,
        scouting.has_new_shoots,
    )


def _grass_ndf(scouting: Scouting, earlier: list[Scouting]) -> float:
    """NDF of the grass on the day: sampled then, or the last sample of this cutting carried on by its daily rise."""
    if scouting.grass_ndf_frac is not None:
        return scouting.grass_ndf_frac
    sampled = [row for row in earlier if row.grass_ndf_frac is not None and row.cutting == scouting.cutting]
    sampled = [row for row in sampled if (row.scouted_on, row.id) <= (scouting.scouted_on, scouting.id)]
    if not sampled:
        return math.nan
    days = (scouting.scouted_on - sampled[-1].scouted_on).days
    return min(sampled[-1].grass_ndf_frac + days * float(ndf_rise_of_mixture(1.0)), 0.80)


# ---- one field


@dataclass(frozen=True)
class _Made:
    """A field with what is known of it before heat comes in."""

    field: Field
    stand: Stand | None
    walk: Walk | None
    reading: Reading | None
    grass: float
    target: float

    @classmethod
    def of(cls, field: Field, stand: Stand | None, walk: Walk | None, rules: TimingRules) -> _Made:
        own = math.fsum(each.share_frac for each in stand.species if each.species in GRASSES) if stand else 0.0
        grass = min(walk.grass_frac if walk else own, 1.0)
        reading = read_crop(walk, error_frac=rules.scouting_sd_frac) if walk else None
        return cls(field, stand, walk, reading, grass, target_of_stand(grass, rules.target_fed_frac))

    def given(self, key: object, target: float) -> FieldReading:
        ndf = self.reading.ndf.value if self.reading else math.nan
        day = self.walk.scouted_on if self.walk else None
        return FieldReading(key, self.grass, day, ndf, target, self.walk.cutting if self.walk else 1)


def _outlook(
    ensemble: HeatEnsemble | None, makes: list[_Made], rules: TimingRules, values: Mapping[str, float | str]
) -> FieldsOutlook | None:
    """Every field twice: for its target, and for the value to start at so that the middle of harvest meets it."""
    if ensemble is None or not makes:
        return None
    days = float(values["sealing_d"])
    fields = [make.given((make.field.id, "target"), make.target) for make in makes]
    starts = [
        make.given((make.field.id, "start"), make.target - float(ndf_rise_of_mixture(make.grass)) * days / 2)
        for make in makes
    ]
    return fields_outlook(ensemble, [*fields, *starts], rules, horizon_d=HORIZON_D)


def _field(
    make: _Made,
    place: int,
    outlook: FieldsOutlook | None,
    dates: HeatDates | None,
    today: date,
    values: Mapping[str, float | str],
    rules: TimingRules,
    yields: StandOutlook,
) -> FieldMaturity:
    seen = _Seen.of(make, place, outlook, today, rules)
    rfv = _rfv_today(make.reading, seen.standing)
    allowance = float(values["allowance_rfv_index"])
    trait = make.stand is not None and make.stand.is_reduced_lignin
    first = make.walk is None or make.walk.cutting == 1
    no_dates = DateEstimate(None, reason=NO_WEATHER if dates is None else FIRST_CUTTING_ONLY)
    return FieldMaturity(
        make.field.id,
        make.field.name,
        make.field.area_ha,
        make.stand,
        make.grass,
        make.reading,
        seen.standing,
        _raised(seen.standing, rules.allowance_frac),
        rfv,
        _raised(rfv, -allowance),
        float(values["reduced_lignin_credit_index"]) if trait else math.nan,
        make.target,
        _ready_height(make, rules),
        seen.reached,
        seen.start,
        dates.bud if dates and first else no_dates,
        dates.first_flower if dates and first else no_dates,
        seen.days,
        seen.fed,
        seen.fed_low,
        seen.fed_high,
        seen.rests_on,
        tuple(_cautions(make, seen, today, rules)),
        yields,
        _status(make, seen, today),
    )


@dataclass(frozen=True)
class _Seen:
    """One field's part of the projection."""

    standing: Estimate
    reached: DateEstimate
    start: DateEstimate
    days: tuple[date, ...] = ()
    fed: tuple[float, ...] = ()
    fed_low: tuple[float, ...] = ()
    fed_high: tuple[float, ...] = ()
    rests_on: str = "none"
    reason: Sentence | None = None

    @classmethod
    def of(cls, make: _Made, place: int, outlook: FieldsOutlook | None, today: date, rules: TimingRules) -> _Seen:
        if outlook is None:
            return cls(
                _by_reading(make, NO_SCOUTING),
                DateEstimate(None, reason=NO_WEATHER),
                DateEstimate(None, reason=NO_WEATHER),
                rests_on="scouting" if make.reading and make.reading.ndf.known else "none",
            )
        rests_on, reason = outlook.rests_on[place], outlook.reasons[place]
        if rests_on == "none":
            reason = make.reading.ndf.reason if make.reading and make.reading.ndf.reason else reason
            return cls(unknown("ndf", reason), DateEstimate(None, reason=reason), DateEstimate(None, reason=reason),
                       rests_on="none", reason=reason)  # fmt: skip
        half = len(outlook.keys) // 2
        days = tuple(day.astype(object) for day in outlook.days)
        bands = (outlook.fed.middle, outlook.fed.low, outlook.fed.high)
        fed, low, high = (tuple(float(value) for value in band[place]) for band in bands)
        return cls(
            _standing_today(make, outlook, place, rests_on, reason, rules),
            outlook.reached[place],
            outlook.reached[half + place],
            days,
            fed,
            low,
            high,
            rests_on,
            reason,
        )


def _standing_today(
    make: _Made, outlook: FieldsOutlook, place: int, rests_on: str, reason: Sentence | None, rules: TimingRules
) -> Estimate:
    """NDF standing today with one standard deviation either side; the reading itself where heat cannot move it."""
    value = float(outlook.standing.middle[place, 0])
    if math.isnan(value):
        if rests_on == "heat":
            return unknown("ndf", reason if make.reading else Sentence(
                "Not scouted yet, and heat says nothing about NDF so early or so late."))  # fmt: skip
        return _by_reading(make, NO_SCOUTING)
    error = rules.heat_sd_frac if rests_on == "heat" else rules.scouting_sd_frac
    sources = make.reading.ndf.sources if make.reading and rests_on != "heat" else ("Kaatz2026", "Thomas2026")
    return Estimate(value, "ndf", value - error, value + error, reason, sources)


def _by_reading(make: _Made, otherwise: Sentence) -> Estimate:
    return make.reading.ndf if make.reading else unknown("ndf", otherwise)


def _raised(estimate: Estimate, by: float) -> Estimate:
    if not estimate.known:
        return estimate
    return replace(estimate, value=estimate.value + by, low=estimate.low + by, high=estimate.high + by)


def _rfv_today(reading: Reading | None, standing: Estimate) -> Estimate:
    """RFV as read, moved with NDF since."""
    if reading is None:
        return unknown("index", NO_SCOUTING)
    if not reading.rfv.known or not standing.known:
        return reading.rfv if not reading.rfv.known else unknown("index", standing.reason or NO_SCOUTING)
    moved = float(rfv_change(standing.value - reading.ndf.value))
    error = RFV_PER_NDF * (standing.high - standing.value)
    value = max(reading.rfv.value + moved, 20.0)
    return Estimate(value, "index", value - error, value + error, None, (*reading.rfv.sources, "IowaState2005"))


def _ready_height(make: _Made, rules: TimingRules) -> float:
    stage = make.reading.stage if make.reading else ""
    return height_to_start(make.grass, make.target, rules.allowance_frac, stage)


def _cautions(make: _Made, seen: _Seen, today: date, rules: TimingRules):
    if make.reading:
        yield from make.reading.cautions
        age = (today - make.reading.scouted_on).days
        if age > rules.scouting_holds_d:
            yield Sentence("The latest scouting is {n} days old, of {day}.", n=age, day=make.reading.scouted_on)
    if seen.reason:
        yield seen.reason
    stand = make.stand
    if stand is None:
        yield Sentence("No stand is described here; it is taken for pure alfalfa.")
    elif stand.seeded_on and stand.seeded_on.year == today.year:
        yield Sentence("Seeded this year: height, heat and stems are relations of established stands.")


def _status(make: _Made, seen: _Seen, today: date) -> str:
    if make.reading and make.reading.below_count:
        return "incomplete"
    if not seen.reached.known or seen.start.on is None:
        return "unknown"
    if seen.reached.on <= today:
        return "past"
    if seen.start.on <= today:
        return "now"
    return "soon" if seen.start.on <= today + timedelta(days=7) else "later"


def yields_of(
    stand: Stand | None, values: Mapping[str, float | str], cuts_count: int, shares: Mapping[int, float]
) -> StandOutlook:
    count = latest_count(stand)
    practice = values.get(f"first_cut_share_{cuts_count}_frac", math.nan)
    return stand_outlook(
        stems_per_m2=_or_nan(count.stems_per_m2 if count else None),
        root_score=_or_nan(count.root_score if count else None),
        own_yield_kg_ha=_or_nan(stand.season_yield_kg_ha if stand else None),
        farm_yield_kg_ha=float(values["season_yield_kg_ha"]),
        cuts_count=cuts_count,
        own_shares_frac=shares,
        practice_share_frac=float(practice),
    )


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value


def expected_first_cut(maturity: FarmMaturity) -> Estimate:
    """Dry matter first cutting is expected to bring, all fields together. [kg]"""
    parts = [(field.area_ha, field.yields.first_cut) for field in maturity.fields]
    if not parts:
        return unknown("mass_dm", Sentence("No field is on file yet."))
    if any(not each.known for _area, each in parts):
        return unknown("mass_dm", maturity.fields[0].yields.share_says)
    sums = [math.fsum(area * getattr(each, end) for area, each in parts) for end in ("value", "low", "high")]
    return Estimate(sums[0], "mass_dm", sums[1], sums[2], None, ("Blonde2018",))
