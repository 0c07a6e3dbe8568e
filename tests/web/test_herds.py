"""Groups, their steps and their forms as people use them."""

from datetime import date

import pytest

from app.services import herds
from tests.builders.herd import add_feed, add_group

GROUP = {
    "name": "Low cows",
    "use_class": "milking",
    "head_count": "200",
    "intake_method": "measured",
    "intake_kg": "50",
}


@pytest.fixture
def group_id(site):
    def fill(work):
        feed = add_feed(work, site.farm_id)
        return add_group(work, site.farm_id, feed, 0.25, from_on=date(2027, 5, 1)).id

    return site.do(fill)


@pytest.fixture
def root(site):
    return f"/farms/{site.farm_id}/herds"


def lines(site):
    return site.do(lambda work: herds.list_groups(work, site.farm_id))


def test_a_group_is_added_changed_taken_off_and_put_back_without_javascript(site, root):
    person = site.as_("nutritionist")
    added = person.post(root, GROUP)
    assert added.status_code == 303
    page = added.headers["location"]
    assert "Low cows" in person.get(root).text
    assert person.post(page, GROUP | {"head_count": "210"}).status_code == 303
    assert lines(site)[0].head_count == 210
    assert person.post(f"{page}/remove").status_code == 303
    assert lines(site) == []
    assert "Put back" in person.get(root).text
    assert person.post(f"{page}/restore").status_code == 303
    assert lines(site)[0].name == "Low cows"


def test_the_owner_in_metric_types_kilograms(site, root):
    def metric(work):
        work.session.get(type(site.team.people["owner"]), site.team.people["owner"].id).units = "metric"

    site.do(metric)
    assert site.as_("owner").post(root, GROUP | {"intake_kg": "23"}).status_code == 303
    assert lines(site)[0].intake_kg == pytest.approx(23)


def test_an_incomplete_group_comes_back_with_everything_typed(site, root):
    answer = site.as_("nutritionist").post(
        root, GROUP | {"intake_method": "nasem_cow", "intake_kg": "", "milk_kg": "80", "note": "Pen 4"}
    )
    assert answer.status_code == 422
    assert 'value="80"' in answer.text and "Pen 4" in answer.text
    assert "Body weight" in answer.text and "Needed for the intake you chose" in answer.text
    assert lines(site) == []


def test_an_unlikely_intake_is_asked_about_and_taken_when_confirmed(site, root):
    person = site.as_("nutritionist")
    asked = person.post(root, GROUP | {"intake_kg": "90"})
    assert asked.status_code == 422 and "Yes, this is right" in asked.text
    assert person.post(root, GROUP | {"intake_kg": "90", "sure": "yes"}).status_code == 303


def test_the_intake_is_worked_out_while_typing_and_writes_nothing(site, root, group_id):
    answer = site.as_("nutritionist").get(
        f"{root}/_intake?intake_method=nasem_heifer&use_class=growing&body_weight_kg=661.4"
    )
    assert answer.status_code == 200
    assert "16.4" in answer.text and "lb DM/day" in answer.text  # National Academies 2021: 300 kg eat 7.44 kg
    assert "National Academies" in answer.text
    assert "–" in site.as_("viewer").get(f"{root}/_intake?intake_method=nasem_cow&body_weight_kg=abc").text


def test_shares_and_heads_are_added_changed_taken_off_and_put_back(site, root, group_id):
    person, page = site.as_("nutritionist"), f"{root}/{group_id}"
    feed_id = str(lines(site)[0].inclusions[0].feed_id)
    share = {"feed_id": feed_id, "from_on": "2027-06-01", "share_frac": "20"}
    assert person.post(f"{page}/inclusions", share).status_code == 303
    assert person.post(f"{page}/heads", {"from_on": "2027-06-01", "head_count": "180"}).status_code == 303
    step, head = lines(site)[0].inclusions[-1], lines(site)[0].head_changes[-1]
    assert person.post(f"{root}/inclusions/{step.id}", share | {"share_frac": "15"}).status_code == 303
    assert lines(site)[0].inclusions[-1].share_frac == pytest.approx(0.15)
    assert person.get(f"{root}/heads/{head.id}").status_code == 200
    assert person.post(f"{root}/heads/{head.id}", {"from_on": "2027-06-02", "head_count": "185"}).status_code == 303
    assert person.post(f"{root}/inclusions/{step.id}/remove").status_code == 303
    assert person.post(f"{root}/heads/{head.id}/remove").status_code == 303
    shown = person.get(page).text
    assert "Taken off (2)" in shown
    seq = shown.split('name="seq" value="')[1].split('"')[0]
    assert person.post(f"{page}/put-back", {"seq": seq}).status_code == 303
    assert "Taken off (1)" in person.get(page).text


@pytest.mark.parametrize(
    ("form", "says"),
    [
        ({"from_on": "2027-05-01", "share_frac": "20"}, "already a line"),
        ({"from_on": "2027-06-01", "share_frac": "120"}, "outside"),
        ({"from_on": "1 June", "share_frac": "20"}, "is not a day"),
        ({"from_on": "2028-06-01", "share_frac": "20"}, "Is the year right"),
        ({"from_on": "2027-06-01", "share_frac": "0.2"}, "Was it meant as a fraction"),
    ],
)
def test_a_refused_share_comes_back_as_typed(site, root, group_id, form, says):
    feed_id = str(lines(site)[0].inclusions[0].feed_id)
    answer = site.as_("nutritionist").post(f"{root}/{group_id}/inclusions", form | {"feed_id": feed_id})
    assert answer.status_code == 422
    assert says in answer.text and f'value="{form["share_frac"]}"' in answer.text
    assert len(lines(site)[0].inclusions) == 1


def test_two_people_on_the_same_field_see_both_values(site, root, group_id):
    mine, page = site.as_("nutritionist"), f"{root}/{group_id}"
    was = {f"was_{name}": value for name, value in GROUP.items()}
    assert mine.post(page, GROUP | was | {"head_count": "210"}).status_code == 303
    other = site.as_("owner").post(page, GROUP | was | {"head_count": "190"})
    assert other.status_code == 409
    assert "210" in other.text and "190" in other.text
    assert lines(site)[0].head_count == 210
    step = lines(site)[0].inclusions[0]
    form = {"feed_id": str(step.feed_id), "from_on": "2027-05-01", "share_frac": "30", "was_share_frac": "20"}
    assert mine.post(f"{root}/inclusions/{step.id}", form).status_code == 409


def posts(root, group_id, step_id, head_id):
    page = f"{root}/{group_id}"
    return [
        root, page, f"{page}/remove", f"{page}/restore", f"{page}/heads", f"{page}/inclusions", f"{page}/put-back",
        f"{root}/inclusions/{step_id}", f"{root}/inclusions/{step_id}/remove",
        f"{root}/heads/{head_id}", f"{root}/heads/{head_id}/remove",
    ]  # fmt: skip


def test_the_wrong_role_is_told_so_and_strangers_find_nothing(site, root, group_id):
    def head(work):
        values = {"from_on": work.today("UTC"), "head_count": 150}
        return herds.add_head_change(work, site.farm_id, group_id, values).id

    head_id = site.do(head)
    step_id = lines(site)[0].inclusions[0].id
    for path in posts(root, group_id, step_id, head_id):
        assert site.as_("crew").post(path, GROUP).status_code == 403, path
        assert site.as_("stranger").post(path, GROUP).status_code == 404, path
    assert site.as_("viewer").get(f"{root}/{group_id}").status_code == 200
    assert "Add the share" not in site.as_("viewer").get(f"{root}/{group_id}").text
    assert site.as_("viewer").get(f"{root}/new").status_code == 403


def test_parts_are_their_own_pages_and_carry_their_names(site, root, group_id):
    person = site.as_("viewer")
    assert 'id="herds-table"' in person.get(f"{root}/_table").text
    assert f'id="herds-group-{group_id}"' in person.get(f"{root}/{group_id}/_steps").text
