"""A file people send is kept for its preview, and one larger than the farm's server takes is refused by size."""

import dataclasses

import pytest

from app.access.permissions import Permission
from app.errors import Invalid, NotFound
from app.services import uploads


def send(work, team, body, name="lab.csv"):
    return uploads.keep_upload(work, team.farm.id, Permission.SAMPLES_EDIT, "lab", name, body)


def test_a_file_as_large_as_allowed_is_kept_and_one_byte_more_is_not(work, team):
    small = dataclasses.replace(work, upload_most_bytes=20)
    assert send(small, team, b"x" * 20).body == b"x" * 20
    with pytest.raises(Invalid) as refused:
        send(small, team, b"x" * 21)
    assert str(refused.value.fields["file"]) == "The file has 21 bytes; at most 20 are taken."


def test_an_empty_file_is_refused(work, team):
    with pytest.raises(Invalid):
        send(work, team, b"")


def test_only_the_name_of_the_file_is_kept_not_the_folder_it_lay_in(work, team):
    assert send(work, team, b"x", "C:\\papers\\north.csv").filename == "north.csv"


def test_a_file_taken_over_is_waiting_no_more(work, team):
    upload = send(work, team, b"x")
    uploads.take_upload(work, upload)
    with pytest.raises(NotFound):
        uploads.access_upload(work, team.farm.id, upload.id, Permission.SAMPLES_EDIT, "lab")


def test_the_setting_says_how_large_a_file_may_be(site):
    site.app.state.settings = site.app.state.settings.model_copy(update={"upload_bytes": 30})
    path = f"/farms/{site.team.farm.id}/lab-files/new"
    answer = site.as_("nutritionist").post(path, {}, files={"file": ("lab.csv", b"x" * 31, "text/csv")})
    assert answer.status_code == 422 and "The file has 31 bytes; at most 30 are taken." in answer.text
