"""Fill in a form as a person would who wants it taken: from the page it stands on, without knowing its noun."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

NUMBERS = ("5", "20", "50", "1", "0.5", "100", "1000")
DAY = "2027-05-10"


@dataclass
class Form:
    """The fields of one form on a page: name -> (kind, value standing there, choices), and which must be given."""

    action: str
    fields: dict[str, tuple[str, str, list[str]]] = field(default_factory=dict)
    needed: set[str] = field(default_factory=set)

    def filled(self, number: str, word: str, sparse: bool) -> dict[str, str]:
        """What stands there, and something possible where nothing does; `sparse` only where it must be."""
        return {
            name: found[1] if sparse and name not in self.needed else self._value(*found, number, word)
            for name, found in self.fields.items()
        }

    @staticmethod
    def _value(kind: str, value: str, choices: list[str], number: str, word: str) -> str:
        if value or kind == "hidden":
            return value
        if choices:
            return next((choice for choice in choices if choice), "")
        return {"date": DAY, "number": number, "email": f"{word}@example.org"}.get(kind, word)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._select, self._area = "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append(Form(given.get("action", "")))
        if not self.forms or (tag in ("input", "select", "textarea") and not given.get("name")):
            return
        fields = self.forms[-1].fields
        if "required" in given or given.get("aria-required") == "true":
            self.forms[-1].needed.add(given["name"])
        if tag == "input":
            self._input(fields, given)
        elif tag == "select":
            self._select = given["name"]
            fields[self._select] = ("choice", "", [])
        elif tag == "option" and self._select:
            kind, value, choices = fields[self._select]
            chosen = given.get("value", "") if "selected" in given else value
            fields[self._select] = (kind, chosen, [*choices, given.get("value", "")])
        elif tag == "textarea":
            self._area = given["name"]
            fields[self._area] = ("text", "", [])

    @staticmethod
    def _input(fields: dict, given: dict[str, str]) -> None:
        kind, name = given.get("type", "text"), given["name"]
        if kind in ("checkbox", "submit", "file", "search"):
            return
        if kind == "radio":
            old = fields.get(name, ("choice", "", []))
            value = given.get("value", "") if "checked" in given else old[1]
            fields[name] = ("choice", value, [*old[2], given.get("value", "")])
            return
        is_number = kind == "number" or given.get("inputmode") in ("decimal", "numeric")
        fields[name] = ("number" if is_number else kind, given.get("value", ""), [])

    def handle_data(self, text: str) -> None:
        if self._area and self.forms:
            kind, value, choices = self.forms[-1].fields[self._area]
            self.forms[-1].fields[self._area] = (kind, value + text.strip(), choices)

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""


def form_to(html: str, action: str) -> Form | None:
    """The form of the page that is sent to that address."""
    reader = _Reader()
    reader.feed(html)
    found = [form for form in reader.forms if re.sub(r"[?#].*", "", form.action) == action or not form.action]
    return max(found, key=lambda form: len(form.fields), default=None)
