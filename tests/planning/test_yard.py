"""What the yard says about itself."""

from app.planning.yard import FillStructure, PackingTractor, YardInputs


def test_weight_counts_for_the_hours_a_tractor_packs():
    yard = YardInputs(packing_tractors=(PackingTractor(18_000), PackingTractor(14_000, 0.5)))
    assert yard.packing_mass_kg == 25_000


def test_a_bunker_fills_to_its_wall_and_crowns_above_it():
    bunker = FillStructure("North", "bunker", 45, 12, wall_height_m=3.6, peak_height_m=4.2)
    assert bunker.height_m == 3.6
    assert round(bunker.crown_m, 6) == 0.6


def test_a_pile_has_its_peak_and_no_crown():
    pile = FillStructure("Pad", "pile", 60, 30, peak_height_m=3.5)
    assert (pile.height_m, pile.crown_m) == (3.5, 0.0)


def test_kinds_are_found_among_the_structures():
    yard = YardInputs(structures=(FillStructure("Pad", "pile"),))
    assert yard.has("bunker", "pile") and not yard.has("bag")
