"""The frame of every page speaks both languages and obeys the policy of the page."""

import re
from dataclasses import astuple

import pytest

from app.charts.strip import Words
from app.settings import outside_folder
from app.web.words import catalogue

TEMPLATES = outside_folder("templates")
FRAME = sorted([*TEMPLATES.glob("layout/*.html"), *TEMPLATES.glob("errors/*.html")])
TEXT = re.compile(r"_\('((?:[^'\\]|\\')*)'")


@pytest.mark.parametrize("path", FRAME, ids=lambda path: path.name)
def test_every_text_of_the_frame_has_its_spanish(path):
    source = re.sub(r"\{#.*?#\}", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    missing = {text.replace("\\'", "'") for text in TEXT.findall(source)} - set(catalogue("es"))
    assert missing == set()


def test_every_word_of_the_season_strip_has_its_spanish():
    words = [word for part in astuple(Words()) for word in ([part] if isinstance(part, str) else part)]
    assert [word for word in words if word not in catalogue("es")] == []


@pytest.mark.parametrize("path", FRAME, ids=lambda path: path.name)
def test_the_frame_holds_no_inline_style_no_inline_script_and_no_other_host(path):
    source = path.read_text(encoding="utf-8")
    assert not re.search(r'\sstyle=|\son\w+="|hx-on|<style|javascript:|https?://', source)
    scripts = re.findall(r"<script\b[^>]*>", source)
    assert all("src=" in script or 'type="application/json"' in script for script in scripts)


def test_a_shared_gap_keeps_its_name_in_spanish():
    """A translation that drops or renames a gap would print a brace or fail."""
    gaps = re.compile(r"%\((\w+)\)s|\{(\w+)\}")
    for english, spanish in catalogue("es").items():
        assert set(gaps.findall(english)) >= set(gaps.findall(spanish)), english
