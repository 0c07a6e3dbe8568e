"""Sedgewater Bottoms: alfalfa and grass on wet ground, wet brewers grains on contract, a pile and a tower."""

from __future__ import annotations

from app.units.quantities import KG_PER_SHORT_TON
from seed_demo.grounds import Ground, tell_grounds
from seed_demo.herd import Pen, tell_herd
from seed_demo.lab import Quality
from seed_demo.stocks import Batch, Contract, Store, Stream, tell_contract, tell_feeds, tell_stores, tell_stream
from seed_demo.story import Story
from seed_demo.weather import Place
from seed_demo.yard import Iron, Question, YardList, square_feet, tell_lists, tell_machines, tell_questions

NAME = "Sedgewater Bottoms"
TIME_ZONE = "America/New_York"
AHEAD_D = -3
START_F_D = 600.0
PLACE = Place("Sedgewater yard (invented)", 43.2, -75.6, 180.0, 9.4, 13.8, 1.25)
FARM = {
    "name": NAME,
    "place": "3 Sedgewater Causeway (an invented address)",
    "latitude": 43.2,
    "longitude": -75.6,
    "time_zone": TIME_ZONE,
    "cuts_count": 3,
}
HAYLAGE, CORN, GRAINS, MIX, HAY = "Mixed haylage", "Corn silage", "Wet brewers grains", "Grain mix", "Grass hay"
FEEDS = [
    {"name": HAYLAGE, "kind": "haylage", "dm_frac": 0.36, "price_usd_kg_dm": 180 / KG_PER_SHORT_TON},
    {"name": CORN, "kind": "corn_silage", "dm_frac": 0.33, "price_usd_kg_dm": 145 / KG_PER_SHORT_TON},
    {
        "name": GRAINS,
        "kind": "byproduct",
        "dm_frac": 0.23,
        "storage_life_d": 8,
        "price_usd_kg_dm": 190 / KG_PER_SHORT_TON,
    },
    {"name": MIX, "kind": "other", "dm_frac": 0.88, "price_usd_kg_dm": 340 / KG_PER_SHORT_TON},
    {"name": HAY, "kind": "hay", "dm_frac": 0.86, "price_usd_kg_dm": 200 / KG_PER_SHORT_TON},
    {"name": "Oat straw", "kind": "straw", "dm_frac": 0.89, "price_usd_kg_dm": 130 / KG_PER_SHORT_TON},
]
GROUNDS = [
    Ground(
        "Causeway Field",
        34,
        4,
        42,
        10,
        {"alfalfa": 0.60, "orchardgrass": 0.40},
        haul_miles=0.4,
        root_score=2.1,
        drainage="Tile runs slowly after snow melt; keep trucks on the causeway side.",
    ),
    Ground(
        "Heron Corner",
        27,
        5,
        33,
        -10,
        {"alfalfa": 0.45, "reed_canarygrass": 0.55},
        haul_miles=0.8,
        root_score=3.2,
        drainage="Stands wet into May. Nothing heavier than the mower for three days after an inch of rain.",
        cut_day=2,
        note="Alfalfa is going; the grass carries it.",
    ),
    Ground(
        "Osier Strip",
        19,
        3,
        45,
        0,
        {"alfalfa": 0.70, "timothy": 0.30},
        haul_miles=1.1,
        drainage="Ditch on the east side was cleaned two years ago.",
        cut_day=1,
    ),
    Ground(
        "Upper Causeway",
        41,
        2,
        55,
        15,
        {"alfalfa": 0.75, "tall_fescue": 0.25},
        haul_miles=0.7,
        root_score=0.8,
        drainage="The driest field here; start on it.",
    ),
    Ground(
        "Peat Bank",
        23,
        6,
        28,
        -25,
        {"alfalfa": 0.30, "reed_canarygrass": 0.55, "red_clover": 0.15},
        haul_miles=1.6,
        root_score=3.6,
        drainage="Soft peat: tractors on wide tires only, no trucks at all. Loads are pulled to the road.",
        cut_day=3,
    ),
    Ground("Mill Piece", 38, 3, 47, -5, {"alfalfa": 0.65, "meadow_fescue": 0.35}, haul_miles=1.3, cut_day=1),
]
STORES = [
    Store(
        "Pile by the lane",
        "pile",
        150,
        76,
        None,
        11,
        fills_next=True,
        dm_lb_ft3=13.4,
        note="Drive-over pile on packed gravel; water runs off to the lane side.",
    ),
    Store("Stone tower", "tower", None, None, None, 38, diameter=18, note="Concrete staves, repaired in the fall."),
    Store("Bag behind the barn", "bag", 370, diameter=10, dm_lb_ft3=12.4),
    Store("Corn bunker", "bunker", 130, 30, 8, 9, dm_lb_ft3=14.8),
]
MILKING = Stream(
    (
        Batch(
            "Pile {year}, first cutting",
            HAYLAGE,
            "Pile by the lane",
            1,
            236,
            0.35,
            Quality(47.2, 17.8, 9.4, 4.6, 52, is_grassy=True),
        ),
        Batch(
            "Third cutting {year}",
            HAYLAGE,
            "Bag behind the barn",
            3,
            129,
            0.44,
            Quality(42.6, 20.9, 9.9, 4.7, 54, nitrate_n_ppm=1250, is_grassy=True),
        ),
    ),
    None,
    1.28,
    (7, 18),
)
GROWING = Stream(
    (
        Batch(
            "Tower {year}, second cutting",
            HAYLAGE,
            "Stone tower",
            2,
            365,
            0.29,
            Quality(50.4, 15.6, 10.6, 5.15, 49, butyric=1.05, ammonia=17.5, is_grassy=True),
        ),
    ),
    "growing",
    0.19,
    (9, 1),
)
MAIZE = Stream(
    (
        Batch(
            "Corn silage {year}",
            CORN,
            "Corn bunker",
            None,
            365,
            0.33,
            Quality(41.0, 8.1, 4.4, 3.9, 56, is_corn=True),
            (9, 26),
        ),
    ),
    None,
    1.25,
    (11, 4),
)
PENS = [
    Pen(
        "Milking herd",
        "milking",
        152,
        {HAYLAGE: 0.32, CORN: 0.22, GRAINS: 0.14, MIX: 0.32},
        way="nrc_cow",
        more={
            "body_weight_kg": 1420,
            "milk_kg": 76,
            "fat_frac": 0.040,
            "days_in_milk_d": 165,
            "ndf_ceiling_frac": 0.45,
        },
        last_year={HAYLAGE: 0.36, GRAINS: 0.10},
    ),
    Pen(
        "Dry cows",
        "dry",
        24,
        {HAYLAGE: 0.25, CORN: 0.30, HAY: 0.45},
        way="nasem_dry",
        more={"body_weight_kg": 1480, "days_to_calving_d": 32, "diet_ndf_frac": 0.46},
    ),
    Pen(
        "Heifers",
        "growing",
        96,
        {HAYLAGE: 0.20, CORN: 0.30, HAY: 0.40, MIX: 0.10},
        19.5,
        head_steps=((5, 20, 78), (10, 25, 96)),
    ),
]
GRAINS_CONTRACT = Contract(
    "Brewers grains, spring contract",
    GRAINS,
    24,
    8,
    0.23,
    0.48,
    0.29,
    42,
    "A load every eight days through summer, tipped by the corn bunker. Call two days ahead to skip one.",
)
IRON = [
    Iron("Pile tractor", "packing_tractor", 24_000, 1.0),
    Iron("Blade tractor", "packing_tractor", 17_500, 0.6),
    Iron("Pull chopper", "chopper", tons_h=38),
    Iron("Mower-conditioner", "mower", width_ft=13),
    Iron("Wheel merger", "merger", width_ft=18),
    *(Iron(f"Wagon {number}", "truck") for number in (1, 2, 3)),
]
LIST = YardList(
    owners={"owner": "Marian", "agronomist": "Joan", "nutritionist": "Joost", "crew": "Abel"},
    notes={
        "floor-drained": "Gravel washed into the lane ditch; dig it out before the pile goes down.",
        "moisture-tester": "Reads three points wet against the oven, as last year.",
        "people": "School is out from the 24th; cousins for the cover gang.",
        "sheet": "Two rolls in the barn from last year, unopened, and two new ones.",
    },
    have={"sheet": square_feet(23_000.0), "tires": 2_700.0, "radios": 9.0, "gas-signs": 1.0},
    stays_open=("power-lines", "merger", "packed-density"),
    extra=(
        {
            "title": "Mats for the soft gate at Peat Bank.",
            "place": "field",
            "role": "crew",
            "days_before": 6,
            "owner": "Nils",
        },
        {
            "title": "Ask the brewery to skip the load in harvest week.",
            "place": "yard",
            "role": "nutritionist",
            "days_before": 8,
            "owner": "Joost",
        },
    ),
    waits=(("sheet", "floor-drained"),),
    pace=1.1,
    agreed_before_d=3,
)
QUESTIONS = [
    Question("Cut Peat Bank with the first lot, or leave it for dry hay?", "agronomist", 13),
    Question(
        "Tower silage with butyric acid: to whom, and how much?",
        "nutritionist",
        70,
        "Heifers only, from breeding age up; none to dry cows",
        "1 % butyric acid; the veterinarian was asked.",
        "nutritionist",
        66,
    ),
    Question("Take two more loads of brewers grains in June?", "nutritionist", 24),
    Question(
        "Stubble in the mixed stands?",
        "agronomist",
        20,
        "Four inches everywhere",
        "Grass in all of them comes back slowly when cut lower.",
        "owner",
        16,
    ),
    Question(
        "Tile for Heron Corner this fall?",
        "owner",
        -100,
        "Not this year",
        "First see whether the cleaned ditch helps.",
        "owner",
        -130,
        1,
    ),
    Question(
        "Second cutting to the tower or to the pile?",
        "nutritionist",
        -20,
        "Tower",
        "The pile is sealed and stays so.",
        "owner",
        -22,
        1,
    ),
]


def tell(story: Story) -> None:
    """Two seasons and this spring at Sedgewater Bottoms."""
    story.ids["cuts"] = 3
    tell_grounds(story, GROUNDS)
    tell_feeds(story, FEEDS)
    tell_stores(story, STORES)
    names = [ground.name for ground in GROUNDS]
    for stream in (MILKING, GROWING, MAIZE):
        tell_stream(story, stream, STORES, names)
    tell_contract(story, GRAINS_CONTRACT)
    tell_herd(story, PENS)
    tell_machines(story, IRON)
    tell_lists(story, LIST)
    tell_questions(story, QUESTIONS)
