"""The caution cards: complete, ending alike, and found where the danger is."""

import pytest

from app.ensiling import safety
from app.planning.cautions import BY_KEY, CAUTIONS, PLACES, STOP, cautions_for
from app.sources import SOURCES
from app.units.kinds import KINDS
from app.units.quantities import M_PER_FT
from app.units.sentences import Quantity


def figures(caution):
    return [f for fact in caution.facts for f in fact.figures.values() if isinstance(f, Quantity)]


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.key)
def test_every_card_ends_with_stop_tell_and_call(caution):
    assert caution.facts[-1] == STOP
    for word in ("stop", "tell someone", "call the emergency number"):
        assert word in str(caution.facts[-1])
    assert len(caution.facts) >= 3


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.key)
def test_every_card_names_who_publishes_and_who_decides(caution):
    assert caution.publishers and caution.defer_to.text
    assert caution.places and caution.places <= PLACES.keys()
    assert caution.sources and set(caution.sources) <= SOURCES.keys()


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.key)
def test_every_figure_can_be_shown_in_both_unit_systems(caution):
    assert all(figure.kind in KINDS for figure in figures(caution))
    assert all("{" not in str(fact) for fact in caution.facts)


def test_no_card_clears_anyone():
    said = " ".join(str(fact) for caution in CAUTIONS for fact in caution.facts).lower()
    for promise in ("is safe", "safe to", "you may enter", "cleared to"):
        assert promise not in said


@pytest.mark.parametrize(
    ("place", "key"),
    [
        ("pad", "tractor-rollover"),
        ("pad", "run-over"),
        ("structure", "silo-gas"),
        ("tower", "tower-entry"),
        ("face", "face-collapse"),
        ("machine", "shafts-and-knives"),
        ("road", "road"),
        ("cover", "falls"),
        ("people", "children-visitors"),
        ("field", "power-lines"),
    ],
)
def test_a_place_shows_the_card_of_its_danger(place, key):
    assert BY_KEY[key] in cautions_for(place)


def test_every_place_has_a_card_and_a_strange_place_is_refused():
    assert all(cautions_for(place) for place in PLACES)
    with pytest.raises(KeyError, match="not one of"):
        cautions_for("barn")


def test_silo_gas_says_the_longest_keep_out_and_the_newest_limit():
    """Three weeks (Penn State, as relayed by Griswold); 13 ppm (NIOSH revision of 2017)."""
    said = {(figure.value, figure.kind) for figure in figures(BY_KEY["silo-gas"])}
    assert {(21, "days"), (13, "ppm"), (5, "ppm"), (1, "ppm")} <= said
    assert safety.NO2_KEEP_OUT_D == 21


def test_the_face_card_works_out_three_heights():
    """Carrabba: 14 ft high, 42 ft away."""
    assert Quantity(42 * M_PER_FT, "length").value == pytest.approx(
        BY_KEY["face-collapse"].facts[0].figures["example"].value
    )
