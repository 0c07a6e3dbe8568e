"""The top of the tree holds what it should, and tests mirror the app file for file."""

from pathlib import Path

ROOT = Path(__file__).parents[2]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "templates", "static", "migrations", "tests", "seed_demo"}
ACROSS = {"rules", "builders", "journeys", "browser", "faults", "bench"}
"""Folders of tests that cut across the packages."""

WHOLE = {"web/test_rights.py", "web/test_queries.py", "web/test_layout.py"}
"""Tests of a whole package at once."""

BANNED = {"utils", "helpers", "common", "misc", "manager", "handler", "data", "info"}


def test_top_level_holds_nothing_else():
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    built = {"build", "dist", "__pycache__"} | {p.name for p in ROOT.glob("*.egg-info")}
    assert found - built <= TOP


def mirrored(test):
    """Whether a module of tests has a file or a folder of its name in the app."""
    noun = test.name.removeprefix("test_").removesuffix(".py")
    package = ROOT / "app" / test.parent.relative_to(ROOT / "tests")
    return (package / f"{noun}.py").exists() or (package / noun / "__init__.py").exists()


def test_tests_mirror_the_app():
    strays = [
        str(test.relative_to(ROOT))
        for test in (ROOT / "tests").rglob("test_*.py")
        if test.relative_to(ROOT / "tests").parts[0] not in ACROSS
        and str(test.relative_to(ROOT / "tests")) not in WHOLE
        and not mirrored(test)
    ]
    assert strays == []


def test_no_file_is_named_after_nothing():
    named = {p for folder in ("app", "tests", "seed_demo") for p in (ROOT / folder).rglob("*.py")}
    assert [str(p.relative_to(ROOT)) for p in named if BANNED & set(p.stem.removeprefix("test_").split("_"))] == []


def test_every_folder_of_code_is_a_package():
    folders = {p.parent for p in (ROOT / "app").rglob("*.py")}
    assert [str(folder.relative_to(ROOT)) for folder in folders if not (folder / "__init__.py").exists()] == []
