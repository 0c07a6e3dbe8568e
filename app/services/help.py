"""The Help page: what each number means, formulas with their sources, the defaults, and the cautions."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pkgutil import walk_packages

from app.planning.assumptions import ASSUMPTIONS, Assumption
from app.planning.cautions import CAUTIONS, Caution
from app.sources import SOURCES, Source
from app.units.sentences import Sentence

KEY = re.compile(r"\[([A-Z][A-Za-z]+\d{4}[a-z]?)\]_")
SECTION = re.compile(r"^(Valid|Source)\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", re.MULTILINE | re.DOTALL)
PACKAGES = {
    "agronomy": Sentence("Growth, maturity and feeding value"),
    "nutrition": Sentence("Herd, lots and lab values"),
    "ensiling": Sentence("Packing, storage and feed-out"),
}
MARKS = {
    "read": Sentence("checked against the publication"),
    "memory": Sentence("from memory, not yet checked"),
    "derived": Sentence("worked out from other sources"),
    "secondary": Sentence("as restated by others"),
    "practice": Sentence("common practice, no publication"),
}


@dataclass(frozen=True)
class Meaning:
    """A number or word of the pages, and how it is meant."""

    key: str
    name: Sentence
    says: Sentence


MEANINGS = (
    Meaning(
        "range",
        Sentence("Ranges"),
        Sentence(
            "A range beside a figure holds in 8 of 10 years or cases: one in ten lies below it, one in ten above. "
            "“Not known” means that something was not measured; the reason stands beside it."
        ),
    ),
    Meaning(
        "need",
        Sentence("What we need"),
        Sentence(
            "Each group's intake times the share of its ration, day by day, until the new crop is fed, less what is in "
            "store. Feed in store takes the losses still to come; new crop takes all of them. A day's need is fed as a "
            "whole, today included."
        ),
    ),
    Meaning(
        "run-out",
        Sentence("Run-out day"),
        Sentence("The first day that cannot be fed in full from what is on hand and on contract."),
    ),
    Meaning(
        "new-crop",
        Sentence("New crop is fed from"),
        Sentence(
            "The day of sealing plus the days of fermentation. It then replaces the old feed in even steps over the "
            "days of blending."
        ),
    ),
    Meaning(
        "shrink",
        Sentence("Shrink"),
        Sentence(
            "Loss from field to feed bunk as a share of dry matter. Losses that follow each other multiply; some add "
            "them up instead. The farm chooses, and the page says which way was used."
        ),
    ),
    Meaning(
        "heat",
        Sentence("Degree-days (GDD)"),
        Sentence(
            "The day's mean temperature above a base, added up from the start the farm has chosen through yesterday. "
            "A date is the first day whose end reaches the total. Later days come from the station's own past years."
        ),
    ),
    Meaning(
        "ndf-standing",
        Sentence("NDF standing and NDF when fed"),
        Sentence(
            "Fiber of the standing crop, read from height and stage where there is a reading of the last ten days, "
            "else from heat alone. When fed it is higher, because harvest and storage lose leaves and sugars; the "
            "allowance is a setting of the farm."
        ),
    ),
    Meaning(
        "yield",
        Sentence("Yield standing"),
        Sentence(
            "Expected season yield times this cutting's share, moved by the heat since, held back by thin stands. "
            "A clipped and weighed sample replaces it."
        ),
    ),
    Meaning(
        "packing",
        Sentence("Packing weight"),
        Sentence(
            "Weight of the tractors on the pile times the share of the filling hours they pack, held against the tons "
            "per hour that come in."
        ),
    ),
    Meaning(
        "tons",
        Sentence("Tons, dry and as fed"),
        Sentence(
            "In US units a ton is 2,000 lb, in metric units 1,000 kg. “DM” is dry matter; as fed is with the water. "
            "As fed is dry matter divided by its share. Switching units changes nothing that is stored."
        ),
    ),
    Meaning(
        "lot",
        Sentence("Values of a lot"),
        Sentence(
            "Plain means of its samples, with how many there are and the standard error. Classes weigh their lots by "
            "tons of dry matter."
        ),
    ),
    Meaning(
        "stems",
        Sentence("Stems"),
        Sentence("Alfalfa stems per area, from counts; with the root and crown score they give the class of a stand."),
    ),
)


@dataclass(frozen=True)
class Formula:
    """A published relation as its own documentation describes it (English)."""

    name: str
    says: str
    valid: str
    source: str
    keys: tuple[str, ...]


@dataclass(frozen=True)
class Cited:
    """A source, how far it was checked, and what uses it."""

    key: str
    source: Source
    mark: Sentence
    used_by: tuple[str, ...]


@dataclass(frozen=True)
class HelpPage:
    meanings: tuple[Meaning, ...]
    formulas: tuple[tuple[Sentence, tuple[Formula, ...]], ...]
    assumptions: tuple[Assumption, ...]
    cautions: tuple[Caution, ...]
    sources: tuple[Cited, ...]


@cache
def help_page() -> HelpPage:
    """The same for everyone: it holds nothing of any farm."""
    formulas = tuple((words, tuple(_formulas(f"app.{package}"))) for package, words in PACKAGES.items())
    users: dict[str, list[str]] = {}
    for _words, group in formulas:
        for formula in group:
            for key in formula.keys:
                users.setdefault(key, []).append(formula.name)
    sources = tuple(
        Cited(key, source, MARKS[source.mark], tuple(users.get(key, ()))) for key, source in sorted(SOURCES.items())
    )
    return HelpPage(MEANINGS, formulas, tuple(ASSUMPTIONS.values()), CAUTIONS, sources)


def _formulas(package: str) -> Iterator[Formula]:
    for found in walk_packages(import_module(package).__path__, f"{package}."):
        module = import_module(found.name)
        for name, thing in vars(module).items():
            if inspect.isfunction(thing) and thing.__module__ == module.__name__ and not name.startswith("_"):
                formula = _formula(name, inspect.getdoc(thing) or "")
                if formula is not None:
                    yield formula


def _formula(name: str, text: str) -> Formula | None:
    parts = {heading: " ".join(body.split()) for heading, body in SECTION.findall(text)}
    if "Source" not in parts:
        return None
    keys = tuple(dict.fromkeys(KEY.findall(parts["Source"])))
    source = KEY.sub(r"\1", parts["Source"])
    return Formula(
        name.replace("_", " "), text.split("\n\n")[0].replace("\n", " "), parts.get("Valid", ""), source, keys
    )
