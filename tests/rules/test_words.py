"""Every text that people read has its Spanish, with the same figures in it; no text is said in two ways."""

import ast
import dataclasses
import importlib
import pkgutil
import re
from collections import defaultdict
from functools import cache
from pathlib import Path

import jinja2
import pytest
from babel.messages.pofile import read_po

import app
from app.units.kinds import KINDS
from app.units.sentences import Sentence
from app.units.shapes import Column
from app.web.words import catalogue

ROOT = Path(__file__).parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
MODULES = sorted((ROOT / "app").rglob("*.py"))
CATALOGUES = sorted((ROOT / "templates").rglob("es*.po"))
GAPS = re.compile(r"\{(\w+)\}|%\((\w+)\)s")


def has_words(text):
    return any(letter.isalpha() for letter in re.sub(GAPS, "", text))


def template_texts(file):
    """Texts inside `_()` of one template."""
    tree = jinja2.Environment(extensions=["jinja2.ext.do"]).parse(file.read_text())
    for call in tree.find_all(jinja2.nodes.Call):
        if isinstance(call.node, jinja2.nodes.Name) and call.node.name == "_" and call.args:
            yield from jinja_constants(call.args[0])


def jinja_constants(node):
    if isinstance(node, jinja2.nodes.Const) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, jinja2.nodes.CondExpr):
        yield from jinja_constants(node.expr1)
        if node.expr2 is not None:
            yield from jinja_constants(node.expr2)


def written_texts(file):
    """Texts of `Sentence(...)`, and labels, hints and choices of `Column(...)`, as they stand in one module."""
    tree = ast.parse(file.read_text())
    named = constants_by_name(tree)
    for call in ast.walk(tree):
        if not isinstance(call, ast.Call):
            continue
        name = getattr(call.func, "id", getattr(call.func, "attr", ""))
        keywords = {keyword.arg: keyword.value for keyword in call.keywords}
        if name == "Sentence" and call.args:
            yield from constants(call.args[0], named)
        if name == "Column":
            places = [*call.args[1:2], *(keywords[key] for key in ("label", "hint") if key in keywords)]
            for place in places:
                yield from constants(place, named)
            yield from (text for pair in pairs(keywords.get("choices")) for text in constants(pair, named))


def constants(node, named):
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from constants(node.body, named)
        yield from constants(node.orelse, named)
    elif isinstance(node, ast.Name):
        yield from named.get(node.id, ())


def constants_by_name(tree):
    """Texts given to a name before it becomes a sentence (`why = "..."`)."""
    named = defaultdict(list)
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            named[node.targets[0].id].extend(constants(node.value, {}))
    return named


def pairs(node):
    """The labels of a choices tuple that is written out."""
    for pair in getattr(node, "elts", ()):
        if isinstance(pair, ast.Tuple) and len(pair.elts) == 2:
            yield pair.elts[1]


@cache
def made_texts():
    """Texts of the sentences and columns that modules hold once they are imported, however they were made."""
    found = {}
    for module in pkgutil.walk_packages(app.__path__, "app."):
        if module.name != "app.__main__":
            for thing in vars(importlib.import_module(module.name)).values():
                for text in held(thing, set()):
                    found.setdefault(text, module.name)
    return found


def held(thing, seen):
    if id(thing) in seen or isinstance(thing, str | int | float | type | None):
        return
    seen.add(id(thing))
    if isinstance(thing, Sentence):
        yield thing.text
        yield from held(thing.figures, seen)
    elif isinstance(thing, Column):
        yield from (thing.label, *filter(None, [thing.hint]), *(label for _key, label in thing.choices))
    elif isinstance(thing, dict):
        for value in thing.values():
            yield from held(value, seen)
    elif isinstance(thing, list | tuple | set | frozenset):
        for value in thing:
            yield from held(value, seen)
    elif dataclasses.is_dataclass(thing) and type(thing).__module__.startswith("app."):
        for field in dataclasses.fields(thing):
            yield from held(getattr(thing, field.name, None), seen)


def unit_labels():
    return {unit.label for kind in KINDS.values() for unit in (kind.us, kind.metric)}


def needed():
    """Where it stands -> texts."""
    texts = defaultdict(set)
    for file in TEMPLATES:
        texts[str(file.relative_to(ROOT))] |= set(template_texts(file))
    for file in MODULES:
        texts[str(file.relative_to(ROOT))] |= set(written_texts(file))
    known = set().union(*texts.values())
    for text, module in made_texts().items():
        if text not in known:
            texts[module] |= {text}
    texts["app/units/kinds.py"] |= unit_labels()
    return texts


def missing():
    """File -> its texts without Spanish."""
    spanish = catalogue("es")
    wanting = {
        file: sorted(text for text in texts if has_words(text) and text not in spanish)
        for file, texts in sorted(needed().items())
    }
    return {file: texts for file, texts in wanting.items() if texts}


def test_every_text_has_its_spanish():
    wanting = missing()
    told = "\n".join(f"{file}\n" + "\n".join(f"    {text!r}" for text in texts) for file, texts in wanting.items())
    assert not wanting, f"{sum(map(len, wanting.values()))} texts without Spanish:\n{told}"


def entries(file):
    with file.open("rb") as source:
        return [message for message in read_po(source, locale="es") if message.id and message.string]


@pytest.mark.parametrize("file", CATALOGUES, ids=lambda file: str(file.relative_to(ROOT)))
def test_spanish_keeps_the_figures_of_the_english(file):
    def gaps(text):
        return sorted("".join(found) for found in GAPS.findall(text))

    wrong = [str(each.id) for each in entries(file) if set(gaps(str(each.id))) != set(gaps(str(each.string)))]
    assert wrong == []


def test_no_text_has_two_translations():
    said = defaultdict(set)
    for file in CATALOGUES:
        for each in entries(file):
            said[str(each.id)].add(str(each.string))
    assert {text: sorted(ways) for text, ways in said.items() if len(ways) > 1} == {}


def test_the_rule_sees_texts_in_templates_modules_and_columns(tmp_path):
    page, module = tmp_path / "page.html", tmp_path / "module.py"
    page.write_text("{{ _('One %(n)s', n=1) }}{{ _('Two' if x else 'Three') }}{{ _(label) }}")
    module.write_text(
        'why = "Four"\nSentence("Five {n}", n=1)\nSentence(why)\n'
        'Column("a", "Six", hint="Seven", choices=(("k", "Eight"),))'
    )
    assert set(template_texts(page)) == {"One %(n)s", "Two", "Three"}
    assert set(written_texts(module)) == {"Four", "Five {n}", "Six", "Seven", "Eight"}


if __name__ == "__main__":  # `python -m tests.rules.test_words [part of a file's name]` prints what is missing as .po
    import json
    import sys

    for place, texts in missing().items():
        if not sys.argv[1:] or any(part in place for part in sys.argv[1:]):
            print(f"# {place}")
            for each in texts:
                print(f'msgid {json.dumps(each, ensure_ascii=False)}\nmsgstr ""\n')
