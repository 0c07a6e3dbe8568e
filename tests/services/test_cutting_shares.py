"""The farm's own shares of the season."""

import pytest

from app.errors import Invalid, NotAllowed
from app.services import cutting_shares as shares


def typed(*parts):
    return {f"share_{number}": part for number, part in enumerate(parts, 1)}


def test_published_shares_add_up_to_the_season():
    """Each set makes 100 % [Blonde2018]."""
    assert [round(sum(shares.published_shares(cuts)), 9) for cuts in (3, 4, 5)] == [1.0, 1.0, 1.0]
    assert shares.published_shares(7) == ()


def test_own_shares_are_kept_and_taken_back(work, team):
    shares.set_own_shares(work, team.farm.id, typed(0.4, 0.25, 0.2, 0.15))
    assert shares.own_shares(work, team.farm.id) == {1: 0.4, 2: 0.25, 3: 0.2, 4: 0.15}
    shares.set_own_shares(work, team.farm.id, typed(None, None, None, None))
    assert shares.own_shares(work, team.farm.id) == {}


def test_shares_that_miss_the_whole_are_refused_with_their_sum(work, team):
    with pytest.raises(Invalid) as refused:
        shares.set_own_shares(work, team.farm.id, typed(0.4, 0.25, 0.2, 0.10))
    assert refused.value.fields["share_1"].figures["got"].value == pytest.approx(0.95)
    assert shares.own_shares(work, team.farm.id) == {}


def test_a_missing_cutting_is_named(work, team):
    with pytest.raises(Invalid) as refused:
        shares.set_own_shares(work, team.farm.id, typed(0.5, 0.5, None, None))
    assert list(refused.value.fields) == ["share_3"]


def test_whole_per_cents_may_miss_by_rounding(work, team):
    shares.set_own_shares(work, team.farm.id, typed(0.333, 0.333, 0.167, 0.167))
    assert len(shares.own_shares(work, team.farm.id)) == 4


def test_crew_may_not(work, team):
    with pytest.raises(NotAllowed):
        shares.set_own_shares(team.acts(work, "crew"), team.farm.id, typed(0.4, 0.25, 0.2, 0.15))
