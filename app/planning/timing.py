"""When each field carries the NDF wanted: the latest scouting, moved by heat, over every member of the ensemble.

NDF at the end of a day = reading + rate x heat since the end of the scouting day. Grass in a mixture rises by the day,
so the alfalfa part moves with heat and the grass part with the calendar (component rule, which meets the published
operating points). Where nobody scouted for ten days the published relation of heat and NDF takes over, for stands of
alfalfa only. The error of the reading is spread over each member, so a range holds both it and the weather.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from app.agronomy.maturity import (
    HEAT_RELATION_C_D,
    NDF_OF_HEAT_ERROR_FRAC,
    POINTS_C_D,
    THRESHOLDS,
    heat_of_ndf,
    ndf_of_heat,
)
from app.agronomy.quality import (
    NDF_ALLOWANCE_FRAC,
    NDF_PER_F_D_PCT,
    READING_ERROR_FRAC,
    ndf_rise_of_mixture,
    stored_ndf_wanted,
)
from app.errors import OutOfRange
from app.planning.estimates import Estimate
from app.planning.season_heat import (
    HIGH,
    LOW,
    MIDDLE,
    HeatEnsemble,
    ProjectedDate,
    calendar_day,
    calendar_index,
    date_of_total,
    projected_date,
    quantiles,
)
from app.units.quantities import F_D_PER_C_D
from app.units.ranges import Figures, fraction, within
from app.units.sentences import Sentence

ERROR_NODES = np.array([NormalDist().inv_cdf((k + 0.5) / 9) for k in range(9)])
"""Nine equally likely errors in standard deviations: the error of a reading, spread over each member."""

MOST_HEAT_C_D = 3000.0
"""Beyond this total the relation is not asked; it ends far below."""

LOOK_BACK_D = 14
"""A target already passed when scouted is dated at most this long before (judgement)."""

Z_8_IN_10 = NormalDist().inv_cdf(HIGH)


@dataclass(frozen=True)
class TimingRules:
    """What a farm may set. Heat totals in C d (a degree-day F is 1/1.8 of one)."""

    bud_c_d: float = THRESHOLDS["bud"].heat_c_d
    first_flower_c_d: float = 800 / F_D_PER_C_D
    ndf_points_c_d: tuple[float, float, float] = POINTS_C_D
    target_fed_frac: float = float(stored_ndf_wanted(0.0))
    ndf_rate_per_c_d: float = NDF_PER_F_D_PCT / 100 * F_D_PER_C_D
    grass_rise_frac_d: float = float(ndf_rise_of_mixture(1.0))
    allowance_frac: float = NDF_ALLOWANCE_FRAC
    scouting_sd_frac: float = READING_ERROR_FRAC
    heat_sd_frac: float = NDF_OF_HEAT_ERROR_FRAC
    scouting_holds_d: int = 10
    alfalfa_up_to_grass_frac: float = 0.10

    @property
    def target_c_d(self) -> float:
        """The total at which alfalfa standing has the NDF wanted, by the published relation of heat and NDF."""
        return float(heat_of_ndf(self.target_fed_frac - self.allowance_frac, points_c_d=self.ndf_points_c_d))

    @classmethod
    def of(cls, values: Mapping[str, float | str]) -> TimingRules:
        """The rules a farm's assumptions make."""
        return cls(
            bud_c_d=float(values["bud_heat_c_d"]),
            first_flower_c_d=float(values["first_flower_heat_c_d"]),
            ndf_points_c_d=(
                float(values["ndf38_heat_c_d"]),
                float(values["ndf40_heat_c_d"]),
                float(values["ndf45_heat_c_d"]),
            ),
            target_fed_frac=float(values["target_stored_ndf_frac"]),
            ndf_rate_per_c_d=float(values["ndf_rate_per_c_d"]),
            allowance_frac=float(values["allowance_ndf_frac"]),
            scouting_sd_frac=float(values["scouting_error_frac"]),
            heat_sd_frac=float(values["heat_error_frac"]),
            scouting_holds_d=int(values["scouting_age_d"]),
        )


@dataclass(frozen=True)
class FieldReading:
    """What is known of one field: its latest scouting (mean of its spots' results) and what it is cut for.

    `ndf_frac` is NaN where the field was never scouted. `target_fed_frac` None takes the farm's target, raised for the
    grass as the published points are.
    `cutting` counts from 1; heat alone speaks of the first only.
    """

    key: Hashable
    grass_frac: float = 0.0
    scouted_on: date | None = None
    ndf_frac: float = float("nan")
    target_fed_frac: float | None = None
    cutting: int = 1


@dataclass(frozen=True, eq=False)
class Band:
    """Median and the range in which 8 of 10 cases fall, shape (fields, days)."""

    middle: Figures
    low: Figures
    high: Figures


@dataclass(frozen=True, eq=False)
class FieldsOutlook:
    """Every field over the days of a horizon, in the order the fields were given.

    Attributes
    ----------
    days : shape (days,) datetime64[D]; values are those at the end of each day
    standing, fed : NDF of the crop as it stands, and as fed after harvest and storage; NaN where nothing can be said
    by_member_frac : NDF standing by field, member and day; the median case of the reading
    rests_on : "scouting", "old-scouting", "heat" or "none" for each field
    reached : the day on which NDF as fed reaches the field's target
    reasons : why a field has no value or a weaker one, None where all is well
    """

    keys: tuple[Hashable, ...]
    days: NDArray[np.datetime64]
    standing: Band
    fed: Band
    by_member_frac: Figures
    target_fed_frac: Figures
    rests_on: tuple[str, ...]
    reached: tuple[ProjectedDate, ...]
    reasons: tuple[Sentence | None, ...]

    def fed_on(self, key: Hashable, day: date) -> Estimate:
        """NDF as fed of one field, cut at the end of a day of the horizon."""
        f = self.keys.index(key)
        d = int((np.datetime64(day) - self.days[0]).astype(int))
        if not 0 <= d < len(self.days):
            raise OutOfRange(f"day must lie within {self.days[0]} to {self.days[-1]}; it was {day}")
        parts = (float(band[f, d]) for band in (self.fed.middle, self.fed.low, self.fed.high))
        middle, low, high = parts
        return Estimate(middle, "ndf", low, high, self.reasons[f])


@dataclass(frozen=True)
class HeatDates:
    """The days on which the farm's three heat totals are reached."""

    bud: ProjectedDate
    first_flower: ProjectedDate
    target: ProjectedDate


def heat_dates(ensemble: HeatEnsemble, rules: TimingRules = TimingRules()) -> HeatDates:
    """Days of bud, first flower and the target total by heat alone."""
    return HeatDates(
        date_of_total(ensemble, rules.bud_c_d),
        date_of_total(ensemble, rules.first_flower_c_d),
        date_of_total(ensemble, rules.target_c_d),
    )


def fields_outlook(
    ensemble: HeatEnsemble, fields: Sequence[FieldReading], rules: TimingRules = TimingRules(), *, horizon_d: int = 120
) -> FieldsOutlook:
    """NDF of every field over the horizon and the day its target is reached.

    Parameters
    ----------
    ensemble : HeatEnsemble
        The season's heat, from `heat_ensemble`.
    fields : sequence of FieldReading
        Latest scouting of each field.
    rules : TimingRules
        The farm's rates, errors and allowance.
    horizon_d : int
        Days from today, cut off at the end of the year. [d]

    Returns
    -------
    FieldsOutlook
    """
    within("horizon_d", horizon_d, (1, 365), "d")
    given = _Given.of(ensemble, fields, rules)
    today = ensemble.today_index
    stop = min(today + horizon_d, 365)
    ndf = _ndf_by_member(ensemble, given, rules)
    ahead = ndf[:, :, today:stop]
    standing = _band(ahead, given, ensemble.total_c_d[:, today:stop])
    fed = Band(*(part + rules.allowance_frac for part in (standing.middle, standing.low, standing.high)))
    days = np.array([np.datetime64(calendar_day(i, ensemble.year)) for i in range(today, stop)])
    return FieldsOutlook(
        tuple(one.key for one in fields),
        days,
        standing,
        fed,
        ahead,
        given.target_fed,
        tuple(given.rests_on),
        _reached(ensemble, ndf, given, rules),
        tuple(given.reasons),
    )


@dataclass(frozen=True, eq=False)
class _Given:
    """The fields as arrays, shape (fields,)."""

    ndf: Figures
    scouted: NDArray[np.int64]
    grass: Figures
    target_fed: Figures
    sd: Figures
    rests_on: list[str]
    reasons: list[Sentence | None]

    @property
    def by_heat(self) -> NDArray[np.bool_]:
        return np.array([what == "heat" for what in self.rests_on], bool)

    @classmethod
    def of(cls, ensemble: HeatEnsemble, fields: Sequence[FieldReading], rules: TimingRules) -> _Given:
        grass = fraction("grass_frac", [one.grass_frac for one in fields])
        ndf = within("ndf_frac", [one.ndf_frac for one in fields], (0.15, 0.80), "(a fraction: 40 % is 0.40)")
        wanted = rules.target_fed_frac + stored_ndf_wanted(grass) - stored_ndf_wanted(0.0)
        own = [np.nan if one.target_fed_frac is None else one.target_fed_frac for one in fields]
        target = within("target_fed_frac", own, (0.25, 0.70), "(a fraction: 40 % is 0.40)")
        rests_on, reasons = [], []
        for one in fields:
            what, reason = _rests_on(one, ensemble, rules)
            rests_on.append(what)
            reasons.append(reason)
        scouted = [calendar_index(one.scouted_on) if what.endswith("scouting") and one.scouted_on else 0
                   for one, what in zip(fields, rests_on, strict=True)]  # fmt: skip
        sd = [rules.scouting_sd_frac if what == "scouting" else rules.heat_sd_frac for what in rests_on]
        return cls(
            ndf,
            np.array(scouted, int),
            grass,
            np.where(np.isnan(target), wanted, target),
            np.array(sd, float),
            rests_on,
            reasons,
        )


def _rests_on(one: FieldReading, ensemble: HeatEnsemble, rules: TimingRules) -> tuple[str, Sentence | None]:
    """What a field's NDF rests on, and the sentence that says so where it is not a fresh scouting."""
    scouted = one.scouted_on if one.scouted_on is not None and not np.isnan(one.ndf_frac) else None
    if scouted is not None and scouted > ensemble.today:
        raise OutOfRange(f"scouted_on must not lie after today, {ensemble.today}; it was {scouted}")
    if scouted is not None and scouted.year != ensemble.year:
        scouted = None
    mixed = one.grass_frac > rules.alfalfa_up_to_grass_frac
    if scouted is not None and ensemble.today - scouted <= timedelta(days=rules.scouting_holds_d):
        return "scouting", None
    if scouted is not None and mixed:
        return "old-scouting", Sentence(
            "The latest scouting is of {day}; heat alone says nothing about a mixed stand, so it is carried on.",
            day=scouted,
        )
    if one.cutting > 1:
        return "none", Sentence("No scouting in ten days, and heat alone speaks of the first cutting only.")
    if mixed:
        return "none", Sentence("Not scouted yet, and heat alone says nothing about a mixed stand.")
    if scouted is not None:
        return "heat", Sentence("No scouting since {day}; NDF is taken from heat alone.", day=scouted)
    return "heat", Sentence("Not scouted yet; NDF is taken from heat alone.")


def _ndf_by_member(ensemble: HeatEnsemble, given: _Given, rules: TimingRules) -> Figures:
    """NDF standing at the end of each day, shape (fields, members, 365)."""
    total = ensemble.total_c_d
    since = total[None, :, :] - total[:, given.scouted].T[:, :, None]
    alfalfa = ((1 - given.grass) * rules.ndf_rate_per_c_d)[:, None, None]
    ndf = alfalfa * since
    days = np.arange(365)[None, :] - given.scouted[:, None]
    ndf += (given.ndf[:, None] + (given.grass * rules.grass_rise_frac_d)[:, None] * days)[:, None, :]
    if given.by_heat.any():
        ndf[given.by_heat] = ndf_of_heat(np.minimum(total, MOST_HEAT_C_D), points_c_d=rules.ndf_points_c_d)
    ndf[[what == "none" for what in given.rests_on]] = np.nan
    return ndf


def _band(ahead: Figures, given: _Given, total: Figures) -> Band:
    """Median and range by day: the spread of the members and the error of the reading, added as squares."""
    low, middle, high = quantiles(np.moveaxis(ahead, 1, 0), (LOW, MIDDLE, HIGH))
    error = Z_8_IN_10 * given.sd[:, None]
    usual = quantiles(total, (MIDDLE,))[0]
    outside = (usual < HEAT_RELATION_C_D[0] - 1e-9) | (usual > HEAT_RELATION_C_D[1] + 1e-9)
    silent = given.by_heat[:, None] & outside[None, :]
    return Band(
        np.where(silent, np.nan, middle),
        np.where(silent, np.nan, middle - np.hypot(middle - low, error)),
        np.where(silent, np.nan, middle + np.hypot(high - middle, error)),
    )


def _reached(ensemble: HeatEnsemble, ndf: Figures, given: _Given, rules: TimingRules) -> tuple[ProjectedDate, ...]:
    """The day each field reaches its target, over members and errors of the reading."""
    wanted = (given.target_fed - rules.allowance_frac)[:, None] - given.sd[:, None] * ERROR_NODES
    index = np.empty((*ndf.shape[:2], len(ERROR_NODES)))
    for f in range(len(ndf)):
        for m in range(ndf.shape[1]):
            index[f, m] = np.searchsorted(ndf[f, m], wanted[f] - 1e-12)
    known_to = np.sum(~np.isnan(ndf), axis=2)[:, :, None]
    index = np.where(index >= known_to, np.inf, index)
    return tuple(_field_date(ensemble, index[f], given, f) for f in range(len(ndf)))


def _field_date(ensemble: HeatEnsemble, index: Figures, given: _Given, f: int) -> ProjectedDate:
    if given.rests_on[f] == "none":
        return ProjectedDate(None, reason=given.reasons[f])
    if not given.rests_on[f].endswith("scouting"):
        return projected_date(ensemble, index)
    scouted = int(given.scouted[f])
    found = projected_date(ensemble, np.maximum(index, max(scouted - LOOK_BACK_D, 0)))
    if found.on is not None and calendar_index(found.on) <= scouted:
        day = calendar_day(scouted, ensemble.year)
        return replace(found, notes=(*found.notes, Sentence("Already reached when scouted on {day}.", day=day)))
    return found
