"""Marl Hollow: four cuttings of alfalfa, some five hundred cows, two bunkers and a bag row, short of packing weight."""

from __future__ import annotations

from app.units.quantities import KG_PER_SHORT_TON
from seed_demo.grounds import Ground, tell_grounds
from seed_demo.herd import Pen, tell_herd
from seed_demo.lab import Quality
from seed_demo.stocks import Batch, Store, Stream, tell_feeds, tell_stores, tell_stream, tell_supply
from seed_demo.story import Story, day_in
from seed_demo.weather import Place
from seed_demo.yard import Iron, Question, YardList, tell_lists, tell_machines, tell_questions

NAME = "Marl Hollow"
TIME_ZONE = "America/Chicago"
AHEAD_D = 3
START_F_D = 690.0
PLACE = Place("Marl Hollow yard (invented)", 43.4, -89.9, 290.0, 9.9, 14.2, 1.0)
FARM = {
    "name": NAME,
    "place": "14 Marl Hollow Lane (an invented address)",
    "latitude": 43.4,
    "longitude": -89.9,
    "time_zone": TIME_ZONE,
    "cuts_count": 4,
}
HAYLAGE, CORN, STRAW, GRAIN, HULLS = (
    "Alfalfa haylage",
    "Corn silage",
    "Wheat straw",
    "Grain and protein mix",
    "Soybean hulls",
)
FEEDS = [
    {"name": HAYLAGE, "kind": "haylage", "dm_frac": 0.39, "price_usd_kg_dm": 215 / KG_PER_SHORT_TON},
    {"name": CORN, "kind": "corn_silage", "dm_frac": 0.35, "price_usd_kg_dm": 150 / KG_PER_SHORT_TON},
    {"name": STRAW, "kind": "straw", "dm_frac": 0.90, "price_usd_kg_dm": 140 / KG_PER_SHORT_TON},
    {"name": GRAIN, "kind": "other", "dm_frac": 0.88, "price_usd_kg_dm": 330 / KG_PER_SHORT_TON},
    {"name": HULLS, "kind": "byproduct", "dm_frac": 0.90, "price_usd_kg_dm": 215 / KG_PER_SHORT_TON},
]
GROUNDS = [
    Ground("Kiln", 62, 3, 52, 15, own_tons=4.7, haul_miles=0.6, cut_day=0),
    Ground("Long Acre", 88, 3, 48, 0, own_tons=4.5, haul_miles=1.4, cut_day=1),
    Ground(
        "Brook Piece",
        41,
        5,
        38,
        -15,
        {"alfalfa": 0.75, "orchardgrass": 0.25},
        haul_miles=0.9,
        root_score=2.6,
        own_tons=3.5,
        drainage="Wet along the brook; tractors sink by the second gate after an inch of rain.",
        note="Thinning; grass has come in on the low side.",
    ),
    Ground("Upper Tofts", 73, 2, 61, -28, haul_miles=2.1, root_score=0.6, reduced_lignin=True, cut_day=2),
    Ground("Sand Lot", 35, 4, 44, 8, own_tons=3.6, haul_miles=1.8, drainage="Dries first and burns first.", cut_day=1),
    Ground("Twelve Elms", 96, 1, 66, -40, haul_miles=2.6, root_score=0.3, cut_day=3, note="Clear-seeded."),
]
STORES = [
    Store("Bunker 1", "bunker", 140, 40, 12, 14, top_width=41, fills_next=True, dm_lb_ft3=14.6),
    Store("Bunker 2", "bunker", 120, 36, 10, 11, top_width=37, dm_lb_ft3=14.0),
    Store("Bag row, east", "bag", 420, diameter=12, fills_next=True, dm_lb_ft3=12.2, note="Two bags end to end."),
    Store("Bag row, west", "bag", 420, diameter=12, dm_lb_ft3=12.2, note="Two bags end to end."),
    Store("Corn pile", "pile", 230, 92, None, 13, dm_lb_ft3=15.5),
]
MILKING = Stream(
    (
        Batch("First cutting {year}", HAYLAGE, "Bunker 1", 1, 190, 0.38, Quality(41.2, 20.6)),
        Batch("Third cutting {year}", HAYLAGE, "Bag row, west", 3, 82, 0.42, Quality(38.0, 22.3)),
        Batch("Fourth cutting {year}", HAYLAGE, "Bag row, east", 4, 93, 0.41, Quality(36.9, 23.1, 9.6)),
    ),
    "milking",
    2.55,
    (7, 10),
)
GROWING = Stream(
    (Batch("Second cutting {year}", HAYLAGE, "Bunker 2", 2, 365, 0.40, Quality(44.6, 19.2, 11.3)),),
    "growing",
    1.02,
    (10, 4),
)
MAIZE = Stream(
    (
        Batch(
            "Corn silage {year}",
            CORN,
            "Corn pile",
            None,
            365,
            0.35,
            Quality(38.5, 7.8, 4.1, 3.85, 58, is_corn=True),
            (9, 20),
        ),
    ),
    None,
    5.2,
    (10, 25),
)
PENS = [
    Pen(
        "High cows",
        "milking",
        238,
        {HAYLAGE: 0.17, CORN: 0.34, GRAIN: 0.47, STRAW: 0.02},
        way="nasem_cow",
        more={
            "body_weight_kg": 1500,
            "milk_kg": 96,
            "fat_frac": 0.039,
            "protein_frac": 0.031,
            "days_in_milk_d": 120,
            "multiparous_frac": 0.66,
        },
        last_year={HAYLAGE: 0.19, CORN: 0.32},
    ),
    Pen(
        "Low cows",
        "milking",
        172,
        {HAYLAGE: 0.30, CORN: 0.36, GRAIN: 0.30, STRAW: 0.04},
        49.0,
        head_steps=((6, 1, 165),),
    ),
    Pen("First-calf heifers", "milking", 84, {HAYLAGE: 0.18, CORN: 0.35, GRAIN: 0.47}, 46.5),
    Pen(
        "Dry cows",
        "dry",
        62,
        {CORN: 0.42, STRAW: 0.40, GRAIN: 0.18},
        way="nasem_dry",
        more={"body_weight_kg": 1560, "days_to_calving_d": 35, "diet_ndf_frac": 0.44},
    ),
    Pen(
        "Breeding heifers",
        "growing",
        190,
        {HAYLAGE: 0.42, CORN: 0.40, STRAW: 0.08, GRAIN: 0.10},
        way="nasem_heifer",
        more={"body_weight_kg": 850},
    ),
]
IRON = [
    Iron("Loader tractor", "packing_tractor", 36_000, 1.0),
    Iron("Old four-wheel tractor", "packing_tractor", 26_000, 1.0),
    Iron("Chopper", "chopper", tons_h=100),
    Iron("Triple mower", "mower", width_ft=30),
    Iron("Merger", "merger", width_ft=32),
    *(Iron(f"Truck {number}", "truck") for number in (1, 2, 3, 4)),
    Iron("Bagger", "bagger"),
]
LIST = YardList(
    owners={"owner": "Ruth", "agronomist": "Tom", "nutritionist": "Ana", "crew": "Luis"},
    notes={
        "structure-cleared": "Last of the old first cutting goes to the heifers this week.",
        "sheet": "Not ordered yet. The dealer has no film on the shelf; promised for the week before.",
        "packing-weight": "The neighbour may lend his articulated tractor from Friday on.",
        "inoculant": "Keep it in the milk-room fridge, not on the dash.",
        "power-lines": "Line over the Long Acre gate hangs low. The utility comes to look.",
        "tires": "Seven hundred by bunker 1, the rest behind the corn pile.",
    },
    have={"tires": 1_500.0, "radios": 10.0, "sample-bags": 20.0},
    stays_open=("packing-weight", "sheet", "packed-density", "people", "haul-units", "power-lines"),
    extra=(
        {
            "title": "Grade the ramp of bunker 1 where it washed out.",
            "place": "structure",
            "role": "crew",
            "days_before": 9,
            "owner": "Luis",
        },
        {
            "title": "Tell the milk hauler which gate to use during filling.",
            "place": "road",
            "role": "owner",
            "days_before": 4,
            "owner": "Ruth",
        },
    ),
    waits=(("floor-drained", "structure-cleared"), ("liners", "structure-cleared"), ("cover-gang", "people")),
    pace=2.0,
    agreed_before_d=4,
)
QUESTIONS = [
    Question(
        "Three or four inches of stubble on Twelve Elms?",
        "agronomist",
        12,
        "Four inches",
        "First cutting of a young stand; the stones are on that field.",
        "agronomist",
        2,
    ),
    Question(
        "A second packing tractor from the neighbour, or slow the chopper to 75 tons an hour?",
        "owner",
        14,
        "Borrow the tractor",
        "It is free from the day before.",
        "owner",
        1,
    ),
    Question("Brook Piece to the bag for the dry cows?", "nutritionist", 11),
    Question(
        "Order one load of hay now, or wait for the stem counts?",
        "nutritionist",
        40,
        "Wait",
        "Milking cows are covered into July either way.",
        "nutritionist",
        24,
    ),
    Question("Rotate Brook Piece after this season?", "agronomist", 26),
    Question(
        "Start on Kiln or on Sand Lot?",
        "agronomist",
        9,
        "Kiln",
        "More acres close to the bunker while the crew settles in.",
        "owner",
        4,
        1,
    ),
    Question(
        "Keep the fourth cutting apart for fresh cows?",
        "nutritionist",
        -98,
        "Yes, in the bag row",
        "It tested 37 % NDF.",
        "nutritionist",
        -141,
        1,
    ),
    Question(
        "Film under the sheet, or two sheets?",
        "owner",
        20,
        "Film and a sheet",
        "The top foot was spoiled under two sheets.",
        "owner",
        15,
        2,
    ),
]


def tell(story: Story) -> None:
    """Two seasons and this spring at Marl Hollow."""
    tell_grounds(story, GROUNDS)
    tell_feeds(story, FEEDS)
    tell_stores(story, STORES)
    names = [ground.name for ground in GROUNDS]
    for stream in (MILKING, GROWING, MAIZE):
        tell_stream(story, stream, STORES, names)
    tell_supply(
        story,
        day_in(story.year, 1, 15),
        {
            "name": "Straw in the shed",
            "on_hand_af_kg": 110 * KG_PER_SHORT_TON,
            "dm_frac": 0.9,
            "ndf_frac": 0.76,
            "cp_frac": 0.045,
            "price_usd_kg_af": 120 / KG_PER_SHORT_TON,
            "note": "Big square bales, counted.",
        },
        STRAW,
    )
    tell_herd(story, PENS)
    tell_machines(story, IRON)
    tell_lists(story, LIST)
    tell_questions(story, QUESTIONS)
