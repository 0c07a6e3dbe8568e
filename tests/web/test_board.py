"""The board over HTTP: one page for everyone of the farm, drawn again after any change, and never for a stranger."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import select

from app.access.work import Clock
from app.main import create_app
from app.records.checklists import Item
from app.records.feeds import Lot, Structure
from app.records.fields import Field, Stand
from app.records.herds import Group
from app.records.stations import Station
from app.services import (
    accounts,
    checklists,
    decisions,
    farms,
    fields,
    herds,
    lots,
    machines,
    stands,
    structures,
    weather_files,
)
from app.services.checklists import outlook
from app.settings import Settings
from app.units.quantities import KG_PER_LB
from tests.builders.crops import a_field, a_scouting
from tests.builders.herd import REFERENCE_DAY
from tests.builders.site import Browser, Site
from tests.builders.whole_board import QUESTION, STARTS_ON, fill_board


@pytest.fixture
def site(url):
    """The app on 1 May 2026, with everything of the first farm known."""
    app = create_app(Settings(database=url), Clock(REFERENCE_DAY))
    site = Site(app)
    site.do(lambda work: fill_board(work, site.farm_id))
    yield site
    app.state.database.close()


@pytest.fixture
def root(site):
    return f"/farms/{site.farm_id}"


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)).replace("\u00a0", " ")


def test_the_page_shows_the_four_figures(site, root):
    """The reference herd worked by hand; start agreed for 25 May."""
    said = text_of(site.as_("crew").get(root))
    assert "All groups run out on 12 Jul; the new crop can be fed from 27 Jun." in said
    assert "What we need 1,503 t DM" in said and "at 42 % NDF or less" in said
    assert "Field 003 first on" in said
    assert "How we cut Mon 25 May" in said and "3.0 in stubble, swath 80 % of the cut" in said
    assert "Packing weight: short 10,000 lb" in said
    assert QUESTION in said


def test_a_bare_farm_says_what_is_missing_and_offers_the_first_step(site):
    other = f"/farms/{site.other_id}"
    said = text_of(site.as_("stranger").get(other))
    assert "No haylage is on the farm's list of feeds yet." in said.replace("&#39;", "'")
    assert "No fields yet" in said and "Add the first field" in said
    assert "The list of what has to be ready is not drawn up yet." in said


@pytest.mark.parametrize("path", ["", "/_figures"])
def test_everyone_of_the_farm_reads_it_and_strangers_find_nothing(site, root, path):
    for role in ("owner", "nutritionist", "agronomist", "crew", "viewer", "consultant"):
        assert site.as_(role).get(root + path).status_code == 200
    hidden = site.as_("stranger").get(root + path)
    assert hidden.status_code == 404 and "Marl Hollow" not in hidden.text
    assert site.nobody().get(root + path).status_code in (302, 303, 401)


@pytest.mark.parametrize("farm", ["0", "99999999999999999999", "-1", "abc"])
def test_a_farm_that_cannot_be_is_not_found(site, farm):
    assert site.as_("owner").get(f"/farms/{farm}").status_code == 404


def first(work, table, farm_id):
    return work.session.scalar(select(table).where(table.farm_id == farm_id).order_by(table.id))


def a_head_change(work, farm):
    group = first(work, Group, farm)
    herds.add_head_change(work, farm, group.id, {"from_on": REFERENCE_DAY, "head_count": 50})


def an_inclusion(work, farm):
    group = work.session.scalar(
        select(Group).where(Group.farm_id == farm).order_by(Group.id).options(herds.selectinload(Group.inclusions))
    )
    herds.edit_inclusion(work, farm, group.inclusions[0].id, {"share_frac": 0.05})


def a_measurement(work, farm):
    lot = first(work, Lot, farm)
    values = {"measured_on": REFERENCE_DAY, "method": "weight", "mass_af_kg": 100_000.0, "dm_frac": 0.4}
    lots.add_measurement(work, farm, lot.id, values, sure=True)


def a_feedout(work, farm):
    lot = first(work, Lot, farm)
    values = {"from_on": REFERENCE_DAY - timedelta(days=3), "to_on": REFERENCE_DAY, "mass_af_kg": 90_000.0}
    lots.add_feedout(work, farm, lot.id, {**values, "thrown_af_kg": 0.0}, sure=True)


def a_walk(work, farm):
    field = first(work, Field, farm)
    a_scouting(work, farm, field.id, 34, 34, 34, 34, stage="bud", scouted_on=REFERENCE_DAY)


def more_weather(work, farm):
    """Ten hot days in a file of the station, taken over what was measured."""
    days = (REFERENCE_DAY - timedelta(days=n) for n in range(10, 0, -1))
    body = "DATE,TMAX,TMIN\n" + "".join(f"{day},90,70\n" for day in days)
    station = first(work, Station, farm)
    upload = weather_files.send_file(work, farm, station.id, "hot.csv", body.encode())
    weather_files.answer_questions(work, farm, upload, {"temp_unit": "f", "changed": "replace"})
    weather_files.take_file(work, farm, upload)


def a_count(work, farm):
    stand = first(work, Stand, farm)
    values = {"counted_on": REFERENCE_DAY, "stems_per_m2": 300.0, "root_score": 3.0, "spots_count": 5, "note": None}
    stands.add_count(work, farm, stand.id, values)


def a_tick(work, farm):
    item = work.session.scalar(select(Item).where(Item.farm_id == farm, Item.removed_at.is_(None)).order_by(Item.id))
    checklists.tick_item(work, farm, item.checklist_id, item.id)


def an_answer(work, farm):
    (asked,) = decisions.list_decisions(work, farm).open
    decisions.answer_decision(work, farm, asked.id, {"question": QUESTION, "answer": "Yes", "why": None})


CHANGES = {
    "an assumption": lambda work, farm: farms.set_value(work, farm, "stubble_cm", 10.16),
    "the rule of heat": lambda work, farm: farms.set_value(work, farm, "heat_start_rule", "first-of-march"),
    "cuttings in a season": lambda work, farm: farms.edit_farm(work, farm, {"cuts_count": 3}),
    "heads": a_head_change,
    "a share of the diet": an_inclusion,
    "a measurement": a_measurement,
    "a feed-out": a_feedout,
    "a scouting": a_walk,
    "weather": more_weather,
    "a stand count": a_count,
    "area of a field": lambda work, farm: fields.edit_field(work, farm, first(work, Field, farm).id, {"area_ha": 99.0}),
    "a new field": lambda work, farm: a_field(work, farm, name="New Piece"),
    "a field removed": lambda work, farm: fields.remove_field(work, farm, first(work, Field, farm).id),
    "the agreed start": lambda work, farm: checklists.agree_start(
        work, farm, {"starts_on": STARTS_ON + timedelta(days=20)}
    ),
    "a tick": a_tick,
    "a question": lambda work, farm: decisions.ask_decision(work, farm, {"question": "Wide swaths?"}),
    "an answer": an_answer,
    "a machine": lambda work, farm: machines.add_machine(
        work, farm, {"name": "Red", "kind": "packing_tractor", "weight_kg": 5000 * KG_PER_LB, "share_frac": 1.0}
    ),
    "what is filled next": lambda work, farm: structures.edit_structure(
        work, farm, first(work, Structure, farm).id, {"width_m": 9.0}
    ),
}  # fmt: skip


def board_of(answer):
    """The part that is worked out, without the line of history that every change adds."""
    return re.sub(r'<section aria-labelledby="board-changed">.*?</section>', "", answer.text, flags=re.S)


@pytest.mark.parametrize("what", CHANGES)
def test_the_kept_part_is_drawn_again_after_any_change(site, root, what):
    """A second copy of the app, which has kept nothing, must say the same."""
    reader = site.as_("viewer")
    before = reader.get(root + "/_figures")
    assert reader.get(root + "/_figures").text == before.text
    site.do(lambda work: CHANGES[what](work, site.farm_id))
    after = reader.get(root + "/_figures")
    assert board_of(after) != board_of(before), what
    outlook._kept.clear()
    anew = create_app(Settings(database=str(site.app.state.settings.database)), Clock(REFERENCE_DAY))
    assert Browser(anew, reader.cookies).get(root + "/_figures").text == after.text
    anew.state.database.close()


def test_the_kept_part_is_drawn_again_on_the_next_day(site, root):
    reader = site.as_("viewer")
    before = reader.get(root + "/_figures").text
    site.app.state.clock = Clock(REFERENCE_DAY + timedelta(days=1))
    assert reader.get(root + "/_figures").text != before


def test_each_reader_gets_the_part_in_their_own_units_and_language(site, root):
    owner, viewer = site.as_("owner"), site.as_("viewer")
    assert "1,503 t DM" in text_of(owner.get(root))
    site.do(lambda work: accounts.choose(work, "es", "metric"), "viewer")
    said = text_of(viewer.get(root))
    assert "1,364 t MS" in said and "What we need" not in said
    assert "1,503 t DM" in text_of(owner.get(root))


def test_what_a_role_may_not_do_is_not_offered_on_it(site, root):
    assert "Write down what was agreed" in text_of(site.as_("owner").get(root))
    assert "Write down what was agreed" not in text_of(site.as_("crew").get(root))
    assert "All changes" not in text_of(site.as_("viewer").get(root))


def test_the_part_names_its_live_event(site, root):
    answer = site.as_("crew").get(root + "/_figures")
    assert f'data-live="board-figures" data-from="{root}/_figures"' in answer.text
    assert answer.headers["cache-control"] == "private, no-cache"
