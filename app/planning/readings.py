"""What one scouting says of the standing crop: the mean of its spots' results, and every reason to doubt them.

Each spot is read by height and stage, then the results are averaged, never the heights. A spot below the published
table gives no value and leaves the field incomplete. With grass in the stand the height of the alfalfa gives the fibre
of the alfalfa only; a clipped sample gives that of the grass, and both are weighed by their shares.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from app.agronomy.maturity import FieldStage
from app.agronomy.quality import (
    READING_ERROR_FRAC,
    TABLE_CM,
    adf_of_height,
    height_of_ndf,
    ndf_of_height,
    ndf_of_mixture,
    rfv_of_height,
    start_height,
    stored_ndf_wanted,
)
from app.planning.estimates import Estimate, unknown
from app.units.sentences import Quantity, Sentence

PURE_UP_TO_GRASS_FRAC = 0.10
"""Up to a tenth of grass a stand counts as alfalfa, as it does for hay grades."""

RFV_PER_NDF = 570.0
"""RFV points in the whole of NDF along the height table: 5.7 for one point of NDF."""

FEWEST_SPOTS = 4
LATE_CUTTING = 3
STAGES = {"vegetative": FieldStage.VEGETATIVE, "bud": FieldStage.BUD, "flower": FieldStage.FLOWER}
ORDER = tuple(STAGES)


@dataclass(frozen=True)
class Spot:
    """Tallest stem and most mature stem of one spot."""

    height_cm: float
    stage: str


@dataclass(frozen=True)
class Walk:
    """One walk through a field. `grass_ndf_frac` NaN where the grass was not sampled."""

    scouted_on: date
    spots: tuple[Spot, ...]
    cutting: int = 1
    grass_frac: float = 0.0
    grass_ndf_frac: float = math.nan
    clover_frac: float = 0.0
    is_frosted: bool = False
    is_lodged: bool = False
    is_dry: bool = False
    has_new_shoots: bool = False


@dataclass(frozen=True)
class Reading:
    """What the walk says of the crop on that day. NDF, ADF and RFV are those of the crop as it stands."""

    scouted_on: date
    ndf: Estimate
    adf: Estimate
    rfv: Estimate
    height_cm: float
    stage: str
    spots_count: int
    below_count: int
    above_count: int
    grass_frac: float
    cautions: tuple[Sentence, ...]

    @property
    def is_complete(self) -> bool:
        return self.below_count == 0 and self.ndf.known

    @property
    def is_mixed(self) -> bool:
        return self.grass_frac > PURE_UP_TO_GRASS_FRAC


def read_crop(walk: Walk, *, error_frac: float = READING_ERROR_FRAC) -> Reading:
    """NDF, ADF and RFV of a walk with one standard deviation either side, and what speaks against them."""
    height = np.array([spot.height_cm for spot in walk.spots], float)
    stage = np.array([STAGES[spot.stage].value for spot in walk.spots], float)
    below, above = height < TABLE_CM[0] - 1e-6, height > TABLE_CM[1] + 1e-6
    alfalfa = _mean(ndf_of_height(height, stage))
    tallest = float(height.max()) if len(height) else math.nan
    return Reading(
        walk.scouted_on,
        _ndf(walk, alfalfa, error_frac, len(height), int(below.sum()), tallest),
        _pure_only(walk, _mean(adf_of_height(height, stage)), "percent", 0.53 / 0.69 * error_frac),
        _pure_only(walk, _mean(rfv_of_height(height, stage)), "index", RFV_PER_NDF * error_frac),
        tallest,
        max((spot.stage for spot in walk.spots), key=ORDER.index, default=""),
        len(height),
        int(below.sum()),
        int(above.sum()),
        walk.grass_frac,
        tuple(_cautions(walk, int(below.sum()), int(above.sum()), len(height))),
    )


def height_to_start(grass_frac: float, target_stored_frac: float, allowance_frac: float, stage: str) -> float:
    """Height of the tallest alfalfa stem at which a stand is ready: by its NDF, or in a mixture by the published point.

    In a mixture the height is that of alfalfa near by. [cm]
    """
    if grass_frac > PURE_UP_TO_GRASS_FRAC:
        return float(start_height(grass_frac))
    return float(height_of_ndf(target_stored_frac - allowance_frac, STAGES[stage or "vegetative"].value))


def target_of_stand(grass_frac: float, target_alfalfa_frac: float) -> float:
    """NDF wanted in store: the farm's figure for alfalfa, raised with grass as the published points rise."""
    return target_alfalfa_frac + float(stored_ndf_wanted(grass_frac)) - float(stored_ndf_wanted(0.0))


def _mean(values: np.ndarray) -> float:
    known = values[~np.isnan(values)]
    return float(known.mean()) if len(known) else math.nan


def _ndf(walk: Walk, alfalfa: float, error: float, count: int, below: int, tallest: float) -> Estimate:
    if math.isnan(alfalfa):
        why = Sentence(
            "The tallest stem is {height}; below {least} no value may be read.",
            height=Quantity(tallest, "height"),
            least=Quantity(TABLE_CM[0], "height"),
        )
        return unknown("ndf", why if count and below == count else Sentence("No spot was read."))
    if walk.grass_frac <= PURE_UP_TO_GRASS_FRAC and math.isnan(walk.grass_ndf_frac):
        return _about(alfalfa, "ndf", error, ("HintzAlbrecht1991", "WisconsinTable2021", "GrassForage2014"))
    if math.isnan(walk.grass_ndf_frac):
        why = Sentence(
            "{grass} of the stand is grass, whose NDF was not sampled. Start when alfalfa near by is {height} tall.",
            grass=Quantity(walk.grass_frac, "percent"),
            height=Quantity(float(start_height(walk.grass_frac)), "height"),
        )
        return unknown("ndf", why)
    mixed = float(ndf_of_mixture(alfalfa, walk.grass_ndf_frac, walk.grass_frac))
    return _about(mixed, "ndf", error, ("HintzAlbrecht1991", "WisconsinTable2021", "OhioState2024b"))


def _pure_only(walk: Walk, value: float, kind: str, error: float) -> Estimate:
    if walk.grass_frac > PURE_UP_TO_GRASS_FRAC:
        return unknown(kind, Sentence("Height and stage give this for alfalfa only, not for a mixture."))
    if math.isnan(value):
        return unknown(kind, Sentence("No spot is tall enough to be read."))
    return _about(value, kind, error, ("WisconsinTable2021",))


def _about(value: float, kind: str, error: float, sources: tuple[str, ...]) -> Estimate:
    return Estimate(value, kind, value - error, value + error, None, sources)


def _cautions(walk: Walk, below: int, above: int, count: int):
    low, high = (Quantity(edge, "height") for edge in TABLE_CM)
    if below:
        yield Sentence(
            "{n} of {count} spots are below {low}: no value may be read there, so this scouting is incomplete.",
            n=below,
            count=count,
            low=low,
        )
    if above:
        yield Sentence("{n} of {count} spots are above {high}, the end of the published table.",
                       n=above, count=count, high=high)  # fmt: skip
    if count < FEWEST_SPOTS:
        yield Sentence("Only {n} spots were read; four or five are needed for a field's mean.", n=count)
    if walk.grass_frac > PURE_UP_TO_GRASS_FRAC:
        yield Sentence(
            "{grass} of the stand is grass: height and stage read the alfalfa only, a clipped sample the grass.",
            grass=Quantity(walk.grass_frac, "percent"),
        )
    if walk.clover_frac > PURE_UP_TO_GRASS_FRAC:
        yield Sentence(
            "{share} of the stand is clover or another legume, for which height and stage were not tested.",
            share=Quantity(walk.clover_frac, "percent"),
        )
    if walk.cutting >= LATE_CUTTING:
        yield Sentence("From the third cutting on, height and stage are doubtful; one study found them of no use.")
    if walk.is_frosted:
        yield Sentence(
            "Frost on tall growth: heat reads NDF too high and height may mislead. Have a clipped sample tested."
        )
    if walk.is_lodged:
        yield Sentence("Lodged: height and stage do not hold. Have a clipped sample tested.")
    if walk.is_dry:
        yield Sentence("Short of water: heat adds up while the crop stands still, so projected dates come too early.")
    if walk.has_new_shoots:
        yield Sentence("New shoots at the crown: set the stubble above them, or regrowth is set back by up to a week.")
