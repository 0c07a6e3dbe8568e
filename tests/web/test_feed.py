"""The Feed page: figures, what is tried, and what is kept."""

import re
import time

import pytest
from sqlalchemy import event

from app.access.work import Clock
from app.main import create_app
from app.records.history import Change
from app.services import balance, farms
from app.settings import Settings
from tests.builders.herd import REFERENCE_DAY, add_reference_farm
from tests.builders.site import Site


@pytest.fixture
def site(url):
    """The app on 1 May 2026, with the reference herd on its first farm."""
    app = create_app(Settings(database=url), Clock(REFERENCE_DAY))
    site = Site(app)
    site.do(lambda work: add_reference_farm(work, site.farm_id))
    yield site
    app.state.database.close()


@pytest.fixture
def root(site):
    return f"/farms/{site.farm_id}/feed"


def text_of(answer):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)).replace("\u00a0", " ")


def test_the_page_shows_the_worked_figures(site, root):
    """The reference herd worked by hand: empty on 12 July, new crop on 27 June, 62 t short of thirty days."""
    said = text_of(site.as_("nutritionist").get(root))
    assert "All groups run out on 12 Jul; the new crop can be fed from 27 Jun." in said
    assert "72.0 days from today at 3.84 t DM a day" in said
    assert "62 t DM" in said and "15 days of feed" in said
    assert "Sealed 28 May (sealed on that day), 30 days later" in said
    assert "Here: need divided by what is left" in said


def test_everyone_of_the_farm_reads_it_and_strangers_find_nothing(site, root):
    for role in ("owner", "agronomist", "crew", "viewer", "consultant"):
        assert site.as_(role).get(root).status_code == 200
    for path in (root, f"{root}/_balance"):
        assert site.as_("stranger").get(path).status_code == 404


def test_the_other_convention_is_one_link_away(site, root):
    person = site.as_("nutritionist")
    assert f"{root}?convention=multiply" in person.get(root).text
    said = text_of(person.get(f"{root}?convention=multiply"))
    assert "Tried, not kept" in said and "Here: need times (1 + loss)" in said


def test_what_is_tried_stands_beside_the_present_and_writes_nothing(site, root):
    person = site.as_("nutritionist")
    seq = site.do(lambda work: farms.access_farm(work, site.farm_id).seq)
    answer = person.get(f"{root}/_balance?head_frac=-10&sealed_on=2026-05-20")
    said = text_of(answer)
    assert answer.status_code == 200 and answer.text.lstrip().startswith('<div id="feed-balance"')
    assert "Tried, not kept" in said and "Now: All groups run out on 12 Jul" in said
    assert "the new crop can be fed from 19 Jun" in said
    assert 'data-from="' in answer.text and "head_frac=-10" in answer.text
    assert site.do(lambda work: farms.access_farm(work, site.farm_id).seq) == seq


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("head_frac=-90", "outside"),
        ("head_frac=abc", "is not a number"),
        ("sealed_on=May", "is not a day"),
        ("convention=guess", "is not one of"),
    ],
)
def test_what_cannot_be_tried_is_said_and_the_present_stays(site, root, query, says):
    answer = site.as_("nutritionist").get(f"{root}?{query}")
    assert answer.status_code == 422
    assert says in text_of(answer) and "run out on 12 Jul" in text_of(answer)
    assert f'value="{query.split("=")[1]}"' in answer.text or "convention" in query


def test_the_chart_of_what_is_tried_comes_as_a_figure_of_its_own(site, root):
    person = site.as_("viewer")
    page = person.get(f"{root}/_balance?head_frac=-10")
    address = re.search(r'data-figure="([^"]+)"', page.text)[1].replace("&amp;", "&")
    names = [trace.get("name") for trace in person.get(address).json()["data"]]
    assert names == ["left now", "missing now", "left as tried", "missing as tried"]
    assert site.as_("stranger").get(address).status_code == 404


def kept_form(answer):
    """The hidden fields of the form that keeps what was tried."""
    form = answer.text.split('id="feed-keep"')[1].split("</form>")[0]
    return dict(re.findall(r'name="([a-z_]+)" value="([^"]*)"', form))


def test_keeping_without_javascript_writes_it_and_goes_back_to_the_page(site, root):
    person = site.as_("nutritionist")
    form = kept_form(person.get(f"{root}?head_frac=-10&feedout_frac=2"))
    answer = person.post(f"{root}/keep", form)
    assert answer.status_code == 303 and answer.headers["location"].startswith(root)
    page = site.do(lambda work: balance.farm_balance(work, site.farm_id))
    assert page.present.given.rules.feedout_frac == pytest.approx(0.02)
    assert sum(line.head for line in page.loaded.herd) == pytest.approx(0.9 * 840, abs=3)
    nouns = site.do(lambda work: {row.noun for row in work.session.query(Change).filter_by(farm_id=site.farm_id)})
    assert {"farm_values", "head_changes"} <= nouns
    assert "Tried, not kept" not in person.get(root).text


def test_keeping_twice_takes_effect_once(site, root):
    person = site.as_("nutritionist")
    form = kept_form(person.get(f"{root}?head_frac=-10"))
    person.post(f"{root}/keep", form)
    person.post(f"{root}/keep", form)
    assert site.do(lambda work: sum(line.head for line in balance.load(work, site.farm_id).herd)) > 0.85 * 840


def test_a_setting_changed_meanwhile_is_shown_with_both_values(site, root):
    person = site.as_("nutritionist")
    form = kept_form(person.get(f"{root}?feedout_frac=2"))
    site.do(lambda work: farms.set_value(work, site.farm_id, "feedout_loss_frac", 0.05))
    answer = person.post(f"{root}/keep", form)
    assert answer.status_code == 409
    assert "Stands there now:" in answer.text and "<q>5</q>" in answer.text and "<q>2</q>" in answer.text
    again = kept_form(answer) | {"keep_feedout_frac": "mine"}
    assert person.post(f"{root}/keep", again).status_code == 303
    assert site.do(lambda work: farms.values_of(work, site.farm_id)["feedout_loss_frac"]) == pytest.approx(0.02)


def test_what_cannot_be_kept_comes_back_as_typed(site, root):
    person = site.as_("nutritionist")
    form = kept_form(person.get(f"{root}?storage_frac=1"))
    answer = person.post(f"{root}/keep", form)
    assert answer.status_code == 422
    assert "Storage loss" in answer.text
    assert 'name="storage_frac"' in answer.text.split('id="feed-keep"')[1] and 'value="1"' in answer.text
    assert person.post(f"{root}/keep", {"head_frac": "0"}).status_code == 422


def test_the_wrong_role_may_try_but_not_keep(site, root):
    for role in ("crew", "viewer", "agronomist"):
        person = site.as_(role)
        tried = person.get(f"{root}?head_frac=-10")
        assert tried.status_code == 200 and 'id="feed-keep"' not in tried.text
        assert person.post(f"{root}/keep", {"head_frac": "-10"}).status_code == 403
    assert site.as_("stranger").post(f"{root}/keep", {"head_frac": "-10"}).status_code == 404


def test_a_farm_without_feed_is_told_what_belongs_here(site):
    answer = site.as_("stranger").get(f"/farms/{site.other_id}/feed")
    assert answer.status_code == 200
    assert "No haylage yet" in answer.text and "No groups yet" in answer.text


def test_the_page_reads_little_and_answers_fast_while_nothing_changes(site, root):
    person = site.as_("nutritionist")
    person.get(root)
    seen = []
    event.listen(site.app.state.database.engine, "before_cursor_execute", lambda *given: seen.append(given[2]))
    started = time.perf_counter()
    answer = person.get(f"{root}/_balance?head_frac=-7&inclusion_frac=-3&carry_over_d=40")
    took = time.perf_counter() - started
    assert answer.status_code == 200
    assert len(seen) <= 15, seen
    assert took < 1.0  # 0.15 s is the aim on a quiet machine; test machines are shared
    seen.clear()
    person.get(root)
    assert len(seen) <= 15, seen


def test_the_page_speaks_spanish(site, root):
    person = site.team.people["owner"]

    def spanish(work):
        work.session.get(type(person), person.id).language = "es"

    site.do(spanish)
    said = text_of(site.as_("owner").get(root))
    assert "Todos los grupos: se agota el 12 jul" in said and "El primer corte debe aportar" in said
