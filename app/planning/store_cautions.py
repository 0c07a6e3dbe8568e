"""What to keep in mind at one structure: slopes, crown and overfilling, the face, silo gas after sealing."""

from __future__ import annotations

from datetime import date

from app.ensiling.safety import FACE_STANDOFF_HEIGHTS_COUNT, NO2_KEEP_OUT_D, keep_out_until, standoff
from app.ensiling.structures.pile import TOP_WIDTH_LEAST_M
from app.ensiling.structures.slopes import CROSS_RATIO, DRIVE_RATIO, is_too_steep
from app.planning.cautions import CAUTIONS, STOP, Caution
from app.planning.stores import Sizes
from app.units.sentences import Quantity, Sentence

FILLED_ABOVE_M = 0.01


def cautions_at(sizes: Sizes, *, sealed_on: date | None, today: date, is_filling: bool) -> tuple[Caution, ...]:
    """Cards for one structure, the one that cannot wait first; `sealed_on` is the last sealing there."""
    found = [_gas(sealed_on, today), _overfill(sizes), _slopes(sizes), _face(sizes)]
    if sizes.kind == "tower":
        found.append(_published("tower-entry"))
    if is_filling and sizes.kind in ("bunker", "pile"):
        found.append(_published("tractor-rollover"))
    return tuple(card for card in found if card is not None)


def _published(key: str) -> Caution | None:
    return next((card for card in CAUTIONS if card.key == key), None)


def _card(
    key: str, title: Sentence, facts: tuple[Sentence, ...], like: str, defer_to: Sentence | None = None
) -> Caution:
    """A card of one structure, with publishers and sources of the general one it makes exact."""
    general = _published(like)
    assert general is not None, like
    return Caution(key, title, (*facts, STOP), general.publishers, general.defer_to, general.places, general.sources)


def _gas(sealed_on: date | None, today: date) -> Caution | None:
    if sealed_on is None or not sealed_on <= today <= keep_out_until(sealed_on):
        return None
    facts = (
        Sentence(
            "Sealed on {sealed}: keep people and stock away through {until}, {days} in all, "
            "from the rooms and pits beside it too.",
            sealed=sealed_on,
            until=keep_out_until(sealed_on),
            days=Quantity(NO2_KEEP_OUT_D, "days"),
        ),
        Sentence("Whoever breathed the gas sees a doctor at once, even when feeling well."),
    )
    return _card("silo-gas-here", Sentence("Silo gas: keep out"), facts, "silo-gas")


def _overfill(sizes: Sizes) -> Caution | None:
    if sizes.crown_m <= FILLED_ABOVE_M:
        return None
    facts = (
        Sentence(
            "The highest point stands {crown} above the wall. Feed above the wall, and a tractor on it, load the wall "
            "beyond what most were built for.",
            crown=Quantity(sizes.crown_m, "length"),
        ),
        Sentence("Ask the engineer or builder how high this wall may be filled before the next load goes on."),
    )
    return _card("overfilled", Sentence("Filled above the wall"), facts, "structures")


def _slopes(sizes: Sizes) -> Caution | None:
    if sizes.kind not in ("bunker", "pile"):
        return None
    facts = []
    ends = sizes.end_slope if sizes.kind == "pile" or sizes.ramps else None
    steep = [ratio for ratio in (sizes.side_slope if sizes.kind == "pile" else None, ends) if ratio is not None]
    if any(is_too_steep(ratio, drives_across=False) for ratio in steep):
        facts.append(
            Sentence(
                "{ratio}:1 is too steep to drive: published advice is no steeper than {drive}:1 up and down.",
                ratio=float(min(steep)),
                drive=int(DRIVE_RATIO),
            )
        )
    if sizes.kind == "pile" and is_too_steep(sizes.side, drives_across=True):
        facts.append(
            Sentence("Nobody drives along sides steeper than {cross}:1; only up and down them.", cross=int(CROSS_RATIO))
        )
    facts += _narrow_top(sizes)
    return _card("slopes-here", Sentence("Slopes and edges"), tuple(facts), "tractor-rollover") if facts else None


def _narrow_top(sizes: Sizes) -> list[Sentence]:
    if sizes.kind != "pile" or sizes.width_m is None or sizes.peak_height_m is None:
        return []
    top = sizes.width_m - 2 * sizes.side * sizes.peak_height_m
    if top >= TOP_WIDTH_LEAST_M:
        return []
    return [
        Sentence(
            "The top is {top} wide; a tractor needs about {least} (a remembered figure).",
            top=Quantity(max(0.0, top), "length"),
            least=Quantity(TOP_WIDTH_LEAST_M, "length"),
        )
    ]


def _face(sizes: Sizes) -> Caution | None:
    high = sizes.full_height_m
    if sizes.kind not in ("bunker", "pile") or high is None:
        return None
    facts = (
        Sentence(
            "A face falls without warning. With {height} of feed keep {away} away, {times} times its height.",
            height=Quantity(high, "length"),
            away=Quantity(float(standoff(high)), "length"),
            times=int(FACE_STANDOFF_HEIGHTS_COUNT),
        ),
        Sentence("Measure and sample from a bucket load dropped well away from the face, never alone, never below it."),
    )
    return _card("face-here", Sentence("The face can fall"), facts, "face-collapse")
