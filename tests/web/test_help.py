"""The Help page says what numbers mean and where they come from."""

import re

import pytest

from app.planning.assumptions import ASSUMPTIONS
from app.planning.cautions import CAUTIONS
from app.services.help import help_page
from app.sources import SOURCES


@pytest.fixture
def page(site):
    return site.nobody().get("/help").text


def test_every_source_has_its_place_once(page):
    places = re.findall(r'id="source-(\w+)"', page)
    assert sorted(places) == sorted(SOURCES)


def test_every_link_on_the_page_leads_somewhere(page):
    ids = set(re.findall(r'\bid="([\w-]+)"', page))
    assert set(re.findall(r'href="#([\w-]+)"', page)) - ids - {"main"} == set()


def test_every_caution_and_every_default_stands_there(page):
    assert re.findall(r'id="caution-([\w-]+)"', page) == [caution.key for caution in CAUTIONS]
    assert page.count('<tr><th scope="row">') == len(ASSUMPTIONS)


def test_formulas_name_their_sources():
    formulas = {formula.name: formula for _words, group in help_page().formulas for formula in group}
    value = formulas["relative feed value"]
    assert value.keys and set(value.keys) <= set(SOURCES)
    assert "relative feed value" in {name for source in help_page().sources for name in source.used_by}
    assert len(formulas) > 80


def test_the_page_speaks_spanish_and_says_that_formulas_do_not(site):
    answer = site.nobody().get("/help", headers={"Accept-Language": "es"})
    assert "Qué significa cada número" in answer.text and "se describen en inglés" in answer.text
