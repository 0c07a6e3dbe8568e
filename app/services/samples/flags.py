"""What in a lot's report asks for care before it is fed, and who decides."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from app.agronomy.ash import AshBand, ash_band
from app.ensiling.safety import critical_ph
from app.nutrition.lots import FERMENTATION, butyric_limit, fermentation_flags, nitrate_band
from app.units.sentences import Quantity, Sentence

BOUND_PROTEIN_FRAC = 0.10
"""Heat-bound share of protein above which heating is suspected, from memory."""
BUTYRIC_FRAC = 0.005
VETERINARIAN = Sentence("A veterinarian or nutritionist decides.")
NUTRITIONIST = Sentence("The nutritionist decides.")
NITRATE_CAUTION = Sentence(
    "Nitrate can kill cattle within hours. Test again before feeding, mix feed well, and call a veterinarian at once "
    "when animals breathe hard, stagger or have brown gums. Fresh silage that was high also gives off silo gas."
)
BUTYRIC_CAUTION = Sentence(
    "Butyric silage brings ketosis: none of it to cows around calving. It may also hold other products of spoilage; "
    "look for mould and rotten layers and throw those away."
)


@dataclass(frozen=True)
class Flag:
    """Something to decide: what the report says, the caution that goes with it, who decides, and the sources."""

    key: str
    says: Sentence
    decides: Sentence
    caution: Sentence | None = None
    sources: tuple[str, ...] = ()


def flags_of(means: Mapping[str, float], highest: Mapping[str, float], grass_frac: float = 0.0) -> tuple[Flag, ...]:
    """Flags of a lot. For nitrate and butyric acid the highest single result counts, not the mean."""

    def mean(code: str) -> float:
        return means.get(code, math.nan)

    return (
        *_nitrate(highest.get("NO3N", math.nan)),
        *_butyric(highest.get("BUT", math.nan)),
        *_fermentation(means, highest),
        *_acidity(mean("DM"), mean("PH")),
        *_ash(mean("ASH"), grass_frac),
        *_heating(mean("ADICP"), mean("CP")),
    )


def _nitrate(nitrate_n_ppm: float) -> Iterator[Flag]:
    if nitrate_n_ppm >= 1000:
        says = Sentence(
            "Nitrate-N {value} of dry matter. {advice}",
            value=Quantity(nitrate_n_ppm, "ppm"), advice=nitrate_band(nitrate_n_ppm).advice,
        )  # fmt: skip
        yield Flag("nitrate", says, VETERINARIAN, NITRATE_CAUTION, ("Clemson2026",))


def _butyric(butyric_frac: float) -> Iterator[Flag]:
    if butyric_frac >= BUTYRIC_FRAC:
        says = Sentence(
            "Butyric acid {value} of dry matter: {most} of this feed already bring a cow the {limit} g she should not "
            "go beyond; nothing of it to transition cows.",
            value=Quantity(butyric_frac, "percent_fine"), most=Quantity(float(butyric_limit(butyric_frac)), "intake"),
            limit=50,
        )  # fmt: skip
        yield Flag("butyric", says, VETERINARIAN, BUTYRIC_CAUTION, ("Tucker2026", "Hall2026"))


def _fermentation(means: Mapping[str, float], highest: Mapping[str, float]) -> Iterator[Flag]:
    found = fermentation_flags(
        means.get("DM", math.nan),
        ph_index=means.get("PH", math.nan),
        lactic_frac=means.get("LACT", math.nan),
        acetic_frac=means.get("ACET", math.nan),
        butyric_frac=highest.get("BUT", math.nan),
        ammonia_n_frac=highest.get("NH3N", math.nan),
    )
    for number, says in enumerate(found, 1):
        yield Flag(f"fermentation-{number}", says, NUTRITIONIST, None, ("Kung2001",))


def _acidity(dm_frac: float, ph_index: float) -> Iterator[Flag]:
    if math.isnan(dm_frac):
        return
    stops = float(critical_ph(dm_frac))
    if ph_index > stops:
        says = Sentence(
            "pH {ph} is above the {limit} that stops clostridia at {dm} dry matter.",
            ph=Quantity(ph_index, "score"), limit=Quantity(stops, "score"), dm=Quantity(dm_frac, "percent"),
        )  # fmt: skip
        yield Flag("acidity", says, NUTRITIONIST, None, ("McCary2023", "Muck2010"))


def _ash(ash_frac: float, grass_frac: float) -> Iterator[Flag]:
    if math.isnan(ash_frac):
        return
    band = AshBand(int(ash_band(ash_frac, grass_frac)))
    value = Quantity(ash_frac, "percent")
    if band is AshBand.SERIOUS:
        yield Flag(
            "ash", Sentence("Ash {value}: much soil came in, and with it clostridia.", value=value), NUTRITIONIST
        )
    elif band is AshBand.INVESTIGATE:
        says = Sentence("Ash {value}: soil came in. Look at cutting height, rake and swath.", value=value)
        yield Flag("ash", says, NUTRITIONIST, None, ("UndersanderGoal2026",))


def _heating(bound_frac: float, protein_frac: float) -> Iterator[Flag]:
    if bound_frac > BOUND_PROTEIN_FRAC * protein_frac:
        share = Quantity(bound_frac / protein_frac, "percent")
        says = Sentence("Heat-bound protein is {share} of the protein: the silage was hot.", share=share)
        yield Flag("heating", says, NUTRITIONIST)


@dataclass(frozen=True)
class Typical:
    """One line of the fermentation table: the lot's mean and the typical ranges of good silage by dry matter."""

    code: str
    key: str
    value: float
    kind: str
    ranges: tuple[tuple[float, float], ...]
    outside: tuple[bool, ...]


_ITEMS = (
    ("PH", "ph_index"),
    ("LACT", "lactic_frac"),
    ("ACET", "acetic_frac"),
    ("PROP", "propionic_frac"),
    ("BUT", "butyric_frac"),
    ("ETOH", "ethanol_frac"),
    ("NH3N", "ammonia_n_frac"),
)
COLUMNS = (
    ("legume_30_40", Sentence("Legume, 30–40 % DM")),
    ("legume_45_55", Sentence("Legume, 45–55 % DM")),
    ("grass_30_35", Sentence("Grass, 30–35 % DM")),
)


def typical_fermentation(means: Mapping[str, object]) -> tuple[Typical, ...]:
    """The lot beside each column of the published table; nothing is read between the columns."""
    rows = []
    for code, key in _ITEMS:
        mean = means.get(code)
        if mean is not None:
            ranges = tuple(getattr(FERMENTATION[column], key) for column, _name in COLUMNS)
            value = mean.mean  # type: ignore[attr-defined]
            outside = tuple(not low - 1e-9 <= value <= high + 1e-9 for low, high in ranges)
            rows.append(Typical(code, key, value, mean.kind, ranges, outside))  # type: ignore[attr-defined]
    return tuple(rows)


def fitting_columns(dm_frac: float) -> tuple[bool, ...]:
    """Which columns of the table the lot's dry matter falls in."""
    spans = (FERMENTATION[column].dm_frac for column, _name in COLUMNS)
    return tuple(low - 1e-9 <= dm_frac <= high + 1e-9 for low, high in spans)
