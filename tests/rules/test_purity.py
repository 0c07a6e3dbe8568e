"""Formulas and planning read no clock and no randomness; every number names its unit."""

import ast
from pathlib import Path

import pytest

APP = Path(__file__).parents[2] / "app"
PURE = ["units", "agronomy", "nutrition", "ensiling", "planning", "charts"]
FILES = sorted(f for package in PURE for f in (APP / package).rglob("*.py"))

ANY_UNIT = {"ranges.py", "limits.py"}
"""Files that work on a figure of any unit, as the whole of `units` does; `charts` draws in the picture's own units."""
NUMBERED = [f for f in FILES if f.relative_to(APP).parts[0] not in {"units", "charts"} and f.name not in ANY_UNIT]

BANNED = {
    "now",
    "today",
    "utcnow",
    "time",
    "monotonic",
    "perf_counter",
    "random",
    "default_rng",
    "open",
    "print",
    "input",
}
NUMBERS = {"float", "ArrayLike", "Values", "Figures"}
UNITS = """
temperature, heat, energy: _c _c_d _kpa _mj_m2_d _mcal _mcal_d _mcal_kg _mcal_kg_d _w_m2
mass: _kg _kg_d _kg_h _kg_kg _kg_ha _kg_ha_d _kg_ha_c_d _kg_ha_cm _kg_m _kg_m2 _kg_m3 _g _g_d _g_kg _mg_kg _ppm
length, area, volume: _um _mm _mm_d _mm_h _cm _cm_d _m _m_d _km _m2 _m3 _m3_d _m3_h _ha _ha_h _ha_d _l _l_h _l_kg
time and speed: _s _min _h _h_d _d _m_s _km_h _per_d _per_h _per_m _per_m2 _per_ha
shares, counts, scores: _frac _frac_d _frac_h _frac_in _frac_kg _pct _pct_pt _ratio _count _index _index_d _index_in
angle, acidity, cells: _deg _ph _cfu_g
money: _usd _usd_d _usd_h _usd_kg _usd_ha _usd_m2 _usd_m3 _usd_km
constants of an equation kept in its paper's units: _coef _power _scale _per_ft _in _ft _ft2 _lb _lb_ft3
"""
SUFFIXES = tuple(word for word in UNITS.split() if word.startswith("_"))


def calls(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")


def is_number(annotation):
    """Whether a parameter holds a figure: float or array, also where it may be left out."""
    parts = {part.strip() for part in ast.unparse(annotation).split("|")} - {"None"}
    return bool(parts) and parts <= NUMBERS


def names_its_unit(name):
    return f"_{name}".endswith(SUFFIXES)


def numbers(tree):
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef) and not function.name.startswith("_"):
            for argument in function.args.args + function.args.kwonlyargs:
                if argument.annotation and is_number(argument.annotation):
                    yield f"{function.name}({argument.arg})", argument.arg


def label(file):
    return str(file.relative_to(APP))


@pytest.mark.parametrize("file", FILES, ids=label)
def test_no_clock_no_chance(file):
    assert BANNED.isdisjoint(calls(ast.parse(file.read_text())))


@pytest.mark.parametrize("file", NUMBERED, ids=label)
def test_every_number_names_its_unit(file):
    assert [where for where, name in numbers(ast.parse(file.read_text())) if not names_its_unit(name)] == []


def test_the_rule_sees_a_clock_and_a_bare_number():
    assert not BANNED.isdisjoint(calls(ast.parse("from datetime import date\nx = date.today()")))
    bare = ast.parse("def density(mass: float, height_cm: ArrayLike | None): ...")
    assert [where for where, name in numbers(bare) if not names_its_unit(name)] == ["density(mass)"]
