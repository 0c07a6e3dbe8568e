"""A form sent twice takes effect once."""

import pytest

from app.errors import AlreadyDone
from app.services.sendings import take_sending


def test_the_second_sending_of_a_key_is_refused(work, team):
    work.session.commit()
    take_sending(work, "abc")
    work.session.commit()
    with pytest.raises(AlreadyDone):
        take_sending(work, "abc")


def test_two_people_may_use_the_same_key(work, team):
    take_sending(team.acts(work, "owner"), "abc")
    take_sending(team.acts(work, "viewer"), "abc")
