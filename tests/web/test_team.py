"""The Team page over HTTP, with and without JavaScript, for members, invited people and crew phones."""

import re

import pytest

from app.access.sessions import ATTEMPTS_MOST
from app.services import team as services


def team_url(site, rest=""):
    return f"/farms/{site.farm_id}/team{rest}"


def member_of(site, name):
    return next(each for each in site.do(lambda work: services.list_members(work, site.farm_id)) if each.name == name)


def link_in(answer, kind):
    return re.search(rf"/{kind}/[\w-]{{43}}", answer.text)[0]


def invite(site, **typed):
    return site.as_("owner").post(team_url(site, "/invitations"), {"email": "ana@example.org", "role": "crew", **typed})


@pytest.mark.parametrize("role", ["owner", "consultant", "nutritionist", "agronomist"])
def test_the_office_sees_the_team_and_only_owners_see_how_to_change_it(site, role):
    page = site.as_(role).get(team_url(site))
    assert page.status_code == 200 and "agronomist@example.org" in page.text
    assert ("/invitations" in page.text) is (role == "owner")
    assert (f"{team_url(site)}/members/" in page.text) is (role == "owner")


def test_the_page_asks_the_database_the_same_few_questions_however_many_belong(site):
    from sqlalchemy import event

    def questions():
        seen = []
        event.listen(site.app.state.database.engine, "before_cursor_execute", lambda *a: seen.append(a[2]))
        assert site_owner.get(team_url(site)).status_code == 200
        return len([each for each in seen if each.lstrip().lower().startswith("select")])

    site_owner = site.as_("owner")
    few = questions()
    code = link_in(site.as_("owner").post(team_url(site, "/crew-codes"), {"days": "7"}), "crew")
    for number in range(12):
        site.nobody().post(code, {"name": f"Phone {number}"})
    assert few <= 15 and questions() == few


@pytest.mark.parametrize("htmx", [False, True])
def test_an_owner_changes_a_role(site, htmx):
    url = team_url(site, f"/members/{member_of(site, 'Viewer').id}/role")
    answer = site.as_("owner").post(url, {"role": "agronomist", "was_role": "viewer"}, htmx=htmx)
    assert answer.status_code == (204 if htmx else 303)
    assert member_of(site, "Viewer").role == "agronomist"


def test_the_second_of_two_owners_is_told(site):
    url = team_url(site, f"/members/{member_of(site, 'Viewer').id}/role")
    site.as_("owner").post(url, {"role": "agronomist", "was_role": "viewer"})
    answer = site.as_("owner").post(url, {"role": "crew", "was_role": "viewer"})
    assert answer.status_code == 409 and member_of(site, "Viewer").role == "agronomist"


def test_the_only_owner_cannot_leave_and_is_told_why(site):
    answer = site.as_("owner").post(team_url(site, "/leave"))
    assert answer.status_code == 422 and "A farm needs an owner" in answer.text


def test_somebody_who_cannot_see_the_team_can_still_leave(site):
    viewer = site.as_("viewer")
    assert viewer.post(team_url(site, "/leave")).status_code == 303
    assert viewer.get(f"/farms/{site.farm_id}").status_code == 404


def test_a_member_is_removed_and_brought_back_with_one_click(site):
    owner, gone = site.as_("owner"), member_of(site, "Agronomist").id
    removed = owner.post(team_url(site, f"/members/{gone}/remove"))
    page = owner.get(removed.headers["location"])
    assert "Agronomist no longer belongs" in page.text
    assert site.as_("agronomist").get(team_url(site)).status_code == 404
    assert owner.post(team_url(site, f"/members/{gone}/restore")).status_code == 303
    assert site.as_("agronomist").get(team_url(site)).status_code == 200


def test_an_invitation_that_cannot_be_keeps_what_was_typed(site):
    answer = invite(site, email="ana at example")
    assert answer.status_code == 422
    assert 'value="ana at example"' in answer.text and "is not an e-mail address" in answer.text


def test_an_invited_person_makes_an_account_and_lands_in_the_farm(site):
    link = link_in(invite(site, role="agronomist"), "invitations")
    ana = site.nobody()
    page = ana.get(link)
    assert "Join Marl Hollow" in page.text and 'value="ana@example.org"' in page.text
    refused = ana.post(link, {"name": "Ana", "email": "ana@example.org", "password": "short"})
    assert refused.status_code == 422 and 'value="Ana"' in refused.text
    assert ana.post(link, {"name": "Ana", "email": "ana@example.org", "password": "long enough"}).status_code == 303
    assert ana.get(team_url(site)).status_code == 200
    assert ana.get(link).status_code == 404


def test_somebody_with_an_account_joins_with_one_click(site):
    link = link_in(invite(site), "invitations")
    stranger = site.as_("stranger")
    assert "Join as Stranger" in stranger.get(link).text
    assert stranger.post(link + "/join").headers["location"] == f"/farms/{site.farm_id}/home"


def test_a_link_preview_uses_nothing_up_and_another_site_cannot_join_for_somebody(site):
    link = link_in(invite(site), "invitations")
    site.nobody().get(link)
    forged = site.as_("stranger")._call("POST", link + "/join", headers={"Origin": "http://evil.example"})
    assert forged.status_code == 403
    assert site.nobody().get(link).status_code == 200


def test_the_crew_code_is_shown_once_as_a_drawing(site):
    owner = site.as_("owner")
    made = owner.post(team_url(site, "/crew-codes"), {"days": "7"})
    code = link_in(made, "crew")
    assert "<svg" in made.text and "style=" not in made.text
    assert "works on this computer only" not in made.text
    assert code not in owner.get(team_url(site)).text


def test_a_phone_comes_in_and_is_signed_out(site):
    code = link_in(site.as_("owner").post(team_url(site, "/crew-codes"), {"days": "7"}), "crew")
    phone = site.nobody()
    assert "Give this phone a name" in phone.get(code).text
    assert phone.post(code, {"name": ""}).status_code == 422
    assert phone.post(code, {"name": "Rosa"}).status_code == 303
    assert phone.get(f"/farms/{site.farm_id}/checklists").status_code == 200
    page = site.as_("owner").get(team_url(site)).text
    out = re.search(r"/team/phones/\d+/sign-out", page)[0]
    site.as_("owner").post(f"/farms/{site.farm_id}{out}")
    assert phone.get(f"/farms/{site.farm_id}/checklists").status_code == 303


@pytest.mark.parametrize("path", ["/crew/{}", "/invitations/{}"])
def test_guessing_is_stopped_after_some_misses(site, path):
    tries = [site.nobody().get(path.format(f"{number:A>43}")).status_code for number in range(ATTEMPTS_MOST + 1)]
    assert tries == [404] * ATTEMPTS_MOST + [429]


def test_open_pages_hear_of_the_new_member(site):
    before = site.do(lambda work: services.list_members(work, site.farm_id))
    link = link_in(invite(site), "invitations")
    site.as_("stranger").post(link + "/join")
    heard = site.as_("owner").get(team_url(site, "/_members"))
    assert 'id="team-members"' in heard.text and "Stranger" in heard.text
    assert len(before) + 1 == len(site.do(lambda work: services.list_members(work, site.farm_id)))


def test_the_history_is_read_page_by_page(site):
    owner, viewer = site.as_("owner"), member_of(site, "Viewer").id
    for number in range(55):
        role = "agronomist" if number % 2 else "nutritionist"
        assert owner.post(team_url(site, f"/members/{viewer}/role"), {"role": role}).status_code == 303
    first = owner.get(team_url(site, "/changes"))
    older = re.search(r'href="([^"]+\?before=\d+)"', first.text)[1]
    second = owner.get(older)
    assert (first.text.count("<del>"), second.text.count("<del>")) == (50, 5)
    assert "?before=" not in second.text


def test_the_page_speaks_spanish(site):
    owner = site.as_("owner")
    owner.post("/account/choose", {"language": "es"})
    page = owner.get(team_url(site)).text
    assert "Quién cambió qué" in page and "Invitar a una persona" in page and "Crew phones" not in page
