"""Past years of a station: means, and the order of wet and dry days."""

import csv
from pathlib import Path

import numpy as np
import pytest

from app.errors import OutOfRange
from app.weather.climate import (
    DAMAGING_RAIN_MM,
    HALF_MONTH_STARTS,
    counted_dry_runs_frac,
    daily_means,
    dry_run_frac,
    half_month,
    heat_by_year,
    wet_dry,
)
from app.weather.series import Years
from tests.builders.real_weather import years

with (Path(__file__).parent / "published" / "markov.csv").open() as page:
    MARKOV = list(csv.DictReader(page))
MAY_AND_JUNE = slice(8, 12)


def of_rain(*rows):
    rain = np.array(rows, float)
    return Years(np.arange(2000, 2000 + len(rain)), rain * 0 + 20, rain * 0 + 10, rain)


@pytest.mark.parametrize("row", MARKOV, ids=lambda row: f"{row['where']}, {row['run_d']} days")
def test_dry_runs_follow_the_chain_as_published(row):
    got = dry_run_frac(float(row["dry_frac"]), float(row["dry_after_dry_frac"]), int(row["run_d"]))
    assert float(got) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_a_run_shorter_than_a_day_or_a_percentage_is_refused_and_nan_passes():
    with pytest.raises(OutOfRange, match="run_d"):
        dry_run_frac(0.6, 0.7, 0)
    with pytest.raises(OutOfRange, match="dry_frac"):
        dry_run_frac(60.0, 0.7, 2)
    assert np.isnan(dry_run_frac(np.nan, 0.7, 2)) and dry_run_frac([0.6, 0.7], 0.8, 2).shape == (2,)


def test_half_months_begin_on_the_first_and_the_sixteenth():
    assert len(HALF_MONTH_STARTS) == 24 and HALF_MONTH_STARTS[:4].tolist() == [0, 15, 31, 46]
    assert half_month([364, 134, 135]).tolist() == [23, 8, 9]


def test_alternating_rain_is_counted_by_hand():
    row = np.tile([0.0, 5.0], 183)[:365]
    chain = wet_dry(of_rain(row))
    assert chain.dry_after_dry_frac[1] == 0 and chain.dry_after_wet_frac[1] == 1
    assert chain.dry_frac[0] == pytest.approx(8 / 15) and chain.days_count[0] == 15


def test_missing_days_are_not_counted_as_dry_and_empty_half_months_are_unknown():
    row = np.full(365, np.nan)
    row[:3] = [0, 0, 9]
    chain = wet_dry(of_rain(row))
    assert chain.dry_frac[0] == pytest.approx(2 / 3) and chain.dry_after_dry_frac[0] == pytest.approx(0.5)
    assert np.isnan(chain.dry_frac[5])


def test_a_wet_day_starts_at_a_hundredth_of_an_inch():
    row = np.full(365, 0.25)
    assert wet_dry(of_rain(row)).dry_frac[0] == 1 and wet_dry(of_rain(row + 0.01)).dry_frac[0] == 0


@pytest.mark.parametrize("name", ["champion", "brussels"])
@pytest.mark.parametrize("threshold_mm", [0.254, DAMAGING_RAIN_MM])
def test_the_chain_meets_the_runs_counted_on_real_weather_better_than_independence(name, threshold_mm):
    """Real series; independence is known to understate runs."""
    real = years(name)
    chain = wet_dry(real, threshold_mm=threshold_mm)
    errors = {"chain": [], "apart": []}
    for run_d in (2, 3, 4):
        counted = counted_dry_runs_frac(real, run_d, threshold_mm=threshold_mm)[MAY_AND_JUNE]
        errors["chain"].append(dry_run_frac(chain.dry_frac, chain.dry_after_dry_frac, run_d)[MAY_AND_JUNE] - counted)
        errors["apart"].append(chain.dry_frac[MAY_AND_JUNE] ** run_d - counted)
    spread = {kind: np.abs(np.concatenate(parts)).mean() for kind, parts in errors.items()}
    assert spread["chain"] < 0.03 and spread["chain"] < spread["apart"]
    assert np.concatenate(errors["apart"]).mean() < -0.01


def test_the_chain_keeps_the_share_of_dry_days():
    """A stationary chain: p = p * p(dry|dry) + (1 - p) * p(dry|wet), up to what enters from the half-month before."""
    chain = wet_dry(years("brussels"))
    again = chain.dry_frac * chain.dry_after_dry_frac + chain.wet_frac * chain.dry_after_wet_frac
    assert np.allclose(again, chain.dry_frac, atol=0.03)


def test_champion_is_drier_than_brussels_in_spring():
    """Yearly rain 414 and 841 mm as stated with the packages' series."""
    assert years("champion").precip_mm.sum(axis=1).mean() == pytest.approx(414, abs=5)
    assert years("brussels").precip_mm.sum(axis=1).mean() == pytest.approx(841, abs=5)
    dry = {name: wet_dry(years(name)).dry_frac[MAY_AND_JUNE].mean() for name in ("champion", "brussels")}
    assert dry["champion"] > dry["brussels"]


def test_means_are_smooth_run_over_new_year_and_keep_the_yearly_mean():
    means = daily_means(years("champion"))
    assert means.high_c.mean() == pytest.approx(years("champion").high_c.mean())
    assert abs(means.high_c[0] - means.high_c[-1]) < 1.5 and means.high_c[195] > 30 > means.high_c[15]
    with pytest.raises(OutOfRange, match="odd"):
        daily_means(years("champion"), window_d=10)


def test_heat_of_mean_temperatures_is_too_low():
    """Never take heat from means over years: the floor at zero makes it too small (two days of 36 and 50 F)."""
    real = years("champion")
    of_days = heat_by_year(real).mean(axis=0).sum()
    of_means = np.maximum(0, (real.high_c.mean(axis=0) + real.low_c.mean(axis=0)) / 2 - 5).sum()
    assert of_means < of_days
