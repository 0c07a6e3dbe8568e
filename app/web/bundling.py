"""Turn the files of `static/` into what browsers are sent: hashed names, one script, gzip and brotli beside each.

Standard library and brotli only: the wheel's build hook (`static/bundle.py`) runs this file too.
"""

from __future__ import annotations

import gzip
import hashlib
from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path

import brotli

COPIED = ("app.css", "desk.js", "icon.svg")
SCRIPT = "app.js"
PLOTLY = "plotly.js"
HTMX = "htmx-2.min.js"


class BundleError(RuntimeError):
    """A file that browsers need is nowhere to be found."""


def build(static: Path) -> dict[str, str]:
    """Write every bundle file into `static/built` unless it already stands there; name -> hashed name."""
    contents = {name: (static / name).read_bytes() for name in COPIED}
    contents[SCRIPT] = htmx(static) + b"\n" + (static / "live.js").read_bytes()
    built = static / "built"
    names = {name: write(built, name, content, quality=11) for name, content in contents.items()}
    forget_old(built, names)
    return names


def htmx(static: Path) -> bytes:
    """htmx as copied by the build hook, or straight from the carrier package when that is installed."""
    vendor = static / "vendor" / HTMX
    if vendor.is_file():
        return vendor.read_bytes()
    carrier = carrier_folder()
    if carrier is None:
        raise BundleError(
            f"{vendor} is missing and the package django-htmx is not installed: "
            "run `pip install -e .` in the checkout, which copies it."
        )
    return (carrier / "static" / "django_htmx" / HTMX).read_bytes()


def carrier_folder() -> Path | None:
    spec = find_spec("django_htmx")
    return Path(spec.submodule_search_locations[0]) if spec and spec.submodule_search_locations else None


def copy_vendor(static: Path) -> None:
    """Copy htmx and the licence it comes under out of the installed carrier into `static/vendor`."""
    carrier = carrier_folder()
    if carrier is None:
        raise BundleError("The package django-htmx, which carries htmx, is not installed in the build environment.")
    vendor = static / "vendor"
    vendor.mkdir(exist_ok=True)
    (vendor / HTMX).write_bytes((carrier / "static" / "django_htmx" / HTMX).read_bytes())
    licences = [path for path in carrier.parent.glob("django_htmx-*.dist-info/licenses/*") if path.is_file()]
    (vendor / "LICENCES.txt").write_text(licence_text(licences), encoding="utf-8")


def licence_text(carrier_licences: Iterable[Path]) -> str:
    """What the copied file may be used under: htmx's own terms, then those of the package that carried it."""
    own = "htmx-2.min.js is htmx 2, copyright its authors, under the Zero-Clause BSD licence (SPDX: 0BSD).\n"
    carried = [
        f"\n{path.name} of django-htmx, which carried it here:\n\n{path.read_text()}" for path in carrier_licences
    ]
    return own + "".join(carried)


def plotly_source() -> Path | None:
    """The browser file inside the installed plotly package."""
    spec = find_spec("plotly")
    if not spec or not spec.submodule_search_locations:
        return None
    path = Path(spec.submodule_search_locations[0]) / "package_data" / "plotly.min.js"
    return path if path.is_file() else None


def prepare_plotly(static: Path) -> str | None:
    """Put plotly's browser file into `static/built` once per version (half a second); None when not installed."""
    source = plotly_source()
    return write(static / "built", PLOTLY, source.read_bytes(), quality=9) if source else None


def write(folder: Path, name: str, content: bytes, *, quality: int) -> str:
    """Write `content` under its hashed name with `.gz` and `.br` beside it; the hashed name."""
    stem, _, ending = name.rpartition(".")
    hashed = f"{stem}.{hashlib.sha256(content).hexdigest()[:10]}.{ending}"
    variants = {"": lambda: content, ".gz": lambda: gzip.compress(content, 9, mtime=0)}
    variants[".br"] = lambda: brotli.compress(content, quality=quality)
    for suffix, make in variants.items():
        target = folder / (hashed + suffix)
        if not target.is_file():
            folder.mkdir(parents=True, exist_ok=True)
            place(target, make())
    return hashed


def place(target: Path, content: bytes) -> None:
    """Write beside and rename, so that a second process starting meanwhile never reads half a file."""
    draft = target.with_name(f".{target.name}.{id(content):x}")
    draft.write_bytes(content)
    draft.replace(target)


def forget_old(folder: Path, names: dict[str, str]) -> None:
    for name, hashed in names.items():
        stem, _, ending = name.rpartition(".")
        for path in folder.glob(f"{stem}.*.{ending}*"):
            if not path.name.startswith(hashed):
                path.unlink(missing_ok=True)
