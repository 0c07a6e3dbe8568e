"""Where people land."""

import pytest


@pytest.mark.parametrize("role", ["owner", "nutritionist", "viewer"])
def test_somebody_with_one_farm_lands_on_its_board(site, role):
    answer = site.as_(role).get("/")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/farms/{site.farm_id}")


def test_crew_land_on_the_checklist(site):
    assert site.as_("crew").get("/").headers["location"] == f"/farms/{site.farm_id}/checklists"


def test_somebody_signed_out_lands_at_the_sign_in(site):
    assert site.nobody().get("/").headers["location"] == "/sign-in"


def test_somebody_with_several_farms_lands_on_the_list(site):
    from app.services import team

    site.do(lambda work: team.join_farm(work, site.farm_id, site.team.people["stranger"], "consultant"))
    assert site.as_("stranger").get("/").headers["location"] == "/farms"
