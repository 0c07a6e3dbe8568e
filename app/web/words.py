"""Translations: the `es.po` beside each template folder, read once at start."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from babel.messages.pofile import read_po

from app.settings import outside_folder

LANGUAGES = ("en", "es")


@cache
def catalogue(language: str) -> dict[str, str]:
    """English text -> text in that language, from every `<language>*.po` below templates/."""
    if language == "en":
        return {}
    words: dict[str, str] = {}
    for file in sorted(outside_folder("templates").rglob(f"{language}*.po")):
        with file.open("rb") as source:
            for message in read_po(source, locale=language):
                if message.id and message.string and not message.fuzzy:
                    words[str(message.id)] = str(message.string)
    return words


def translator(language: str) -> Callable[[str], str]:
    """A function that gives a text in that language; texts without translation stay English."""
    words = catalogue(language)
    return lambda text: words.get(text, text)
