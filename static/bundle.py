"""Build hook: copy htmx out of the wheel that carries it, bundle the browser's files, pack the outside folders."""

import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

OUTSIDE = ("static", "templates", "migrations")


class Bundle(BuildHookInterface):
    def initialize(self, version, build_data):
        root = Path(self.root)
        bundling = load(root / "app" / "web" / "bundling.py")
        bundling.copy_vendor(root / "static")
        bundling.build(root / "static")
        if self.target_name == "wheel" and version != "editable":
            for folder in OUTSIDE:
                for path in sorted((root / folder).rglob("*")):
                    if path.is_file() and wanted(path):
                        build_data["force_include"][str(path)] = f"app/_assets/{path.relative_to(root)}"


def load(path):
    """The bundling module by its file: the package it lies in needs more than a build environment has."""
    spec = spec_from_file_location("swathboard_bundling", path)
    module = module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def wanted(path):
    return "__pycache__" not in path.parts and not path.name.startswith((".", "plotly."))
