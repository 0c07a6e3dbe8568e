"""How much a group eats: measured in the pen, or by one of the published equations, with how sure that is.

Group predictions of milking cows still miss by about a tenth [Lee2021]_; heifers by half a kilogram [NASEM2021]_.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from app.errors import OutOfRange
from app.nutrition import intake as published
from app.nutrition.ranges import Tested
from app.planning.estimates import Estimate, unknown
from app.units.quantities import KG_PER_LB
from app.units.sentences import Quantity, Sentence

Animal = Mapping[str, float]
"""Inputs by column name (`body_weight_kg`, `milk_kg`, ...); a missing or NaN one is not known."""

USUAL = {"lactose_frac": 0.0485, "condition_score": 3.0}
"""Taken where not known, and said: lactose as in the worked case of the equation, the middle of the condition scale."""

LABELS = {
    "intake_kg": Sentence("Intake measured in the pen"),
    "body_weight_kg": Sentence("Body weight"),
    "mature_weight_kg": Sentence("Weight when mature"),
    "milk_kg": Sentence("Milk"),
    "fat_frac": Sentence("Fat in the milk"),
    "protein_frac": Sentence("True protein in the milk"),
    "lactose_frac": Sentence("Lactose in the milk"),
    "days_in_milk_d": Sentence("Days in milk"),
    "multiparous_frac": Sentence("Share past the first lactation"),
    "condition_score": Sentence("Body condition score"),
    "days_to_calving_d": Sentence("Days to calving"),
    "diet_ndf_frac": Sentence("NDF of the whole diet"),
    "forage_ndf_frac": Sentence("NDF from forage in the diet"),
    "adf_ndf_frac": Sentence("ADF as a share of NDF in the diet"),
    "forage_ndfd48_frac": Sentence("Digestibility of the forage NDF, 48 hours"),
}
KINDS = {
    "intake_kg": "intake", "body_weight_kg": "weight", "mature_weight_kg": "weight", "milk_kg": "milk",
    "fat_frac": "percent", "protein_frac": "percent", "lactose_frac": "percent", "days_in_milk_d": "days",
    "multiparous_frac": "percent", "condition_score": "score", "days_to_calving_d": "days", "diet_ndf_frac": "percent",
    "forage_ndf_frac": "percent", "adf_ndf_frac": "percent", "forage_ndfd48_frac": "percent",
}  # fmt: skip


@dataclass(frozen=True)
class Way:
    """One way to an intake: its inputs in the order they are asked for, and where it was tested."""

    key: str
    label: Sentence
    classes: tuple[str, ...]
    inputs: tuple[str, ...]
    formula: Callable[[Animal], float]
    sources: tuple[str, ...]
    error_kg: float = math.nan
    error_frac: float = math.nan
    error_says: Sentence | None = None
    tested: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    validity: Sentence | None = None


@dataclass(frozen=True)
class GroupIntake:
    """What a head eats in a day, and all that stands behind it."""

    way: Way
    eaten: Estimate
    missing: tuple[Sentence, ...]
    used: tuple[tuple[Sentence, Quantity], ...]
    notes: tuple[Sentence, ...]
    warnings: tuple[Sentence, ...]


def _milk_energy(a: Animal) -> float:
    return float(published.milk_energy(a["milk_kg"], a["fat_frac"], a["protein_frac"], a["lactose_frac"]))


def _nasem(a: Animal) -> float:
    return float(
        published.lactating_intake(
            _milk_energy(a), a["body_weight_kg"], a["days_in_milk_d"], a["multiparous_frac"], a["condition_score"]
        )
    )


def _by_diet(a: Animal) -> float:
    return float(
        published.lactating_intake_by_diet(
            a["milk_kg"], a["forage_ndf_frac"], a["adf_ndf_frac"], a["forage_ndfd48_frac"]
        )
    )


def _corrected(a: Animal) -> float:
    return float(published.fat_corrected_milk(a["milk_kg"], a["fat_frac"]))


def _nrc(a: Animal) -> float:
    return float(published.lactating_intake_2001(_corrected(a), a["body_weight_kg"], a["days_in_milk_d"]))


def _korean(a: Animal) -> float:
    return float(published.lactating_intake_korean(_corrected(a), a["body_weight_kg"], a["diet_ndf_frac"]))


def _dry(a: Animal) -> float:
    return float(published.dry_cow_intake(a["body_weight_kg"], a["days_to_calving_d"], a["diet_ndf_frac"]))


def _close_up(curve: published.CloseUpCurve) -> Callable[[Animal], float]:
    def eaten(a: Animal) -> float:
        return float(
            published.close_up_intake(a["body_weight_kg"], max(0.0, 280.0 - a["days_to_calving_d"]), curve=curve)
        )

    return eaten


def _heifer(a: Animal) -> float:
    return float(published.heifer_intake(a["body_weight_kg"], mature_weight_kg=a["mature_weight_kg"]))


def _heifer_diet(a: Animal) -> float:
    return float(
        published.heifer_intake_by_diet(a["body_weight_kg"], a["diet_ndf_frac"], mature_weight_kg=a["mature_weight_kg"])
    )


_TENTH = Sentence("Group predictions of milking cows still miss by about a tenth.")
_NO_ERROR = Sentence("No error is published for this equation; a tenth is taken, as for milking cows.")
_HALF_KG = Sentence("Expect half a kilogram either way; scale it by measured pen intake.")
_COMPOSITION = ("milk_kg", "fat_frac", "protein_frac", "lactose_frac")
_LB = KG_PER_LB


def _of_diet() -> dict[str, tuple[float, float]]:
    """The range the equation by diet was tested on, of the inputs it takes."""
    ranges = published.LACTATING_BY_DIET_TESTED.ranges
    inputs = {"milk_kg": "milk_kg_d", "forage_ndf_frac": "", "adf_ndf_frac": "", "forage_ndfd48_frac": ""}
    return {name: ranges[other or name] for name, other in inputs.items()}


WAYS: dict[str, Way] = {
    way.key: way
    for way in (
        Way(
            "measured",
            Sentence("Measured: feed delivered less refusals"),
            ("milking", "growing", "dry"),
            ("intake_kg",),
            lambda a: a["intake_kg"],
            (),
            validity=Sentence("A measured pen intake is better than any equation."),
        ),
        Way(
            "nasem_cow",
            Sentence("Milking cows: by weight, milk, days in milk, parity and condition"),
            ("milking",),
            ("body_weight_kg", *_COMPOSITION, "days_in_milk_d", "multiparous_frac", "condition_score"),
            _nasem,
            ("NASEM2021", "DeSouza2019", "Lee2021"),
            error_frac=0.10,
            error_says=_TENTH,
            validity=Sentence("Holstein groups; use it where groups differ by parity, milk or condition."),
        ),
        Way(
            "diet_cow",
            Sentence("Milking cows: by milk and how filling the diet is"),
            ("milking",),
            ("milk_kg", "forage_ndf_frac", "adf_ndf_frac", "forage_ndfd48_frac"),
            _by_diet,
            ("NASEM2021", "Allen2019"),
            error_kg=1.55,
            error_says=Sentence("Root mean square error 1.55 kg a day."),
            tested=_of_diet(),
            validity=Sentence("Not for fresh cows. It shows what better forage does to intake."),
        ),
        Way(
            "nrc_cow",
            Sentence("Milking cows: by weight, fat-corrected milk and days in milk"),
            ("milking",),
            ("body_weight_kg", "milk_kg", "fat_frac", "days_in_milk_d"),
            _nrc,
            ("NRC2001", "Lee2021"),
            error_frac=0.10,
            error_says=_TENTH,
            tested={"body_weight_kg": (500.0, 750.0), "milk_kg": (0.0, 55.0)},
            validity=Sentence("Older equation, to match older tables."),
        ),
        Way(
            "korean_cow",
            Sentence("Milking cows: by weight, fat-corrected milk and NDF of the diet"),
            ("milking",),
            ("body_weight_kg", "milk_kg", "fat_frac", "diet_ndf_frac"),
            _korean,
            ("Lee2021",),
            error_kg=2.70,
            error_says=Sentence("Root mean square prediction error 2.70 kg a day."),
            validity=Sentence("Fitted on Holstein herds of one country; a cross-check."),
        ),
        Way(
            "milk_holstein",
            Sentence("Holsteins: by milk only"),
            ("milking",),
            ("milk_kg",),
            lambda a: float(published.holstein_planning_intake(a["milk_kg"])),
            ("Weiss2004", "Lee2021"),
            error_frac=0.10,
            error_says=_TENTH,
            tested={"milk_kg": (60 * _LB, 100 * _LB)},
            validity=Sentence("A line through three published points."),
        ),
        Way(
            "milk_jersey",
            Sentence("Jerseys: by milk only"),
            ("milking",),
            ("milk_kg",),
            lambda a: float(published.jersey_planning_intake(a["milk_kg"])),
            ("Weiss2004", "Lee2021"),
            error_frac=0.10,
            error_says=_TENTH,
            tested={"milk_kg": (40 * _LB, 60 * _LB)},
            validity=Sentence("A line through three published points."),
        ),
        Way(
            "nasem_dry",
            Sentence("Dry cows: by weight, days to calving and NDF of the diet"),
            ("dry",),
            ("body_weight_kg", "days_to_calving_d", "diet_ndf_frac"),
            _dry,
            ("NASEM2021",),
            error_frac=0.10,
            error_says=_NO_ERROR,
            tested={"diet_ndf_frac": (0.30, 0.55)},
            validity=Sentence("More than 21 days to calving count as 21."),
        ),
        Way(
            "close_up_cow",
            Sentence("Close-up cows: by weight and days to calving"),
            ("dry",),
            ("body_weight_kg", "days_to_calving_d"),
            _close_up(published.CLOSE_UP_COWS),
            ("Hayirli2003",),
            error_frac=0.10,
            error_says=_NO_ERROR,
            tested={"days_to_calving_d": (0.0, 21.0)},
            validity=Sentence("The last three weeks; earlier takes the value at 21 days."),
        ),
        Way(
            "close_up_heifer",
            Sentence("Close-up heifers: by weight and days to calving"),
            ("dry", "growing"),
            ("body_weight_kg", "days_to_calving_d"),
            _close_up(published.CLOSE_UP_HEIFERS),
            ("Hayirli2003",),
            error_frac=0.10,
            error_says=_NO_ERROR,
            tested={"days_to_calving_d": (0.0, 21.0)},
            validity=Sentence("The last three weeks; earlier takes the value at 21 days."),
        ),
        Way(
            "nasem_heifer",
            Sentence("Heifers: by weight"),
            ("growing",),
            ("body_weight_kg", "mature_weight_kg"),
            _heifer,
            ("NASEM2021",),
            error_kg=0.5,
            error_says=_HALF_KG,
            validity=Sentence("Weaned to calving."),
        ),
        Way(
            "nasem_heifer_diet",
            Sentence("Heifers: by weight and NDF of the diet"),
            ("growing",),
            ("body_weight_kg", "mature_weight_kg", "diet_ndf_frac"),
            _heifer_diet,
            ("NASEM2021",),
            error_kg=0.5,
            error_says=_HALF_KG,
            validity=Sentence("Weaned to calving."),
        ),
    )
}
"""Every way by key, in the order a form offers them."""


def group_intake(
    key: str, animal: Animal, *, scale_ratio: float = 1.0, mature_weight_kg: float = math.nan
) -> GroupIntake:
    """Intake of a head and day by that way; `scale_ratio` is measured pen intake against the equations."""
    way = WAYS[key]
    own = {name: _number(animal.get(name)) for name in way.inputs}
    taken = {"mature_weight_kg": mature_weight_kg, **USUAL}
    known = {name: taken.get(name, value) if math.isnan(value) else value for name, value in own.items()}
    assumed = [name for name, value in own.items() if math.isnan(value) and not math.isnan(known[name])]
    missing = tuple(LABELS[name] for name, value in known.items() if math.isnan(value))
    used = tuple((LABELS[name], Quantity(value, KINDS[name])) for name, value in known.items() if not math.isnan(value))
    notes = [way.validity] if way.validity else []
    notes += [
        Sentence("{what} is not given; {value} is taken.", what=LABELS[n], value=_said(n, known[n])) for n in assumed
    ]
    if missing:
        reason = Sentence("Missing for the intake: {what}.", what=tuple(missing))
        return GroupIntake(way, unknown("intake", reason), missing, used, tuple(notes), ())
    try:
        eaten = way.formula(known)
    except OutOfRange as impossible:
        reason = Sentence("The equation refuses these values: {why}.", why=str(impossible))
        return GroupIntake(way, unknown("intake", reason), (), used, tuple(notes), ())
    if key != "measured" and scale_ratio != 1.0:
        notes.append(Sentence("Times {ratio}, the farm's measured intake against the equations.", ratio=scale_ratio))
    eaten *= 1.0 if key == "measured" else scale_ratio
    if way.error_says:
        notes.append(way.error_says)
    return GroupIntake(way, _with_error(way, eaten), (), used, tuple(notes), _warnings(way, known, eaten))


def _said(name: str, value: float) -> Quantity | str:
    """Lactose is told to the hundredth of a per cent, a digit more than shares usually are."""
    return f"{100 * value:.2f} %" if name == "lactose_frac" else Quantity(value, KINDS[name])


def _number(value: float | None) -> float:
    return math.nan if value is None else float(value)


def _with_error(way: Way, eaten_kg: float) -> Estimate:
    error = way.error_kg if math.isnan(way.error_frac) else way.error_frac * eaten_kg
    if math.isnan(error):
        return Estimate(eaten_kg, "intake", sources=way.sources)
    return Estimate(eaten_kg, "intake", max(0.0, eaten_kg - error), eaten_kg + error, None, way.sources)


def _warnings(way: Way, known: Animal, eaten_kg: float) -> tuple[Sentence, ...]:
    kinds = {name: KINDS[name] for name in way.tested}
    found = Tested(way.tested, kinds, LABELS).outside({name: known[name] for name in way.tested})
    if "growing" in way.classes and "diet_ndf_frac" in known:
        cap = float(published.heifer_ndf_cap(known["body_weight_kg"], known["diet_ndf_frac"]))
        if eaten_kg > cap:
            text = "Fibre fills a heifer of this weight at about {cap}; the equation gives more."
            found.append(Sentence(text, cap=Quantity(cap, "intake")))
    return tuple(found)
