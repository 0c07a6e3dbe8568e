"""A farm's feed against its herd, from its rows to the figures of the page and the board."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import event, func, select

from app.access.work import SYSTEM, Clock, Work
from app.errors import Conflict, Invalid, NotAllowed, NotFound
from app.nutrition.demand import Convention
from app.planning.feeding import USE_CLASSES
from app.records.base import Database
from app.records.farms import Cutting
from app.records.feeds import Delivery, Lot, Supply
from app.records.fields import Field, Stand, StandSpecies
from app.records.herds import Group, HeadChange, Inclusion
from app.records.history import Change
from app.records.samples import Sample, SampleValue
from app.services import balance, farms, herds
from app.services.balance import WhatIf
from app.units.quantities import KG_PER_LB
from app.units.quantities import KG_PER_SHORT_TON as TON
from tests.builders.herd import (
    REFERENCE_DAY,
    add_feed,
    add_group,
    add_lot,
    add_reference_farm,
    on_reference_day,
)
from tests.builders.people import make_team


@pytest.fixture
def then(work):
    """The same session on 1 May 2026, the day of the worked example."""
    return on_reference_day(work)


@pytest.fixture
def farm_id(then, team):
    add_reference_farm(then, team.farm.id)
    return team.farm.id


def test_the_reference_herd_comes_out_as_worked_from_rows_to_figures(then, farm_id):
    """Herd of six groups in the published order of a forage budget (Amaral-Phillips), worked by hand."""
    case = balance.farm_balance(then, farm_id).present
    assert case.need_day_kg / TON == pytest.approx(3.83975)
    assert case.feed.usable_kg.value / TON == pytest.approx(276.62, abs=0.005)
    assert case.feed.cover_all_d.value == pytest.approx(72.04, abs=0.005)
    assert case.feed.run_out_all.on == date(2026, 7, 12)
    assert case.usable.on == date(2026, 6, 27)
    assert case.carry_over.value == pytest.approx(15.04, abs=0.005)
    short = case.short("target")
    assert short.eaten.value / TON == pytest.approx(57.43, abs=0.02)
    assert short.dm.value / TON == pytest.approx(62.29, abs=0.02)
    assert short.days.value == pytest.approx(14.96, abs=0.005)
    assert case.outlook.stretch.value == pytest.approx(0.8281, abs=5e-5)
    assert not case.short("new_crop").is_short


def test_a_year_of_the_reference_herd_needs_the_worked_tons_into_storage(then, farm_id):
    """1,401.5 t DM eaten and 1,655.0 t into storage in 365 days, worked by hand on the same herd."""
    case = balance.farm_balance(then, farm_id).present
    eaten = case.feed.need_kg[:, :365].sum() / TON
    rules = case.given.rules
    kept = (1 - rules.storage_frac) * (1 - rules.feedout_frac) * (1 - rules.refusal_frac)
    assert eaten == pytest.approx(1401.5, abs=0.05)
    assert eaten / kept == pytest.approx(1655.0, abs=0.1)


def test_the_published_tons_for_a_hundred_cows_come_out_under_the_multiplying_convention(then, team):
    """Weiss 2004: 100 Holsteins at 70 lb, 40 % of one forage, 10 % shrink: 405 t DM."""
    farm_id = team.farm.id
    forage = add_feed(then, farm_id, dm_frac=0.35)
    cows = {"intake_method": "milk_holstein", "intake_kg": None, "milk_kg": 70 * KG_PER_LB}
    add_group(then, farm_id, forage, 0.40, head=100, **cows)
    sealed = REFERENCE_DAY - timedelta(days=30)
    then.session.add(Cutting(farm_id=farm_id, year=2026, number=1, sealed_on=sealed))
    then.session.flush()
    tried = WhatIf(feedout_frac=0.0, refusal_frac=0.0, carry_over_d=0.0, convention="multiply")
    year = balance.farm_balance(then, farm_id, tried).tried.short("next_year")
    assert year.harvest.value / TON == pytest.approx(405, abs=1)
    divided = balance.farm_balance(then, farm_id, replace(tried, convention=None)).tried.short("next_year")
    assert divided.harvest.value / year.harvest.value == pytest.approx(1 / 0.9 / 1.1)


def test_both_conventions_stand_beside_each_other(then, farm_id):
    page = balance.farm_balance(then, farm_id)
    assert page.present.given.rules.convention is Convention.DIVIDE
    assert page.other.given.rules.convention is Convention.MULTIPLY
    assert page.other.must_all.dm.value < page.present.must_all.dm.value


def test_the_board_says_who_runs_out_when_and_what_first_cutting_must_bring(then, farm_id):
    board = balance.need_board(then, farm_id)
    assert str(board.says) == "All groups run out on 2026-07-12; the new crop can be fed from 2026-06-27."
    assert board.ndf_ceiling.value == pytest.approx(0.42)
    assert board.must_bring.value == pytest.approx(sum(each.dm.value for each in board.by_class))
    assert board.must_bring.low < board.must_bring.value < board.must_bring.high
    assert {c for c, _day in board.run_out} == set(USE_CLASSES)
    assert board.short_target.dm.known and board.short_target.af.value > board.short_target.dm.value
    assert board.reason is None


def test_a_class_with_its_own_lot_runs_out_on_its_own_day(then, team):
    farm_id = team.farm.id
    feed = add_feed(then, farm_id)
    add_lot(then, farm_id, feed, 50, use_class="milking")
    add_lot(then, farm_id, feed, 200, "Bag", use_class="growing")
    add_group(then, farm_id, feed, 0.25, head=200)
    add_group(then, farm_id, feed, 0.4, name="Heifers", use_class="growing", head=200, intake_lb=23.0)
    then.session.add(Cutting(farm_id=farm_id, year=2026, number=1, sealed_on=date(2026, 5, 28)))
    then.session.flush()
    said = str(balance.need_board(then, farm_id).says)
    assert said.startswith("Milking cows run out on 2026-06-")
    assert "Growing stock are covered to 2026-1" in said or "Growing stock are covered to 2026-0" in said


def test_without_a_haylage_feed_a_lot_or_an_intake_the_reason_is_given(then, team):
    farm_id = team.farm.id
    assert "No haylage" in str(balance.need_board(then, farm_id).reason)
    feed = add_feed(then, farm_id)
    assert "No group is fed Haylage" in str(balance.need_board(then, farm_id).reason)
    group = add_group(then, farm_id, feed, 0.2)
    nothing = balance.need_board(then, farm_id)
    assert not nothing.must_bring.known and str(nothing.must_bring.reason)
    then.session.get(Group, group.id).intake_kg = None
    then.session.flush()
    assert "No intake is known for Low cows" in str(balance.need_board(then, farm_id).reason)


def test_the_day_of_sealing_is_as_it_was_else_as_agreed_else_as_projected(then, team):
    farm_id = team.farm.id
    add_reference_farm(then, farm_id, sealed_on=None)
    assert balance.farm_balance(then, farm_id).present.usable.on is None
    row = Cutting(farm_id=farm_id, year=2026, number=1, starts_on=date(2026, 5, 25))
    then.session.add(row)
    then.session.flush()
    case = balance.farm_balance(then, farm_id).present
    assert case.usable.on == date(2026, 6, 27)  # three days of filling, thirty of fermentation
    row.sealed_on = date(2026, 5, 30)
    then.session.flush()
    assert balance.farm_balance(then, farm_id).present.usable.on == date(2026, 6, 29)


def test_in_autumn_the_coming_crop_is_next_years(then, farm_id):
    autumn = replace(then, clock=Clock(date(2026, 10, 1)))
    case = balance.farm_balance(autumn, farm_id).present
    assert case.sealing.on.on == date(2027, 5, 28)
    assert case.must_all.dm.known


def test_a_supply_that_comes_and_spoils_is_counted_for_its_days_only(then, farm_id):
    wet = add_feed(then, farm_id, "Wet grain", "byproduct", dm_frac=0.35)
    supply = Supply(farm_id=farm_id, feed_id=wet.id, name="Contract", on_hand_af_kg=0)
    supply.deliveries = [Delivery(farm_id=farm_id, due_on=REFERENCE_DAY + timedelta(days=2), mass_af_kg=100_000)]
    then.session.add(supply)
    group = then.session.scalar(select(Group).where(Group.farm_id == farm_id, Group.name == "low"))
    step = {"feed_id": wet.id, "from_on": date(2026, 1, 1), "share_frac": 0.1}
    herds.add_inclusion(then, farm_id, group.id, step)
    fed = balance.farm_balance(then, farm_id).present.balance.feeds["Wet grain"]
    eaten = fed.eaten_kg.sum(axis=0)
    assert (eaten[:2] == 0).all() and (eaten[2:7] > 0).all() and (eaten[7:] == 0).all()
    assert fed.spoiled_kg["Contract"] > 0


def test_a_groups_own_ceiling_lowers_that_of_its_class(then, farm_id):
    group = then.session.scalar(select(Group).where(Group.farm_id == farm_id, Group.use_class == "milking"))
    herds.edit_group(then, farm_id, group.id, {"ndf_ceiling_frac": 0.38})
    assert balance.need_board(then, farm_id).ndf_ceiling.value == pytest.approx(0.38)


def test_intakes_by_equation_widen_the_range(then, farm_id):
    before = balance.need_board(then, farm_id).must_bring
    group = then.session.scalar(select(Group).where(Group.farm_id == farm_id, Group.name == "low"))
    values = {"intake_method": "milk_holstein", "milk_kg": 24 / 0.35 * KG_PER_LB}
    herds.edit_group(then, farm_id, group.id, values)
    after = balance.need_board(then, farm_id).must_bring
    assert after.value == pytest.approx(before.value)
    assert after.high - after.low > before.high - before.low


def counts(work, farm_id):
    return tuple(
        work.session.scalar(select(func.count()).select_from(table).where(table.farm_id == farm_id))
        for table in (Change, HeadChange, Inclusion)
    )


def test_trying_leaves_every_row_as_it_was(then, farm_id):
    before = counts(then, farm_id), farms.own_values(then, farm_id)
    tried = WhatIf(head_frac=-0.1, inclusion_frac=-0.2, feedout_frac=0.02, sealed_on=date(2026, 5, 20), carry_over_d=60)
    page = balance.farm_balance(then, farm_id, tried)
    assert page.tried.feed.cover_all_d.value > page.present.feed.cover_all_d.value
    assert page.tried.usable.on == date(2026, 6, 19)
    assert (counts(then, farm_id), farms.own_values(then, farm_id)) == before
    assert not then.session.dirty and not then.session.new


def test_keeping_writes_what_was_tried_with_its_history_and_gives_the_same_figures(then, team, farm_id):
    feed = add_feed(then, farm_id, "Corn silage", "corn_silage")
    group = then.session.scalar(select(Group).where(Group.farm_id == farm_id, Group.name == "low"))
    step = {"feed_id": feed.id, "from_on": date(2026, 1, 1), "share_frac": 0.3}
    herds.add_inclusion(then, farm_id, group.id, step)
    tried = {
        "head_frac": -0.1,
        "inclusion_frac": -0.2,
        "refusal_frac": 0.02,
        "convention": "multiply",
        "carry_over_d": 45.0,
    }
    expected = balance.farm_balance(then, farm_id, WhatIf(**tried)).tried
    acting = on_reference_day(then, team.actor(then, "nutritionist"))
    balance.keep_what_if(acting, farm_id, tried)
    then = on_reference_day(then)  # the next request
    kept = balance.farm_balance(then, farm_id).present
    assert kept.need_day_kg == pytest.approx(expected.need_day_kg, rel=0.01)  # heads are whole animals
    assert kept.given.rules.convention is Convention.MULTIPLY
    assert (kept.given.rules.carry_over_d, kept.given.rules.refusal_frac) == (45, 0.02)
    line = next(each for each in balance.load(then, farm_id).herd if each.name == "low")
    assert (line.head, dict(line.fed)["Corn silage"]) == (180, 0.3)
    assert dict(line.fed)["Haylage"] == pytest.approx(0.2)
    lines = then.session.scalars(select(Change).where(Change.farm_id == farm_id, Change.noun == "farm_values")).all()
    assert {each.name for each in lines} == {"shrink_convention", "carry_over_d", "refusal_frac"}
    assert all("feed-balance" in each.parts for each in lines)


def test_a_kept_day_of_sealing_becomes_the_agreed_start(then, team):
    farm_id = team.farm.id
    add_reference_farm(then, farm_id, sealed_on=None)
    balance.keep_what_if(then, farm_id, {"sealed_on": date(2026, 5, 28)})
    assert then.session.scalar(select(Cutting)).starts_on == date(2026, 5, 25)
    assert balance.farm_balance(then, farm_id).present.usable.on == date(2026, 6, 27)


def test_keeping_nothing_a_value_changed_meanwhile_or_an_impossible_one_is_refused(then, farm_id):
    with pytest.raises(Invalid):
        balance.keep_what_if(then, farm_id, {"feedout_frac": 0.03})
    farms.set_value(then, farm_id, "feedout_loss_frac", 0.05)
    with pytest.raises(Conflict) as both:
        balance.keep_what_if(then, farm_id, {"feedout_frac": 0.02}, {"feedout_frac": 0.03})
    assert both.value.fields["feedout_frac"] == (0.05, 0.02)
    with pytest.raises(Invalid) as refused:
        balance.keep_what_if(then, farm_id, {"storage_frac": 0.0})
    assert set(refused.value.fields) == {"storage_frac"}


def test_only_members_see_it_and_only_the_nutritionist_keeps(then, team, farm_id):
    with pytest.raises(NotFound):
        balance.farm_balance(on_reference_day(then, team.actor(then, "stranger")), farm_id)
    for role in ("crew", "viewer", "agronomist"):
        acting = on_reference_day(then, team.actor(then, role))
        assert balance.need_board(acting, farm_id).must_bring.known
        with pytest.raises(NotAllowed):
            balance.keep_what_if(acting, farm_id, {"head_frac": -0.1})


def reads(url, farm_id, again=1):
    """Questions the last of some readings in one process asked of the database."""
    database, seen = Database(url), []
    event.listen(database.engine, "before_cursor_execute", lambda *given: seen.append(given[2]))
    for _ in range(again):
        seen.clear()
        with database.reading() as session:
            balance.farm_balance(on_reference_day(Work(session, SYSTEM)), farm_id)
    database.close()
    return sum(text.startswith("SELECT") for text in seen)


def test_reads_are_few_whatever_the_size_and_hardly_any_when_nothing_changed(url):
    database = Database(url)
    with database.writing() as session:
        work = on_reference_day(Work(session, SYSTEM))
        farm_id = make_team(work).farm.id
        add_reference_farm(work, farm_id)
        session.commit()
    small = reads(url, farm_id)
    with database.writing() as session:
        work = on_reference_day(Work(session, SYSTEM))
        feed = add_feed(work, farm_id, "More haylage")
        for number in range(12):
            add_lot(work, farm_id, feed, 10, f"Bag {number}")
            add_group(work, farm_id, feed, 0.1, name=f"Pen {number}")
        session.commit()
    database.close()
    assert reads(url, farm_id) <= small <= 30
    assert reads(url, farm_id, again=2) <= 1


def test_fields_say_what_first_cutting_brings_and_later_cuttings_lower_what_it_must(then, farm_id):
    """100 ha at 10 t a season: 40 % in first cutting (common practice, no source), 15 % lost before the store."""
    alone = balance.farm_balance(then, farm_id).present
    field = Field(farm_id=farm_id, name="Kiln", area_ha=100.0)
    then.session.add(field)
    then.session.flush()
    stand = Stand(farm_id=farm_id, field_id=field.id, season_yield_kg_ha=10_000.0)
    stand.species = [StandSpecies(species="alfalfa", share_frac=1.0)]
    then.session.add(stand)
    then.session.flush()
    page = balance.farm_balance(on_reference_day(then), farm_id)
    case = page.present
    assert page.loaded.expected.value == pytest.approx(340_000)
    assert page.loaded.expected.low <= 340_000 <= page.loaded.expected.high
    whole = alone.must_all.dm.value / alone.given.new_crop.first_cut_share_frac
    assert case.must_all.dm.value == pytest.approx(whole - 510_000)
    year, before = case.short("next_year").eaten.value, alone.short("next_year").eaten.value
    reaches = 0.9 * 0.97 * 0.97
    assert before - year == pytest.approx(850_000 * reaches)


def test_the_quality_of_lots_is_that_of_their_samples(then, farm_id):
    lot = then.session.scalar(select(Lot).where(Lot.farm_id == farm_id))
    sample = Sample(farm_id=farm_id, lot_id=lot.id, sampled_on=REFERENCE_DAY)
    sample.values = [SampleValue(analyte="DM", value=0.40), SampleValue(analyte="aNDF", value=0.44)]
    then.session.add(sample)
    then.session.flush()
    fed = balance.farm_balance(on_reference_day(then), farm_id).present.feed
    assert (fed.dm_frac, fed.ndf_frac) == (pytest.approx(0.40), pytest.approx(0.44))
