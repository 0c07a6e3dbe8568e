"""The short form of `kill.py`: some kills, every acknowledged write still there once."""

from tests.faults.kill import kill_often
from tests.faults.place import Place


def test_what_was_answered_outlives_a_killed_server(tmp_path):
    place = Place(tmp_path)
    try:
        found = kill_often(place, 8, (0.2, 0.6))
    finally:
        place.end()
    assert found.wrong == []
    assert found.written > 100 and found.sent_again > 0
