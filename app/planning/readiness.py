"""What has to be ready before a cutting starts: one entry per item, drawn for the yard at hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.planning import needs
from app.planning.needs import Need
from app.planning.yard import FillStructure, PackingTractor, YardInputs
from app.units.sentences import Sentence

__all__ = ["READINESS", "DrawnItem", "Entry", "FillStructure", "Need", "PackingTractor", "YardInputs", "draw_checklist"]

ROLES = ("owner", "agronomist", "nutritionist", "crew")


@dataclass(frozen=True)
class Entry:
    """One thing to have ready: who sees to it where, how many days before the start, and when it applies at all."""

    key: str
    sentence: Sentence
    place: str
    role: str
    days_before: int
    caution: str | None
    blocks: bool
    applies: Callable[[YardInputs], bool]
    count: Callable[[YardInputs], Need] | None


@dataclass(frozen=True)
class DrawnItem:
    """An entry that applies to a yard, with what it needs; `blocks` holds up the first pass while it is open."""

    key: str
    sentence: Sentence
    place: str
    role: str
    days_before: int
    caution: str | None
    blocks: bool
    need: Need | None


def _always(yard: YardInputs) -> bool:
    return True


def _horizontal(yard: YardInputs) -> bool:
    return yard.has("bunker", "pile")


def _walled(yard: YardInputs) -> bool:
    return yard.has("bunker", "tower")


def _sprayed(yard: YardInputs) -> bool:
    return yard.fungicide_interval_d is not None


def _filled(yard: YardInputs) -> bool:
    return bool(yard.structures)


def _rolled(yard: YardInputs) -> bool:
    return _horizontal(yard) and yard.roll_width_m is not None


def _item(
    key: str,
    text: str,
    place: str,
    role: str,
    days_before: int,
    *,
    caution: str | None = None,
    blocks: bool = False,
    applies: Callable[[YardInputs], bool] = _always,
    count: Callable[[YardInputs], Need] | None = None,
) -> Entry:
    return Entry(key, Sentence(text), place, role, days_before, caution, blocks, applies, count)


READINESS: tuple[Entry, ...] = (
    _item(
        "walls-inspected",
        "Have walls, joints and doors looked over by someone who can judge them.",
        "structure",
        "owner",
        21,
        caution="structures",
        blocks=True,
        applies=_walled,
    ),
    _item(
        "structure-cleared",
        "Clear out old and spoiled silage; sweep soil and stones off the floor.",
        "structure",
        "crew",
        14,
        caution="face-collapse",
        blocks=True,
        applies=_filled,
    ),
    _item(
        "floor-drained",
        "Open the drains and lead rain and seepage away from the floor.",
        "structure",
        "crew",
        14,
        applies=_horizontal,
    ),
    _item(
        "spray-interval",
        "Check the label: days between spraying and cutting.",
        "field",
        "agronomist",
        14,
        blocks=True,
        applies=_sprayed,
        count=needs.spray_interval,
    ),
    _item(
        "sheet",
        "Lay in sheeting and film for every bunker and pile.",
        "cover",
        "owner",
        10,
        caution="falls",
        blocks=True,
        applies=_horizontal,
        count=needs.sheet_area,
    ),
    _item("sheet-rolls", "Count the rolls.", "cover", "crew", 10, applies=_rolled, count=needs.sheet_rolls),
    _item(
        "tires",
        "Bring tires or gravel bags to the side where they are used.",
        "cover",
        "crew",
        10,
        caution="falls",
        applies=_horizontal,
        count=needs.tires_needed,
    ),
    _item(
        "liners",
        "Hang liners on the side walls.",
        "cover",
        "crew",
        5,
        caution="falls",
        applies=lambda yard: yard.has("bunker"),
        count=needs.liners,
    ),
    _item(
        "bags",
        "Lay in bags and grease the bagger.",
        "structure",
        "owner",
        10,
        caution="shafts-and-knives",
        blocks=True,
        applies=lambda yard: yard.has("bag"),
        count=needs.bags,
    ),
    _item(
        "inoculant",
        "Lay in inoculant for the tons expected; keep it cold.",
        "machine",
        "nutritionist",
        10,
        count=needs.inoculant,
    ),
    _item(
        "applicator",
        "Run the applicator with clean water and set its flow to the delivery rate.",
        "machine",
        "crew",
        3,
        caution="shafts-and-knives",
    ),
    _item(
        "packing-weight",
        "Have enough packing weight for the delivery rate.",
        "pad",
        "owner",
        7,
        caution="tractor-rollover",
        blocks=True,
        applies=_horizontal,
        count=needs.packing_weight,
    ),
    _item(
        "packed-density",
        "Check that the tractors reach the density: thin layers, more weight or a slower chopper.",
        "pad",
        "owner",
        7,
        applies=_horizontal,
        count=needs.packed_density,
    ),
    _item(
        "frames-and-belts",
        "Roll-over frame and working belt on every packing tractor.",
        "pad",
        "owner",
        7,
        caution="tractor-rollover",
        blocks=True,
        applies=_horizontal,
        count=needs.frames_and_belts,
    ),
    _item(
        "people",
        "Name a person for every seat and every shift, and who relieves them.",
        "people",
        "owner",
        7,
        caution="heat-fatigue",
        blocks=True,
        count=needs.people,
    ),
    _item(
        "emergency-card",
        "Hang up the emergency card: numbers, address, way in, who meets the ambulance.",
        "yard",
        "owner",
        7,
        caution="run-over",
        blocks=True,
    ),
    _item(
        "power-lines",
        "Walk the routes and mark every overhead line.",
        "field",
        "owner",
        7,
        caution="power-lines",
        blocks=True,
    ),
    _item(
        "mower-knives",
        "Change mower knives, set them flat; keep the spares in the cab.",
        "machine",
        "crew",
        5,
        caution="shafts-and-knives",
    ),
    _item(
        "chopper-knives",
        "Sharpen chopper knives and set the length of cut.",
        "machine",
        "crew",
        5,
        caution="shafts-and-knives",
    ),
    _item(
        "shields", "Put back every shield and guard.", "machine", "crew", 5, caution="shafts-and-knives", blocks=True
    ),
    _item("merger", "Run the merger; replace worn teeth.", "machine", "crew", 5, caution="shafts-and-knives"),
    _item(
        "haul-units",
        "Line up enough haul units for the chopper and the distance.",
        "road",
        "owner",
        5,
        caution="road",
        count=needs.haul_units,
    ),
    _item("moisture-tester", "Try the moisture tester against an oven-dried sample.", "yard", "nutritionist", 5),
    _item("scale", "Test the scale and agree how loads are written down.", "yard", "crew", 5),
    _item(
        "sample-bags",
        "Lay out sample bags and a marker.",
        "yard",
        "nutritionist",
        5,
        caution="face-collapse",
        applies=_filled,
        count=needs.sample_bags,
    ),
    _item(
        "radios",
        "A charged radio in every cab and one on the ground, all on one channel.",
        "people",
        "crew",
        3,
        caution="run-over",
        count=needs.radios,
    ),
    _item(
        "lights",
        "Lights, reflectors and emblems work on everything that goes on the road or packs at night.",
        "road",
        "crew",
        3,
        caution="road",
    ),
    _item(
        "gas-signs",
        "Set up keep-out signs for silo gas at every structure.",
        "structure",
        "owner",
        3,
        caution="silo-gas",
        blocks=True,
        applies=_filled,
        count=needs.gas_signs,
    ),
    _item(
        "traffic-plan",
        "Go through the traffic plan with every driver: nobody on foot on the packing pad.",
        "pad",
        "owner",
        3,
        caution="run-over",
        blocks=True,
    ),
    _item(
        "children-visitors",
        "Agree where children and visitors are, and who watches them.",
        "people",
        "owner",
        3,
        caution="children-visitors",
        blocks=True,
    ),
    _item(
        "heat-plan", "Plan water, shade, breaks and the longest shift.", "people", "owner", 3, caution="heat-fatigue"
    ),
    _item(
        "cover-gang",
        "Name the cover gang and the hour it starts.",
        "cover",
        "owner",
        3,
        caution="falls",
        applies=_horizontal,
    ),
    _item(
        "stubble",
        "Set and measure the stubble height of every mower.",
        "machine",
        "agronomist",
        2,
        caution="shafts-and-knives",
    ),
    _item(
        "swath-doors",
        "Open the swath doors to at least four fifths of the cut.",
        "machine",
        "crew",
        2,
        caution="shafts-and-knives",
        count=needs.swath_width,
    ),
)

BY_KEY: dict[str, Entry] = {entry.key: entry for entry in READINESS}


def draw_checklist(yard: YardInputs) -> tuple[DrawnItem, ...]:
    """Items that apply to this yard, the earliest due first."""
    drawn = [entry for entry in READINESS if entry.applies(yard)]
    return tuple(_drawn(entry, yard) for entry in sorted(drawn, key=lambda entry: -entry.days_before))


def _drawn(entry: Entry, yard: YardInputs) -> DrawnItem:
    need = entry.count(yard) if entry.count else None
    return DrawnItem(
        entry.key, entry.sentence, entry.place, entry.role, entry.days_before, entry.caution, entry.blocks, need
    )
