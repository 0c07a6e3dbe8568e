"""The Readiness page over HTTP: every form with and without JavaScript, wrong roles, strangers, clashes."""

from __future__ import annotations

import re

import pytest

from tests.builders.yard import drawn_yard, item_of


@pytest.fixture
def yard(site):
    """The list is drawn; `yard.at(verb)` is the address of one of its items."""

    def prepare(work):
        checklist = drawn_yard(work, site.farm_id)
        return checklist.id, item_of(work, checklist, "scale").id, item_of(work, checklist, "packing-weight").id

    site.list_id, site.item_id, site.packing_id = site.do(prepare)
    site.page = f"/farms/{site.farm_id}/checklists"
    site.root = f"{site.page}/{site.list_id}"
    site.at = lambda verb="", item_id=None: (
        f"{site.root}/items/{item_id or site.item_id}" + (f"/{verb}" if verb else "")
    )
    return site


def row(html: str, item_id: int) -> str:
    return re.search(rf'<li class="item [^>]*id="checklists-item-{item_id}".*?</li>', html, re.S)[0]


def test_an_empty_page_says_what_belongs_there_and_draws_it(site):
    page = f"/farms/{site.farm_id}/checklists"
    owner = site.as_("owner")
    assert "No list yet for this cutting" in owner.get(page).text
    assert "Draw the list</button>" not in site.as_("crew").get(page).text
    assert owner.post(f"{page}/draw").status_code == 303
    assert "0 of " in owner.get(page).text
    assert site.as_("crew").post(f"{page}/draw").status_code == 403
    assert site.as_("stranger").post(f"{page}/draw").status_code == 404


def test_the_row_says_what_is_short_in_the_readers_units(yard):
    text = row(yard.as_("crew").get(yard.page).text, yard.packing_id)
    assert "short 10,000\u00a0lb" in text
    assert "30,000\u00a0lb of 40,000\u00a0lb there" in text
    assert 'class="state short"' in text


def test_ticking_works_with_and_without_javascript(yard):
    crew = yard.as_("crew")
    part = crew.post(yard.at("tick"), htmx=True)
    assert part.status_code == 200
    assert part.text.strip().startswith(f'<li class="item done" id="checklists-item-{yard.item_id}"')
    plain = crew.post(yard.at("untick"))
    assert (plain.status_code, plain.headers["location"]) == (303, f"{yard.page}#checklists-item-{yard.item_id}")
    assert 'aria-pressed="false"' in row(crew.get(yard.page).text, yard.item_id)


def test_the_part_a_page_fetches_is_the_part_a_swap_returns(yard):
    crew = yard.as_("crew")
    swapped = crew.post(yard.at("tick"), htmx=True).text
    fetched = crew.get(f"{yard.root}/items/_item/{yard.item_id}").text
    once = r'name="once" value="[0-9a-f]+"'
    assert re.sub(once, "", swapped) == re.sub(once, "", fetched)
    for part in ("_list", "_summary"):
        name = f"checklists-{part[1:]}-{yard.list_id}"
        assert f'id="{name}"' in crew.get(f"{yard.root}/{part}").text
        assert f'data-live="{name}"' in crew.get(yard.page).text


def test_a_tick_sent_twice_with_one_key_takes_effect_once(yard):
    crew = yard.as_("crew")
    before = yard.do(lambda work: work.session.get(type(yard.team.farm), yard.farm_id).seq)
    for _again in range(2):
        assert crew.post(yard.at("tick"), {"once": "a" * 32}).status_code == 303
    crew.post(yard.at("untick"))
    crew.post(yard.at("tick"), {"once": "a" * 32})  # comes late, after the tick was taken back
    assert 'aria-pressed="false"' in row(crew.get(yard.page).text, yard.item_id)
    assert yard.do(lambda work: work.session.get(type(yard.team.farm), yard.farm_id).seq) == before + 2


@pytest.mark.parametrize("verb", ["tick", "untick", "note"])
def test_who_may_tick(yard, verb):
    assert yard.as_("viewer").post(yard.at(verb)).status_code == 403
    assert yard.as_("stranger").post(yard.at(verb)).status_code == 404
    assert yard.nobody().post(yard.at(verb)).status_code == 401


@pytest.mark.parametrize("verb", ["", "up", "down", "remove", "restore"])
def test_only_the_office_edits(yard, verb):
    assert yard.as_("crew").post(yard.at(verb)).status_code == 403
    assert yard.as_("stranger").post(yard.at(verb)).status_code == 404


def test_a_list_of_another_farm_is_not_found_under_ones_own(yard):
    stranger = yard.as_("stranger")
    other = f"/farms/{yard.other_id}/checklists/{yard.list_id}"
    assert stranger.get(f"{other}/_list").status_code == 404
    assert stranger.post(f"{other}/items/{yard.item_id}/tick").status_code == 404
    assert stranger.get(f"{other}/items/{yard.item_id}").status_code == 404


def test_the_second_note_on_a_row_is_shown_both_values_and_keeps_what_was_typed(yard):
    crew, owner = yard.as_("crew"), yard.as_("owner")
    assert owner.post(yard.at("note"), {"note": "from Ana", "was_note": ""}).status_code == 303
    clash = crew.post(yard.at("note"), {"note": "from Luis", "was_note": ""}, htmx=True)
    assert clash.status_code == 409
    assert "from Ana" in clash.text
    assert "from Luis" in clash.text
    plain = crew.post(yard.at("note"), {"note": "from Luis", "was_note": ""})
    assert plain.status_code == 409
    assert "You typed:" in plain.text
    again = {"note": "from Luis", "was_note": "from Ana", "keep_note": "mine"}
    assert crew.post(yard.at("note"), again).status_code == 303
    assert "from Luis" in row(owner.get(yard.page).text, yard.item_id)


def test_what_cannot_be_read_is_refused_and_kept(yard):
    crew = yard.as_("crew")
    for htmx in (True, False):
        form = {"note": "two axles", "was_note": "", "have": "about ten", "was_have": ""}
        refused = crew.post(yard.at("note", yard.packing_id), form, htmx=htmx)
        assert refused.status_code == 422
        assert "about ten" in refused.text
        assert "two axles" in refused.text
        assert "is not a number" in refused.text
    assert "two axles" not in crew.get(yard.page).text


def test_what_is_on_hand_is_typed_in_the_readers_units(yard):
    crew = yard.as_("crew")
    crew.post(yard.at("note", yard.packing_id), {"have": "41,000", "was_have": ""})
    text = row(crew.get(yard.page).text, yard.packing_id)
    assert "there: 41,000\u00a0lb" in text
    assert "short" not in text.split("<details")[0]


def test_an_item_is_added_edited_moved_taken_off_and_put_back(yard):
    owner = yard.as_("owner")
    new = {"title": "Loader greased", "place": "yard", "days_before": "2", "kind": "count", "need": "2", "have": "1"}
    added = owner.post(f"{yard.root}/items/new", new)
    assert added.status_code == 303
    item_id = int(added.headers["location"].rsplit("-", 1)[1])
    assert "short 1" in row(owner.get(yard.page).text, item_id)
    edited = owner.post(yard.at("", item_id), {"title": "Both loaders greased", "was_title": "Loader greased"})
    assert edited.status_code == 303
    assert "Both loaders greased" in row(owner.get(yard.page).text, item_id)
    assert owner.post(yard.at("up", item_id), htmx=True).text.strip().startswith("<div id=")
    assert owner.post(yard.at("down", item_id)).status_code == 303
    gone = owner.post(yard.at("remove", item_id))
    page = owner.get(gone.headers["location"]).text
    assert "Taken off the list: Both loaders greased" in page
    assert f'id="checklists-item-{item_id}"' not in page
    assert owner.post(yard.at("restore", item_id)).status_code == 303
    assert f'id="checklists-item-{item_id}"' in owner.get(yard.page).text


def test_a_new_item_without_a_title_is_refused_and_keeps_the_rest(yard):
    refused = yard.as_("owner").post(f"{yard.root}/items/new", {"title": "", "owner": "Ruth", "days_before": "500"})
    assert refused.status_code == 422
    assert 'value="Ruth"' in refused.text
    assert "outside 0 to 120" in refused.text
    assert yard.as_("crew").get(f"{yard.root}/items/new").status_code == 403


def test_two_editors_of_one_item(yard):
    owner, other = yard.as_("owner"), yard.as_("consultant")
    seen = {"was_title": "Test the scale and agree how loads are written down.", "was_owner": ""}
    seen["title"], seen["owner"] = seen["was_title"], ""
    assert owner.post(yard.at(), seen | {"owner": "Ruth"}).status_code == 303
    assert other.post(yard.at(), seen | {"title": "Test the scale"}).status_code == 303
    text = row(owner.get(yard.page).text, yard.item_id)
    assert "Ruth" in text
    assert "Test the scale<" in text
    clash = other.post(yard.at(), seen | {"owner": "Tom"})
    assert clash.status_code == 409
    assert "Ruth" in clash.text
    assert "Tom" in clash.text


def test_the_agreed_start_moves_every_day(yard):
    owner = yard.as_("owner")
    form = {"starts_on": "2027-05-21", "was_starts_on": ""}
    assert owner.post(f"{yard.page}/start", form).status_code == 303
    text = owner.get(yard.page).text
    assert "Start agreed for Fri 21 May" in text
    assert "Before Friday" in text
    assert owner.post(f"{yard.page}/start", form | {"starts_on": "2027-05-24"}).status_code == 409
    asked = owner.post(f"{yard.page}/start", {"starts_on": "2028-05-21", "was_starts_on": "2027-05-21"})
    assert asked.status_code == 422
    assert "Is the year right?" in asked.text
    assert yard.as_("crew").post(f"{yard.page}/start", form).status_code == 403


def test_a_note_from_the_big_button(yard):
    crew = yard.as_("crew")
    assert crew.get(f"{yard.root}/note").status_code == 200
    assert crew.post(f"{yard.root}/note", {"item": str(yard.item_id), "text": "needs a battery"}).status_code == 303
    assert "needs a battery" in row(crew.get(yard.page).text, yard.item_id)
    refused = crew.post(f"{yard.root}/note", {"item": "", "text": "kept words"})
    assert refused.status_code == 422
    assert "kept words" in refused.text
    assert yard.as_("viewer").get(f"{yard.root}/note").status_code == 403
    assert yard.as_("stranger").post(f"{yard.root}/note").status_code == 404


def test_an_item_of_safety_shows_its_caution_who_publishes_it_and_who_decides(yard):
    text = yard.as_("crew").get(yard.at("", yard.packing_id)).text
    assert "Packing tractors roll over" in text
    assert "Advice published by OSHA, Penn State Extension, NYCAMH." in text
    assert "Local code and licensed or trained people decide." in text


def test_the_page_speaks_spanish(yard):
    yard.do(
        lambda work: setattr(
            work.session.get(type(yard.team.people["crew"]), yard.team.people["crew"].id), "language", "es"
        )
    )
    text = yard.as_("crew").get(yard.page).text
    assert "¿Estamos listos?" in text
    assert "Tenga suficiente peso para compactar lo que se acarrea por hora" in text
    assert "faltan 10,000" in text
