"""Structures of every kind, as the farm's people describe them."""

from datetime import date

import pytest

from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.services import structures
from app.units.quantities import KG_PER_SHORT_TON, M_PER_FT
from tests.builders.published import published

FT = M_PER_FT
BUNKER = {"name": "Bunker 2", "kind": "bunker", "length_m": 100 * FT, "width_m": 40 * FT, "wall_height_m": 12 * FT}


def tons(view):
    return view.capacity.value / KG_PER_SHORT_TON


def only(work, team):
    (view,) = structures.list_structures(work, team.farm.id)
    return view


@pytest.mark.parametrize("row", published("ensiling", "bunkers"))
def test_a_bunker_holds_its_exact_solid(work, team, row):
    """Exact solids of the geometry table, with battered walls and ramps, entered the way a person does."""
    values = {
        **BUNKER,
        "length_m": row["length_ft"] * FT,
        "width_m": row["width_ft"] * FT,
        "top_width_m": row["top_ft"] * FT,
        "wall_height_m": row["height_ft"] * FT,
        "ramps_count": int(row["ramps"]),
    }
    structures.add_structure(work, team.farm.id, values)
    assert only(work, team).volume_m3 / FT**3 == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", published("ensiling", "piles"))
def test_a_pile_holds_its_exact_solid(work, team, row):
    values = {
        "name": "Pile",
        "kind": "pile",
        "length_m": row["length_ft"] * FT,
        "width_m": row["base_ft"] * FT,
        "peak_height_m": row["height_ft"] * FT,
        "side_slope": 3.0,
        "end_slope": 3.0,
    }
    structures.add_structure(work, team.farm.id, values)
    assert only(work, team).volume_m3 / FT**3 == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize(("across_ft", "deep_ft", "tons_dm"), [(20, 40, 89), (24, 44, 147), (14, 30, 29), (18, 20, 27)])
def test_a_tower_holds_what_the_published_table_says(work, team, across_ft, deep_ft, tons_dm):
    """[Cropp2000]_, table of tower silos; within 10 % shown on either side, for old tables overstate."""
    values = {"name": "Tower", "kind": "tower", "diameter_m": across_ft * FT, "peak_height_m": deep_ft * FT}
    structures.add_structure(work, team.farm.id, values)
    view = only(work, team)
    assert tons(view) == pytest.approx(tons_dm, abs=1e-6)
    assert view.capacity.low == pytest.approx(0.9 * view.capacity.value)
    assert view.capacity.sources == ("Cropp2000",)


def test_a_crown_adds_its_parabola_and_an_engineer_is_named(work, team):
    """Two thirds of crown times width, over the length that is level: exact section (geometry)."""
    level = {**BUNKER, "ramps_count": 0}
    structures.add_structure(work, team.farm.id, level)
    structures.add_structure(work, team.farm.id, {**level, "name": "Crowned", "peak_height_m": 14 * FT})
    flat, crowned = structures.list_structures(work, team.farm.id)
    assert (crowned.volume_m3 - flat.volume_m3) / FT**3 == pytest.approx(2 / 3 * 2 * 40 * 100, rel=1e-9)


def test_a_pile_too_high_for_its_base_is_refused_with_the_width_its_top_would_have(work, team):
    values = {"name": "Pile", "kind": "pile", "length_m": 200 * FT, "width_m": 72 * FT, "peak_height_m": 13 * FT}
    with pytest.raises(Invalid) as refused:
        structures.add_structure(work, team.farm.id, values)
    assert refused.value.fields["peak_height_m"].figures["top"].value == pytest.approx(-6 * FT)
    assert structures.list_structures(work, team.farm.id) == []


@pytest.mark.parametrize(
    ("changes", "column"),
    [
        ({"top_width_m": 38 * FT}, "top_width_m"),
        ({"length_m": 50 * FT, "ramps_count": 2}, "length_m"),
        ({"kind": "tower", "diameter_m": 30 * FT, "peak_height_m": 40 * FT}, "diameter_m"),
        ({"kind": "tower", "diameter_m": 24 * FT, "peak_height_m": 46 * FT}, "peak_height_m"),
        ({"kind": "bag", "length_m": 10 * FT, "diameter_m": 9 * FT}, "length_m"),
    ],
)
def test_sizes_no_structure_has_are_refused_by_column(work, team, changes, column):
    with pytest.raises(Invalid) as refused:
        structures.add_structure(work, team.farm.id, {**BUNKER, **changes})
    assert list(refused.value.fields) == [column]


def test_a_structure_without_all_sizes_says_which_are_missing(work, team):
    structures.add_structure(work, team.farm.id, {"name": "Bunker", "kind": "bunker", "length_m": 30.0})
    view = only(work, team)
    assert not view.capacity.known
    assert [str(each) for each in view.missing] == ["Width at the floor", "Height of the walls"]


def test_the_farms_own_density_and_its_error_make_the_capacity(work, team):
    from app.services import farms

    structures.add_structure(work, team.farm.id, BUNKER)
    assert tons(only(work, team)) == pytest.approx(295.2, abs=0.1)  # 39,360 cu ft at 15 lb, geometry
    farms.set_value(work, team.farm.id, "density_dm_kg_m3", 200.0)
    farms.set_value(work, team.farm.id, "density_spread_frac", 0.2)
    view = only(work, team)
    assert view.capacity.value == pytest.approx(view.volume_m3 * 200)
    assert view.capacity.high == pytest.approx(1.2 * view.capacity.value)


def test_two_people_who_change_different_sizes_both_win(work, team):
    row = structures.add_structure(work, team.farm.id, BUNKER)
    was = {"length_m": row.length_m, "width_m": row.width_m}
    structures.edit_structure(work, team.farm.id, row.id, {"length_m": 40.0, "width_m": row.width_m}, was)
    structures.edit_structure(work, team.farm.id, row.id, {"length_m": was["length_m"], "width_m": 13.0}, was)
    assert (row.length_m, row.width_m) == (40.0, 13.0)
    with pytest.raises(Conflict):
        structures.edit_structure(work, team.farm.id, row.id, {"length_m": 45.0}, was)


def test_two_edits_that_do_not_fit_together_are_refused(work, team):
    row = structures.add_structure(work, team.farm.id, {**BUNKER, "top_width_m": 42 * FT})
    was = {"width_m": row.width_m, "top_width_m": row.top_width_m}
    structures.edit_structure(work, team.farm.id, row.id, {"width_m": 42 * FT, "top_width_m": 42 * FT}, was)
    with pytest.raises(Invalid):
        structures.edit_structure(work, team.farm.id, row.id, {"width_m": 40 * FT, "top_width_m": 41 * FT}, was)


def test_removing_is_undone_and_a_name_taken_meanwhile_is_refused(work, team):
    row = structures.add_structure(work, team.farm.id, BUNKER)
    structures.remove_structure(work, team.farm.id, row.id)
    assert structures.list_structures(work, team.farm.id) == []
    structures.add_structure(work, team.farm.id, BUNKER)
    with pytest.raises(Invalid):
        structures.restore_structure(work, team.farm.id, row.id)
    structures.edit_structure(work, team.farm.id, row.id + 1, {"name": "Bunker 3"})
    structures.restore_structure(work, team.farm.id, row.id)
    assert len(structures.list_structures(work, team.farm.id)) == 2


def test_strangers_and_crew_change_nothing(work, team):
    row = structures.add_structure(work, team.farm.id, BUNKER)
    with pytest.raises(NotFound):
        structures.list_structures(team.acts(work, "stranger"), team.farm.id)
    with pytest.raises(NotAllowed):
        structures.edit_structure(team.acts(work, "crew"), team.farm.id, row.id, {"name": "Mine"})


def test_silo_gas_keeps_people_out_for_three_weeks_after_sealing():
    """Longest published period, 21 days: filled 1 June, clear after 22 June ([Griswold2020]_)."""
    from app.planning.store_cautions import cautions_at

    sizes = structures.sizes_of({"kind": "bunker", "wall_height_m": 14 * FT, "bale_is_round": True})

    def keys(today):
        return [card.key for card in cautions_at(sizes, sealed_on=date(2027, 6, 1), today=today, is_filling=False)]

    assert keys(date(2027, 6, 22))[0] == "silo-gas-here"
    assert "silo-gas-here" not in keys(date(2027, 6, 23))
    assert "face-here" in keys(date(2027, 6, 23))


def test_the_standoff_is_three_heights_of_this_face():
    """14 ft high: 42 ft ([Carrabba2018]_)."""
    from app.planning.store_cautions import cautions_at

    sizes = structures.sizes_of({"kind": "bunker", "wall_height_m": 14 * FT, "bale_is_round": True})
    (card,) = [c for c in cautions_at(sizes, sealed_on=None, today=date(2027, 5, 1), is_filling=False)
               if c.key == "face-here"]  # fmt: skip
    assert card.facts[0].figures["away"].value == pytest.approx(42 * FT)
