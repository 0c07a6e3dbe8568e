"""What can hurt someone on the way to haylage: one card per danger, chosen by the place where work is done.

The cards remind; they never clear anyone to do anything. Figures come from `app.ensiling.safety` and from
[NasdSiloGas1993]_, [Griswold2020]_, [Carrabba2018]_, [Bolsen2016]_, [Osha2005]_, [PennStateHorizontal2014]_,
[BunkerSafety2022]_, [MissouriExtension1998]_, [ExtensionFresh2013]_, [UmnSmv2015]_, [JacksonRosenberg2010]_,
[WisconsinYouth2019]_ and [BcMinistry2015]_.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.ensiling import safety
from app.ensiling.structures.slopes import CROSS_RATIO, DRIVE_RATIO
from app.units.quantities import KM_PER_MILE, M_PER_FT
from app.units.sentences import Quantity, Sentence

PLACES: dict[str, Sentence] = {
    "field": Sentence("Field"),
    "machine": Sentence("Machines"),
    "road": Sentence("Road"),
    "yard": Sentence("Yard"),
    "structure": Sentence("Storage"),
    "tower": Sentence("Tower silo"),
    "pad": Sentence("Packing pad"),
    "cover": Sentence("Covering"),
    "face": Sentence("Face at feed-out"),
    "people": Sentence("Everyone"),
}
"""Where work is done, with the name people read; the packing pad is the structure while it fills."""

STOP = Sentence("If anything looks wrong: stop, tell someone, call the emergency number.")

GAS_PEAK_D = 3


@dataclass(frozen=True)
class Caution:
    """One danger: facts in order of use (the last one is always what to do), who publishes them, who decides."""

    key: str
    title: Sentence
    facts: tuple[Sentence, ...]
    publishers: tuple[str, ...]
    defer_to: Sentence
    places: frozenset[str]
    sources: tuple[str, ...]


def _card(
    key: str,
    title: str,
    facts: tuple[Sentence, ...],
    *,
    publishers: tuple[str, ...],
    defer_to: str,
    places: str,
    sources: str,
) -> Caution:
    return Caution(
        key,
        Sentence(title),
        (*facts, STOP),
        publishers,
        Sentence(defer_to),
        frozenset(places.split()),
        tuple(sources.split()),
    )


def _feet(feet: float) -> Quantity:
    return Quantity(feet * M_PER_FT, "length")


CAUTIONS: tuple[Caution, ...] = (
    _card(
        "silo-gas",
        "Silo gas",
        (
            Sentence(
                "Fresh haylage gives off nitrogen dioxide within hours of filling, most of it in the first {peak}. "
                "Keep people and stock away for {days} after the last load.",
                peak=Quantity(GAS_PEAK_D, "days"),
                days=Quantity(safety.NO2_KEEP_OUT_D, "days"),
            ),
            Sentence(
                "It is heavier than air: it lies on the silage and creeps down chutes into feed rooms, and between "
                "bags and walls. A smell of bleach or a yellow-brown haze or stain are signs, but it may show none."
            ),
            Sentence(
                "Dangerous to life from {danger}; the work limits are {ceiling} at any moment and {short} over "
                "a short time.",
                danger=Quantity(safety.NO2_DANGER_PPM, "ppm"),
                ceiling=Quantity(safety.NO2_CEILING_OSHA_PPM, "ppm"),
                short=Quantity(safety.NO2_SHORT_TERM_NIOSH_PPM, "ppm"),
            ),
            Sentence(
                "Whoever breathed it sees a doctor at once, even when feeling well: the lungs can fill {hours} later, "
                "and a relapse can follow weeks after.",
                hours=Quantity(12, "hours"),
            ),
        ),
        publishers=("NASD", "Penn State Extension", "NIOSH", "OSHA"),
        defer_to="Gas readings and symptoms: a physician or the poison centre. Entry: a trained confined-space team.",
        places="structure tower pad yard",
        sources="NasdSiloGas1993 Griswold2020 Niosh1994 Aiha2017",
    ),
    _card(
        "tower-entry",
        "Going into a tower silo",
        (
            Sentence("A tower is a confined space. Nobody enters alone, and nobody untrained goes in to rescue."),
            Sentence(
                "Published advice for trained entrants: blower on for {hours} beforehand and all the time inside, "
                "oxygen and gas measured, an attendant outside. Air that was blown is not air that was tested.",
                hours=Quantity(safety.VENTILATE_BEFORE_ENTRY_H, "hours"),
            ),
            Sentence("An oxygen-limiting tower holds no air to breathe at any time of the year."),
        ),
        publishers=("Penn State Extension", "NIOSH", "state FACE programs"),
        defer_to="Entry and rescue: a trained confined-space team and local code.",
        places="tower",
        sources="Griswold2020 NasdSiloGas1993",
    ),
    _card(
        "face-collapse",
        "The face can fall",
        (
            Sentence(
                "A face gives no warning. Stay at least {times} times its height away; {example} from a face "
                "of {height}.",
                times=int(safety.FACE_STANDOFF_HEIGHTS_COUNT),
                example=Quantity(float(safety.standoff(14 * M_PER_FT)), "length"),
                height=_feet(14),
            ),
            Sentence(
                "Nobody walks up to take a sample or cut plastic: drop a bucket load well away and sample that, "
                "never alone."
            ),
            Sentence(
                "Fill no higher than the unloader reaches, commonly {low} to {high}. No undercutting, no tunnels.",
                low=_feet(12),
                high=_feet(16),
            ),
            Sentence("Signs and a fence keep others out; clothing that can be seen shows who is there."),
        ),
        publishers=("NYCAMH", "Penn State Extension"),
        defer_to="Height and walls: a licensed engineer or the builder.",
        places="face structure",
        sources="Carrabba2018 BunkerSafety2022",
    ),
    _card(
        "tractor-rollover",
        "Packing tractors roll over",
        (
            Sentence("A roll-over frame and a fastened belt on every packing tractor, experienced drivers only."),
            Sentence(
                "No slope steeper than {drive}:1 to drive up and down, back up the steep ones; across a slope at most "
                "{cross}:1. Never along the side of a {drive}:1 pile.",
                drive=int(DRIVE_RATIO),
                cross=int(CROSS_RATIO),
            ),
            Sentence(
                "Edges are soft. Sight rails show where a wall ends but hold no tractor, and bales are no wall. "
                "Radios between cabs, lights after dark."
            ),
        ),
        publishers=("OSHA", "Penn State Extension", "NYCAMH"),
        defer_to="Ballast and slopes: the maker's limits. Roll-over frames: 29 CFR 1928.51 and local rules.",
        places="pad structure",
        sources="Osha2005 Bolsen2016 Carrabba2018 PennStateHorizontal2014",
    ),
    _card(
        "structures",
        "Walls and floors",
        (
            Sentence(
                "Look over walls, joints and floor before the first load; a cracked or leaning wall is not filled."
            ),
            Sentence("Silage above the wall, and a tractor on it, load the wall beyond what it was built for."),
        ),
        publishers=("Penn State Extension",),
        defer_to="Strength of walls and slabs, filling above the wall: a licensed engineer or the builder.",
        places="structure pad",
        sources="PennStateHorizontal2014",
    ),
    _card(
        "shafts-and-knives",
        "Shafts, knives and cutterheads",
        (
            Sentence(
                "A shaft at 540 rpm winds in {pull} of clothing before anyone can react, and a faster one more.",
                pull=Quantity(float(safety.shaft_pull()), "length"),
            ),
            Sentence(
                "Shields stay on. Before reaching in: engine off, key in the pocket, wait until everything stands "
                "still; a cutterhead runs on for minutes. A plug is never cleared while it runs."
            ),
            Sentence("No loose clothing, cords or hair; gloves and blocks when turning or changing knives."),
        ),
        publishers=("OSHA", "University of Missouri Extension", "NASD"),
        defer_to="Guards: 29 CFR 1928.57 and the maker's manual.",
        places="machine field",
        sources="MissouriExtension1998 Osha2005",
    ),
    _card(
        "falls",
        "Falls from the top, and covering",
        (
            Sentence(
                "Lay film and tires from the middle, with long-handled tools; only people named for it work near "
                "the edge. Wet or iced plastic is slippery: shoes that grip, no horseplay."
            ),
            Sentence(
                "Leave large sheets alone in wind from about {wind}.",
                wind=Quantity(safety.WIND_STOP_KM_H, "speed"),
            ),
        ),
        publishers=("Penn State Extension", "NEC"),
        defer_to="Fall protection: state or provincial law.",
        places="cover structure",
        sources="BunkerSafety2022 PennStateHorizontal2014",
    ),
    _card(
        "run-over",
        "Run over or backed over",
        (
            Sentence("One traffic plan that every driver knows: way in, way out, who may dump, who packs."),
            Sentence("Nobody on foot where loads are dumped or packed; no riders. Mirrors, cameras and alarms work."),
            Sentence("Who must go there first speaks with every driver by radio and waits until all stand still."),
        ),
        publishers=("NASD", "NIOSH"),
        defer_to="Traffic on the yard: the owner's plan and the insurer's terms.",
        places="pad yard",
        sources="BunkerSafety2022",
    ),
    _card(
        "power-lines",
        "Overhead power lines",
        (
            Sentence(
                "Keep raised boxes, spouts and wagons at least {near} from a line, {far} where the utility says so; "
                "lower before moving.",
                near=Quantity(safety.POWER_LINE_CLEARANCE_M, "length"),
                far=_feet(15),
            ),
            Sentence(
                "After contact: stay in the cab, keep others away, call the utility. Only a fire is a reason to jump "
                "clear, without touching machine and ground at once."
            ),
        ),
        publishers=("eXtension FReSH",),
        defer_to="Clearance: the utility.",
        places="field yard pad road",
        sources="ExtensionFresh2013",
    ),
    _card(
        "road",
        "On the road",
        (
            Sentence(
                "The slow-moving emblem is for vehicles that travel {speed} or less, mounted {low} to {high} high "
                "at the rear. Lights clean, loads held, mud off the road.",
                speed=Quantity(25 * KM_PER_MILE, "speed"),
                low=_feet(2),
                high=_feet(6),
            ),
            Sentence(
                "At {faster} faster, a car closes the length of a football field in about {seconds} seconds.",
                faster=Quantity(30 * KM_PER_MILE, "speed"),
                seconds=8,
            ),
        ),
        publishers=("ASABE", "University of Minnesota Extension"),
        defer_to="Weight, width, escort and licence: state or provincial law.",
        places="road",
        sources="UmnSmv2015",
    ),
    _card(
        "heat-fatigue",
        "Heat and long hours",
        (
            Sentence(
                "Water, shade and rest before anyone asks; a drink about every quarter of an hour. Set the length "
                "of a shift and the hours of sleep before the rush."
            ),
            Sentence(
                "New and returning people start with {share} of a shift in the heat and add as much each day: most "
                "deaths fall in the first days.",
                share=Quantity(float(safety.heat_share(1)), "percent"),
            ),
        ),
        publishers=("OSHA", "NIOSH"),
        defer_to="Illness: a physician. Hours: labour law.",
        places="people field pad road machine cover",
        sources="JacksonRosenberg2010",
    ),
    _card(
        "children-visitors",
        "Children and visitors",
        (
            Sentence("Out of the pack area, away from faces, bags, machines and gas. Someone is named to watch them."),
            Sentence(
                "About {count} children a day are hurt on farms in the United States. Youth get tasks by ability; "
                "the law bars the youngest from packing tractors and fresh silos.",
                count=33,
            ),
        ),
        publishers=("NCCRAHS", "University of Wisconsin Extension"),
        defer_to="Youth work: state or provincial law and 29 CFR 570.71.",
        places="people yard pad face structure",
        sources="WisconsinYouth2019",
    ),
    _card(
        "air",
        "Dust, mould and exhaust",
        (
            Sentence("Spoiled silage is handled with a fitted respirator, upwind, and thrown away."),
            Sentence("Under a roof exhaust gathers within minutes; a dizzy driver leaves at once for fresh air."),
        ),
        publishers=("British Columbia Ministry of Agriculture", "CS-CASH"),
        defer_to="Breathing trouble: a physician. Runoff and waste film: the environmental agency.",
        places="face structure cover",
        sources="BcMinistry2015",
    ),
)

BY_KEY: dict[str, Caution] = {caution.key: caution for caution in CAUTIONS}


def cautions_for(*places: str) -> tuple[Caution, ...]:
    """Cards of any of the places, in the order of the catalogue; a place that is not known is refused."""
    strange = [place for place in places if place not in PLACES]
    if strange:
        raise KeyError(f"place {strange[0]!r} is not one of {', '.join(PLACES)}")
    return tuple(caution for caution in CAUTIONS if caution.places.intersection(places))
