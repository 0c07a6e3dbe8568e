"""A form sent twice takes effect once."""

from datetime import timedelta

import pytest

from app.errors import AlreadyDone
from app.records.history import Sending
from app.services.accounts import start_sign_in
from app.services.sendings import KEPT, take_sending


def test_the_second_sending_of_a_key_is_refused(work, team):
    work.session.commit()
    take_sending(work, "abc")
    work.session.commit()
    with pytest.raises(AlreadyDone):
        take_sending(work, "abc")


def test_two_people_may_use_the_same_key(work, team):
    take_sending(team.acts(work, "owner"), "abc")
    take_sending(team.acts(work, "viewer"), "abc")


def test_keys_no_open_page_can_send_again_are_forgotten_when_somebody_signs_in(work, team):
    take_sending(work, "old")
    take_sending(work, "fresh")
    old = work.session.query(Sending).filter_by(key="0:old").one()
    old.at = work.now() - KEPT - timedelta(minutes=1)
    work.session.flush()
    start_sign_in(work, team.people["owner"], "test", 1)
    assert [row.key for row in work.session.query(Sending)] == ["0:fresh"]
