"""Nine Furlong Dairy: a large herd, fourteen fields, big piles, a custom crew, and short haylage."""

from __future__ import annotations

from app.units.quantities import KG_PER_SHORT_TON
from seed_demo.grounds import Ground, tell_grounds
from seed_demo.herd import Pen, tell_herd
from seed_demo.lab import Quality
from seed_demo.stocks import Batch, Contract, Store, Stream, tell_contract, tell_feeds, tell_stores, tell_stream
from seed_demo.story import Story
from seed_demo.weather import Place
from seed_demo.yard import Iron, Question, YardList, square_feet, tell_lists, tell_machines, tell_questions

NAME = "Nine Furlong Dairy"
TIME_ZONE = "America/Chicago"
AHEAD_D = 2
START_F_D = 690.0
PLACE = Place("Nine Furlong yard (invented)", 44.1, -91.2, 240.0, 10.0, 14.4, 0.95)
FARM = {
    "name": NAME,
    "place": "900 Nine Furlong Road (an invented address)",
    "latitude": 44.1,
    "longitude": -91.2,
    "time_zone": TIME_ZONE,
    "cuts_count": 4,
}
HAYLAGE, CORN, GRAIN, STRAW, HULLS = "Alfalfa haylage", "Corn silage", "Corn and protein mix", "Straw", "Soybean hulls"
FEEDS = [
    {"name": HAYLAGE, "kind": "haylage", "dm_frac": 0.38, "price_usd_kg_dm": 225 / KG_PER_SHORT_TON},
    {"name": CORN, "kind": "corn_silage", "dm_frac": 0.34, "price_usd_kg_dm": 150 / KG_PER_SHORT_TON},
    {"name": GRAIN, "kind": "other", "dm_frac": 0.88, "price_usd_kg_dm": 325 / KG_PER_SHORT_TON},
    {"name": STRAW, "kind": "straw", "dm_frac": 0.90, "price_usd_kg_dm": 135 / KG_PER_SHORT_TON},
    {"name": HULLS, "kind": "byproduct", "dm_frac": 0.90, "price_usd_kg_dm": 220 / KG_PER_SHORT_TON},
]
GROUNDS = [
    Ground("Furlong One", 118, 2, 60, 10, own_tons=5.0, haul_miles=0.8, root_score=0.6, cut_day=0),
    Ground("Furlong Two", 124, 2, 58, 5, own_tons=4.9, haul_miles=1.1, root_score=0.7, cut_day=0),
    Ground("Furlong Three", 131, 3, 53, 0, own_tons=4.8, haul_miles=1.4, cut_day=0),
    Ground(
        "Quarry Side",
        77,
        4,
        44,
        20,
        haul_miles=2.2,
        root_score=1.8,
        cut_day=1,
        drainage="Thin over rock on the top third.",
    ),
    Ground("Long Gallop", 156, 1, 67, -20, haul_miles=2.8, root_score=0.2, cut_day=2, note="New seeding."),
    Ground("Chapel Forty", 40, 5, 37, 15, haul_miles=1.9, root_score=2.7, cut_day=1),
    Ground("Windpump", 92, 3, 51, -5, haul_miles=3.1, cut_day=1, reduced_lignin=True),
    Ground(
        "Lower Windpump",
        88,
        3,
        54,
        -15,
        haul_miles=3.3,
        cut_day=1,
        reduced_lignin=True,
        drainage="Low end floods in a wet April.",
    ),
    Ground("Halter Ground", 105, 4, 46, 5, own_tons=4.2, haul_miles=4.0, root_score=1.6, cut_day=2),
    Ground("Far Gallop", 142, 2, 59, -10, haul_miles=5.2, root_score=0.8, cut_day=2),
    Ground(
        "Bell Meadow", 63, 5, 40, 0, {"alfalfa": 0.85, "bromegrass": 0.15}, haul_miles=2.4, root_score=2.4, cut_day=3
    ),
    Ground("Tollgate", 71, 4, 48, 10, own_tons=4.4, haul_miles=3.6, cut_day=3),
    Ground(
        "Kestrel Hill",
        84,
        3,
        50,
        -25,
        haul_miles=4.4,
        cut_day=3,
        drainage="Steep; the merger works along the slope only.",
    ),
    Ground("Last Furlong", 109, 1, 64, -30, haul_miles=5.9, root_score=0.3, cut_day=3, note="New seeding."),
]
STORES = [
    Store("North pile", "pile", 420, 130, None, 17, fills_next=True, dm_lb_ft3=15.8),
    Store("South pile", "pile", 380, 120, None, 16, fills_next=True, dm_lb_ft3=15.2),
    Store("Heifer bunker", "bunker", 230, 50, 12, 14, top_width=52, dm_lb_ft3=14.9),
    Store("Corn pile", "pile", 640, 170, None, 21, dm_lb_ft3=16.4),
]
MILKING = Stream(
    (
        Batch("North pile {year}, first cutting", HAYLAGE, "North pile", 1, 176, 0.37, Quality(42.6, 20.1, 10.8)),
        Batch(
            "South pile {year}, third and fourth cutting",
            HAYLAGE,
            "South pile",
            4,
            150,
            0.40,
            Quality(38.9, 22.4, 10.1),
        ),
    ),
    "milking",
    9.4,
    (7, 8),
)
GROWING = Stream(
    (Batch("Heifer bunker {year}, second cutting", HAYLAGE, "Heifer bunker", 2, 352, 0.41, Quality(46.0, 18.6, 12.4)),),
    None,
    3.3,
    (8, 2),
)
MAIZE = Stream(
    (
        Batch(
            "Corn silage {year}",
            CORN,
            "Corn pile",
            None,
            365,
            0.34,
            Quality(37.6, 7.9, 4.0, 3.8, 59, is_corn=True),
            (9, 16),
        ),
    ),
    None,
    20.5,
    (10, 20),
)
PENS = [
    Pen(
        "Fresh cows",
        "milking",
        160,
        {HAYLAGE: 0.15, CORN: 0.33, GRAIN: 0.47, STRAW: 0.05},
        way="nasem_cow",
        more={
            "body_weight_kg": 1490,
            "milk_kg": 88,
            "fat_frac": 0.041,
            "protein_frac": 0.031,
            "days_in_milk_d": 14,
            "multiparous_frac": 0.62,
        },
    ),
    Pen(
        "High cows, east",
        "milking",
        520,
        {HAYLAGE: 0.165, CORN: 0.345, GRAIN: 0.46, HULLS: 0.03},
        59.5,
        last_year={HAYLAGE: 0.195, HULLS: 0.0},
    ),
    Pen(
        "High cows, west",
        "milking",
        505,
        {HAYLAGE: 0.165, CORN: 0.345, GRAIN: 0.46, HULLS: 0.03},
        58.0,
        last_year={HAYLAGE: 0.195, HULLS: 0.0},
    ),
    Pen(
        "Low cows",
        "milking",
        430,
        {HAYLAGE: 0.23, CORN: 0.37, GRAIN: 0.32, HULLS: 0.08},
        49.5,
        head_steps=((4, 10, 415), (6, 15, 440)),
    ),
    Pen("First-calf cows", "milking", 310, {HAYLAGE: 0.17, CORN: 0.34, GRAIN: 0.49}, 48.0),
    Pen(
        "Far-off dry cows",
        "dry",
        150,
        {HAYLAGE: 0.10, CORN: 0.35, STRAW: 0.40, GRAIN: 0.15},
        way="nasem_dry",
        more={"body_weight_kg": 1570, "days_to_calving_d": 45, "diet_ndf_frac": 0.47},
    ),
    Pen(
        "Close-up cows",
        "dry",
        85,
        {CORN: 0.42, STRAW: 0.28, GRAIN: 0.30},
        way="close_up_cow",
        more={"body_weight_kg": 1600, "days_to_calving_d": 14},
    ),
    Pen(
        "Bred heifers",
        "growing",
        420,
        {HAYLAGE: 0.40, CORN: 0.36, STRAW: 0.16, GRAIN: 0.08},
        way="nasem_heifer",
        more={"body_weight_kg": 1120},
    ),
    Pen("Young heifers", "growing", 380, {HAYLAGE: 0.28, CORN: 0.38, GRAIN: 0.34}, 13.5),
]
HULLS_CONTRACT = Contract(
    "Soybean hulls, half-year contract",
    HULLS,
    46,
    12,
    0.90,
    0.62,
    0.12,
    205,
    "Bought to stretch the haylage. Keeps in the commodity shed.",
)
IRON = [
    Iron("Push tractor 1", "packing_tractor", 58_000, 1.0, custom=True),
    Iron("Push tractor 2", "packing_tractor", 54_000, 1.0, custom=True),
    Iron("Own loader", "packing_tractor", 38_000, 0.8),
    Iron("Chopper 1", "chopper", tons_h=110, custom=True),
    Iron("Chopper 2", "chopper", tons_h=95, custom=True),
    Iron("Triple mower 1", "mower", width_ft=32, custom=True),
    Iron("Triple mower 2", "mower", width_ft=32, custom=True),
    Iron("Merger 1", "merger", width_ft=36, custom=True),
    *(Iron(f"Custom truck {number}", "truck", custom=True) for number in range(1, 9)),
]
LIST = YardList(
    owners={"owner": "Owen", "agronomist": "Dirk", "nutritionist": "Perla", "crew": "Ramona"},
    notes={
        "people": "The custom crew brings fourteen; we name the cover gang.",
        "packing-weight": "Their third push tractor is at another farm until the second day.",
        "structure-cleared": "South pile face is down to forty feet; throw the side slabs away, do not feed them.",
        "scale": "Certified in April; the ticket printer wants paper.",
        "lights": "Two trucks have no beacon yet.",
    },
    have={"sheet": square_feet(240_000.0), "tires": 29_000.0, "radios": 15.0, "gas-signs": 2.0, "sample-bags": 40.0},
    stays_open=("packing-weight", "lights"),
    extra=(
        {
            "title": "Confirm the start with the custom operator, in writing.",
            "place": "people",
            "role": "owner",
            "days_before": 12,
            "owner": "Owen",
        },
        {"title": "Book the second fuel tank.", "place": "yard", "role": "crew", "days_before": 6, "owner": "Ramona"},
        {"title": "Water truck for the gravel on Furlong Road.", "place": "road", "role": "crew", "days_before": 2},
    ),
    waits=(("traffic-plan", "people"), ("cover-gang", "people")),
    pace=1.3,
    agreed_before_d=17,
)
QUESTIONS = [
    Question(
        "Start when the custom crew is free, or wait for 40 % on the new seedings?",
        "owner",
        22,
        "Start on the agreed day, new seedings last",
        "The crew moves on after nine days; haylage ends before the new crop.",
        "owner",
        17,
    ),
    Question("How do we bridge the weeks between the last of the south pile and the new crop?", "nutritionist", 34),
    Question("Hulls or bought hay for the low cows in June?", "nutritionist", 15),
    Question(
        "Take Chapel Forty out after first cutting?",
        "agronomist",
        18,
        "Yes, corn follows",
        "37 stems and roots near 3.",
        "agronomist",
        12,
    ),
    Question("Two piles at once, or fill the north pile first?", "consultant", 9),
    Question(
        "Same custom crew next year?",
        "owner",
        -40,
        "Yes, with a third push tractor in the contract",
        "Density of the south pile fell short.",
        "owner",
        -55,
        1,
    ),
    Question(
        "Store third and fourth cutting together?",
        "nutritionist",
        -70,
        "Yes, in layers",
        "Both tested under 40 % NDF.",
        "nutritionist",
        -80,
        2,
    ),
]


def tell(story: Story) -> None:
    """Two seasons and this spring at Nine Furlong Dairy."""
    tell_grounds(story, GROUNDS)
    tell_feeds(story, FEEDS)
    tell_stores(story, STORES)
    names = [ground.name for ground in GROUNDS]
    for stream in (MILKING, GROWING, MAIZE):
        tell_stream(story, stream, STORES, names)
    tell_contract(story, HULLS_CONTRACT)
    tell_herd(story, PENS)
    tell_machines(story, IRON)
    tell_lists(story, LIST)
    tell_questions(story, QUESTIONS)
