"""One field today: what stands, what it will be when fed, and when it is ready."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.agronomy.quality import ndf_rise_of_mixture, rfv_change
from app.planning.estimates import DateEstimate, Estimate, unknown
from app.planning.readings import RFV_PER_NDF, Reading, Walk, height_to_start, read_crop, target_of_stand
from app.planning.season_heat import HeatEnsemble
from app.planning.stands import StandOutlook, stand_outlook
from app.planning.timing import FieldReading, FieldsOutlook, HeatDates, TimingRules, fields_outlook
from app.records.fields import Field, Stand
from app.services.maturity.rows import latest_count
from app.services.stands import GRASSES, species_of
from app.units.sentences import Sentence

PAST_D = 7
"""Days before today that a field's season is shown from."""
HORIZON_D = 75
NO_WEATHER = Sentence("No weather is on file, so nothing can be projected.")
NO_SCOUTING = Sentence("Not scouted yet this season.")
FIRST_CUTTING_ONLY = Sentence("Heat alone says something about first cutting only; scout the field.")


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
    def species(self) -> tuple[tuple[str, float], ...]:
        """(name, share) of what grows here, largest first."""
        return species_of(self.stand) if self.stand else ()


@dataclass(frozen=True)
class Made:
    """A field with what is known of it before heat comes in."""

    field: Field
    stand: Stand | None
    walk: Walk | None
    reading: Reading | None
    grass: float
    target: float

    @classmethod
    def of(cls, field: Field, stand: Stand | None, walk: Walk | None, rules: TimingRules) -> Made:
        own = math.fsum(each.share_frac for each in stand.species if each.species in GRASSES) if stand else 0.0
        grass = min(walk.grass_frac if walk else own, 1.0)
        reading = read_crop(walk, error_frac=rules.scouting_sd_frac) if walk else None
        return cls(field, stand, walk, reading, grass, target_of_stand(grass, rules.target_fed_frac))

    def given(self, key: object, target: float) -> FieldReading:
        ndf = self.reading.ndf.value if self.reading else math.nan
        day = self.walk.scouted_on if self.walk else None
        return FieldReading(key, self.grass, day, ndf, target, self.walk.cutting if self.walk else 1)


def outlook_of(
    ensemble: HeatEnsemble | None, makes: list[Made], rules: TimingRules, values: Mapping[str, float | str]
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


def make_field(
    make: Made,
    place: int,
    outlook: FieldsOutlook | None,
    ensemble: HeatEnsemble | None,
    dates: HeatDates | None,
    today: date,
    values: Mapping[str, float | str],
    rules: TimingRules,
    yields: StandOutlook,
) -> FieldMaturity:
    seen = _Seen.of(make, place, outlook, ensemble, rules)
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
        _bud(make.reading, dates.bud if dates and first else no_dates),
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
    def of(
        cls, make: Made, place: int, outlook: FieldsOutlook | None, ensemble: HeatEnsemble | None, rules: TimingRules
    ) -> _Seen:
        if outlook is None or ensemble is None:
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
        first = outlook.days[0].astype(object)
        before = tuple(first - timedelta(days=n) for n in range(PAST_D, 0, -1))
        days = (*before, *(day.astype(object) for day in outlook.days))
        bands = (outlook.fed.middle, outlook.fed.low, outlook.fed.high)
        fed, low, high = (tuple(float(value) for value in band[place]) for band in bands)
        fed = (*_fed_before(make, fed[0], ensemble, rests_on, rules), *fed)
        low, high = ((math.nan,) * PAST_D + band for band in (low, high))
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
    make: Made, outlook: FieldsOutlook, place: int, rests_on: str, reason: Sentence | None, rules: TimingRules
) -> Estimate:
    """NDF standing today with one standard deviation either side; the reading itself where heat cannot move it."""
    value = float(outlook.standing.middle[place, 0])
    if math.isnan(value):
        if rests_on == "heat":
            return unknown("ndf", reason if make.reading else Sentence(
                "Heat says nothing about NDF so early or so late in the season."))  # fmt: skip
        return _by_reading(make, NO_SCOUTING)
    error = rules.heat_sd_frac if rests_on == "heat" else rules.scouting_sd_frac
    sources = make.reading.ndf.sources if make.reading and rests_on != "heat" else ("Kaatz2026", "Thomas2026")
    return Estimate(value, "ndf", value - error, value + error, reason, sources)


def _fed_before(
    make: Made, fed_today: float, ensemble: HeatEnsemble, rests_on: str, rules: TimingRules
) -> tuple[float, ...]:
    """NDF as fed on the days just gone, by the same rates backwards from today; NaN where heat alone speaks."""
    index = ensemble.today_index
    if not rests_on.endswith("scouting") or index < PAST_D or math.isnan(fed_today):
        return (math.nan,) * PAST_D
    total = ensemble.total_c_d[0]
    return tuple(
        fed_today
        - (1 - make.grass) * rules.ndf_rate_per_c_d * float(total[index] - total[index - n])
        - make.grass * rules.grass_rise_frac_d * n
        for n in range(PAST_D, 0, -1)
    )


def _by_reading(make: Made, otherwise: Sentence) -> Estimate:
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


def _bud(reading: Reading | None, projected: DateEstimate) -> DateEstimate:
    """Buds that were seen are no longer projected."""
    if reading is None or reading.stage in ("", "vegetative"):
        return projected
    return DateEstimate(None, reason=Sentence("Buds were seen on {day}.", day=reading.scouted_on))


def _ready_height(make: Made, rules: TimingRules) -> float:
    stage = make.reading.stage if make.reading else ""
    return height_to_start(make.grass, make.target, rules.allowance_frac, stage)


def _cautions(make: Made, seen: _Seen, today: date, rules: TimingRules):
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


def _status(make: Made, seen: _Seen, today: date) -> str:
    if make.reading and make.reading.below_count:
        return "incomplete"
    if not seen.reached.known or seen.start.on is None:
        return "unknown"
    if seen.reached.on is not None and seen.reached.on <= today:
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
        root_index=_or_nan(count.root_score if count else None),
        own_yield_kg_ha=_or_nan(stand.season_yield_kg_ha if stand else None),
        farm_yield_kg_ha=float(values["season_yield_kg_ha"]),
        cuts_count=cuts_count,
        own_shares_frac=shares,
        practice_share_frac=float(practice),
    )


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value
