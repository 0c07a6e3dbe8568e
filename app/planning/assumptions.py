"""Every default of the plan that a farm may change, with the range it may be changed within and where it comes from.

A changed value is a farm's own setting; a plan copies the values in force when it is made. `source` is a key of
`app.sources.SOURCES`, or "practice" (common practice, no source) or "judgement" (chosen for this app, to be confirmed
by the farm's own people). Carry-over and inventory rhythm follow [Hall2020]_.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from app.agronomy.heat import Method, Start
from app.errors import Invalid
from app.nutrition.demand import Convention
from app.units import quantities as q
from app.units.sentences import Quantity, Sentence

PRACTICE = "practice"
JUDGEMENT = "judgement"


@dataclass(frozen=True)
class Assumption:
    """A default: `kind` is a key of `app.units.kinds.KINDS`; a choice has `choices` and no range."""

    key: str
    default: float | str
    kind: str
    low: float
    high: float
    source: str
    label: Sentence
    note: Sentence | None = None
    choices: tuple[str, ...] = ()


def _number(key, default, kind, low, high, source, label, note=""):
    return Assumption(key, float(default), kind, float(low), float(high), source, Sentence(label), _note(note))


def _choice(key, default, choices, source, label, note=""):
    return Assumption(
        key, str(default), "", math.nan, math.nan, source, Sentence(label), _note(note), tuple(map(str, choices))
    )


def _note(text):
    return Sentence(text) if text else None


_GDD41 = 1 / q.F_D_PER_C_D
_IN = q.CM_PER_IN
_TON = q.KG_PER_SHORT_TON
_T_AC = q.KG_HA_PER_TON_ACRE
_LB_AC_GDD41 = q.KG_HA_PER_LB_ACRE * q.F_D_PER_C_D
_NDF_GDD41 = 0.01 * q.F_D_PER_C_D

_HEAT = (
    _choice(
        "heat_start_rule",
        Start.WARM_HIGHS,
        Start,
        PRACTICE,
        "When counting of degree-days starts",
        "Common practice with the totals for buds and first flower. "
        "Published NDF totals were made with counting from 1 March.",
    ),
    _number(
        "heat_start_day",
        60,
        "count",
        1,
        182,
        "Kaatz2026",
        "Day of the year counting starts, for a fixed or hand-set date",
        "1 March is day 60.",
    ),
    _choice(
        "heat_method", Method.AVERAGE, Method, "Kaatz2026", "How a day's degree-days are taken from its high and low"
    ),
    _number(
        "heat_base_c",
        5,
        "temp",
        -5,
        15,
        "Kaatz2026",
        "Base temperature",
        "Best fit was lower in spring and higher in summer.",
    ),
    _number(
        "heat_cap_c", 30, "temp", 20, 45, JUDGEMENT, "Highest temperature that counts, for the methods that use a cap"
    ),
    _number("bud_heat_c_d", 700 * _GDD41, "heat", 300, 600, PRACTICE, "Degree-days to bud"),
    _number(
        "first_flower_heat_c_d",
        800 * _GDD41,
        "heat",
        330,
        700,
        PRACTICE,
        "Degree-days to first flower",
        "One published figure is a tenth higher.",
    ),
    _number("ndf38_heat_c_d", 680 * _GDD41, "heat", 250, 600, "Kaatz2026", "Degree-days to 38 % NDF standing"),
    _number(
        "ndf40_heat_c_d",
        750 * _GDD41,
        "heat",
        280,
        650,
        "Kaatz2026",
        "Degree-days to 40 % NDF standing",
        "Within 3 NDF points in most years.",
    ),
    _number("ndf45_heat_c_d", 970 * _GDD41, "heat", 400, 900, "Kaatz2026", "Degree-days to 45 % NDF standing"),
)

_MATURITY = (
    _number("target_stored_ndf_frac", 0.40, "ndf", 0.30, 0.60, PRACTICE, "NDF wanted in the stored feed"),
    _number(
        "allowance_ndf_frac",
        0.02,
        "ndf",
        0,
        0.08,
        "Sulc2011",
        "NDF gained between the standing crop and the stored feed",
    ),
    _number(
        "allowance_rfv_index",
        15,
        "index",
        0,
        40,
        "IowaState2006",
        "RFV points lost between the standing crop and the stored feed",
        "15 published for haylage, 20 in practice, 25 for hay.",
    ),
    _number(
        "reduced_lignin_credit_index",
        15,
        "index",
        0,
        20,
        PRACTICE,
        "Feeding value credited to reduced-lignin varieties, shown as its own line",
        "Practice says 15 to 20 points; trials found NDF unchanged and digestibility higher.",
    ),
    _number(
        "ndf_rate_per_c_d",
        0.0245 * _NDF_GDD41,
        "ndf_rate",
        0.01 * _NDF_GDD41,
        0.05 * _NDF_GDD41,
        JUDGEMENT,
        "NDF gained per degree-day",
        "The mean slope between the published totals.",
    ),
    _number(
        "scouting_error_frac",
        0.022,
        "ndf",
        0.005,
        0.08,
        "GrassForage2014",
        "Standard deviation of NDF from height and stage",
    ),
    _number(
        "heat_error_frac", 0.03, "ndf", 0.005, 0.10, "Kaatz2026", "Standard deviation of NDF from degree-days alone"
    ),
    _number("scouting_age_d", 10, "days", 1, 30, JUDGEMENT, "Days a scouting result is carried forward"),
)

_YIELD = (
    _number(
        "season_yield_kg_ha",
        4.5 * _T_AC,
        "yield_dm",
        1 * _T_AC,
        12 * _T_AC,
        "Rankin2026",
        "Season's yield where a field has neither records nor stem counts",
        "Weighed state means 4.0 to 5.1 short tons per acre.",
    ),
    _number(
        "full_stems_per_m2",
        55 * q.PER_M2_PER_FT2,
        "stems",
        20 * q.PER_M2_PER_FT2,
        90 * q.PER_M2_PER_FT2,
        "Undersander2026",
        "Stems above which density does not limit yield",
    ),
    _number(
        "yield_growth_kg_ha_c_d",
        4.6 * _LB_AC_GDD41,
        "yield_rate",
        0,
        14 * _LB_AC_GDD41,
        "IowaState2005",
        "Yield gained per degree-day",
        "About 100 lb per acre on a late-May day; published 0 to 200.",
    ),
    _number(
        "yield_heat_c_d", 750 * _GDD41, "heat", 300, 600, JUDGEMENT, "Degree-days at which the first-cut share holds"
    ),
    _number("yield_heat_low_c_d", 550 * _GDD41, "heat", 150, 500, JUDGEMENT, "Lowest degree-days for the yield line"),
    _number(
        "yield_heat_high_c_d", 1000 * _GDD41, "heat", 450, 900, JUDGEMENT, "Highest degree-days for the yield line"
    ),
    _number(
        "first_cut_share_3_frac",
        0.43,
        "percent",
        0.15,
        0.70,
        "Wisconsin2018",
        "First cutting's share of the season, three cuttings",
    ),
    _number(
        "first_cut_share_4_frac",
        0.40,
        "percent",
        0.15,
        0.60,
        PRACTICE,
        "First cutting's share of the season, four cuttings",
        "36 % in one published set; plots gave 17 to 35 % by year. Own tonnages are better.",
    ),
    _number(
        "first_cut_share_5_frac",
        0.32,
        "percent",
        0.15,
        0.55,
        PRACTICE,
        "First cutting's share of the season, five cuttings",
    ),
    _number(
        "harvest_loss_frac",
        0.15,
        "percent",
        0,
        0.40,
        "Mwps1997",
        "Dry matter lost between the standing crop and the store",
    ),
)

_STUBBLE = (
    _number("stubble_cm", 3 * _IN, "height", 2 * _IN, 8 * _IN, "Anderson2017", "Stubble where nothing asks for more"),
    _number(
        "stubble_floor_cm",
        2 * _IN,
        "height",
        1.5 * _IN,
        6 * _IN,
        "Wiersma2026",
        "Lowest stubble of a healthy pure stand",
    ),
    _number(
        "stubble_floor_grass_cm",
        4 * _IN,
        "height",
        2 * _IN,
        8 * _IN,
        "Thomas2009",
        "Lowest stubble with grass in the stand",
    ),
    _number("stubble_raise_stressed_cm", 2 * _IN, "height", 0, 6 * _IN, JUDGEMENT, "Stubble added on a stressed stand"),
    _choice(
        "stubble_rule",
        "measured",
        ("measured", "practice"),
        "Wiersma2026",
        "How stubble takes yield on first cutting",
        "Measured: a loss per inch. Practice: a share of the season's yield per inch.",
    ),
    _number(
        "stubble_yield_kg_ha_in",
        0.14 * _T_AC,
        "yield_dm",
        0,
        0.5 * _T_AC,
        "Wiersma2026",
        "Yield lost per inch of extra stubble, first cutting",
    ),
    _number(
        "stubble_practice_frac_in",
        0.04,
        "percent",
        0,
        0.10,
        PRACTICE,
        "Share of the season's yield lost per inch, rule of practice",
    ),
    _number(
        "stubble_ndf_frac_in",
        0.0075,
        "ndf",
        0,
        0.03,
        JUDGEMENT,
        "NDF saved per inch of extra stubble",
        "Worked back from the RFV gain.",
    ),
    _number("stubble_rfv_index_in", 4, "index", 0, 10, "Wiersma2026", "RFV gained per inch of extra stubble"),
    _number("plant_ash_frac", 0.08, "percent", 0.05, 0.11, "UndersanderAsh2026", "Ash of clean alfalfa"),
    _number(
        "watch_ash_frac", 0.11, "percent", 0.08, 0.18, "OhioState2017", "Total ash past which management is looked at"
    ),
    _number("swath_share_frac", 0.80, "percent", 0.3, 1.0, PRACTICE, "Swath width as a share of cut width"),
    _number(
        "drying_calibration_ratio",
        0.7,
        "ratio",
        0.3,
        1.5,
        JUDGEMENT,
        "Drying of this farm against the equation",
        "Learned from the moisture of loads.",
    ),
)

_STORAGE = (
    _number(
        "sealing_d",
        3,
        "days",
        1,
        14,
        PRACTICE,
        "Days from the start of harvest to sealing",
        "Filling for more than three or four days counts as delayed.",
    ),
    _number(
        "storage_loss_bunker_frac",
        0.10,
        "percent",
        0.03,
        0.40,
        JUDGEMENT,
        "Storage loss, bunker",
        "Published 10 to 17 %; the farm's own shrink is better.",
    ),
    _number(
        "storage_loss_pile_frac",
        0.10,
        "percent",
        0.03,
        0.40,
        JUDGEMENT,
        "Storage loss, drive-over pile",
        "12 to 20 % from memory where it is not covered well.",
    ),
    _number(
        "storage_loss_bag_frac",
        0.08,
        "percent",
        0.03,
        0.40,
        JUDGEMENT,
        "Storage loss, bag",
        "11 and 14 % in two published trials.",
    ),
    _number(
        "storage_loss_tower_frac",
        0.07,
        "percent",
        0.02,
        0.30,
        JUDGEMENT,
        "Storage loss, tower",
        "4 % published for an oxygen-limiting tower.",
    ),
    _number("storage_loss_stack_frac", 0.08, "percent", 0.02, 0.50, JUDGEMENT, "Storage loss, stack of bales"),
    _number(
        "remaining_loss_frac",
        0.02,
        "percent",
        0,
        0.20,
        JUDGEMENT,
        "Storage loss still to come for feed in store",
        "Feed measured in the store has already lost most of it.",
    ),
    _number(
        "feedout_loss_frac", 0.03, "percent", 0, 0.25, JUDGEMENT, "Lost between store and bunk", "2 to 8 % from memory."
    ),
    _number("refusal_frac", 0.03, "percent", 0, 0.20, JUDGEMENT, "Refusals not fed again", "2 to 5 % from memory."),
    _choice(
        "shrink_convention",
        Convention.DIVIDE,
        Convention,
        "Daugherty2013",
        "How a loss is put on a need",
        "Divide follows the mass: need over (1 - loss). Multiply follows extension tables: need times (1 + loss).",
    ),
    _number("new_crop_dm_frac", 0.38, "percent", 0.20, 0.70, JUDGEMENT, "Dry matter of the new crop in store"),
    _number(
        "density_af_kg_m3",
        44 * q.KG_M3_PER_LB_FT3,
        "density_af",
        300,
        1000,
        "Undersander2009",
        "Bulk density to reach when packing",
    ),
    _number(
        "density_dm_kg_m3",
        15 * q.KG_M3_PER_LB_FT3,
        "density_dm",
        80,
        400,
        "Undersander2009",
        "Dry matter density where none was measured",
    ),
    _number(
        "bag_density_dm_kg_m3",
        12 * q.KG_M3_PER_LB_FT3,
        "density_dm",
        80,
        350,
        "Muck2000",
        "Dry matter density of a bag where none was measured",
    ),
    _number(
        "density_spread_frac",
        0.13,
        "percent",
        0,
        0.60,
        JUDGEMENT,
        "Error of an amount from a default density, one side",
        "At least 2 lb of 15 lb per cubic foot.",
    ),
    _number(
        "packing_share_ratio",
        0.40,
        "ratio",
        0.1,
        1.0,
        "Kaatz2009",
        "Packing weight as a share of the weight delivered in an hour",
        "800 lb for each ton an hour.",
    ),
    _number("face_rate_cm_d", 12 * _IN, "face_rate", 3 * _IN, 60 * _IN, "Holmes2009", "Face removal to design for"),
    _number(
        "inoculant_gain_frac",
        0.02,
        "percent",
        0,
        0.035,
        "Schroeder2016",
        "Dry matter saved by an inoculant",
        "0 to 3 points published; the 3.5 % of practice was found in no independent summary of trials.",
    ),
)

_FEEDING = (
    _number(
        "fermentation_d",
        30,
        "days",
        14,
        120,
        "Eastridge2024",
        "Days from sealing to first feeding",
        "21 to 60 days are in use.",
    ),
    _number("blend_d", 10, "days", 0, 60, PRACTICE, "Days over which feed is changed", "7 at the least."),
    _number(
        "carry_over_d",
        30,
        "days",
        0,
        365,
        JUDGEMENT,
        "Carry-over wanted when the new crop can be fed",
        "No figure for haylage is published; 60 days are comfortable.",
    ),
    _number("horizon_d", 500, "days", 60, 1000, JUDGEMENT, "Days the balance looks ahead"),
    _number(
        "ndf_ceiling_milking_frac", 0.42, "ndf", 0.30, 0.60, "Paulson2009", "Highest NDF of haylage for milking cows"
    ),
    _number(
        "ndf_ceiling_growing_frac",
        0.46,
        "ndf",
        0.30,
        0.70,
        "Paulson2009",
        "Highest NDF of haylage for growing heifers",
        "40 to 45 % published at breeding age.",
    ),
    _number(
        "ndf_ceiling_dry_frac",
        0.54,
        "ndf",
        0.30,
        0.75,
        "Paulson2009",
        "Highest NDF of haylage for dry cows",
        "45 to 55 % published.",
    ),
    _number("intake_scale_ratio", 1.0, "ratio", 0.7, 1.3, JUDGEMENT, "Measured pen intake against the equations"),
    _number(
        "mature_weight_kg",
        700,
        "weight",
        350,
        900,
        "NASEM2021",
        "Weight of the mature cow",
        "Holstein about 700, Jersey about 520.",
    ),
    _number(
        "butyric_limit_g_d",
        50,
        "count",
        0,
        200,
        "Tucker2026",
        "Grams of butyric acid a cow may eat in a day",
        "Never to transition cows at half a per cent or more; a veterinarian or nutritionist decides.",
    ),
    _number(
        "wet_byproduct_life_d",
        5,
        "days",
        1,
        30,
        "Chase2026",
        "Days a wet byproduct keeps",
        "5 to 10 cool, 2 to 4 hot and humid.",
    ),
    _number(
        "byproduct_shrink_frac",
        0.10,
        "percent",
        0,
        0.30,
        JUDGEMENT,
        "Byproduct lost before feeding",
        "3 to 8 % dry, 8 to 15 % wet, from memory.",
    ),
)

_MONEY = (
    _number(
        "hay_usd_kg",
        176 / _TON,
        "price_af",
        0,
        1.0,
        "Wisconsin2022",
        "Price of dairy hay",
        "Enter today's local price; this is one report of February 2022.",
    ),
    _number("hay_freight_usd_kg", 30 / _TON, "price_af", 0, 0.5, JUDGEMENT, "Freight of hay"),
    _number("hay_dm_frac", 0.85, "percent", 0.7, 0.95, "Manitoba2026", "Dry matter of hay"),
    _number("hay_loss_frac", 0.05, "percent", 0, 0.45, JUDGEMENT, "Hay lost before it is eaten"),
    _number("hay_rfv_index", 137.5, "index", 80, 220, "Wisconsin2022", "RFV of the hay the price stands for"),
    _number(
        "rfv_slope_usd_kg",
        1.29 / _TON,
        "price_rfv",
        0,
        5 / _TON,
        "Wisconsin2022",
        "Worth of one RFV point of hay",
        "Unstable in a drought; take it from a current report.",
    ),
)

ASSUMPTIONS: dict[str, Assumption] = {
    a.key: a for a in (*_HEAT, *_MATURITY, *_YIELD, *_STUBBLE, *_STORAGE, *_FEEDING, *_MONEY)
}
"""Every assumption by key, in the order they are shown."""

GROUPS: dict[str, tuple[str, ...]] = {
    name: tuple(a.key for a in members)
    for name, members in (
        ("heat", _HEAT),
        ("maturity", _MATURITY),
        ("yield", _YIELD),
        ("stubble", _STUBBLE),
        ("storage", _STORAGE),
        ("feeding", _FEEDING),
        ("money", _MONEY),
    )
}
"""Keys by the section of the settings page they stand in."""

_RISING = (
    ("ndf38_heat_c_d", "ndf40_heat_c_d"),
    ("ndf40_heat_c_d", "ndf45_heat_c_d"),
    ("bud_heat_c_d", "first_flower_heat_c_d"),
    ("yield_heat_low_c_d", "yield_heat_high_c_d"),
)


def resolve(overrides: Mapping[str, float | str]) -> dict[str, float | str]:
    """Every assumption with a farm's own values in place of the defaults.

    Raises `Invalid` with one sentence for every value refused; nothing is taken when one is.
    """
    wrong = {key: Sentence("There is no assumption of this name.") for key in overrides if key not in ASSUMPTIONS}
    values: dict[str, float | str] = {key: assumption.default for key, assumption in ASSUMPTIONS.items()}
    for key in overrides.keys() - wrong.keys():
        values[key], refusal = _taken(ASSUMPTIONS[key], overrides[key])
        if refusal:
            wrong[key] = refusal
    wrong |= _out_of_order(values, overrides) if not wrong else {}
    if wrong:
        raise Invalid(wrong)
    return values


def _taken(assumption: Assumption, given: float | str) -> tuple[float | str, Sentence | None]:
    if assumption.choices:
        allowed = ", ".join(assumption.choices)
        known = str(given) in assumption.choices
        return str(given), None if known else Sentence(
            "{given} is none of: {allowed}.", given=str(given), allowed=allowed
        )
    try:
        value = float(given)
    except (TypeError, ValueError):
        value = math.nan
    if assumption.low <= value <= assumption.high:
        return value, None
    shown = (assumption.low, assumption.high, float(assumption.default))
    low, high, example = (Quantity(v, assumption.kind) for v in shown)
    text = "{label}: it must be a number from {low} to {high}, for example {example}."
    return value, Sentence(text, label=assumption.label, low=low, high=high, example=example)


def _out_of_order(values: Mapping[str, float | str], overrides: Mapping[str, float | str]) -> dict[str, Sentence]:
    return {
        (upper if upper in overrides else lower): Sentence(
            "“{lower}” must be less than “{upper}”.", lower=ASSUMPTIONS[lower].label, upper=ASSUMPTIONS[upper].label
        )
        for lower, upper in _RISING
        if float(values[lower]) >= float(values[upper])
    }
