"""The list of feeds."""

import pytest

from app.errors import Invalid, NotAllowed, NotFound, Unsure
from app.services import feeds


def test_moisture_is_asked_about_by_kind_of_feed(work, team):
    values = {"name": "Haylage", "kind": "haylage", "dm_frac": 0.62}
    with pytest.raises(Unsure) as question:
        feeds.add_feed(work, team.farm.id, values)
    assert question.value.fields["dm_frac"].figures["meant"].value == pytest.approx(0.38)
    feeds.add_feed(work, team.farm.id, values, sure=True)


def test_a_fraction_saved_as_a_percentage_is_refused_even_when_sure(work, team):
    with pytest.raises(Invalid):
        feeds.add_feed(work, team.farm.id, {"name": "Haylage", "kind": "haylage", "dm_frac": 0.0038}, sure=True)


def test_names_are_told_apart_and_removal_is_undone(work, team):
    feed = feeds.add_feed(work, team.farm.id, {"name": "Hay", "kind": "hay"})
    with pytest.raises(Invalid):
        feeds.add_feed(work, team.farm.id, {"name": "HAY", "kind": "hay"})
    feeds.remove_feed(work, team.farm.id, feed.id)
    assert feeds.list_feeds(work, team.farm.id) == []
    feeds.restore_feed(work, team.farm.id, feed.id)
    assert [row.name for row in feeds.list_feeds(work, team.farm.id)] == ["Hay"]


def test_strangers_and_crew_change_nothing(work, team):
    with pytest.raises(NotFound):
        feeds.list_feeds(team.acts(work, "stranger"), team.farm.id)
    with pytest.raises(NotAllowed):
        feeds.add_feed(team.acts(work, "crew"), team.farm.id, {"name": "Hay", "kind": "hay"})
