"""The invented people of the demo. None of them exists; every address ends in example.org, which nobody can own."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from app.access.work import Actor


@dataclass
class Person:
    """Someone of the demo, with the account and the farms they have by now."""

    key: str
    name: str
    email: str | None
    role: str
    language: str = "en"
    units: Literal["us", "metric"] = "us"
    device: str = "desk"
    account_id: int | None = None
    roles: dict[int, str] = field(default_factory=dict)

    def actor(self) -> Actor:
        return Actor(self.account_id, self.name, self.email, self.language, self.units, dict(self.roles))


def _person(key: str, name: str, role: str, **more: str) -> Person:
    return Person(key, name, f"{name.split()[0].lower()}.{name.split()[-1].lower()}@example.org", role, **more)  # type: ignore[arg-type]


def consultant() -> Person:
    return _person("consultant", "Hedda Quillon", "consultant", device="laptop")


def marl_hollow() -> list[Person]:
    return [
        _person("owner", "Ruth Ashdown", "owner"),
        _person("nutritionist", "Ana Villmar", "nutritionist", device="laptop"),
        _person("agronomist", "Tom Birkett", "agronomist", device="phone"),
        _person("lead", "Luis Ordaz", "crew", language="es", device="phone"),
        Person("packer", "Chuy, packing tractor", None, "crew", language="es", device="phone in the loader"),
        Person("mower", "Pete, mower", None, "crew", device="phone in the mower"),
    ]


def sedgewater() -> list[Person]:
    return [
        _person("owner", "Marian Coldwell", "owner"),
        _person("nutritionist", "Joost Hallam", "nutritionist", units="metric", device="laptop"),
        _person("agronomist", "Joan Tarrow", "agronomist", device="phone"),
        _person("lead", "Abel Strode", "crew", device="phone"),
        Person("packer", "Nils, pile tractor", None, "crew", device="phone in the tractor"),
        Person("mower", "Abel's old phone", None, "crew", device="phone in the shop"),
    ]


def nine_furlong() -> list[Person]:
    return [
        _person("owner", "Owen Thackley", "owner"),
        _person("nutritionist", "Perla Winsome", "nutritionist", device="laptop"),
        _person("agronomist", "Dirk Ellery", "agronomist", device="phone"),
        _person("lead", "Ramona Teague", "crew", device="phone"),
        Person("packer", "Beto, empuje", None, "crew", language="es", device="phone in the push tractor"),
        Person("mower", "Custom mowers", None, "crew", device="phone in the first mower"),
    ]
