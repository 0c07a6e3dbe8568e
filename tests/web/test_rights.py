"""Every route as every person of two farms. What is meant stands in `rights.csv`; see `routes.py` to add to it."""

from __future__ import annotations

import hashlib
import re
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select, update

from app.access.sessions import ATTEMPTS_MOST
from app.records.accounts import Account, ApiToken, SignIn
from app.services import accounts, crew
from tests.builders.site import Browser
from tests.web.routes import HIDDEN, ROLE, ROLES, SIGN_IN, YES, read_table, routes_of
from tests.web.walker import Walker

ADD = "Run `python -m tests.web.routes`, then read and correct the lines it adds to tests/web/rights.csv."


@pytest.fixture(scope="module")
def walker(tmp_path_factory):
    return Walker.on_new_database(tmp_path_factory.mktemp("walk") / "walk.sqlite")


@pytest.fixture(scope="module")
def routes(walker):
    return list(routes_of(walker.app))


def test_every_route_is_listed_and_every_listed_route_exists(routes):
    unlisted = [" ".join(route) for route in routes if route not in read_table()]
    gone = [" ".join(route) for route in read_table() if route not in set(routes)]
    assert unlisted == [], ADD
    assert gone == [], ADD


@pytest.mark.parametrize("role", ROLES)
def test_each_person_gets_what_the_table_says(walker, routes, role):
    table = read_table()
    wrong = [
        f"{method} {path}: meant {table[method, path][role]}, got {got}"
        for method, path in routes
        if (method, path) in table and (got := walker.answer(method, path, role)) != table[method, path][role]
    ]
    assert wrong == []


def test_no_page_of_a_farm_is_shown_to_a_stranger_or_to_somebody_signed_out():
    """Read off the table alone, so that a wrong line in it cannot pass."""
    farms = [row for row in read_table().values() if "{farm_id}" in row["path"]]
    assert farms
    assert [row["path"] for row in farms if row["stranger"] != HIDDEN] == []
    assert [row["path"] for row in farms if row["nobody"] != SIGN_IN] == []


def test_viewers_change_nothing_but_their_own_membership():
    changes = [row for row in read_table().values() if row["method"] != "GET" and "{farm_id}" in row["path"]]
    assert {row["path"] for row in changes if row["viewer"] == YES} <= {"/farms/{farm_id}/team/leave"}


def test_only_owners_change_the_team():
    team = [row for row in read_table().values() if row["method"] == "POST" and "{farm_id}/team/" in row["path"]]
    for row in team:
        if not row["path"].endswith("/leave"):
            assert {row[role] for role in ROLES if role not in ("owner", "stranger", "nobody")} == {ROLE}, row["path"]


def test_a_crew_phone_may_do_no_more_than_its_crew():
    rows = read_table().values()
    assert [row["path"] for row in rows if row["phone"] == YES and row["crew"] != YES] == []


def test_rows_of_another_farm_are_not_found_inside_ones_own(walker, routes):
    """Owner of farm one names farm two's rows under farm one's address, one id at a time."""
    shown = []
    for method, path in routes:
        names = [name for name in walker.parameters(path) if name.endswith("_id")]
        if "{farm_id}" not in path or not names:
            continue
        for name in names:
            ids = walker.own | {walker.table(name): walker.foreign[walker.table(name)]}
            answer = walker.answer(method, path, "owner", ids)
            if answer != HIDDEN:
                shown.append(f"{method} {path} with another farm's {name}: {answer}")
    assert shown == []


@pytest.mark.parametrize("number", ["0", "-1", "2147483648", "9223372036854775808", "99999999999999999999", "x", "1.5"])
def test_impossible_ids_are_not_found(walker, routes, number):
    wrong = []
    for method, path in routes:
        if "_id}" in path:
            answer = walker.ask(method, re.sub(r"\{\w+\}", number, path), "owner")
            if answer.status_code not in (404, 405):
                wrong.append(f"{method} {path}: {answer.status_code}")
    assert wrong == []


def test_every_answer_carries_the_fence(walker):
    for path in ("/sign-in", "/nowhere", f"/farms/{walker.site.farm_id}/team", "/help"):
        headers = walker.ask("GET", path, "owner").headers
        policy = headers["content-security-policy"]
        assert "script-src 'self';" in policy and "unsafe" not in policy and "default-src 'self'" in policy
        assert "frame-ancestors 'none'" in policy and "form-action 'self'" in policy
        assert headers["x-content-type-options"] == "nosniff"


ELSEWHERE = [
    {"Origin": "http://evil.example"},
    {"Origin": "null"},
    {"Origin": "http://swathboard.test.evil.example"},
    {"Origin": "http://swathboard.test:8080"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site", "Origin": "http://swathboard.test"},
]


@pytest.mark.parametrize("headers", ELSEWHERE, ids=lambda headers: " ".join(headers.values()))
def test_a_form_sent_from_another_site_is_refused_everywhere(walker, routes, headers):
    posts = [path for method, path in routes if method == "POST"]
    filled = [walker.fill(path, walker.site.farm_id, walker.own) for path in posts]
    taken = [
        path for path in filled if walker.browsers["owner"]._call("POST", path, headers=headers).status_code != 403
    ]
    assert posts and taken == []


def test_a_form_sent_by_the_page_itself_is_taken(walker):
    for headers in ({}, {"Origin": "http://swathboard.test"}, {"Sec-Fetch-Site": "same-origin"}):
        assert walker.browsers["owner"]._call("POST", "/theme", data={}, headers=headers).status_code == 303


def sign_in(site, password="a long password"):
    site.do(lambda work: accounts.set_password(work, work.session.get(Account, site.team.people["owner"].id), password))
    return site.nobody().post("/sign-in", {"email": "owner@example.org", "password": password})


def test_the_cookie_is_out_of_reach_of_scripts_and_of_other_sites(site):
    flags = sign_in(site).headers["set-cookie"].lower()
    assert flags.startswith("sid=")
    assert "httponly" in flags and "samesite=lax" in flags and "path=/" in flags and "domain" not in flags


def test_only_the_hash_of_a_cookie_is_kept(site):
    token = re.search(r"sid=([\w-]+)", sign_in(site).headers["set-cookie"])[1]
    kept = site.do(lambda work: work.session.scalars(select(SignIn.token_hash)).all())
    assert token not in kept and hashlib.sha256(token.encode()).hexdigest() in kept


def reads(browser: Browser, site) -> int:
    return browser.get(f"/farms/{site.farm_id}/team").status_code


def end_how(**values):
    return lambda work: work.session.execute(update(SignIn).values(**values))


@pytest.mark.parametrize(
    "end",
    [
        end_how(revoked_at=datetime.now(UTC)),
        end_how(expires_at=datetime.now(UTC) - timedelta(seconds=1)),
        lambda work: work.session.execute(update(Account).values(closed_at=work.now())),
    ],
    ids=["revoked", "expired", "account closed"],
)
def test_a_sign_in_that_has_ended_lets_nobody_in(site, end):
    browser = site.as_("owner")
    assert reads(browser, site) == 200
    site.do(end)
    assert reads(browser, site) == 303


def test_signing_out_ends_the_cookie_and_not_only_forgets_it(site):
    browser = site.as_("owner")
    kept = dict(browser.cookies)
    browser.post("/sign-out")
    assert reads(Browser(site.app, kept), site) == 303


def test_a_new_password_signs_other_browsers_out(site):
    here, there = site.as_("owner"), site.as_("owner")
    site.do(
        lambda work: accounts.set_password(
            work, work.session.get(Account, site.team.people["owner"].id), "old password"
        )
    )
    here, there = site.as_("owner"), site.as_("owner")
    assert here.post("/account/password", {"old": "old password", "new": "new password"}).status_code == 303
    assert (reads(here, site), reads(there, site)) == (200, 303)


def test_too_many_wrong_passwords_close_the_door_for_a_while(site):
    browser = site.nobody()
    tries = [
        browser.post("/sign-in", {"email": "owner@example.org", "password": "wrong"}).status_code
        for _ in range(ATTEMPTS_MOST + 1)
    ]
    assert tries == [422] * ATTEMPTS_MOST + [429]
    assert sign_in(site).status_code == 429


def test_a_wrong_e_mail_and_a_wrong_password_are_told_alike(site):
    known = site.nobody().post("/sign-in", {"email": "owner@example.org", "password": "wrong"}, once=False)
    unknown = site.nobody().post("/sign-in", {"email": "no-one@example.org", "password": "wrong"}, once=False)
    said = [re.findall(r'<p class="error"[^>]*>(.*?)</p>', answer.text) for answer in (known, unknown)]
    assert said[0] == said[1] != []


def phone_of(site):
    code = site.do(lambda work: crew.make_link(work, site.farm_id, 7))
    browser = site.nobody()
    assert browser.post(f"/crew/{code}", {"name": "Rosa"}).status_code == 303
    return browser


def test_a_crew_phone_sees_its_farm_and_no_other(site):
    phone = phone_of(site)
    assert phone.get(f"/farms/{site.farm_id}/checklists").status_code == 200
    assert phone.get(f"/farms/{site.other_id}/checklists").status_code == 404
    assert phone.get(f"/farms/{site.farm_id}/team").status_code == 403


def test_a_crew_phone_that_is_a_member_elsewhere_still_sees_one_farm_only(site):
    """The sign-in is what is kept to one farm, whatever the account may do otherwise."""
    person = site.team.people["stranger"]
    new = site.do(lambda work: accounts.start_sign_in(work, person, "phone", 1, farm_id=site.farm_id))
    assert Browser(site.app, {"sid": new.token}).get(f"/farms/{site.other_id}/checklists").status_code == 404


def test_a_crew_phone_makes_no_farm_and_no_token(site):
    phone = phone_of(site)
    assert phone.post("/farms/new", {"name": "Mine", "time_zone": "UTC", "cuts_count": "4"}).status_code == 403
    assert phone.post("/account/tokens", {"name": "x"}).status_code == 403


def test_tokens_end_with_the_account_and_are_kept_as_hashes(site):
    def make(work):
        return accounts.add_api_token(work, work.session.get(Account, site.team.people["owner"].id), "test")

    token = site.do(make)
    assert site.do(lambda work: accounts.by_api_token(work, token).account_id) == site.team.people["owner"].id
    assert token not in site.do(lambda work: work.session.scalars(select(ApiToken.token_hash)).all())
    site.do(lambda work: accounts.close_account(work, work.session.get(Account, site.team.people["owner"].id)))
    assert site.do(lambda work: accounts.by_api_token(work, token).account_id) is None
