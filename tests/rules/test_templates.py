"""Every template is used and compiles, every partial has one root carrying its name, nothing is inline."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from app.main import create_app
from app.settings import Settings
from app.web.pages import environment
from tests.web.routes import parameters_by_name

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "templates"
PAGES = sorted(p.relative_to(TEMPLATES) for p in TEMPLATES.rglob("*.html"))
NAMED = re.compile(r"""["']([a-z_]+/_?[a-z_]+\.html)["']""")
COMMENT = re.compile(r"\{#.*?#\}", re.DOTALL)
LEADS_TO = re.compile(r"""\bpath\(\s*["']([^"']+)["']\s*(~?)([^()]*)\)""")
GIVEN = re.compile(r"(\w+)\s*=")
ROUTES = parameters_by_name(create_app(Settings(database="sqlite://")))


def text_of(page):
    return COMMENT.sub("", (TEMPLATES / page).read_text())


def rendered_by_code():
    return {name for file in (ROOT / "app/web").rglob("*.py") for name in NAMED.findall(file.read_text())}


def named_by_templates():
    return {name for page in PAGES for name in NAMED.findall(text_of(page))}


def is_answer(page):
    """Partials that are an answer of their own, swapped into open pages; pieces that are only included are not."""
    return page.name.startswith("_") and page.parent.name != "errors" and str(page) in rendered_by_code()


@pytest.mark.parametrize("page", PAGES, ids=str)
def test_every_template_is_used(page):
    assert str(page) in rendered_by_code() | named_by_templates()


def test_every_named_template_exists():
    assert sorted((rendered_by_code() | named_by_templates()) - {str(page) for page in PAGES}) == []


@pytest.mark.parametrize("page", [page for page in PAGES if is_answer(page)], ids=str)
def test_the_root_of_a_partial_carries_an_id_of_its_noun(page):
    outside = re.sub(r"\{%-?\s*macro .*?endmacro\s*-?%\}", "", text_of(page), flags=re.DOTALL)
    root = re.search(r"<[a-z][a-z0-9]*(?:\s[^>]*)?>", outside).group()
    name = re.search(r'\bid="([^"]+)"', root)
    assert name and name[1].startswith(f"{page.parent.name}-"), root


@pytest.mark.parametrize("page", PAGES, ids=str)
def test_every_template_compiles(page):
    environment().get_template(str(page))


@pytest.mark.parametrize("page", [page for page in PAGES if LEADS_TO.search(text_of(page))], ids=str)
def test_every_link_leads_to_a_route_and_gives_what_its_address_is_made_of(page):
    for name, is_start, rest in LEADS_TO.findall(text_of(page)):
        if is_start:
            assert any(route.startswith(name) for route in ROUTES), name
            continue
        assert name in ROUTES
        given = {key for key in GIVEN.findall(rest) if not key.startswith("q_")}
        assert given <= ROUTES[name] and ("**" in rest or given == ROUTES[name]), (name, rest)


class Inline(HTMLParser):
    """Collects what the content policy would refuse."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attributes):
        names = {name: value or "" for name, value in attributes}
        addresses = {name: names[name] for name in ("href", "src", "action") if name in names}
        self.found += [f"<{tag} {name}>" for name in names if name == "style" or name.startswith(("on", "hx-on"))]
        self.found += [f"<{tag} {name}={to}>" for name, to in addresses.items() if to.startswith("javascript:")]
        if tag == "style" or (tag == "script" and "src" not in names and names.get("type") != "application/json"):
            self.found.append(f"<{tag}>")
        if tag != "a" and any(re.match(r"(https?:)?//", to) for to in addresses.values()):
            self.found.append(f"<{tag}> from another host")


def inline_in(text):
    """Template tags are taken out first: attributes are what is looked at."""
    reader = Inline()
    reader.feed(re.sub(r"\{\{.*?\}\}|\{%.*?%\}", "", COMMENT.sub("", text), flags=re.DOTALL))
    return reader.found


@pytest.mark.parametrize("page", PAGES, ids=str)
def test_nothing_is_inline(page):
    assert inline_in((TEMPLATES / page).read_text()) == []


def test_every_post_form_carries_its_once_only_key():
    wanting = []
    for page in PAGES:
        for form in re.findall(r"<form\b.*?(?=</form>|\{%-? *endmacro)", text_of(page), re.DOTALL):
            if 'method="post"' in form and "once()" not in form:
                wanting.append(f"{page}: {form[:80]}")
    assert wanting == []


def test_the_rule_sees_what_is_inline():
    bad = '<p style="color:red" onclick="x()"><script>1</script><a href="javascript:x()"><script src="/static/a.js">'
    assert inline_in(bad) == ["<p style>", "<p onclick>", "<script>", "<a href=javascript:x()>"]
    assert inline_in('{# <p style="x"> #}<script type="application/json">{}</script><p class="a">') == []
