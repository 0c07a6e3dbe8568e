"""Log lines are plain, and hold no secret."""

import logging

from app.access.sessions import new_token
from app.web.logs import PlainLines, without_secrets


def line(message, *arguments, exc_info=None):
    record = logging.LogRecord("swathboard", logging.WARNING, __file__, 1, message, arguments, exc_info)
    return PlainLines().format(record)


def test_tokens_are_struck_out_wherever_they_stand():
    for path in ("/set-up/{}", "/invitations/{}/join", "/crew/{}", "Bearer {}", "sid={};", "?token={}"):
        token = new_token()
        assert token not in line("unexpected error on %s", path.format(token))


def test_a_traceback_is_cleaned_as_well():
    token = new_token()
    try:
        raise ValueError(f"no such link {token}")
    except ValueError as error:
        said = line("failed", exc_info=(type(error), error, error.__traceback__))
    assert "ValueError: no such link ***" in said and token not in said


def test_the_password_of_a_database_address_is_struck_out():
    assert without_secrets("postgresql://farm:secret@db/farm") == "postgresql://farm:***@db/farm"


def test_ordinary_words_stay():
    said = line('said "yes"\nand %s', "no")
    assert said.endswith("level=warning from=swathboard say=\"said 'yes' | and no\"")
