"""What labs call analytes: names known everywhere, and the farm's own, which people may edit."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, restore_row
from app.nutrition.lab import ANALYTES
from app.records.samples import AnalyteName
from app.services.samples.values import NITRATE, bases_of, units_of, wrong_basis, wrong_unit
from app.units.sentences import Sentence
from app.units.shapes import Column, Shape

PARTS = ("analyte_names-list",)
UNITS = tuple(dict.fromkeys(unit for analyte in ANALYTES.values() for unit in units_of(analyte) if unit))
BASES = ("AR", "DM", "NDF", "CP", "N")
NAME_SHAPE = Shape(
    "analyte_names",
    (
        Column("name", "Name on the report", required=True, longest=80, example="Sol. Prot."),
        Column(
            "analyte", "Analyte", "choice", required=True,
            choices=tuple((code, analyte.name.text) for code, analyte in ANALYTES.items()),
        ),
        Column("unit", "Unit it is always printed in", "choice", choices=tuple((unit, unit) for unit in UNITS)),
        Column("basis", "Basis it is always printed on", "choice", choices=tuple((basis, basis) for basis in BASES)),
    ),
)  # fmt: skip


@dataclass(frozen=True)
class Known:
    """What a name means: an analyte, with unit and basis where the name says them. `code` NDFD lacks its hours."""

    code: str
    unit: str = ""
    basis: str = ""
    own: bool = False


_WORDS: dict[str, str] = {
    "DM": "dm|dry matter|ms|materia seca",
    "MOIST": "moist|moisture|humedad",
    "CP": "cp|crude protein|protein|total protein|pc|proteina|proteina cruda|proteina bruta",
    "SP": "sp|soluble protein|sol protein|sol prot|sol cp|proteina soluble",
    "NH3N": "nh3n|nh3 n|nh3|ammonia|ammonia n|ammonia nitrogen|amoniaco|nitrogeno amoniacal|n amoniacal",
    "NDICP": "ndicp|nd icp|ndfcp|ndf cp|ndip|ndf protein|neutral detergent insoluble cp",
    "ADICP": "adicp|ad icp|adfcp|adf cp|adip|adin|adf protein|heat damaged protein|acid detergent insoluble cp",
    "ADF": "adf|acid detergent fiber|acid detergent fibre|fda|fibra detergente acida",
    "aNDF": "andf|ndf|neutral detergent fiber|neutral detergent fibre|fdn|fibra detergente neutra",
    "aNDFom": "andfom|ndfom|andf om|ndf om|ash free ndf|andfmo|fdn mo",
    "LIG": "lig|lignin|adl|acid detergent lignin|lignina",
    "ASH": "ash|total ash|ceniza|cenizas",
    "FAT": "fat|ee|ether extract|crude fat|grasa|grasa cruda|extracto etereo",
    "TFA": "tfa|fatty acids|total fatty acids|acidos grasos",
    "STARCH": "starch|almidon",
    "WSC": "wsc|water soluble carbohydrates|water sol carbohydrates|carbohidratos solubles en agua",
    "ESC": "esc|ethanol soluble carbohydrates|ethanol sol carbohydrates|carbohidratos solubles en etanol",
    "NFC": "nfc|non fiber carbohydrates|non fibre carbohydrates|nonfiber carbohydrates|cnf",
    "PH": "ph",
    "LACT": "lact|lactic|lactic acid|acido lactico|lactico",
    "ACET": "acet|acetic|acetic acid|acido acetico|acetico",
    "PROP": "prop|propionic|propionic acid|acido propionico|propionico",
    "BUT": "but|butyric|butyric acid|acido butirico|butirico",
    "ETOH": "etoh|ethanol|etanol",
    "CA": "ca|calcium|calcio",
    "P": "p|phosphorus|fosforo",
    "MG": "mg|magnesium|magnesio",
    "K": "k|potassium|potasio",
    "S": "s|sulfur|sulphur|azufre",
    "NA": "na|sodium|sodio",
    "CL": "cl|chloride|chlorine|cloruro|cloro",
    "NO3N": "no3n|no3 n|nitrate n|nitrate nitrogen|n nitrico|nitrogeno nitrico|nitrogeno de nitratos",
    "TDN": "tdn|total digestible nutrients|ndt",
    "NEL": "nel|ne l|net energy lactation|net energy for lactation|enl",
    "RFV": "rfv|relative feed value|vrf",
    "RFQ": "rfq|relative forage quality|crf",
    "NDFD": "ndfd|ndf digestibility|ndf digestibility in vitro|digestibilidad fdn|digestibilidad de fdn|dfdn",
    "uNDF240": "undf|undf om|undfom|undigested ndf|indigestible ndf|fdn no digerida",
}
BUILT_IN: dict[str, str] = {name: code for code, names in _WORDS.items() for name in names.split("|")}
"""Names in small letters without marks -> analyte. Nitrate and sugar alone are left out: they mean two things."""
NITRATE_NAMES = frozenset({"no3", "nitrate no3", "nitrato no3"})
_UNIT_WORDS = {
    "%": "%", "percent": "%", "pct": "%", "g/kg": "g/kg", "mg/kg": "mg/kg", "ppm": "ppm", "fraction": "fraction",
    "mcal/lb": "Mcal/lb", "mcal/kg": "Mcal/kg", "mj/kg": "MJ/kg", "ppm no3": "ppm NO3", "% no3": "% NO3",
    "por ciento": "%", "porcentaje": "%", "decimal": "fraction", "index": "", "-": "",
}  # fmt: skip
_BASIS_WORDS = {
    "dm": "DM", "d.m.": "DM", "dry matter": "DM", "dry": "DM", "dry basis": "DM", "ms": "DM", "base seca": "DM",
    "ar": "AR", "a.r.": "AR", "as received": "AR", "as-received": "AR", "as fed": "AR", "as-fed": "AR", "af": "AR",
    "as sampled": "AR", "as is": "AR", "fresh": "AR", "tal como se recibio": "AR", "tal cual": "AR",
    "ndf": "NDF", "andf": "NDF", "ndfom": "NDF", "fdn": "NDF", "cp": "CP", "protein": "CP", "pc": "CP",
    "n": "N", "total n": "N", "tn": "N",
}  # fmt: skip
_METHOD_WORDS = {
    "wet": "WET", "wet chemistry": "WET", "wet chem": "WET", "chemistry": "WET", "xrf": "WET", "quimica": "WET",
    "nir": "NIR", "nirs": "NIR", "near infrared": "NIR", "near-infrared": "NIR",
    "calc": "CALC", "calculated": "CALC", "calculado": "CALC",
}  # fmt: skip
_UNIT = "|".join(
    sorted((re.escape(word) for word in _UNIT_WORDS if len(word) > 1 or word == "%"), key=len, reverse=True)
)
_BASIS = "|".join(sorted((re.escape(word) for word in _BASIS_WORDS), key=len, reverse=True))
_TAIL = re.compile(rf"[\s,(\[]*(?:(?P<unit>{_UNIT}))?\s*(?:of |de )?(?:(?P<basis>{_BASIS}))?(?: basis)?[)\]\s]*$")
_HOURS = re.compile(r"(?<!\d)(6|12|24|30|48|72|96|120|240)\s*(?:h|hr|hrs|hour|hours|hora|horas)?(?![\w])")


def plain(text: str) -> str:
    """Small letters, no accents, single spaces."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return " ".join(bare.split())


def normal(text: str) -> str:
    """A name as it is looked up: plain, marks taken as spaces."""
    return " ".join(re.sub(r"[^\w]+|_", " ", plain(text)).split())


def split_measure(text: str) -> tuple[str, str]:
    """Unit and basis out of words such as `% DM` or `g/kg as received`; empty where not said."""
    bare = plain(text)
    found = _TAIL.match(bare) if bare else None
    if not found or found.end() != len(bare) or found.start() != 0:
        return "", ""
    return _UNIT_WORDS.get(found["unit"] or "", ""), _BASIS_WORDS.get(found["basis"] or "", "")


def unit_of(text: str) -> str | None:
    """A unit as typed; None where it is not known."""
    bare = plain(text)
    return _UNIT_WORDS[bare] if bare in _UNIT_WORDS else (split_measure(text)[0] or None) if bare else ""


def basis_of(text: str) -> str | None:
    bare = plain(text).removeprefix("of ").removeprefix("% ").removesuffix(" basis")
    return _BASIS_WORDS.get(bare) if bare else ""


def method_of(text: str) -> str | None:
    bare = plain(text)
    return _METHOD_WORDS.get(bare) if bare else ""


def find_name(text: str, own: Mapping[str, Known], hours: int | None = None) -> Known | None:
    """What a name on a report means; None where it is not known or means two things."""
    if known := own.get(normal(text)):
        return known
    for bare, unit, basis in _readings(text):
        if known := _built_in(bare, unit, basis, hours):
            return known
    return None


def _readings(text: str):
    """The name as it stands, then without the unit and basis at its end."""
    bare = plain(text)
    yield bare, "", ""
    found = _TAIL.search(bare)
    if found and (found["unit"] or found["basis"] in ("dm", "ar", "as received", "as fed")) and found.start():
        yield (
            bare[: found.start()],
            _UNIT_WORDS.get(found["unit"] or "", ""),
            _BASIS_WORDS.get(found["basis"] or "", ""),
        )


def _built_in(bare: str, unit: str, basis: str, hours: int | None) -> Known | None:
    name = normal(bare)
    for code in ANALYTES:
        if name == code.lower():
            return Known(code, unit, basis)
    if name in NITRATE_NAMES:
        return Known("NO3N", (unit or "ppm") + NITRATE, basis)
    named = _HOURS.search(re.sub(r"(?<=[a-z])(?=\d)", " ", name))
    timed = int(named[1]) if named else hours
    without = " ".join(_HOURS.sub(" ", re.sub(r"(?<=[a-z])(?=\d)", " ", name)).split()) if named else name
    found = BUILT_IN.get(name) or BUILT_IN.get(without)
    if found == "NDFD":
        return Known(f"NDFD{timed}" if f"NDFD{timed}" in ANALYTES else "NDFD", unit, basis)
    return Known(found, unit, basis) if found and (found == "uNDF240" or not named) else None


@dataclass(frozen=True)
class NamesPage:
    names: tuple[AnalyteName, ...]
    removed: tuple[AnalyteName, ...]
    built_in: tuple[tuple[str, Sentence, tuple[str, ...]], ...]


def own_names(work: Work, farm_id: int) -> dict[str, Known]:
    """The farm's own names, ready for `find_name`."""
    access_farm(work, farm_id)
    wanted = select(AnalyteName).where(AnalyteName.farm_id == farm_id, AnalyteName.removed_at.is_(None))
    return {row.name: Known(row.analyte, row.unit, row.basis, own=True) for row in work.session.scalars(wanted)}


def names_page(work: Work, farm_id: int) -> NamesPage:
    access_farm(work, farm_id)
    rows = list(
        work.session.scalars(select(AnalyteName).where(AnalyteName.farm_id == farm_id).order_by(AnalyteName.name))
    )
    built_in = tuple(
        (code, ANALYTES[code].name if code in ANALYTES else Sentence("NDF digestibility"), tuple(names.split("|")))
        for code, names in _WORDS.items()
    )
    return NamesPage(
        tuple(row for row in rows if row.removed_at is None),
        tuple(row for row in rows if row.removed_at is not None),
        built_in,
    )


def get_name(work: Work, farm_id: int, name_id: int) -> AnalyteName:
    return access_row(work, AnalyteName, farm_id, name_id, Permission.SAMPLES_EDIT)


def checked(values: Mapping[str, Any]) -> dict[str, Any]:
    """The typed values with the name as it is looked up; unit and basis must fit the analyte."""
    analyte = ANALYTES[values["analyte"]]
    unit, basis = values.get("unit") or "", values.get("basis") or ""
    errors = {}
    if unit and unit not in units_of(analyte):
        errors["unit"] = wrong_unit(analyte, unit)
    if basis and basis not in bases_of(analyte):
        errors["basis"] = wrong_basis(analyte, basis)
    if not normal(values["name"]):
        errors["name"] = Sentence("A name needs at least one letter, such as Sol. Prot.")
    if errors:
        raise Invalid(errors)
    return {"name": normal(values["name"])[:80], "analyte": analyte.code, "unit": unit, "basis": basis}


def add_name(work: Work, farm_id: int, values: Mapping[str, Any]) -> AnalyteName:
    """Teach the farm a name; a name that was removed comes back with the new meaning."""
    access_farm(work, farm_id, Permission.SAMPLES_EDIT)
    fresh = checked(values)
    row = _row_named(work, farm_id, fresh["name"])
    if row is not None and row.removed_at is None:
        said = Sentence(
            "“{name}” is already known as {code}. Change that one instead.", name=row.name, code=row.analyte
        )
        raise Invalid({"name": said})
    if row is None:
        row = AnalyteName(farm_id=farm_id, **fresh)
        work.session.add(row)
    else:
        row.analyte, row.unit, row.basis, row.removed_at = fresh["analyte"], fresh["unit"], fresh["basis"], None
    work.session.flush()
    note(
        work,
        farm_id,
        "add",
        "analyte_names",
        row.id,
        name=row.name,
        fields={"analyte": (None, row.analyte)},
        parts=PARTS,
    )
    return row


def _row_named(work: Work, farm_id: int, name: str) -> AnalyteName | None:
    return work.session.scalar(select(AnalyteName).where(AnalyteName.farm_id == farm_id, AnalyteName.name == name))


def edit_name(
    work: Work, farm_id: int, name_id: int, values: Mapping[str, Any], was: Mapping[str, Any] | None = None
) -> AnalyteName:
    row = get_name(work, farm_id, name_id)
    whole = {**{column.name: getattr(row, column.name) for column in NAME_SHAPE.columns}, **values}
    fresh = checked(whole)
    other = _row_named(work, farm_id, fresh["name"])
    if other is not None and other.id != row.id:
        raise Invalid({"name": Sentence("“{name}” is already in the list.", name=fresh["name"])})
    seen = {key: value or "" for key, value in (was or {}).items()} if was is not None else None
    apply_edit(
        work, row, {key: fresh[key] for key in values}, seen, noun="analyte_names", parts=PARTS
    )  # fmt: skip
    return row


def remove_name(work: Work, farm_id: int, name_id: int) -> None:
    row = get_name(work, farm_id, name_id)
    remove_row(work, row, noun="analyte_names", parts=PARTS)


def restore_name(work: Work, farm_id: int, name_id: int) -> None:
    row = access_removed(work, AnalyteName, farm_id, name_id, Permission.SAMPLES_EDIT)
    restore_row(work, row, noun="analyte_names", parts=PARTS)
