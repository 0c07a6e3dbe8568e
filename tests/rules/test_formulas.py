"""Every public formula says its units, validity, errors, example and source; examples run."""

import doctest
import importlib
import inspect
import pkgutil
import re
from itertools import pairwise

import pytest

import app.agronomy
import app.ensiling
import app.nutrition

PACKAGES = [app.agronomy, app.nutrition, app.ensiling]
SECTIONS = ["Parameters", "Returns", "Valid", "Raises", "Example", "Source"]
SUPPORT = {"ranges", "limits"}
"""Modules that refuse impossible values; they hold no formula."""

KEY = re.compile(r"\[[A-Z][A-Za-z]+\d{4}[a-z]?\]_")
UNSOURCED = re.compile(r"common practice|derived|from memory", re.IGNORECASE)


def modules():
    for package in PACKAGES:
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if found.name.rpartition(".")[2] not in SUPPORT:
                yield importlib.import_module(found.name)


def formulas():
    for module in modules():
        for name, thing in vars(module).items():
            if inspect.isfunction(thing) and thing.__module__ == module.__name__ and not name.startswith("_"):
                yield pytest.param(thing, module, id=f"{module.__name__}.{name}")


def sections(text):
    """Section name to body, of a docstring with dashes under its headings."""
    lines = inspect.cleandoc(text or "").splitlines()
    starts = [
        at
        for at, (heading, under) in enumerate(pairwise(lines))
        if heading in SECTIONS and under and set(under) == {"-"}
    ]
    ends = [*starts[1:], len(lines)]
    return {lines[at]: "\n".join(lines[at + 2 : end]) for at, end in zip(starts, ends, strict=True)}


FORMULAS = list(formulas())


@pytest.mark.parametrize(("formula", "module"), FORMULAS)
def test_every_formula_says_what_it_needs_in_the_agreed_order(formula, module):
    found = sections(formula.__doc__)
    assert list(found) == SECTIONS
    assert "[" in found["Parameters"] + found["Returns"], "units missing"
    named = set(re.findall(r"\w+", found["Parameters"]))
    missing = [name for name in inspect.signature(formula).parameters if name not in named]
    assert "..." in found["Parameters"] or not missing, f"not described: {missing}"


@pytest.mark.parametrize(("formula", "module"), FORMULAS)
def test_every_formula_names_its_source_or_says_there_is_none(formula, module):
    source = sections(formula.__doc__).get("Source", "")
    assert KEY.search(source) or UNSOURCED.search(source)


@pytest.mark.parametrize(("formula", "module"), FORMULAS)
def test_the_example_of_every_formula_runs(formula, module):
    runner = doctest.DocTestRunner()
    for test in doctest.DocTestFinder().find(formula, globs=dict(vars(module))):
        runner.run(test)
    assert runner.tries > 0
    assert runner.failures == 0


def test_formulas_were_found_in_every_package():
    for package in PACKAGES:
        assert any(module.__name__.startswith(package.__name__) for _, module in (p.values for p in FORMULAS))
