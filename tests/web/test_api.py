"""The JSON interface: tokens, farms, boards, refusals, and a description that holds."""

import json
from datetime import timedelta

import pytest
import schemathesis
from hypothesis import given
from hypothesis import settings as how
from schemathesis.specs.openapi.checks import positive_data_acceptance, unsupported_method
from sqlalchemy import update

from app.access.work import Clock
from app.main import create_app
from app.records.accounts import Account
from app.services import accounts, decisions, reports
from app.settings import Settings
from tests.builders.herd import REFERENCE_DAY
from tests.builders.site import Site
from tests.builders.whole_board import fill_board

EXCLUDED = [unsupported_method, positive_data_acceptance]
"""Checks that do not hold for any farm number: most numbers name no farm of the token's."""


@pytest.fixture
def site(url):
    app = create_app(Settings(database=url), Clock(REFERENCE_DAY))
    site = Site(app)
    site.do(lambda work: fill_board(work, site.farm_id))
    yield site
    app.state.database.close()


@pytest.fixture
def root(site):
    return f"/api/v1/farms/{site.farm_id}/board"


def token_of(site, role):
    person_id = site.team.people[role].id
    return site.do(lambda work: accounts.add_api_token(work, work.session.get(Account, person_id), "test"))


def ask(site, path, token=None):
    return site.nobody().get(path, headers={"Authorization": f"Bearer {token}"} if token else {})


def test_a_token_lists_the_farms_of_its_owner_alone(site):
    answer = ask(site, "/api/v1/farms", token_of(site, "crew"))
    assert answer.json() == [{"id": site.farm_id, "name": "Marl Hollow", "role": "crew"}]
    assert ask(site, "/api/v1/farms", token_of(site, "stranger")).json()[0]["name"] == "Alder Flats"


def test_the_board_is_the_report(site, root):
    answer = ask(site, f"{root}?units=metric", token_of(site, "viewer"))
    report = site.do(lambda work: reports.report_farm(work, site.farm_id, "metric"), "viewer")
    assert answer.json() == json.loads(json.dumps(report))
    figures = {figure["key"]: figure for figure in answer.json()["figures"]}
    assert figures["need.run_out"]["value"] == "2026-07-12"
    assert figures["cut.is_agreed"]["value"] is True and figures["yard.total"]["value"] > 0


def test_units_are_the_accounts_unless_asked_for(site, root):
    site.do(lambda work: accounts.choose(work, units="metric"), "owner")
    token = token_of(site, "owner")
    assert ask(site, root, token).json()["units"] == "metric"
    assert ask(site, f"{root}?units=us", token).json()["units"] == "us"


def test_the_board_follows_every_change(site, root):
    token = token_of(site, "owner")
    before = ask(site, root, token).json()
    site.do(lambda work: decisions.ask_decision(work, site.farm_id, {"question": "Wide swaths?"}))
    after = ask(site, root, token).json()
    assert after["farm"]["seq"] == before["farm"]["seq"] + 1
    assert "Wide swaths?" in [figure["value"] for figure in after["figures"]]


@pytest.mark.parametrize("token", [None, "", "nonsense", "a" * 5000, "ümlaut".encode().hex()])
def test_without_a_known_token_there_is_nothing(site, root, token):
    for path in (root, "/api/v1/farms"):
        answer = ask(site, path, token)
        assert answer.status_code == 401 and answer.headers["content-type"] == "application/json"
        assert "Marl Hollow" not in answer.text and answer.json()["detail"]


def test_a_page_sign_in_is_no_token(site, root):
    assert site.as_("owner").get(root).status_code == 401


def test_a_revoked_token_and_a_closed_account_let_nobody_in(site, root):
    token, closed = token_of(site, "owner"), token_of(site, "crew")
    (kept,) = site.do(lambda work: [each.id for each in accounts.list_api_tokens(work)], "owner")
    site.do(lambda work: accounts.revoke_api_token(work, kept), "owner")
    site.do(lambda work: work.session.execute(
        update(Account).where(Account.name == "Crew").values(closed_at=work.now() - timedelta(days=1))))  # fmt: skip
    assert [ask(site, root, each).status_code for each in (token, closed)] == [401, 401]


@pytest.mark.parametrize(
    ("farm", "status"),
    [("1", 404), ("2147483647", 404), ("2147483648", 404), ("9" * 30, 404), ("0", 404), ("-1", 404), ("abc", 404)],
)
def test_a_farm_that_is_not_yours_or_cannot_be_is_not_found(site, farm, status):
    """The stranger owns only the other farm."""
    answer = ask(site, f"/api/v1/farms/{farm}/board", token_of(site, "stranger"))
    assert answer.status_code == status and answer.headers["content-type"] == "application/json"
    assert "Marl Hollow" not in answer.text


def test_units_that_are_none_are_refused(site, root):
    answer = ask(site, f"{root}?units=furlongs", token_of(site, "owner"))
    assert answer.status_code == 422 and answer.json()["detail"]


def test_a_token_changes_nothing(site, root):
    token = token_of(site, "owner")
    for path in (root, f"/farms/{site.farm_id}/decisions", f"/farms/{site.farm_id}/settings"):
        answer = site.nobody().post(path, {"question": "?"}, headers={"Authorization": f"Bearer {token}"})
        assert answer.status_code in (303, 401, 405)
        assert answer.status_code != 303 or "sign-in" in answer.headers["location"]


def test_the_description_names_both_paths_their_refusals_and_no_other_host(site):
    answer = site.nobody().get("/api/openapi.json")
    described = answer.json()
    assert {*described["paths"]} == {"/api/v1/farms", "/api/v1/farms/{farm_id}/board"}
    board = described["paths"]["/api/v1/farms/{farm_id}/board"]["get"]
    assert {*board["responses"]} == {"200", "401", "404", "422", "503"}
    assert "://" not in answer.text
    figure = described["components"]["schemas"]["FigureOut"]["properties"]
    assert {"value", "unit", "low", "high", "as_of", "reason", "sources"} <= {*figure}


def test_no_call_made_from_the_description_breaks_it(site):
    """Hypothesis makes calls from the description; none may end in a server error or an undescribed answer."""
    token = token_of(site, "owner")
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", site.app)
    tried = []
    for each in schema.get_all_operations():

        @how(max_examples=25, deadline=None, database=None)
        @given(case=each.ok().as_strategy())
        def call(case):
            case.headers = {**(case.headers or {}), "Authorization": f"Bearer {token}"}
            tried.append(case.call_and_validate(excluded_checks=EXCLUDED).status_code)

        call()
    assert {200, 404} <= {*tried} and max(tried) < 500


def test_the_account_page_shows_how_to_ask_and_where_the_description_is(site):
    page = site.as_("owner").get("/account").text
    assert "http://swathboard.test/api/v1/farms" in page and 'href="/api/openapi.json"' in page
