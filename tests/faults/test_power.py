"""The short form of `power.py`, and the proof that its cuts do lose what was not synced."""

from tests.faults.power import cut_often, write_and_record


def test_no_answered_write_is_lost_by_a_power_cut(tmp_path):
    _place, before, saved = write_and_record(tmp_path, 3)
    assert len(saved) > 20
    assert cut_often(tmp_path, before, saved, 60) == (0, 0, 0)


def test_with_a_weaker_setting_the_same_cuts_lose_answered_writes(tmp_path):
    _place, before, saved = write_and_record(tmp_path, 3, "NORMAL")
    with_loss, lost, broken = cut_often(tmp_path, before, saved, 60)
    assert with_loss > 0 and lost > 0 and broken == 0
