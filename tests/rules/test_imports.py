"""The import ladder: the contracts of pyproject.toml hold."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def lint(folder):
    command = [str(Path(sys.executable).parent / "lint-imports"), "--no-cache", "--config", "pyproject.toml"]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120)


def test_imports_point_down_the_ladder():
    told = lint(ROOT)
    assert told.returncode == 0, told.stdout[told.stdout.find("Broken contracts") :]
    assert " 0 broken" in told.stdout and "6 kept" in told.stdout


def test_the_rule_sees_a_step_up_the_ladder(tmp_path):
    """A formula that reaches for the database, in a copy of the tree, is told."""
    for name in ("app", "seed_demo", "pyproject.toml"):
        (tmp_path / name).symlink_to(ROOT / name)
    (tmp_path / "app").unlink()
    copy(ROOT / "app", tmp_path / "app")
    with (tmp_path / "app" / "agronomy" / "ash.py").open("a") as file:
        file.write("\nimport app.services.farms\n")
    told = lint(tmp_path)
    assert told.returncode != 0
    assert "app.agronomy.ash -> app.services.farms" in told.stdout


def copy(source, target):
    for file in source.rglob("*.py"):
        place = target / file.relative_to(source)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(file.read_text())
