"""Lots on hand: measured, weighed, fed out, corrected; each loss taken once."""

from datetime import date

import pytest
from sqlalchemy import event

from app.errors import Conflict, Invalid, NotAllowed, NotFound, Unsure
from app.records.feeds import Feedout, LotMeasurement
from app.services import lots
from app.services.lots import Load
from app.units.quantities import KG_M3_PER_LB_FT3, KG_PER_LB, KG_PER_SHORT_TON, M_PER_FT
from tests.builders.feed import BUNKER, STACK, TOWER, add_feed, add_lot

FT, TON, DENSITY = M_PER_FT, KG_PER_SHORT_TON, 15 * KG_M3_PER_LB_FT3
APRIL, MAY = date(2027, 4, 10), date(2027, 5, 1)


def now(work, team):
    (lot,) = lots.list_lots_on_hand(work, team.farm.id)
    return lot


def measure(work, team, lot, on=APRIL, method="weight", **values):
    return lots.add_measurement(work, team.farm.id, lot.id, {"measured_on": on, "method": method, **values}, sure=True)


def feed_out(work, team, lot, from_on, to_on, tons, thrown=0.0):
    values = {"from_on": from_on, "to_on": to_on, "mass_af_kg": tons * TON, "thrown_af_kg": thrown * TON}
    return lots.add_feedout(work, team.farm.id, lot.id, values, sure=True)


def load(work, team, lot, on, tons, dm_frac=None):
    values = {"loaded_on": on, "mass_af_kg": tons * TON, "dm_frac": dm_frac}
    return lots.add_load(work, team.farm.id, lot.id, values, sure=True)


# -- what was found


def test_a_full_bunker_at_fifteen_pounds_is_the_worked_example(work, team):
    """40 x 12 x 100 ft, 3:1 front ramp: 39,360 cu ft, 295.2 t DM at 15 lb DM (exact solid, worked example)."""
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    measure(work, team, lot, method="sizes", length_m=100 * FT, height_m=12 * FT, density_kg_m3=DENSITY)
    found = now(work, team)
    assert found.mass_dm.value / TON == pytest.approx(295.2, abs=0.1)
    assert found.mass_af.value / TON == pytest.approx(295.2 / 0.38, abs=0.3)
    assert found.density_is_measured
    assert found.mass_dm.low < found.mass_dm.value < found.mass_dm.high


def test_an_open_face_stands_upright_in_place_of_the_ramp(work, team):
    """60 ft left behind an upright face: 40 x 12 x 60 = 28,800 cu ft, 216.0 t DM at 15 lb (geometry)."""
    lot, _ = add_lot(work, team.farm.id, BUNKER, opened_on=date(2026, 9, 1))
    measure(work, team, lot, method="sizes", length_m=60 * FT, height_m=12 * FT, density_kg_m3=DENSITY)
    assert now(work, team).mass_dm.value / TON == pytest.approx(216.0, abs=0.1)


def test_an_open_pile_is_half_of_one_twice_as_long(work, team):
    """Half of the 100 x 250 x 12 ft pile at 3:1 (169,536 cu ft, 1,271.5 t DM at 15 lb; worked example)."""
    pile = {"name": "Pile", "kind": "pile", "length_m": 250 * FT, "width_m": 100 * FT, "peak_height_m": 12 * FT,
            "side_slope": 3.0, "end_slope": 3.0}  # fmt: skip
    lot, _ = add_lot(work, team.farm.id, pile, opened_on=date(2026, 9, 1))
    measure(work, team, lot, method="sizes", length_m=125 * FT, height_m=12 * FT, density_kg_m3=DENSITY)
    assert now(work, team).mass_dm.value / TON == pytest.approx(1271.5 / 2, abs=0.1)


def test_a_bag_fed_from_one_end_has_one_tied_end_left(work, team):
    """9 ft bag at 12 lb DM/cu ft holds 763.4 lb DM a foot (geometry table); one diameter at the tied end."""
    bag = {"name": "Bag 3", "kind": "bag", "length_m": 200 * FT, "diameter_m": 9 * FT}
    lot, _ = add_lot(work, team.farm.id, bag, opened_on=date(2026, 9, 1))
    measure(work, team, lot, method="sizes", length_m=109 * FT)
    found = now(work, team)
    assert found.mass_dm.value / KG_PER_LB == pytest.approx(763.4 * 100, rel=1e-4)
    assert not found.density_is_measured
    assert found.mass_dm.high / found.mass_dm.value == pytest.approx(1.13)


def test_a_partly_fed_tower_is_the_table_less_the_table(work, team):
    """20 ft across, 40 ft settled, 20 ft removed: 89 - 33 = 56 t DM ([Cropp2000]_, table read twice)."""
    lot, _ = add_lot(work, team.farm.id, TOWER, opened_on=date(2026, 9, 1))
    measure(work, team, lot, method="sizes", height_m=20 * FT)
    assert now(work, team).mass_dm.value / TON == pytest.approx(56.0, abs=1e-6)


def test_a_towers_own_settled_depth_wins_over_the_structures(work, team):
    """Settled at 36 ft before opening, 16 ft left: 77 - 33 = 44 t DM ([Cropp2000]_)."""
    lot, _ = add_lot(work, team.farm.id, TOWER, opened_on=date(2026, 9, 1))
    measure(work, team, lot, date(2026, 7, 1), method="sizes", height_m=36 * FT)
    measure(work, team, lot, method="sizes", height_m=16 * FT)
    assert now(work, team).mass_dm.value / TON == pytest.approx(44.0, abs=1e-6)


def test_weighed_bales_are_count_times_weight(work, team):
    """120 round bales of 5 x 5 ft at 1,300 lb ([AlbertaAgriculture2020]_) and 85 % DM: 66.3 t DM."""
    hay = add_feed(work, team.farm.id, "Hay", "hay")
    lot, _ = add_lot(work, team.farm.id, STACK, hay, dm_frac=0.85)
    measure(work, team, lot, method="count", bales_count=120, bale_weight_kg=1300 * KG_PER_LB)
    assert now(work, team).mass_dm.value / TON == pytest.approx(120 * 1300 / 2000 * 0.85)


def test_bales_nobody_weighed_go_by_their_size(work, team):
    """5 x 5 ft round is 98.2 cu ft and weighs 1,300 lb in the table: 13.2 lb/cu ft ([AlbertaAgriculture2020]_)."""
    hay = add_feed(work, team.farm.id, "Hay", "hay")
    lot, _ = add_lot(work, team.farm.id, STACK, hay, dm_frac=0.85)
    measure(work, team, lot, method="count", bales_count=100)
    found = now(work, team)
    assert found.mass_dm.value / KG_PER_LB / 0.85 / 100 == pytest.approx(1300, rel=0.005)
    assert found.mass_dm.low < 0.8 * found.mass_dm.value


# -- what was fed since


def test_feed_out_after_the_measurement_is_taken_off_and_before_it_is_not(work, team):
    lot, _ = add_lot(work, team.farm.id)
    feed_out(work, team, lot, date(2027, 3, 1), date(2027, 4, 9), 80)
    measure(work, team, lot, mass_af_kg=300 * TON)
    feed_out(work, team, lot, date(2027, 4, 11), date(2027, 4, 30), 50, thrown=2)
    found = now(work, team)
    assert found.mass_af.value / TON == pytest.approx(250)
    assert found.thrown_frac == pytest.approx(2 / 130)


def test_feed_out_that_spans_the_measurement_counts_only_the_days_after_it(work, team):
    """Ten days, four of them after the end of the measuring day."""
    lot, _ = add_lot(work, team.farm.id)
    measure(work, team, lot, mass_af_kg=300 * TON)
    feed_out(work, team, lot, date(2027, 4, 5), date(2027, 4, 14), 50)
    assert now(work, team).mass_af.value / TON == pytest.approx(280)


def test_a_new_measurement_forgets_what_was_fed_before_it(work, team):
    lot, _ = add_lot(work, team.farm.id)
    measure(work, team, lot, mass_af_kg=300 * TON)
    feed_out(work, team, lot, date(2027, 4, 11), date(2027, 4, 30), 50)
    measure(work, team, lot, MAY, mass_af_kg=245 * TON)
    found = now(work, team)
    assert found.mass_af.value / TON == pytest.approx(245)
    assert found.as_of == MAY


def test_a_lot_never_goes_below_nothing_and_says_why(work, team):
    lot, _ = add_lot(work, team.farm.id)
    measure(work, team, lot, mass_af_kg=30 * TON)
    feed_out(work, team, lot, date(2027, 4, 11), date(2027, 4, 30), 50)
    found = now(work, team)
    assert found.mass_dm.value == 0
    assert "measure again" in str(found.notes[0])


def test_the_first_feed_out_opens_the_lot(work, team):
    lot, _ = add_lot(work, team.farm.id)
    feed_out(work, team, lot, MAY, MAY, 3)
    assert lot.opened_on == MAY


# -- losses, each once


def test_measured_feed_loses_only_what_is_still_to_come(work, team):
    """On hand x (1 - remaining) x (1 - feed-out): the inventory definition; not the whole storage loss again."""
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    measure(work, team, lot, method="weight", mass_af_kg=300 * TON)
    found = now(work, team)
    assert (found.remaining_loss_frac, found.feedout_loss_frac) == (0.02, 0.03)
    assert found.usable_dm.value == pytest.approx(found.mass_dm.value * 0.98 * 0.97)


def test_weighed_loads_lose_the_whole_storage_loss_exactly_once(work, team):
    """What was weighed in, less 10 % in a bunker, whatever part of it is behind (mass balance)."""
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    load(work, team, lot, date(2026, 5, 27), 500)
    load(work, team, lot, date(2026, 5, 28), 300, dm_frac=0.40)
    weighed = (500 * 0.38 + 300 * 0.40) * TON
    found = now(work, team)
    assert found.basis == "loads"
    assert found.mass_dm.value * (1 - found.remaining_loss_frac) == pytest.approx(weighed * 0.90)
    assert found.usable_dm.value == pytest.approx(weighed * 0.90 * 0.97)


def test_a_measurement_after_the_loads_is_not_added_to_them(work, team):
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    load(work, team, lot, date(2026, 5, 27), 700)
    measure(work, team, lot, method="weight", mass_af_kg=400 * TON)
    assert now(work, team).mass_af.value / TON == pytest.approx(400)


def test_a_lots_own_losses_win_over_the_farms(work, team):
    lot, _ = add_lot(work, team.farm.id, BUNKER, remaining_loss_frac=0.05, feedout_loss_frac=0.08)
    measure(work, team, lot, method="weight", mass_af_kg=100 * TON)
    found = now(work, team)
    assert found.usable_dm.value == pytest.approx(found.mass_dm.value * 0.95 * 0.92)


def test_the_mean_of_the_samples_is_the_dry_matter_counted_with(work, team):
    """Tons as fed = tons DM / mean DM."""
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    measure(work, team, lot, method="sizes", length_m=100 * FT, height_m=12 * FT, density_kg_m3=DENSITY)
    (found,) = lots.list_lots_on_hand(work, team.farm.id, {lot.id: {"dm_frac": 0.42, "ndf_frac": 0.39}})
    assert found.mass_af.value == pytest.approx(found.mass_dm.value / 0.42)
    assert found.quality["ndf_frac"] == 0.39


# -- unknown stays unknown


def test_a_lot_nobody_measured_says_so(work, team):
    add_lot(work, team.farm.id, BUNKER)
    found = now(work, team)
    assert not found.mass_dm.known
    assert "measured" in str(found.mass_dm.reason)


def test_a_weight_without_dry_matter_is_refused_where_it_is_typed(work, team):
    lot, _ = add_lot(work, team.farm.id, dm_frac=None)
    with pytest.raises(Invalid) as refused:
        measure(work, team, lot, mass_af_kg=300 * TON)
    assert list(refused.value.fields) == ["dm_frac"]


def test_sizes_that_stopped_fitting_a_changed_structure_leave_the_lot_unknown(work, team):
    from app.services import structures

    lot, structure = add_lot(work, team.farm.id, TOWER)
    measure(work, team, lot, method="sizes", height_m=40 * FT)
    lots.edit_lot(work, team.farm.id, lot.id, {"opened_on": date(2026, 9, 1)})
    measure(work, team, lot, method="sizes", height_m=35 * FT)
    row = lots.access_entry(work, team.farm.id, LotMeasurement, 1)
    lots.withdraw(work, team.farm.id, LotMeasurement, row.id)
    structures.edit_structure(work, team.farm.id, structure.id, {"peak_height_m": 30 * FT})
    assert "settled depth" in str(now(work, team).mass_dm.reason)


def test_an_open_lot_left_alone_on_paper_is_doubted(work, team):
    lot, _ = add_lot(work, team.farm.id, opened_on=date(2027, 3, 1))
    measure(work, team, lot, mass_af_kg=300 * TON)
    assert "less may be left" in str(now(work, team).notes[0])


# -- corrections


def test_a_correction_stands_for_the_reading_and_the_reading_is_kept(work, team):
    lot, _ = add_lot(work, team.farm.id)
    row = measure(work, team, lot, mass_af_kg=300 * TON)
    lots.correct(work, team.farm.id, LotMeasurement, row.id, {"mass_af_kg": 280 * TON}, {"mass_af_kg": 300 * TON})
    assert now(work, team).mass_af.value / TON == pytest.approx(280)
    assert row.mass_af_kg == 300 * TON
    page = lots.lot_page(work, team.farm.id, lot.id)
    assert [entry.is_correction for entry in page.measurements] == [True]


def test_two_people_correcting_the_same_figure_see_both(work, team):
    lot, _ = add_lot(work, team.farm.id)
    row = measure(work, team, lot, mass_af_kg=300 * TON)
    was = {"mass_af_kg": 300 * TON, "dm_frac": None}
    lots.correct(work, team.farm.id, LotMeasurement, row.id, {"mass_af_kg": 280 * TON}, was)
    lots.correct(work, team.farm.id, LotMeasurement, row.id, {"mass_af_kg": 300 * TON, "dm_frac": 0.40}, was)
    assert now(work, team).mass_dm.value / TON == pytest.approx(280 * 0.40)
    with pytest.raises(Conflict):
        lots.correct(work, team.farm.id, LotMeasurement, row.id, {"mass_af_kg": 290 * TON}, was)


def test_a_withdrawn_feed_out_no_longer_counts_and_comes_back(work, team):
    lot, _ = add_lot(work, team.farm.id)
    measure(work, team, lot, mass_af_kg=300 * TON)
    row = feed_out(work, team, lot, MAY, MAY, 50)
    lots.withdraw(work, team.farm.id, Feedout, row.id)
    assert now(work, team).mass_af.value / TON == pytest.approx(300)
    assert [each.noun for each in lots.lot_page(work, team.farm.id, lot.id).withdrawn] == ["feedout"]
    lots.withdraw(work, team.farm.id, Feedout, row.id, withdrawn=False)
    assert now(work, team).mass_af.value / TON == pytest.approx(250)


def test_a_withdrawn_load_no_longer_counts(work, team):
    lot, _ = add_lot(work, team.farm.id)
    row = load(work, team, lot, date(2026, 5, 27), 100)
    lots.withdraw(work, team.farm.id, Load, row.id)
    assert not now(work, team).mass_dm.known


# -- questions and refusals


def asked(work, team, lot, column, **values):
    with pytest.raises(Unsure) as question:
        lots.add_measurement(work, team.farm.id, lot.id, {"measured_on": MAY, **values})
    assert list(question.value.fields) == [column]
    return str(question.value.fields[column])


def test_moisture_typed_for_dry_matter_is_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id)
    assert "moisture" in asked(work, team, lot, "dm_frac", method="weight", mass_af_kg=9e4, dm_frac=0.62)


def test_density_as_fed_typed_for_dry_matter_is_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    said = asked(work, team, lot, "density_kg_m3", method="sizes", length_m=20.0, height_m=3.6,
                 density_kg_m3=44 * KG_M3_PER_LB_FT3)  # fmt: skip
    assert "as fed" in said


def test_weight_as_fed_typed_for_dry_matter_is_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id, BUNKER)  # holds 295 t DM
    assert "as fed" in asked(work, team, lot, "mass_dm_kg", method="judged", mass_dm_kg=700 * TON)


def test_more_than_the_structure_holds_is_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id, BUNKER)
    assert "more than the structure" in asked(work, team, lot, "mass_af_kg", method="weight", mass_af_kg=2000 * TON)


def test_a_lot_that_grew_by_the_ratio_of_tonne_and_ton_is_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id)
    measure(work, team, lot, mass_af_kg=300 * TON)
    said = asked(work, team, lot, "mass_af_kg", method="weight", mass_af_kg=300_000 * 1.1)
    assert "before" in said


def test_pounds_typed_for_tons_are_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id)
    with pytest.raises(Unsure) as question:
        lots.add_load(work, team.farm.id, lot.id, {"loaded_on": MAY, "mass_af_kg": 24_800 * TON})
    assert "lb" in str(question.value.fields["mass_af_kg"])


def test_the_same_days_noted_twice_are_asked_about(work, team):
    lot, _ = add_lot(work, team.farm.id)
    measure(work, team, lot, mass_af_kg=300 * TON)
    feed_out(work, team, lot, date(2027, 4, 20), date(2027, 4, 26), 50)
    with pytest.raises(Unsure) as question:
        values = {"from_on": date(2027, 4, 26), "to_on": MAY, "mass_af_kg": 40 * TON}
        lots.add_feedout(work, team.farm.id, lot.id, values)
    assert list(question.value.fields) == ["from_on"]


@pytest.mark.parametrize(
    ("values", "column"),
    [
        ({"from_on": MAY, "to_on": APRIL, "mass_af_kg": 5e4}, "to_on"),
        ({"from_on": date(2027, 6, 1), "mass_af_kg": 5e4}, "to_on"),
        ({"from_on": date(2026, 5, 1), "mass_af_kg": 5e4}, "from_on"),
        ({"from_on": MAY, "mass_af_kg": 5e4, "thrown_af_kg": 6e4}, "thrown_af_kg"),
        ({"from_on": MAY, "mass_af_kg": 5e4, "dm_frac": 0.0038}, "dm_frac"),
    ],
)
def test_feed_out_that_cannot_be_is_refused_by_column(work, team, values, column):
    lot, _ = add_lot(work, team.farm.id)
    with pytest.raises(Invalid) as refused:
        lots.add_feedout(work, team.farm.id, lot.id, values, sure=True)
    assert list(refused.value.fields) == [column]


def test_another_farms_feed_or_structure_cannot_be_chosen(work, team):
    feed = add_feed(work, team.other.id)
    own = add_feed(work, team.farm.id)
    with pytest.raises(Invalid):
        lots.add_lot(work, team.farm.id, {"name": "Lot", "feed_id": feed.id})
    _, foreign = add_lot(work, team.other.id, BUNKER, feed)
    with pytest.raises(Invalid):
        lots.add_lot(work, team.farm.id, {"name": "Lot", "feed_id": own.id, "structure_id": foreign.id})


def test_days_of_a_lot_follow_one_another(work, team):
    feed = add_feed(work, team.farm.id)
    values = {"name": "Lot", "feed_id": feed.id, "sealed_on": MAY, "opened_on": APRIL}
    with pytest.raises(Invalid) as refused:
        lots.add_lot(work, team.farm.id, values)
    assert list(refused.value.fields) == ["opened_on"]


# -- who, and how many reads


def test_crew_may_note_readings_but_not_change_the_lot(work, team):
    lot, _ = add_lot(work, team.farm.id)
    crew = team.acts(work, "crew")
    measure(crew, team, lot, mass_af_kg=300 * TON)
    with pytest.raises(NotAllowed):
        lots.edit_lot(crew, team.farm.id, lot.id, {"name": "Mine"})
    with pytest.raises(NotAllowed):
        measure(team.acts(work, "viewer"), team, lot, mass_af_kg=300 * TON)
    with pytest.raises(NotFound):
        measure(team.acts(work, "stranger"), team, lot, mass_af_kg=300 * TON)


def test_used_up_and_removed_lots_are_not_on_hand_and_removal_is_undone(work, team):
    lot, _ = add_lot(work, team.farm.id)
    lots.remove_lot(work, team.farm.id, lot.id)
    assert lots.list_lots_on_hand(work, team.farm.id) == ()
    lots.restore_lot(work, team.farm.id, lot.id)
    assert len(lots.list_lots_on_hand(work, team.farm.id)) == 1
    lots.edit_lot(work, team.farm.id, lot.id, {"used_up_on": MAY})
    assert lots.list_lots_on_hand(work, team.farm.id) == ()


def test_reads_do_not_grow_with_the_lots(work, team):
    feed = add_feed(work, team.farm.id)
    for number in range(12):
        lot, _ = add_lot(work, team.farm.id, {**BUNKER, "name": f"Bunker {number}"}, feed)
        measure(work, team, lot, mass_af_kg=30 * TON)
        feed_out(work, team, lot, MAY, MAY, 1)
    work.session.flush()
    work.session.expire_all()
    seen = []
    engine = work.session.get_bind()
    event.listen(engine, "before_cursor_execute", lambda *call: seen.append(call[2]))
    assert len(lots.list_lots_on_hand(work, team.farm.id)) == 12
    assert len(seen) <= 9
